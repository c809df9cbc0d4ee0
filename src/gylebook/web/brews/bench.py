"""A step in big type, to be read from the worktop: its answer, the numbers to go by, a timer for soaks and boils."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gylebook.errors import NotFound
from gylebook.phrases import say
from gylebook.steps.answers import Answer, Figure, MomentFigure
from gylebook.steps.catalogue import WORDS, acts_at, step
from gylebook.web.brews.addresses import step_url
from gylebook.web.brews.opened import open_brew
from gylebook.web.brews.reckoned import answered

MOST_FIGURES = 4  # as many as can be read at a glance on a phone that leans against the wall
_USUAL_MINUTES = {"cleaning": 15, "mixing": 10, "priming": 5, "pitching": 15, "readings": 20}
_MINUTES = "min"


@require_safe
def page(request: HttpRequest, brew: int, word: str) -> HttpResponse:
    """Show one step of a brew so that it can be read from an arm's length."""
    if word not in WORDS:
        raise NotFound(say("“{word}” is no step of a brew; go back to the brew and choose one.", word=word[:40]))
    opened, chosen = open_brew(request, brew), step(word)
    answer = answered(chosen, opened.brew, opened.desk.setting())
    context = {
        **opened.context(request),
        "step": chosen,
        "answer": answer,
        "figures": first_figures(answer),
        "minutes": minutes_of(answer, word),
        "acts": acts_at(chosen, opened.brew)[:2],
        "here": step_url(opened.brew.id, word),
        "all_of_it": f"{step_url(opened.brew.id, word)}#rests",
        "cautions": tuple(dict.fromkeys((*answer.cautions, *chosen.cautions))),
    }
    return render(request, "brews/bench.html", context)


def first_figures(answer: Answer) -> tuple[Figure | MomentFigure, ...]:
    """The figures to work by: the first of the answer, which puts those that matter most at its head."""
    return answer.figures[:MOST_FIGURES]


def minutes_of(answer: Answer, word: str) -> int:
    """What the timer is set to: as long as the step says, else as such a thing usually takes [min]."""
    chosen = (figure for option in answer.options if option.chosen for figure in option.figures)
    told = next((f for f in (*answer.figures, *chosen) if isinstance(f, Figure) and f.unit == _MINUTES), None)
    if told is not None:
        return max(1, round(told.high))
    return _USUAL_MINUTES.get(word, 10)
