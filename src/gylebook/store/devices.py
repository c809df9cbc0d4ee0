"""Browsers in which somebody is signed in: listed, and signed out one by one or all at once.

A browser's session names its row here; without the row its next request finds it signed out.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from gylebook.errors import NotFound
from gylebook.phrases import say, tell
from gylebook.store.databases import DEFAULT
from gylebook.store.faults import spoken
from gylebook.store.models import Device
from gylebook.store.turns import writing

PASSWORD, PASSKEY, PAIRING, INVITATION, BEFORE = "password", "passkey", "pairing", "invitation", "before"
# How long a browser stays signed in without being used: one that was let in by a code belongs to somebody at hand.
DAYS = {PASSWORD: 30, PASSKEY: 90, PAIRING: 180, INVITATION: 180, BEFORE: 30}
# Often enough to tell which phone is in use, seldom enough that reading pages hardly ever writes.
SEEN_EVERY = timedelta(minutes=10)
_LONGEST_NAME = 80


@dataclass(frozen=True, slots=True)
class SignedIn:
    """One browser, as lists show it."""

    id: int
    person: str
    name: str
    way: str
    made_at: datetime
    seen_at: datetime
    ends_at: datetime


def enter(person: str, name: str, way: str, now: datetime) -> int:
    """Write down that this person is signed in in one more browser; the number of its row."""
    ends_at = now + timedelta(days=DAYS[way])
    name = " ".join(name.split())[:_LONGEST_NAME] or tell(say("A browser"))
    with spoken(DEFAULT), writing(DEFAULT):
        Device.objects.filter(ends_at__lte=now).delete()
        return Device.objects.create(person=person, name=name, way=way, made_at=now, seen_at=now, ends_at=ends_at).pk


def find(number: int, person: str, now: datetime) -> SignedIn | None:
    """The browser, if it is still signed in for this person."""
    with spoken(DEFAULT):
        row = Device.objects.filter(pk=number, person=person, ends_at__gt=now).first()
    return _signed_in(row) if row is not None else None


def is_due(found: SignedIn, now: datetime) -> bool:
    """Whether it is time to write down that the browser was seen."""
    return now - found.seen_at >= SEEN_EVERY


def seen(found: SignedIn, now: datetime) -> None:
    """Write down that the browser was seen; it stays signed in for its full time from now on."""
    with spoken(DEFAULT), writing(DEFAULT):
        Device.objects.filter(pk=found.id).update(seen_at=now, ends_at=now + timedelta(days=DAYS[found.way]))


def listed(now: datetime, person: str | None = None) -> list[SignedIn]:
    """Everybody's browsers, or one person's, the last seen first."""
    with spoken(DEFAULT):
        rows = Device.objects.filter(ends_at__gt=now).order_by("-seen_at", "-pk")
        return [_signed_in(row) for row in (rows if person is None else rows.filter(person=person))]


def revoke(number: int, person: str | None = None) -> SignedIn:
    """Sign one browser out; with a person, only if it is theirs.

    Raises
    ------
    NotFound
        There is no such browser, or it is signed out already.
    """
    with spoken(DEFAULT), writing(DEFAULT):
        rows = Device.objects.filter(pk=number)
        row = (rows if person is None else rows.filter(person=person)).first()
        if row is None:
            raise NotFound(
                say("No device {number} is signed in; “gylebook devices” lists those that are.", number=number)
            )
        found = _signed_in(row)
        row.delete()
    return found


def leave(number: int) -> None:
    """Sign one browser out where it still is signed in."""
    with spoken(DEFAULT), writing(DEFAULT):
        Device.objects.filter(pk=number).delete()


def revoke_all(person: str | None = None, but: int | None = None) -> int:
    """Sign out all browsers of a person, or of everybody, perhaps all but one; how many they were."""
    with spoken(DEFAULT), writing(DEFAULT):
        rows = Device.objects.exclude(pk=but) if but is not None else Device.objects.all()
        gone, _ = (rows if person is None else rows.filter(person=person)).delete()
    return gone


def _signed_in(row: Device) -> SignedIn:
    return SignedIn(row.pk, row.person, row.name, row.way, row.made_at, row.seen_at, row.ends_at)
