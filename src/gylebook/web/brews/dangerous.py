"""Bottles that may burst: one page that needs no brew, no password and no database, one tap from every other."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.db import DatabaseError, InterfaceError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.utils import timezone
from django.views.decorators.http import require_safe

from gylebook.errors import StoreUnavailable
from gylebook.journal.events import SettingsKept
from gylebook.outputs.sheets import sheet
from gylebook.outputs.wording import Preferences, preferences
from gylebook.steps.brew_day import danger
from gylebook.steps.conditioning import dangerous_bottles
from gylebook.web.brews.papers import pdf_response
from gylebook.web.desk import desk
from gylebook.web.page import frame

_PAGE = "brews/dangerous.html"
# What the book raises where its database is missing, locked or damaged.
_UNREADABLE = (StoreUnavailable, DatabaseError, InterfaceError)


@login_not_required
@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """What to do, in order; it tells nothing of the book, so whoever stands before the bottles may read it."""
    try:
        return render(request, _PAGE, {"measures": desk(request).measures, "answer": dangerous_bottles()})
    except _UNREADABLE:  # the advice does not wait for the book; only the brewer's own units are missing
        context = {
            "measures": _usual(),
            "answer": dangerous_bottles(),
            "page": frame(request, with_person=False),
        }
        return HttpResponse(render_to_string(_PAGE, context))


@login_not_required
@require_safe
def slip(request: HttpRequest) -> HttpResponse:
    """The same as a paper, to hang beside the bottles."""
    try:
        measures = desk(request).measures
    except _UNREADABLE:
        measures = _usual()
    made = sheet(danger(), measures, timezone.now(), page=request.GET.get("page", "A4"))
    return pdf_response(made, "bottles-that-may-burst.pdf")


def _usual() -> Preferences:
    return preferences(SettingsKept(), settings.TIME_ZONE, timezone.now())
