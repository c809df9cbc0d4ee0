"""What every request of a program passes: who asks, whether they may, how often; and its answer as JSON."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache, wraps
from typing import Any

import msgspec
from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.db import DatabaseError, InterfaceError
from django.http import HttpRequest, HttpResponse
from django.middleware.csrf import CsrfViewMiddleware
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt

from gylebook.errors import GylebookError, StoreUnavailable
from gylebook.phrases import say, tell_hook
from gylebook.store import tokens
from gylebook.store.faults import spoken
from gylebook.web.account.views import actor
from gylebook.web.api import faults
from gylebook.web.api.allowance import Allowance
from gylebook.web.api.faults import ApiFault
from gylebook.web.api.shapes import API
from gylebook.web.desk import Desk, desk
from gylebook.web.page import book_of

PAGE, PROGRAM = "page", "program"
_READS = ("GET", "HEAD")


@dataclass(frozen=True, slots=True)
class Caller:
    """Who asks: in whose name, what they may, by which way in, and under which key their requests are counted."""

    person: str
    scopes: frozenset[str]
    source: str
    key: str


@dataclass(frozen=True, slots=True)
class Asking:
    """A request that was let in; `caller` is None only where everybody may ask."""

    request: HttpRequest
    caller: Caller | None

    @property
    def book(self) -> str:
        """Which book lies open."""
        return book_of(self.request)

    def desk(self) -> Desk:
        """The desk of this request, in the caller's name."""
        assert self.caller is not None
        return replace(desk(self.request), actor=self.caller.person)

    def query(self, *known: str) -> dict[str, str]:
        """What stands behind the question mark; a name that is not known is refused, since it would change nothing.

        Raises
        ------
        ApiFault
            422, with the name.
        """
        given = {name: str(value) for name, value in self.request.GET.items()}
        for name, value in given.items():
            if name not in known:
                raise ApiFault(422, _unasked(name[:60], known), name[:60])
            if "\0" in value:
                raise ApiFault(
                    422, say("{name}: it holds a character that no text has; leave it out.", name=name), name
                )
        return given

    def number(self, given: dict[str, str], name: str, default: int, most: int = 2_147_483_647) -> int:
        """A whole number behind the question mark.

        Raises
        ------
        ApiFault
            422, with the name.
        """
        text = given.get(name, str(default))
        if not (text.isascii() and text.isdigit() and len(text) < 11 and int(text) <= most):
            raise ApiFault(
                422,
                say(
                    "{name}: it is no whole number from 0 to {most}; write one, or leave it out.", name=name, most=most
                ),
                name,
            )
        return int(text)


def _unasked(name: str, known: tuple[str, ...]) -> str:
    if not known:
        return say("{name}: this is not asked for here; it asks for nothing.", name=name)
    return say("{name}: this is not asked for here; it asks for {known}.", name=name, known=", ".join(known))


View = Callable[..., Any]


def endpoint(method: str = "GET", *, scope: str | None = tokens.READ) -> Callable[[View], Callable[..., HttpResponse]]:
    """Decorator: make a view of a function (Asking, ...) -> a value that msgspec writes, or a whole response.

    Parameters
    ----------
    method
        GET, to which HEAD belongs, or POST.
    scope
        What a token must be good for; None lets everybody in.
    """
    allowed = _READS if method == "GET" else (method,)

    def made(view: View) -> Callable[..., HttpResponse]:
        @csrf_exempt  # the mark is asked for below, where the answer is JSON
        @login_not_required
        @wraps(view)
        def called(request: HttpRequest, **kwargs: Any) -> HttpResponse:
            try:
                _by(request, allowed)
                answer = view(_let_in(request, scope), **kwargs)
            except ApiFault as fault:
                return faults.of_fault(fault)
            except (DatabaseError, InterfaceError) as fault:
                return _unavailable(request, fault)
            except GylebookError as error:
                return faults.of_error(error)
            return answer if isinstance(answer, HttpResponse) else as_json(answer)

        return called

    return made


def as_json(answer: Any) -> HttpResponse:
    """A value as JSON."""
    return HttpResponse(msgspec.json.encode(answer, enc_hook=tell_hook), content_type=faults.MEDIA_TYPE)


def caller_of(request: HttpRequest) -> Caller | None:
    """Who asks: the holder of a token, else whoever is signed in in this browser; None where it is nobody.

    Raises
    ------
    ApiFault
        401, for a token that opens nothing.
    """
    given = request.headers.get("Authorization")
    if given is not None:
        kind, _, secret = given.partition(" ")
        token = tokens.token_of(secret.strip(), timezone.now()) if kind.lower() == "bearer" else None
        if token is None:
            raise _stranger(say("This token opens nothing: it was taken back, or never made; make one under Account."))
        return Caller(token.person, frozenset(token.scopes), PROGRAM, f"token {token.id}")
    user = getattr(request, "user", None)
    if settings.SIGN_IN_REQUIRED and not (user is not None and user.is_authenticated):
        return None
    return Caller(actor(request), frozenset({tokens.READ, tokens.WRITE}), PAGE, _browser(request))


def _by(request: HttpRequest, allowed: tuple[str, ...]) -> None:
    if request.method not in allowed:
        allow = ", ".join(allowed)
        told = say("{method}: this address takes {allow} alone.", method=request.method, allow=allow)
        raise ApiFault(405, told, "", {"Allow": allow})


def _let_in(request: HttpRequest, scope: str | None) -> Asking:
    _of_this_release(request)
    try:
        caller = caller_of(request)
    except ApiFault:
        _count(f"stranger {request.META.get('REMOTE_ADDR', '')}")
        raise
    _count(caller.key if caller is not None else f"stranger {request.META.get('REMOTE_ADDR', '')}")
    if scope is None:
        return Asking(request, caller)
    if caller is None:
        raise _stranger(say("Nobody is signed in here: sign in, or send a token as “Authorization: Bearer TOKEN”."))
    if scope not in caller.scopes:
        told = (
            say("This token may not write; make one that may, under Account.")
            if scope == tokens.WRITE
            else say("This token may not read; make one that may, under Account.")
        )
        raise ApiFault(403, told)
    if caller.source == PAGE and request.method not in _READS:
        _marked(request)
    return Asking(request, caller)


def _of_this_release(request: HttpRequest) -> None:
    wanted = request.headers.get("X-Gylebook-Api")
    if wanted is not None and wanted.strip() != str(API):
        told = say("X-Gylebook-Api: this book speaks version {version}; leave it out or send {version}.", version=API)
        raise ApiFault(422, told, "api")


def _stranger(message: str) -> ApiFault:
    return ApiFault(401, message, "", {"WWW-Authenticate": 'Bearer realm="gylebook"'})


def _browser(request: HttpRequest) -> str:
    key = request.session.session_key
    return f"browser {key}" if key else f"address {request.META.get('REMOTE_ADDR', '')}"


@cache
def _allowance(per_minute: int) -> Allowance:
    return Allowance(per_minute)


def _count(caller: str) -> None:
    wait = _allowance(settings.API_PER_MINUTE).take(caller, time.monotonic())
    if wait:
        raise ApiFault(
            429,
            say(
                "That is more than {most} requests a minute; wait {wait} s and go on.",
                most=settings.API_PER_MINUTE,
                wait=wait,
            ),
            "",
            {"Retry-After": str(wait)},
        )


class _Mark(CsrfViewMiddleware):
    """The check of the forms' mark, told instead of answered."""

    def _reject(self, request: HttpRequest, reason: str) -> Any:
        del request
        return reason


def _marked(request: HttpRequest) -> None:
    """Ask a browser for the mark against forgery: another site's page can make it send, but cannot read the mark."""
    check = _Mark(lambda _: HttpResponse())
    check.process_request(request)
    if check.process_view(request, lambda _: HttpResponse(), (), {}) is not None:
        raise ApiFault(
            403,
            say("X-CSRFToken: the mark is missing or old, so nothing was written; take it anew from /api/hello."),
            "X-CSRFToken",
        )


def _unavailable(request: HttpRequest, fault: Exception) -> HttpResponse:
    try:
        with spoken(book_of(request)):
            raise fault
    except StoreUnavailable as told:
        return faults.of_error(told)
