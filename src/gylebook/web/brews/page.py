"""A brew's own page: what to do next and why, how sure, the chart, the steps, the log."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gylebook.errors import InputError
from gylebook.outputs.brew_chart import brew_chart
from gylebook.outputs.chart import Scale
from gylebook.phrases import say
from gylebook.steps.answers import Answer, Urgency
from gylebook.steps.cards import Card, Said, card, says
from gylebook.steps.catalogue import act as act_named
from gylebook.steps.catalogue import step
from gylebook.steps.day import Line, day
from gylebook.steps.filling import session
from gylebook.steps.outlook import outlook
from gylebook.steps.outlook_sure import sure
from gylebook.web.api.commands import brew_command
from gylebook.web.brews.addresses import act_url, step_url
from gylebook.web.brews.log_lines import log_page
from gylebook.web.brews.opened import Opened, open_brew
from gylebook.web.brews.reckoned import answered
from gylebook.web.brews.stages import STEPS_OF_STAGE, step_words
from gylebook.web.drawn import Drawn, drawn

# What is most likely to be written next at each stage, where nothing is due.
_NEXT_ACT = {"planned": "mix", "mixed": "pitch", "racked": "prime", "bottled": "open_bottle", "drinking": "taste"}
_READING = "reading"


@dataclass(frozen=True, slots=True)
class Way:
    """A button: where it leads, and its words."""

    address: str
    words: str


@require_safe
def page(request: HttpRequest, brew: int) -> HttpResponse:
    """Everything about one brew, the answer first."""
    opened = open_brew(request, brew)
    desk, state = opened.desk, opened.brew
    found = card(state, desk.shelf, desk.now)
    now = says(found, desk.now, desk.measures.zone)
    answer = _answer(opened)
    context = {
        **opened.context(request),
        **answer,
        "now": now,
        "way": _way(opened, now),
        "filling": session(state),
        "may_burst": found.bottles is not None and now.urgency is Urgency.DANGER,
        **_plan(answer["answer"]),
        "further": _further(found, opened, now),
        "drawn": _drawn(opened, brew_command(request, state.id)),
        **_sure(opened, answer["answer"]),
        "steps": [(step_url(state.id, word), step(word)) for word in step_words(state)],
        "at_stage": STEPS_OF_STAGE[state.stage],
        "log": log_page(opened),
    }
    return render(request, "brews/brew.html", context)


def _answer(opened: Opened) -> dict[str, Any]:
    """The answer to the question that the brew's stage raises."""
    word = STEPS_OF_STAGE[opened.brew.stage][0]
    answer = answered(step(word), opened.brew, opened.desk.setting())
    return {"answer": answer, "answer_step": step(word), "answer_url": step_url(opened.brew.id, word)}


def _plan(answer: Answer) -> dict[str, Any]:
    """What to do in order with bottles that may burst, with its cautions; one that can wait is told by the answer."""
    danger = any(deed.urgency is Urgency.DANGER for deed in answer.plan)
    return {"plan": answer.plan, "plan_cautions": answer.cautions} if danger else {}


def _sure(opened: Opened, answer: Answer) -> dict[str, Any]:
    """How sure the answer is, while the beer ferments; the figures that stand below the answer."""
    if STEPS_OF_STAGE[opened.brew.stage][0] != "finishing":
        return {"figures": answer.figures}
    try:
        found = outlook(opened.brew, opened.desk.setting())
    except InputError:
        return {"figures": answer.figures}  # the answer says which number stops it
    how = sure(found, answer)
    if how is None:
        return {"figures": answer.figures}
    at = found.next_reading_at
    coming = (
        say(
            "{moment}. {next_reading_why}",
            moment=opened.desk.measures.moment(at),
            next_reading_why=found.next_reading_why,
        )
        if at is not None
        else found.next_reading_why
    )
    return {"figures": how.figures, "sure": how, "coming": coming}


def _way(opened: Opened, now: Said) -> Way | None:
    """What the answer asks for, where that is no reading: a reading has its own button."""
    name = now.task.act if now.task is not None else _NEXT_ACT.get(opened.brew.stage, "")
    if not name or name == _READING:
        return None
    if now.task is not None and name == "mix" and now.urgency is Urgency.NOTHING:
        return Way(step_url(opened.brew.id, now.task.step), now.task.words)
    return Way(act_url(opened.brew.id, name), act_named(name).words)


def _further(found: Card, opened: Opened, now: Said) -> list[tuple[Line, str]]:
    """What else is due, now or later, each with the page of its step."""
    today = day((found,), opened.desk.now, opened.desk.measures.zone)
    lines = [line for part in today.parts for line in part.lines]
    lines += [*today.whenever, *today.later]
    return [(line, act_url(found.id, line.task.act)) for line in lines if line.task != now.task]


def _drawn(opened: Opened, command: str) -> Drawn | None:
    """The chart, once there is a reading to draw."""
    setting = opened.desk.setting()
    scale: Scale = "°P" if opened.desk.measures.gravity == "°P" else "SG"
    chart = brew_chart(opened.brew, setting, outlook(opened.brew, setting), scale=scale)
    return drawn(chart, command) if chart.readings else None
