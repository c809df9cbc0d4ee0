"""What was learned from finished brews: shown, forgotten, and learned again."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from gylebook.journal.state import SHELF
from gylebook.steps.shelf_lessons import KEEP_LESSONS
from gylebook.store import brew_log
from gylebook.web.brews.writing import Sheet, carry_out, empty_sheet, read_sheet
from gylebook.web.desk import Desk, desk
from gylebook.web.said import heard, remember
from gylebook.web.shelf_page import write_shelf


@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest) -> HttpResponse:
    """Everything learned, a sentence each, and what was forgotten of it."""
    at = desk(request)
    if request.method != "POST":
        return _shown(request, at, empty_sheet(KEEP_LESSONS, at))
    sheet, change = carry_out(read_sheet(KEEP_LESSONS, request.POST, at), lambda read: write_shelf(read, at))
    if change is None:
        return _shown(request, at, sheet)
    remember(request, at.book, change, sheet.command_id)
    return redirect("lessons")


def _shown(request: HttpRequest, at: Desk, sheet: Sheet) -> HttpResponse:
    told = brew_log.read_learned(at.shelf, book=at.book)
    context = {
        "measures": at.measures,
        "sheet": sheet,
        "lines": told.lines(at.shelf),
        "forgotten": bool(at.shelf.forgotten),
        "said": heard(request, at.book, SHELF),
        "entries_at": reverse("shelf_log"),
        "here": reverse("lessons"),
    }
    return render(request, "settings/lessons.html", context, status=sheet.status)
