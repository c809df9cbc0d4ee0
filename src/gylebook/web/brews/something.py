"""Something else happened: everything that can be written about a brew, by the step it belongs to."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gylebook.steps.catalogue import acts_at, step
from gylebook.web.brews.addresses import step_url
from gylebook.web.brews.opened import open_brew
from gylebook.web.brews.stages import step_words


@require_safe
def page(request: HttpRequest, brew: int) -> HttpResponse:
    """The acts, those of the brew's own stage first."""
    opened = open_brew(request, brew)
    groups = [
        (each, [(step_url(opened.brew.id, each.word, act.name), act) for act in acts_at(each, opened.brew)])
        for each in map(step, step_words(opened.brew))
    ]
    return render(request, "brews/something.html", {**opened.context(request), "groups": groups})
