"""Codes that let one browser in, once: as a device of a person, or as a new person who brews along."""

from __future__ import annotations

import hashlib
import secrets
from datetime import datetime, timedelta

from gylebook.errors import Refused
from gylebook.phrases import say
from gylebook.store.databases import DEFAULT
from gylebook.store.faults import spoken
from gylebook.store.models import OneTimeCode, SignInTry
from gylebook.store.turns import writing

PAIRING, INVITATION = "pairing", "invitation"
# A phone is at hand; an invitation may wait until somebody has read their letters.
LASTS = {PAIRING: timedelta(minutes=10), INVITATION: timedelta(days=3)}
WRONG_CODES = 5
WINDOW = timedelta(minutes=5)
KEEP = timedelta(days=1)
GONE = say("This code has been used or its time is over: ask for a new one.")


def make(kind: str, person: str, now: datetime) -> str:
    """A new code, to be shown this once: the book keeps its hash alone.

    PAIRING makes a device of the person, INVITATION lets in somebody whom the person invites.
    """
    code = secrets.token_urlsafe(18)  # 144 bits: not to be guessed in ten minutes, nor in ten thousand years
    with spoken(DEFAULT), writing(DEFAULT):
        OneTimeCode.objects.filter(ends_at__lte=now).delete()
        OneTimeCode.objects.create(
            code_hash=_hash(kind, code), kind=kind, person=person, made_at=now, ends_at=now + LASTS[kind]
        )
    return code


def look(kind: str, code: str, address: str, now: datetime) -> str:
    """Whose code it is; it can still be used afterwards.

    Raises
    ------
    Refused
        There is no such code any more, or too many wrong ones came from this address.
    """
    _count(address, now)
    with spoken(DEFAULT):
        row = OneTimeCode.objects.filter(code_hash=_hash(kind, code), kind=kind, ends_at__gt=now).first()
    if row is None:
        _wrong(address, now)
        raise Refused(GONE)
    return row.person


def take(kind: str, code: str, address: str, now: datetime) -> str:
    """Use the code up; of two who try at once only one succeeds. Whose code it was.

    Raises
    ------
    Refused
        As for `look`.
    """
    person = look(kind, code, address, now)
    with spoken(DEFAULT), writing(DEFAULT):
        gone, _ = OneTimeCode.objects.filter(code_hash=_hash(kind, code), ends_at__gt=now).delete()
    if not gone:
        raise Refused(GONE)
    return person


def forget(person: str) -> None:
    """End all open codes of this person."""
    with spoken(DEFAULT), writing(DEFAULT):
        OneTimeCode.objects.filter(person=person).delete()


def _count(address: str, now: datetime) -> None:
    with spoken(DEFAULT):
        tries = SignInTry.objects.filter(name=_key(address), at__gt=now - WINDOW).count()
    if tries >= WRONG_CODES:
        raise Refused(say("Five wrong codes within five minutes: wait five minutes, then ask for a new code."))


def _wrong(address: str, now: datetime) -> None:
    with spoken(DEFAULT), writing(DEFAULT):
        SignInTry.objects.filter(at__lt=now - KEEP).delete()
        SignInTry.objects.create(name=_key(address), at=now)


def _key(address: str) -> str:
    """Under which wrong codes are counted; no person's name begins with a tab."""
    return f"\tcodes from {address}"[:150]


def _hash(kind: str, code: str) -> str:
    return hashlib.sha256(f"{kind}:{code}".encode()).hexdigest()
