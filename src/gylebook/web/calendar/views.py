"""The calendar of what is due: as a file, and at a secret address that a calendar follows without a password."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_variables
from django.views.decorators.http import require_POST, require_safe

from gylebook.errors import Refused
from gylebook.outputs.calendar_file import MEDIA_TYPE, calendar_file
from gylebook.outputs.wording import preferences
from gylebook.phrases import say
from gylebook.steps.agenda import agenda
from gylebook.store import brew_log, calendar_feed
from gylebook.store.databases import DEFAULT
from gylebook.web.account.views import actor
from gylebook.web.brews.papers import address_of
from gylebook.web.page import book_of


@require_safe
def download(request: HttpRequest) -> HttpResponse:
    """Everything due now, as a file to read into a calendar once."""
    response = _calendar(request, book_of(request))
    response["Content-Disposition"] = 'attachment; filename="gylebook.ics"'
    return response


@require_POST
@sensitive_variables("secret")
def make(request: HttpRequest) -> HttpResponse:
    """Make this person's secret address, and show it this once; an older one ends."""
    _only_own_book(request)
    secret = calendar_feed.make(actor(request), timezone.now())
    address = request.build_absolute_uri(reverse("calendar_feed", args=[secret]))
    return render(request, "calendar/made.html", {"address": address, "reachable": bool(address_of(request))})


@require_POST
def stop(request: HttpRequest) -> HttpResponse:
    """Take the address back: calendars that follow it find nothing from now on."""
    _only_own_book(request)
    calendar_feed.revoke(actor(request))
    return redirect(f"{reverse('settings')}#calendar")


@login_not_required
@require_safe
@sensitive_variables("secret")
def feed(request: HttpRequest, secret: str) -> HttpResponse:
    """What is due, for whoever has the address; nothing there for anybody else."""
    if book_of(request) != DEFAULT or calendar_feed.person_of(secret) is None:
        raise Http404
    return _calendar(request, DEFAULT)


def _calendar(request: HttpRequest, book: str) -> HttpResponse:
    shelf, now = brew_log.read_shelf(book=book), timezone.now()
    zone = preferences(shelf.settings, settings.TIME_ZONE, now).zone
    found, unknown = calendar_feed.sources(book)
    dated = calendar_feed.with_gone(agenda(found, zone, now, shelf), unknown, now, book)
    made = calendar_file(dated, zone, base=address_of(request), unknown=unknown)
    return HttpResponse(made, content_type=MEDIA_TYPE)


def _only_own_book(request: HttpRequest) -> None:
    if book_of(request) != DEFAULT:
        raise Refused(say("The demo book is invented and no calendar follows it; leave the demo to use your own book."))
