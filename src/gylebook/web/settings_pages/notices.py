"""Addresses to which the book posts what is due: given, tried out and removed by the book's owner alone."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.debug import sensitive_post_parameters, sensitive_variables
from django.views.decorators.http import require_http_methods

from gylebook.errors import InputError, NotFound, Refused
from gylebook.phrases import say
from gylebook.store import notices
from gylebook.store.databases import DEFAULT
from gylebook.web.account.admission import is_owner
from gylebook.web.brews.papers import address_of
from gylebook.web.desk import Desk, desk


@sensitive_post_parameters("url")
@sensitive_variables("secret")
@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest) -> HttpResponse:
    """Where notices go and how it goes with them; a new address's secret is shown this once."""
    at = desk(request)
    if at.book != DEFAULT:
        raise Refused(say("The demo book is invented and sends no notices; leave the demo to use your own book."))
    if not is_owner(request):
        raise Refused(say("Only the owner of the book can say where notices go; ask them."))
    do = request.POST.get("do", "")
    if do == "add":
        return _added(request, at)
    if do == "test":
        number = _number(request)
        return _shown(request, at, tried=number, fault=notices.try_out(number, at.now))
    if do == "remove":
        notices.remove(_number(request))
        return redirect("notices")
    return _shown(request, at)


def _added(request: HttpRequest, at: Desk) -> HttpResponse:
    url = request.POST.get("url", "")
    try:
        _, secret = notices.add(url, at.actor, at.now, base=address_of(request))
    except (InputError, Refused) as wrong:
        return _shown(request, at, url=url, error=str(wrong), status=422)
    return _shown(request, at, secret=secret)


def _number(request: HttpRequest) -> int:
    text = request.POST.get("address", "")
    if not (text.isascii() and text.isdigit() and len(text) < 10):
        raise NotFound(say("There is no such address for notices; reload the page."))
    return int(text)


def _shown(
    request: HttpRequest,
    at: Desk,
    *,
    url: str = "",
    error: str = "",
    secret: str = "",
    tried: int = 0,
    fault: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {
        "measures": at.measures,
        "standings": notices.standings(),
        "url": url,
        "error": error,
        "secret": secret,
        "tried": tried,
        "fault": fault,
        "linked": bool(address_of(request)),
    }
    return render(request, "settings/notices.html", context, status=status)
