"""The API told to people: what can be asked and written, each with a command to try."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gylebook.phrases import say
from gylebook.steps.catalogue import acts, steps
from gylebook.steps.shelf import SHELF_ACTS
from gylebook.steps.sums import SUMS
from gylebook.web.api.commands import curl
from gylebook.web.api.shapes import MOST_ENTRIES

_GET = (
    (say("Who speaks with whom"), "hello"),
    (say("Everything that a phone keeps"), "pocket"),
    (say("The brews"), "brews?open=1"),
    (say("One brew with its outlook"), "brews/1"),
    (say("A brew's log"), "brews/1/entries?after=0"),
    (say("What is due"), "today"),
    (say("The cellar"), "cellar"),
    (say("A step's answer"), "steps/finishing?brew=1"),
    (say("A sum"), "sums/strength?original=1.0395&final=1.0080"),
)


@dataclass(frozen=True, slots=True)
class Example:
    """What a command asks, and the command."""

    words: str
    command: str


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """The page."""
    base = request.build_absolute_uri(request.path)
    context = {
        "examples": [Example(words, curl(base + path)) for words, path in _GET],
        "write": curl_write(base + "entries"),
        "acts": acts().values(),
        "shelf_acts": SHELF_ACTS,
        "steps": steps(),
        "sums": SUMS.values(),
        "most": MOST_ENTRIES,
        "base": base,
    }
    return render(request, "api/api.html", context)


def curl_write(address: str) -> str:
    """The command that writes one reading."""
    body = (
        '{"entries": [{"id": "kitchen-1", "brew": "1", "act": "reading", '
        '"values": {"gravity": "1.012", "temp": "20 °C"}, "happened_at": "2026-11-20T18:30:00+00:00"}]}'
    )
    return f"{curl(address)} -H 'Content-Type: application/json' -d '{body}'"
