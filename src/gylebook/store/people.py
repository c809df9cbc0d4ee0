"""Who writes in the book: passwords, and the count of wrong ones."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.contrib.auth import authenticate, password_validation
from django.contrib.auth.models import User
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from gylebook.errors import InputError, Refused
from gylebook.store.models import SignInTry

OWNER = "owner"
WRONG_TRIES = 5
WINDOW = timedelta(minutes=5)
KEEP = timedelta(days=1)


def set_password(password: str, name: str = OWNER) -> bool:
    """Set the password of a person, whom it makes if need be; True when the person is new.

    Their other sign-ins end by it, and the count of wrong tries starts afresh: this is the way back in for an owner
    who is locked out.
    """
    person = User.objects.filter(username=name).first()
    new = person is None
    if person is None:
        person = User(username=name)
    try:
        password_validation.validate_password(password, person)
    except ValidationError as error:
        problem = " ".join(error.messages).rstrip(".")
        raise InputError("Password", problem, "choose at least 10 characters that are not a common password") from error
    person.set_password(password)
    person.save()
    SignInTry.objects.filter(name=_key(name)).delete()
    return new


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
            "Five wrong passwords within five minutes: wait five minutes, or set a new one with “gylebook password” "
            "on the computer that keeps the book."
        )
    person = authenticate(request, username=name, password=password)
    if person is not None:
        SignInTry.objects.filter(name=key).delete()
    return person if isinstance(person, User) else None


def _key(name: str) -> str:
    return name.strip().casefold()[:150]
