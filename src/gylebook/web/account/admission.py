"""Who is let in, in which browser; a browser that was signed out from elsewhere is out at its next request."""

from __future__ import annotations

import contextlib
from collections.abc import Callable

from django.conf import settings
from django.contrib.auth import login, logout
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponseBase
from django.utils import timezone

from gylebook.errors import StoreUnavailable
from gylebook.phrases import say, tell
from gylebook.store import devices, people
from gylebook.web import faults

DEVICE = "device"
_BACKEND = "django.contrib.auth.backends.ModelBackend"
# What a browser says of itself -> our words; the first that fits counts, since most claim to be several.
_BROWSERS = (("Edg", "Edge"), ("OPR/", "Opera"), ("Firefox", "Firefox"), ("FxiOS", "Firefox"), ("CriOS", "Chrome"),
             ("Chrome", "Chrome"), ("Safari", "Safari"))  # fmt: skip
_MACHINES = (("iPhone", say("an iPhone")), ("iPad", say("an iPad")), ("Android", say("an Android device")),
             ("Windows", "Windows"), ("Mac OS", say("a Mac")), ("CrOS", say("a Chromebook")),
             ("Linux", "Linux"))  # fmt: skip


class KnownDevice:
    """Let a signed-in browser pass only while its row stands in the book."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        # Without the cookie nobody is signed in, and nothing needs to be read.
        if settings.SESSION_COOKIE_NAME in request.COOKIES and request.user.is_authenticated:
            try:
                _check(request)
            except StoreUnavailable as told:
                return faults.from_error(request, told)
        return self.get_response(request)


def _check(request: HttpRequest) -> None:
    person, now = request.user.get_username(), timezone.now()
    number = request.session.get(DEVICE)
    if number is None:  # signed in before browsers were written down
        request.session[DEVICE] = devices.enter(person, browser_name(request), devices.BEFORE, now)
        return
    found = devices.find(number, person, now)
    if found is None:
        logout(request)
    elif devices.is_due(found, now):
        # When it was last seen is not worth a failed page: a busy book is told at the next request.
        with contextlib.suppress(StoreUnavailable):
            devices.seen(found, now)
            request.session.set_expiry(devices.DAYS[found.way] * 24 * 3600)


def admit(request: HttpRequest, person: User, way: str, name: str = "") -> None:
    """Sign a person in in this browser, and write the browser down."""
    now, here = timezone.now(), this_device(request)
    if here is not None:  # whoever was signed in here before is not any more
        devices.leave(here)
    login(request, person, backend=_BACKEND)
    request.session[DEVICE] = devices.enter(person.get_username(), name or browser_name(request), way, now)
    request.session.set_expiry(devices.DAYS[way] * 24 * 3600)


def this_device(request: HttpRequest) -> int | None:
    """The number of the browser that asks; None where nobody is signed in."""
    number = request.session.get(DEVICE) if request.user.is_authenticated else None
    return int(number) if number is not None else None


def dismiss(request: HttpRequest) -> None:
    """Sign out in this browser."""
    here = this_device(request)
    logout(request)
    if here is not None:
        devices.leave(here)


def browser_name(request: HttpRequest) -> str:
    """What to call the browser that asks, until its reader says better."""
    said = request.META.get("HTTP_USER_AGENT", "")
    browser = next((words for part, words in _BROWSERS if part in said), say("A browser"))
    machine = next((words for part, words in _MACHINES if part in said), "")
    # Kept as a name like any other, so it is told once, in the language in which it is first seen.
    return tell(say("{browser} on {machine}", browser=browser, machine=machine) if machine else browser)


def remote(request: HttpRequest) -> str:
    """The address from which the request came, for counting wrong tries."""
    return str(request.META.get("REMOTE_ADDR") or "nowhere").removeprefix("::ffff:")


def is_owner(request: HttpRequest) -> bool:
    """Whether the reader may invite and remove others: the owner, or anybody at the computer that keeps the book."""
    if not request.user.is_authenticated:
        return not settings.SIGN_IN_REQUIRED
    return request.user.get_username() == people.owner()
