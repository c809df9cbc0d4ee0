"""Readings of a brew from a table: every line shown as it would be written, then written, all of them or none."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from gylebook.errors import InputError, InputErrors
from gylebook.inputs.readings_csv import ReadingLine, ReadingsFile, read_readings
from gylebook.journal.state import Brew
from gylebook.outputs.entries import entry_words
from gylebook.phrases import joined, say
from gylebook.steps.answers import Finding
from gylebook.steps.fields import CHOICE, Field
from gylebook.store import brew_log
from gylebook.store.brew_log import Change, Command
from gylebook.web.asked import Asked
from gylebook.web.book import waiting
from gylebook.web.brews.addresses import brew_url, step_url
from gylebook.web.desk import Desk, desk
from gylebook.web.form import Form, blank, sent
from gylebook.web.said import remember

_SHOWN = 100
_BREWS = 200
SOURCE = "import"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the table as it would be written; no words where the brew has it already."""

    number: int
    at: datetime
    words: str
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Looked:
    """What the table would add, or why it cannot."""

    lines: tuple[Line, ...] = ()
    token: str = ""
    faults: tuple[str, ...] = ()
    further: int = 0
    ignored: tuple[str, ...] = ()

    @property
    def new(self) -> int:
        """How many lines are new."""
        return sum(bool(line.words) for line in self.lines)


@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest) -> HttpResponse:
    """Choose a brew and a table; look at it; write it."""
    at = desk(request)
    fields = (_brew_field(at),)
    if request.method != "POST":
        return _shown(request, blank(fields, at.measures, {"brew": request.GET.get("brew", "")[:10]}), Looked())
    form = sent(fields, request.POST, at.measures)
    token, upload = request.POST.get("token", ""), request.FILES.get("file")
    data = waiting.take_up(token) if token else upload.read() if upload is not None else b""
    if not form.fine or not data:
        missing = () if data else (say("File: none was chosen, or it is empty; choose a table saved as CSV."),)
        return _shown(request, form, Looked(faults=missing))
    brew = str(form.values["brew"])
    found = read_readings(data, brew=brew, zone=at.measures.zone, confirmed="unusual" in request.POST)
    commands = [Command(command_id, decide) for command_id, decide in found.decisions(at.setting())]
    try:
        if token and not found.faults:
            return _written(request, at, brew, commands, token)
        changes, refused = brew_log.try_many(brew, commands, actor=at.actor, source=SOURCE, now=at.now, book=at.book)
    except InputErrors as errors:
        changes, refused = [], errors.errors
    return _shown(request, form, _looked(found, changes, [*found.faults, *refused], data))


def _written(request: HttpRequest, at: Desk, brew: str, commands: list[Command[Brew]], token: str) -> HttpResponse:
    changes = brew_log.change_many(brew, commands, actor=at.actor, source=SOURCE, now=at.now, book=at.book)
    waiting.throw_away(token)
    entries = tuple(entry for change in changes if not change.repeated for entry in change.entries)
    remember(request, at.book, Change(brew, entries), token)
    return redirect(brew_url(brew))


def _looked(found: ReadingsFile, changes: list[Change], faults: list[InputError], data: bytes) -> Looked:
    """What the table comes to; where any line is at fault, only the faults, for nothing of it would be written."""
    if faults:
        further = max(0, len(faults) - _SHOWN)
        return Looked(faults=tuple(map(str, faults[:_SHOWN])), further=further, ignored=found.ignored)
    lines = tuple(map(_line, found.lines, changes))
    looked = Looked(lines, ignored=found.ignored)
    return replace(looked, token=waiting.put_aside(data)) if looked.new else looked


def _line(line: ReadingLine, change: Change) -> Line:
    words = "" if change.repeated else joined(" ", (entry_words(entry.body) for entry in change.entries))
    return Line(line.number, line.happened_at, words, change.findings)


def _brew_field(at: Desk) -> Field:
    listed = brew_log.brews(at.book, limit=_BREWS).brews
    choices = tuple((brew.brew, say("No. {number} {name}", number=brew.number, name=brew.name)) for brew in listed)
    return Field("brew", say("Brew"), CHOICE, required=True, choices=choices)


def _shown(request: HttpRequest, form: Form, looked: Looked) -> HttpResponse:
    fine = form.fine and not looked.faults
    ask: Asked = form.asked[0]
    context = {
        "measures": desk(request).measures,
        "form": form,
        "ask": ask,
        "looked": looked,
        "unusual": "unusual" in request.POST,
        "why_url": step_url(str(form.values["brew"]), "readings") if looked.lines else "",
    }
    return render(request, "book/readings.html", context, status=200 if fine else 422)
