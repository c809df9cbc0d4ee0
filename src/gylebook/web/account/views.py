"""Signing in and out."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from gylebook.errors import Refused
from gylebook.phrases import say
from gylebook.store import devices, passkeys, people
from gylebook.web.account.admission import admit, dismiss
from gylebook.web.account.host import host_of


@sensitive_post_parameters("password")
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Ask for the password; right ones go on to where the reader was heading."""
    only_name = people.only_name()
    heading_for = onward(request, request.POST.get("next") or request.GET.get("next", ""))
    context = {
        "only_name": only_name,
        "next": heading_for,
        "name": request.POST.get("name", ""),
        "error": "",
        "with_password": people.has_password(),
        "with_passkey": passkeys.any_for(host_of(request)),
    }
    if request.method != "POST":
        return render(request, "account/sign_in.html", context)
    name = request.POST.get("name", "").strip() or only_name
    status = 422
    try:
        person = people.check_password(name, request.POST.get("password", ""), timezone.now(), request)
    except Refused as refusal:
        status, context["error"] = 429, str(refusal)
    else:
        if person is not None:
            admit(request, person, devices.PASSWORD)
            return redirect(heading_for)
        context["error"] = say("Password: it does not fit that name; look at the capitals and write it once more.")
    return render(request, "account/sign_in.html", context, status=status)


@require_safe
def account(_request: HttpRequest) -> HttpResponse:
    """On to the first of the account's pages."""
    return redirect("account:devices")


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """Close the book for this browser, and clear what it kept of the pages."""
    dismiss(request)
    return signed_out()


def signed_out() -> HttpResponse:
    """On to the page for signing in; what the browser kept of the pages goes."""
    response = redirect(settings.LOGOUT_REDIRECT_URL)
    response["Clear-Site-Data"] = '"cache"'
    return response


def onward(request: HttpRequest, address: str) -> str:
    """The address if it lies in this book, else Today: a form must not send a reader to another site."""
    fits = url_has_allowed_host_and_scheme(address, {request.get_host()}, require_https=request.is_secure())
    return address if fits else resolve_url("today")


def actor(request: HttpRequest) -> str:
    """The name under which an entry of this request goes into the book."""
    user = getattr(request, "user", None)
    return str(user.get_username()) if user is not None and user.is_authenticated else people.OWNER
