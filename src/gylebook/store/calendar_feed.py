"""Addresses under which a calendar follows the book: one a person, secret, kept as a hash alone, taken back at will."""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime

import msgspec
from django.contrib.auth.models import User

from gylebook.journal.book_file import read_time
from gylebook.journal.state import SHELF
from gylebook.steps.agenda import Source
from gylebook.steps.cards import Card
from gylebook.store import brew_list, rows
from gylebook.store.databases import DEFAULT
from gylebook.store.faults import spoken
from gylebook.store.models import CalendarFeed
from gylebook.store.turns import writing

_MOST = 500


def make(name: str, now: datetime) -> str:
    """A new secret for this person, in the place of any older one; it cannot be looked up afterwards."""
    secret = secrets.token_urlsafe(32)
    with spoken(DEFAULT), writing(DEFAULT):
        CalendarFeed.objects.update_or_create(name=name, defaults={"secret_hash": _hash(secret), "made_at": now})
    return secret


def revoke(name: str) -> bool:
    """Take this person's address back; False where there was none."""
    with spoken(DEFAULT), writing(DEFAULT):
        gone, _ = CalendarFeed.objects.filter(name=name).delete()
    return gone > 0


def made_at(name: str) -> datetime | None:
    """Since when this person has an address; None where there is none."""
    with spoken(DEFAULT):
        return CalendarFeed.objects.filter(name=name).values_list("made_at", flat=True).first()


def person_of(secret: str) -> str | None:
    """Whose address it is; None where it is nobody's, or of somebody who may no longer sign in."""
    with spoken(DEFAULT):
        name = CalendarFeed.objects.filter(secret_hash=_hash(secret)).values_list("name", flat=True).first()
        if name is None or User.objects.filter(username=name, is_active=False).exists():
            return None
        return name


def sources(book: str = DEFAULT) -> tuple[tuple[Source, ...], tuple[str, ...]]:
    """The open brews with what names and dates their things, and those whose card could not be reckoned."""
    with spoken(book):
        shelf = rows.last_page(book, SHELF, None, 1)
        found, unknown = [], []
        for listed in brew_list.due(book, limit=_MOST):
            if not listed.card:
                unknown.append(listed.brew)
                continue
            (first,), (last,) = rows.page(book, listed.brew, 0, 1), rows.last_page(book, listed.brew, None, 1)
            written = read_time(last.recorded_at)
            found.append(
                Source(
                    card=msgspec.json.decode(listed.card, type=Card),
                    origin=first.command_id,
                    entries=last.seq + (shelf[0].seq if shelf else 0),
                    changed_at=max(written, read_time(shelf[0].recorded_at)) if shelf else written,
                    last_at=written,
                )
            )
    return tuple(found), tuple(unknown)


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
