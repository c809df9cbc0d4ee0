"""Passkeys: the public halves, each of one person under one host name."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError

from gylebook.errors import NotFound, Refused
from gylebook.phrases import say, tell
from gylebook.store.databases import DEFAULT
from gylebook.store.faults import spoken
from gylebook.store.models import Passkey
from gylebook.store.turns import writing


@dataclass(frozen=True, slots=True)
class Kept:
    """One passkey, as lists and sign-in read it."""

    id: int
    credential: str
    person: str
    name: str
    host: str
    public_key: str
    uses: int
    made_at: datetime
    used_at: datetime | None


def add(person: str, name: str, host: str, *, credential: str, public_key: str, uses: int, now: datetime) -> None:
    """Keep a new passkey.

    Raises
    ------
    Refused
        The book has this very passkey already.
    """
    name = " ".join(name.split())[:80] or tell(say("A passkey"))
    try:
        with spoken(DEFAULT), writing(DEFAULT):
            Passkey.objects.create(
                person=person, name=name, host=host, credential=credential, public_key=public_key, uses=uses,
                made_at=now,
            )  # fmt: skip
    except IntegrityError as fault:
        raise Refused(say("The book has this passkey already: use it to sign in.")) from fault


def listed(person: str) -> list[Kept]:
    """Passkeys of one person, the oldest first."""
    with spoken(DEFAULT):
        return [_kept(row) for row in Passkey.objects.filter(person=person).order_by("pk")]


def any_for(host: str) -> bool:
    """Whether somebody could sign in with a passkey under this host name."""
    with spoken(DEFAULT):
        return Passkey.objects.filter(host=host).exists()


def find(credential: str, host: str) -> Kept | None:
    """The passkey with this id, if it was made under this host name."""
    with spoken(DEFAULT):
        row = Passkey.objects.filter(credential=credential, host=host).first()
    return _kept(row) if row is not None else None


def use(kept: Kept, uses: int, now: datetime) -> bool:
    """Write down that it was used; False where its count did not rise, as when a copy is at work.

    An authenticator that keeps no count always says 0, and so do most that share a passkey between devices.
    """
    with spoken(DEFAULT), writing(DEFAULT):
        rows = Passkey.objects.filter(pk=kept.id)
        if uses or kept.uses:
            rows = rows.filter(uses__lt=uses)
        return rows.update(uses=uses, used_at=now) > 0


def remove(number: int, person: str) -> str:
    """Forget one passkey of this person; its name.

    Raises
    ------
    NotFound
        This person has no such passkey.
    """
    with spoken(DEFAULT), writing(DEFAULT):
        row = Passkey.objects.filter(pk=number, person=person).first()
        if row is None:
            raise NotFound(say("This passkey is not in the book any more."))
        row.delete()
    return row.name


def _kept(row: Passkey) -> Kept:
    return Kept(
        row.pk, row.credential, row.person, row.name, row.host, row.public_key, row.uses, row.made_at, row.used_at
    )
