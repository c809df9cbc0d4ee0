"""Tokens: let a program in, see which ones are, and take them back."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_variables
from django.views.decorators.http import require_http_methods, require_POST

from gylebook.errors import InputError, Refused
from gylebook.outputs.wording import Preferences
from gylebook.phrases import say
from gylebook.store import tokens
from gylebook.store.databases import DEFAULT
from gylebook.web.account.views import actor
from gylebook.web.form import Form, blank, sent
from gylebook.web.page import book_of

FIELDS = (tokens.NAME, tokens.MAY)


@require_http_methods(["GET", "HEAD", "POST"])
@sensitive_variables("secret")
def page(request: HttpRequest) -> HttpResponse:
    """The tokens of who is signed in; a new one is shown this once."""
    _only_own_book(request)
    if request.method != "POST":
        return _shown(request, blank(FIELDS, Preferences(), {"may": tokens.READ}))
    form = sent(FIELDS, request.POST, Preferences())
    if not form.fine:
        return _shown(request, form)
    try:
        token, secret = tokens.make(form.values["name"], actor(request), form.values["may"], timezone.now())
    except InputError as error:
        return _shown(request, form.refused(error))
    base = request.build_absolute_uri("/api/")
    return render(request, "account/token_made.html", {"token": token, "secret": secret, "base": base})


@require_POST
def revoke(request: HttpRequest) -> HttpResponse:
    """Take one of this person's tokens back."""
    _only_own_book(request)
    tokens.revoke(request.POST.get("name", ""), actor(request))
    return redirect("account:tokens")


def _shown(request: HttpRequest, form: Form) -> HttpResponse:
    context = {"form": form, "tokens": tokens.listed(actor(request)), "measures": _measures(request)}
    return render(request, "account/tokens.html", context, status=200 if form.fine else 422)


def _measures(request: HttpRequest) -> Preferences:
    from gylebook.web.desk import desk  # the desk asks this folder who sits before it

    return desk(request).measures


def _only_own_book(request: HttpRequest) -> None:
    if book_of(request) != DEFAULT:
        raise Refused(say("The demo book is invented and has no tokens; leave the demo to use your own book."))
