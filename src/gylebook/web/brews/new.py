"""Starting a brew: its plan is its first entry."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from gylebook.journal.state import Brew
from gylebook.steps.catalogue import act as act_named
from gylebook.steps.decision import Decision, Setting
from gylebook.store import brew_log
from gylebook.store.brew_log import Change
from gylebook.web.brews.addresses import brew_url
from gylebook.web.brews.writing import WHEN, Sheet, carry_out, empty_sheet, insisting, read_sheet
from gylebook.web.desk import SOURCE, Desk, desk
from gylebook.web.said import say

_PLAN = "plan"


@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest) -> HttpResponse:
    """Ask for the plan; write it as a new brew."""
    at, act = desk(request), act_named(_PLAN)
    if request.method != "POST":
        return _shown(request, at, empty_sheet(act, at))
    sheet, change = carry_out(read_sheet(act, request.POST, at), lambda read: _start(read, at))
    if change is None:
        return _shown(request, at, sheet)
    say(request, at.book, change, sheet.command_id)
    return redirect(brew_url(change.brew))


def _start(sheet: Sheet, at: Desk) -> Change:
    """Begin a brew under the next free number."""
    moment = sheet.form.values.get(WHEN.name) or at.now

    def decide(state: Brew, setting: Setting) -> Decision:
        return sheet.act.decide(state, sheet.form.values, moment, setting)

    return brew_log.start_brew(
        insisting(sheet, decide, at.setting(sheet.form.confirmed)),
        actor=at.actor,
        source=SOURCE,
        command_id=sheet.command_id,
        now=at.now,
        book=at.book,
    )


def _shown(request: HttpRequest, at: Desk, sheet: Sheet) -> HttpResponse:
    return render(request, "brews/new.html", {"measures": at.measures, "sheet": sheet}, status=sheet.status)
