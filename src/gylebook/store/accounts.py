"""The people who may sign in, out of a book and into another; passwords stay hashed."""

from __future__ import annotations

from datetime import datetime

import msgspec
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session

from gylebook.store.models import ApiToken, CalendarFeed, Device, NoticeAddress, OneTimeCode, Passkey, SignInTry


class Account(msgspec.Struct, frozen=True):
    """One person, as a backup holds them."""

    username: str
    password: str
    is_active: bool
    is_staff: bool
    is_superuser: bool
    first_name: str
    last_name: str
    email: str
    date_joined: datetime
    last_login: datetime | None


def dump(book: str) -> bytes:
    """Everybody who may sign in, as JSON."""
    people = User.objects.using(book).order_by("username")
    fields = Account.__struct_fields__
    return msgspec.json.encode([Account(**{name: getattr(person, name) for name in fields}) for person in people])


def load(book: str, data: bytes) -> int:
    """Put these people in the place of those whom the book knows; everybody is asked to sign in again.

    Raises
    ------
    msgspec.MsgspecError
        The data does not read.
    """
    found = msgspec.json.decode(data, type=list[Account])
    forget_sessions(book)
    User.objects.using(book).all().delete()
    User.objects.using(book).bulk_create([User(**msgspec.structs.asdict(account)) for account in found])
    return len(found)


def forget_sessions(book: str) -> None:
    """Nobody is signed in any more, no wrong passwords are counted, no calendar follows the book, no token opens it.

    A device, a passkey, a token or a calendar's address that was taken back must not come to life again with an older
    backup.
    """
    gone = (Session, SignInTry, CalendarFeed, NoticeAddress, ApiToken, Device, OneTimeCode, Passkey)
    for table in gone:
        table.objects.using(book).all().delete()
