"""Who writes in the book: the owner and those who brew along, their passwords, and the count of wrong ones."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from django.contrib.auth import authenticate, password_validation
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from gylebook.errors import InputError, NotFound, Refused
from gylebook.phrases import say
from gylebook.store.models import (
    ApiToken,
    CalendarFeed,
    Device,
    JournalEntry,
    NoticeAddress,
    OneTimeCode,
    Passkey,
    SignInTry,
)

OWNER = "owner"
WRONG_TRIES = 5
WINDOW = timedelta(minutes=5)
KEEP = timedelta(days=1)
_LONGEST_NAME = 40


def set_password(password: str, name: str = OWNER) -> bool:
    """Set the password of a person, whom it makes if need be; True when the person is new.

    Their other sign-ins end by it, and the count of wrong tries starts afresh: this is the way back in for an owner
    who is locked out.
    """
    person = User.objects.filter(username=name).first()
    new = person is None
    if person is None:
        person = User(username=name)
    _fit_password(password, person)
    person.set_password(password)
    person.is_active = True
    person.save()
    Device.objects.filter(person=name).delete()
    SignInTry.objects.filter(name=_key(name)).delete()
    return new


def _fit_password(password: str, person: User) -> None:
    try:
        password_validation.validate_password(password, person)
    except ValidationError as error:
        problem = " ".join(error.messages).rstrip(".")
        raise InputError(
            say("Password"), problem, say("choose at least 10 characters that are not a common password")
        ) from error


def owner() -> str:
    """The name of the owner: "owner", unless the book's people were all given other names; then the first of them."""
    names = list(User.objects.filter(is_active=True).order_by("pk").values_list("username", flat=True))
    return OWNER if OWNER in names or not names else names[0]


def active(name: str) -> User | None:
    """The person of this name who may sign in; None where there is none."""
    return User.objects.filter(username=name, is_active=True).first()


def let_in(name: str) -> User:
    """The person whom a pairing code lets in; the owner is made, without a password, where there is nobody yet.

    Raises
    ------
    Refused
        The person may not sign in any more.
    """
    person = active(name)
    if person is None and name == OWNER and not User.objects.exists():
        person = User(username=OWNER)
        person.set_unusable_password()
        person.save()
    if person is None:
        raise Refused(say("{name} may not sign in to this book any more.", name=name))
    return person


def everybody() -> list[str]:
    """The names of all who may sign in, the owner first."""
    first = owner()
    names = User.objects.filter(is_active=True).order_by("username").values_list("username", flat=True)
    return sorted(names, key=lambda name: name != first)


def join(name: str, password: str, allow: Callable[[], object]) -> User:
    """A new person who brews along; an empty password leaves the person with devices and passkeys alone.

    Parameters
    ----------
    name, password
        As they chose them.
    allow
        Called when both fit and before anybody is made; it raises Refused where the invitation has been used.

    Raises
    ------
    InputError
        The name is taken, by somebody or on an entry, or does not fit; or the password is weak.
    """
    name = " ".join(name.split())
    if not 1 <= len(name) <= _LONGEST_NAME or not name.isprintable():
        raise InputError(
            say("Name"),
            say("it must have 1 to {most} characters", most=_LONGEST_NAME),
            say("choose another"),
        )
    taken = User.objects.filter(username__iexact=name).exists() or name.casefold() == OWNER
    if taken or JournalEntry.objects.filter(recorded_by__iexact=name).exists():
        raise InputError(
            say("Name"), say("entries of another {name} are, or may be, in this book", name=name), say("choose another")
        )
    person = User(username=name)
    if password:
        _fit_password(password, person)
        person.set_password(password)
    else:
        person.set_unusable_password()
    allow()
    if not User.objects.exists():
        let_in(OWNER)  # whoever joins first must not become the owner
    person.save()
    return person


def remove(name: str) -> None:
    """End what a person may do; what they wrote stays, under their name.

    Raises
    ------
    NotFound
        Nobody of this name may sign in.
    Refused
        The person is the owner.
    """
    person = active(name)
    if person is None:
        raise NotFound(say("Nobody called {name} may sign in; “gylebook people” lists those who may.", name=name))
    if name == owner():
        raise Refused(say("The owner cannot be removed: the book would be nobody's."))
    person.is_active = False
    person.set_unusable_password()
    person.save()
    for rows in (Device.objects, OneTimeCode.objects, Passkey.objects, ApiToken.objects, NoticeAddress.objects):
        rows.filter(person=name).delete()
    CalendarFeed.objects.filter(name=name).delete()


def has_password() -> bool:
    """Whether anybody could sign in."""
    return any(person.has_usable_password() for person in User.objects.filter(is_active=True))


def only_name() -> str:
    """The name of the only person, so that they need not type it; empty when there are several."""
    names = User.objects.filter(is_active=True).values_list("username", flat=True)[:2]
    return names[0] if len(names) == 1 else ""


def check_password(name: str, password: str, now: datetime, request: HttpRequest | None = None) -> User | None:
    """The person whose password this is, or None; the sixth wrong one within five minutes is not even looked at.

    The try is written down before the password is checked, so that many at once cannot slip past the count.
    """
    key = _key(name)
    SignInTry.objects.filter(at__lt=now - KEEP).delete()
    this = SignInTry.objects.create(name=key, at=now)
    if SignInTry.objects.filter(name=key, at__gt=now - WINDOW).count() > WRONG_TRIES:
        this.delete()
        raise Refused(
            say(
                "Five wrong passwords within five minutes: wait five minutes, or set a new one with “gylebook "
                "password” "
                "on the computer that keeps the book."
            )
        )
    person = authenticate(request, username=name, password=password)
    if person is not None:
        SignInTry.objects.filter(name=key).delete()
    return person if isinstance(person, User) else None


def _key(name: str) -> str:
    return name.strip().casefold()[:150]
