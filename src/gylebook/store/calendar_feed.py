"""Addresses under which a calendar follows the book: one a person, secret, kept as a hash alone, taken back at will.

What a calendar was given is kept by its name, so that it can be called off once it is gone: a calendar that only finds
it missing may keep it.
"""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Iterable
from datetime import datetime, timedelta

from django.contrib.auth.models import User

from gylebook.journal.book_file import read_time
from gylebook.journal.state import SHELF
from gylebook.phrases import tell
from gylebook.steps.agenda import Dated, Source
from gylebook.steps.answers import Urgency
from gylebook.steps.cards import card_read
from gylebook.store import brew_list, rows
from gylebook.store.databases import DEFAULT
from gylebook.store.faults import spoken
from gylebook.store.models import CalendarFeed, CalendarThing
from gylebook.store.turns import writing

#: As many open brews as are looked at.
MOST = 500
#: How long what is gone is called off: a calendar that did not look for so long has forgotten the feed.
CALLED_OFF_FOR = timedelta(days=30)


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
        for listed in brew_list.due(book, limit=MOST):
            if not listed.card:
                unknown.append(listed.brew)
                continue
            (first,), (last,) = rows.page(book, listed.brew, 0, 1), rows.last_page(book, listed.brew, None, 1)
            written = read_time(last.recorded_at)
            found.append(
                Source(
                    card=card_read(listed.card),
                    origin=first.command_id,
                    entries=last.seq + (shelf[0].seq if shelf else 0),
                    changed_at=max(written, read_time(shelf[0].recorded_at)) if shelf else written,
                    last_at=written,
                )
            )
    return tuple(found), tuple(unknown)


def with_gone(
    dated: tuple[Dated, ...], unknown: Iterable[str], now: datetime, book: str = DEFAULT
) -> tuple[Dated, ...]:
    """What is due with what calendars were given before and is due no longer, called off; keeps in mind what it gives.

    Parameters
    ----------
    dated
        What is due, as a calendar is about to be given it.
    unknown
        Brews of which nothing could be worked out: what was given of them stays as it is.
    now
        The moment.
    book
        Which book; of the demo nothing is kept.
    """
    if book != DEFAULT:
        return dated
    leave = set(unknown)
    with spoken(book):
        kept = {thing.uid: thing for thing in CalendarThing.objects.all()}
        given = {each.uid: _thing(each) for each in dated}
        gone = [
            _thing(_dated(thing).called_off(now))
            for uid, thing in kept.items()
            if uid not in given and not thing.gone and thing.brew not in leave
        ]
        changed = [thing for uid, thing in given.items() if uid not in kept or _told(kept[uid]) != _told(thing)]
        old = [uid for uid, thing in kept.items() if thing.gone and thing.changed_at < now - CALLED_OFF_FOR]
        if changed or gone or old:
            with writing(book):
                CalendarThing.objects.filter(uid__in=old, gone=True).delete()
                CalendarThing.objects.bulk_create(
                    [*changed, *gone], update_conflicts=True, unique_fields=["uid"], update_fields=list(_TOLD)
                )
        called_off = CalendarThing.objects.filter(gone=True).exclude(uid__in=list(given)).order_by("start", "uid")
        return (*dated, *map(_dated, called_off))


_TOLD = ("brew", "title", "start", "end", "sequence", "changed_at", "gone")


def _told(thing: CalendarThing) -> tuple[object, ...]:
    """What has changed when a thing has: not its title, which would be written anew for each reader's language."""
    return tuple(getattr(thing, name) for name in _TOLD if name != "title")


def _thing(dated: Dated) -> CalendarThing:
    """As the calendar was given it, so that it is called off by the title which it has there."""
    own = {name: getattr(dated, name) for name in _TOLD}
    return CalendarThing(uid=dated.uid, **{**own, "title": tell(dated.title)})


def _dated(thing: CalendarThing) -> Dated:
    told = {name: getattr(thing, name) for name in _TOLD}
    return Dated(uid=thing.uid, why="", urgency=Urgency.NOTHING, by=None, **told)


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
