"""The keys as a plain list, for whoever has no script or wants to read them in peace."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gylebook.phrases import say

KEYS = (
    ("?", say("show the keys that are valid on the page, and switch them off or on")),
    ("t, b, c, s, r", say("Today, Brews, Cellar, Stores, Reckon")),
    ("n", say("the next thing to write down; among the brews, start one")),
    ("w", say("write a reading of the open brew")),
    ("e", say("write down something else that happened to it")),
    ("u", say("up, from a step or an entry to its brew")),
    ("o, p", say("older and newer, where a list has pages")),
    ("/", say("look for a brew")),
)


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """Every key and what it does."""
    return render(request, "keys/keys.html", {"keys": KEYS})
