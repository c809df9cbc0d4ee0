"""Passkeys: made, used and forgotten. What reads them is imported when the first one is used."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Any

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from gylebook.errors import GylebookError, InputError, Refused
from gylebook.phrases import say, tell
from gylebook.store import devices, passkeys, people
from gylebook.web.account.admission import admit, browser_name
from gylebook.web.account.host import hindrance, host_of, origin_of
from gylebook.web.account.views import actor, onward
from gylebook.web.desk import desk

if TYPE_CHECKING:
    from fido2.server import Fido2Server

Json = Callable[[HttpRequest], JsonResponse]
_STATE = "passkey"
_UNREAD = InputError(say("Passkey"), say("what the browser sent does not fit"), say("try once more, or make a new one"))


def told(view: Json) -> Json:
    """Decorator: a refusal goes to the page's module as a sentence, to be shown where the hand is."""

    @wraps(view)
    def within(request: HttpRequest) -> JsonResponse:
        try:
            return view(request)
        except GylebookError as error:
            return JsonResponse({"error": tell(str(error))}, status=409 if isinstance(error, Refused) else 422)

    return within


@require_safe
def listed(request: HttpRequest) -> HttpResponse:
    """The reader's passkeys, and the way to make one."""
    measures = desk(request).measures
    lines = [
        (each, measures.moment(each.made_at), measures.moment(each.used_at) if each.used_at else "")
        for each in passkeys.listed(actor(request))
    ]
    context = {
        "lines": lines,
        "hindrance": hindrance(request),
        "host": host_of(request),
        "name": browser_name(request),
        "signed_in": request.user.is_authenticated,
    }
    return render(request, "account/passkeys.html", context)


@require_POST
@told
def begin(request: HttpRequest) -> JsonResponse:
    """What the browser needs to make a passkey."""
    person = _person(request)
    server = _server(request)
    from fido2 import webauthn

    had = [
        webauthn.PublicKeyCredentialDescriptor(
            type=webauthn.PublicKeyCredentialType.PUBLIC_KEY, id=_bytes(each.credential)
        )
        for each in passkeys.listed(person)
    ]
    options, request.session[_STATE] = server.register_begin(
        webauthn.PublicKeyCredentialUserEntity(
            id=f"gylebook-{request.user.pk}".encode(), name=person, display_name=person
        ),
        had,
        resident_key_requirement=webauthn.ResidentKeyRequirement.REQUIRED,
        user_verification=webauthn.UserVerificationRequirement.REQUIRED,
    )
    return JsonResponse(dict(options))


@require_POST
@told
def finish(request: HttpRequest) -> JsonResponse:
    """Keep the passkey that the browser made."""
    person, sent = _person(request), _sent(request)
    try:
        data = _server(request).register_complete(_state(request), sent["credential"])
    except (ValueError, KeyError, TypeError) as fault:
        raise _UNREAD from fault
    made = data.credential_data
    assert made is not None
    passkeys.add(
        person,
        str(sent.get("name", "")),
        host_of(request),
        credential=_text(made.credential_id),
        public_key=_text(bytes(made)),
        uses=data.counter,
        now=timezone.now(),
    )
    return JsonResponse({"next": reverse("account:passkeys")})


@login_not_required
@require_POST
@told
def ask(request: HttpRequest) -> JsonResponse:
    """What the browser needs to offer the passkeys that it has for this book."""
    from fido2.webauthn import UserVerificationRequirement

    options, request.session[_STATE] = _server(request).authenticate_begin(
        user_verification=UserVerificationRequirement.REQUIRED
    )
    return JsonResponse(dict(options))


@login_not_required
@require_POST
@told
def answer(request: HttpRequest) -> JsonResponse:
    """Sign in whoever's passkey answered."""
    from fido2.webauthn import AttestedCredentialData

    sent, server, state = _sent(request), _server(request), _state(request)
    try:
        kept = passkeys.find(str(sent["credential"]["id"]), host_of(request))
        if kept is None:
            raise Refused(say("This passkey is not in the book any more: sign in in another way, then make a new one."))
        known = AttestedCredentialData(_bytes(kept.public_key))
        server.authenticate_complete(state, [known], sent["credential"])
        uses = _counter(sent["credential"])
    except (ValueError, KeyError, TypeError) as fault:
        raise _UNREAD from fault
    if not passkeys.use(kept, uses, timezone.now()):
        raise Refused(say("This passkey seems to have been copied: sign in in another way, and remove it."))
    person = people.active(kept.person)
    if person is None:
        raise Refused(say("{person} may not sign in to this book any more.", person=kept.person))
    heading_for = onward(request, str(sent.get("next", "")))
    admit(request, person, devices.PASSKEY)
    return JsonResponse({"next": heading_for})


@require_POST
def remove(request: HttpRequest) -> HttpResponse:
    """Forget one of the reader's passkeys."""
    number = request.POST.get("passkey", "")
    if number.isascii() and number.isdigit():
        passkeys.remove(int(number), actor(request))
    return redirect("account:passkeys")


def _person(request: HttpRequest) -> str:
    if not request.user.is_authenticated:
        raise Refused(say("A passkey belongs to somebody who is signed in: sign in first, then make one."))
    return request.user.get_username()


def _server(request: HttpRequest) -> Fido2Server:
    from fido2.server import Fido2Server
    from fido2.webauthn import PublicKeyCredentialRpEntity

    hindered = hindrance(request)
    if hindered:
        raise Refused(hindered)
    here = origin_of(request)
    # The very origin of this page and no other below the same name: another port may belong to somebody else.
    return Fido2Server(
        PublicKeyCredentialRpEntity(id=host_of(request), name="Gylebook"), verify_origin=lambda said: said == here
    )


def _sent(request: HttpRequest) -> dict[str, Any]:
    try:
        sent = json.loads(request.body)
    except ValueError as fault:
        raise _UNREAD from fault
    if not isinstance(sent, dict) or not isinstance(sent.get("credential"), dict):
        raise _UNREAD
    return sent


def _state(request: HttpRequest) -> Any:
    """What was asked last; each question is answered once."""
    try:
        return request.session.pop(_STATE)
    except KeyError as fault:
        raise _UNREAD from fault


def _counter(credential: dict[str, Any]) -> int:
    from fido2.webauthn import AuthenticationResponse

    return AuthenticationResponse.from_dict(credential).response.authenticator_data.counter


def _text(data: bytes) -> str:
    from fido2.utils import websafe_encode

    return websafe_encode(data)


def _bytes(text: str) -> bytes:
    from fido2.utils import websafe_decode

    return websafe_decode(text)
