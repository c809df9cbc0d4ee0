"""Settings: units, money, time and country, and the way to instruments, vessels and places."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from gylebook.journal.state import SHELF
from gylebook.outputs.wording import CHOSEN_UNITS
from gylebook.phrases import joined, say
from gylebook.steps.shelf import KEEP_SETTINGS, texts_of_thing
from gylebook.store import calendar_feed
from gylebook.store.databases import DEFAULT
from gylebook.web.account.admission import is_owner
from gylebook.web.brews.writing import Sheet, carry_out, empty_sheet, read_sheet
from gylebook.web.desk import Desk, desk
from gylebook.web.said import heard, remember
from gylebook.web.shelf_page import write_shelf


@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest) -> HttpResponse:
    """Show what is chosen, and change it."""
    at = desk(request)
    if request.method != "POST":
        return _shown(request, at, empty_sheet(KEEP_SETTINGS, at, _as_it_is(at), ()))
    sheet, change = carry_out(read_sheet(KEEP_SETTINGS, request.POST, at, ()), lambda read: write_shelf(read, at))
    if change is None:
        return _shown(request, at, sheet)
    remember(request, at.book, change, sheet.command_id)
    return redirect("settings")


def _as_it_is(at: Desk) -> dict[str, str]:
    """What is chosen, and the usual unit where nothing is."""
    return {**{name: getattr(at.measures, name) for name in CHOSEN_UNITS}, **texts_of_thing(at.shelf.settings)}


def _shown(request: HttpRequest, at: Desk, sheet: Sheet) -> HttpResponse:
    since = calendar_feed.made_at(at.actor) if at.book == DEFAULT else None
    context = {
        "feed_since": at.measures.moment(since) if since is not None else "",
        "measures": at.measures,
        "sheet": sheet,
        "kept": [
            (reverse("instruments"), say("Instruments"), joined(", ", at.shelf.instruments)),
            (reverse("vessels"), say("Vessels"), joined(", ", at.shelf.vessels)),
            (reverse("places"), say("Places"), joined(", ", at.shelf.places)),
        ],
        "zone": at.shelf.settings.time_zone or settings.TIME_ZONE,
        "zone_chosen": bool(at.shelf.settings.time_zone),
        "said": heard(request, at.book, SHELF),
        "entries_at": reverse("shelf_log"),
        "notices": at.book == DEFAULT and is_owner(request),
    }
    return render(request, "settings/settings.html", context, status=sheet.status)
