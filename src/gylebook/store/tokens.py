"""Tokens of programs: each lets one script or phone at the API; shown once, kept as a hash, taken back at will."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.contrib.auth.models import User

from gylebook.errors import InputError, NotFound
from gylebook.phrases import joined, say
from gylebook.steps.fields import CHOICE, TEXT, Field
from gylebook.store.databases import DEFAULT
from gylebook.store.faults import spoken
from gylebook.store.models import ApiToken
from gylebook.store.people import OWNER
from gylebook.store.turns import writing

READ, WRITE = "read", "write"
#: What a token begins with, so that one found in a file or a log is known for what it is.
MARK = "gyle_"
_MOST = 50  # of one person: more is a loop that went wrong
_NOTED_EVERY = timedelta(minutes=10)  # when it was last used is kept no finer, so that reading does not write

NAME = Field(
    "name", say("What it is for"), TEXT, required=True, hint=say("a name to know it by, such as “kitchen tablet”")
)
MAY = Field(
    "may",
    say("What it may do"),
    CHOICE,
    required=True,
    hint=say("a program that only shows things need not be able to write"),
    choices=(("read", say("read")), ("write", say("write")), ("both", say("read and write"))),
)
_SCOPES = {"read": (READ,), "write": (WRITE,), "both": (READ, WRITE)}


@dataclass(frozen=True, slots=True)
class Token:
    """A token as it is kept; the secret itself is known to nobody but its holder.

    `used_at` is when it was last used, to ten minutes; None where it never was.
    """

    id: int
    name: str
    person: str
    scopes: tuple[str, ...]
    made_at: datetime
    used_at: datetime | None

    @property
    def may(self) -> str:
        """What it may do, in words."""
        words = dict(MAY.choices)
        return joined(say(" and "), (words[scope] for scope in self.scopes))


def make(name: str, person: str, may: str, now: datetime) -> tuple[Token, str]:
    """A new token of a person, and its secret, which cannot be looked up afterwards.

    Parameters
    ----------
    name
        What it is for, to know it by: 1 to 80 characters, each name once a person.
    person
        In whose name it reads and writes.
    may
        One of "read", "write", "both".
    now
        The moment.

    Raises
    ------
    InputError
        The name is empty, too long or has a token already, or there are too many.
    NotFound
        Nobody of that name may sign in.
    """
    name = name.strip()
    if not 1 <= len(name) <= 80 or not name.isprintable():
        raise InputError(NAME.label, say("this cannot be a token's name"), say("write 1 to 80 plain characters"))
    if may not in _SCOPES:
        raise InputError(
            MAY.label, say("“{may}” is not one of the choices", may=may[:40]), say("choose one of: read, write, both")
        )
    secret = MARK + secrets.token_urlsafe(32)
    with spoken(DEFAULT), writing(DEFAULT):
        if not _may_sign_in(person):
            raise NotFound(
                say("Nobody called {person} may sign in, so a token of theirs would open nothing.", person=person[:80])
            )
        own = ApiToken.objects.filter(person=person)
        if own.filter(name=name).exists():
            raise InputError(
                NAME.label,
                say("there is a token “{name}” already", name=name),
                say("choose another name, or take it back"),
            )
        if own.count() >= _MOST:
            raise InputError(
                NAME.label, say("there are {most} tokens already", most=_MOST), say("take back those that nobody uses")
            )
        row = ApiToken.objects.create(
            name=name, person=person, scopes=" ".join(_SCOPES[may]), secret_hash=_hash(secret), made_at=now
        )
    return _token(row), secret


def listed(person: str | None = None) -> tuple[Token, ...]:
    """The tokens of a person, or everybody's; the newest first."""
    with spoken(DEFAULT):
        wanted = ApiToken.objects.order_by("-made_at", "-id")
        return tuple(map(_token, wanted if person is None else wanted.filter(person=person)))


def revoke(name: str, person: str) -> Token:
    """Take a person's token back: from now on it opens nothing.

    Raises
    ------
    NotFound
        This person has no token of that name.
    """
    with spoken(DEFAULT), writing(DEFAULT):
        row = ApiToken.objects.filter(name=name, person=person).first()
        if row is None:
            raise NotFound(
                say(
                    "There is no token “{name}” of {person}; look at the list of tokens.", name=name[:80], person=person
                )
            )
        found = _token(row)
        row.delete()
    return found


def token_of(secret: str, now: datetime) -> Token | None:
    """The token with that secret; None where there is none, or its person may no longer sign in."""
    if not secret.startswith(MARK):
        return None
    with spoken(DEFAULT):
        row = ApiToken.objects.filter(secret_hash=_hash(secret)).first()
        if row is None or not _may_sign_in(row.person):
            return None
        if row.used_at is None or now - row.used_at >= _NOTED_EVERY:
            with writing(DEFAULT):
                ApiToken.objects.filter(pk=row.pk).update(used_at=now)
    return _token(row)


def _may_sign_in(person: str) -> bool:
    """Whether the person is still one of the book's; its owner is, before any password was set."""
    active = User.objects.filter(username=person).values_list("is_active", flat=True).first()
    return person == OWNER if active is None else active


def _token(row: ApiToken) -> Token:
    return Token(row.pk, row.name, row.person, tuple(row.scopes.split()), row.made_at, row.used_at)


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
