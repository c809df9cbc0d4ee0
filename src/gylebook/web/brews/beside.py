"""A brew beside another: choose which, then what differs between the two and matters."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gylebook.errors import InputError, NotFound
from gylebook.journal.state import Brew
from gylebook.outputs.phrases import WORDS_OF_STAGE
from gylebook.phrases import say
from gylebook.steps.answers import Answer
from gylebook.steps.tasting_compare import compare
from gylebook.store import brew_log
from gylebook.web.brews.addresses import beside_url, step_url
from gylebook.web.brews.opened import Opened, open_brew
from gylebook.web.brews.reckoned import stopped

_PAGE = 50


@require_safe
def choose(request: HttpRequest, brew: int) -> HttpResponse:
    """The other brews, newest first."""
    opened = open_brew(request, brew)
    before = request.GET.get("before", "")
    below = int(before) if before.isascii() and before.isdigit() and len(before) < 10 else None
    found = brew_log.brews(opened.desk.book, before=below, limit=_PAGE)
    others = [
        (beside_url(opened.brew.id, each.brew), each, WORDS_OF_STAGE[each.stage])
        for each in found.brews
        if each.brew != opened.brew.id
    ]
    context = {
        **opened.context(request),
        "others": others,
        "before": found.before,
        "tasting": step_url(opened.brew.id, "tasting"),
    }
    return render(request, "brews/beside_which.html", context)


@require_safe
def page(request: HttpRequest, brew: int, other: int) -> HttpResponse:
    """What differs."""
    opened = open_brew(request, brew)
    if brew == other:
        raise NotFound(say("A brew does not differ from itself; choose another one to put beside it."))
    second = brew_log.read(str(other), book=opened.desk.book)
    context = {
        **opened.context(request),
        "entries_at": "",  # the numbers of entries here are of two logs
        "other": second,
        "answer": _compared(opened, second),
        "again": beside_url(opened.brew.id),
    }
    return render(request, "brews/beside.html", context)


def _compared(opened: Opened, second: Brew) -> Answer:
    """What differs; where an entry of one cannot be reckoned with, the answer says which number stops it."""
    try:
        return compare(opened.brew, second, opened.desk.setting())
    except InputError as error:
        return stopped(error)
