"""Reckon: the sums without a brew. Each is a plain address with what was asked in it, so it can be kept and sent."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from gylebook.errors import InputError, NotFound
from gylebook.outputs.chart import Scale
from gylebook.outputs.wording import Preferences
from gylebook.phrases import say
from gylebook.steps.answers import Answer
from gylebook.steps.decision import Sum
from gylebook.steps.sums import SUMS
from gylebook.web.api.commands import sum_command
from gylebook.web.desk import desk
from gylebook.web.drawn import Drawn, drawn
from gylebook.web.form import Form, blank, sent


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A sum with what was asked of it; no answer before anything was, nor where it was refused."""

    form: Form
    answer: Answer | None = None

    @property
    def status(self) -> int:
        """The answer's status: 422 where something in the form was refused."""
        return 200 if self.form.fine else 422


@require_safe
def every_sum(request: HttpRequest) -> HttpResponse:
    """The sums in the order of the work, each with the question that it answers."""
    sums = [(reverse("reckon_sum", args=[of.word]), of) for of in SUMS.values()]
    return render(request, "reckon/list.html", {"sums": sums})


@require_safe
def one_sum(request: HttpRequest, word: str) -> HttpResponse:
    """One sum: its form and, once asked, its answer."""
    of = SUMS.get(word.replace("-", "_"))
    if of is None:
        raise NotFound(say("There is no sum called “{word}”; choose one from the list at Reckon.", word=word[:40]))
    measures = desk(request).measures
    found = _reckoned(request, of, measures)
    here = reverse("reckon_sum", args=[of.word])
    context = {
        "measures": measures,
        "sum": of,
        "form": found.form,
        "answer": found.answer,
        "answer_drawn": _drawn(found.answer, measures, sum_command(request, of.word, found.form)),
        "here": here,
        "example": f"{here}?{urlencode(of.example)}#answer-headline" if of.example else "",
        "focus": next((each.mark for each in found.form.asked if each.error), ""),
    }
    return render(request, "reckon/sum.html", context, status=found.status)


def _reckoned(request: HttpRequest, of: Sum, measures: Preferences) -> Reckoned:
    if not any(field.name in request.GET for field in of.fields):
        return Reckoned(blank(of.fields, measures))
    form = sent(of.fields, request.GET, measures)
    if not form.fine:
        return Reckoned(form)
    try:
        return Reckoned(form, of.reckon(form.values))
    except InputError as error:
        return Reckoned(form.refused(error))


def _drawn(answer: Answer | None, measures: Preferences, command: str) -> Drawn | None:
    """The chart of an answer that has a course."""
    if answer is None or answer.course is None:
        return None
    from gylebook.outputs.course_chart import course_chart  # only one sum draws

    scale: Scale = "°P" if measures.gravity == "°P" else "SG"
    return drawn(course_chart(answer.course, scale=scale), command)
