"""What was written on the shelf, newest first; an entry can be taken back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from gylebook.errors import NotFound
from gylebook.journal.events import Corrected
from gylebook.journal.state import SHELF, Entry, Shelf, fold
from gylebook.outputs.entries import entry_words
from gylebook.phrases import say
from gylebook.steps.correcting import withdraw
from gylebook.steps.decision import Decision
from gylebook.steps.margin import Note
from gylebook.store import brew_log
from gylebook.web.brews.addresses import entry_url
from gylebook.web.brews.writing import new_id
from gylebook.web.desk import SOURCE, Desk, desk
from gylebook.web.said import heard, remember

_PAGE = 40
_NOTHING = Note()  # the book makes nothing of what is kept on the shelf


@dataclass(frozen=True, slots=True)
class Line:
    """One entry as parts/log.html draws it; `struck` where it was taken back."""

    entry: Entry
    seq: int
    at: datetime
    ink: str
    struck: bool
    address: str
    instead: str = ""
    note: Note = _NOTHING


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """One page of the shelf's log."""
    at = desk(request)
    asked = request.GET.get("page", "")
    number = max(1, int(asked)) if asked.isascii() and asked.isdigit() and len(asked) < 7 else 1
    lines = [_line(at.shelf, entry) for entry in reversed(at.shelf.entries)]
    shown = lines[(number - 1) * _PAGE : number * _PAGE]
    older = number + 1 if number * _PAGE < len(lines) else 0
    context = {"measures": at.measures, "lines": shown, "newer": number - 1, "older": older}
    return render(request, "stores/log.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def entry(request: HttpRequest, seq: int) -> HttpResponse:
    """One entry; sent back to it once it is taken back."""
    at = desk(request)
    found = next((each for each in at.shelf.entries if each.seq == seq), None)
    if found is None:
        raise NotFound(
            say("The shelf has no entry {seq}; its last one is {head_seq}.", seq=seq, head_seq=at.shelf.head_seq)
        )
    if request.method == "POST":
        command_id = request.POST.get("command_id", "") or new_id()
        remember(request, at.book, _take_back(at, seq, command_id), command_id)
        return redirect(entry_url(SHELF, seq))
    line = _line(at.shelf, found)
    context = {
        "measures": at.measures,
        "line": line,
        "command_id": new_id(),
        "can": not line.struck and not isinstance(found.body, Corrected),
        "said": heard(request, at.book, SHELF),
    }
    return render(request, "stores/entry.html", context)


def _take_back(at: Desk, seq: int, command_id: str) -> brew_log.Change:
    def decide(shelf: Shelf) -> Decision:
        return withdraw(fold(SHELF, shelf.entries), seq, at.setting())

    return brew_log.change_shelf(decide, actor=at.actor, source=SOURCE, command_id=command_id, now=at.now, book=at.book)


def _line(shelf: Shelf, found: Entry) -> Line:
    struck = any(isinstance(each.body, Corrected) and each.body.seq == found.seq for each in shelf.entries)
    return Line(found, found.seq, found.happened_at, entry_words(found.body), struck, entry_url(SHELF, found.seq))
