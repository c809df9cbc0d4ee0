"""One page for each step of a brew: its answer, what-if, cautions, and the form of what is written down at it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from gylebook.errors import InputError, NotFound
from gylebook.journal.state import Brew
from gylebook.phrases import say
from gylebook.steps.answers import Answer
from gylebook.steps.bottling import BOTTLE
from gylebook.steps.catalogue import acts_at, step
from gylebook.steps.decision import Act, Step
from gylebook.steps.filling import standing_of
from gylebook.web.asked import SUPPOSED
from gylebook.web.brews.addresses import brew_url, step_url
from gylebook.web.brews.opened import Opened, open_brew
from gylebook.web.brews.reckoned import answered
from gylebook.web.brews.writing import Sheet, carry_out, empty_sheet, read_sheet, write_act
from gylebook.web.form import Form, blank, sent
from gylebook.web.said import remember

View = Callable[..., HttpResponse]


def page_of(word: str) -> View:
    """The page of a step."""

    @require_http_methods(["GET", "HEAD", "POST"])
    def page(request: HttpRequest, brew: int) -> HttpResponse:
        opened, chosen = open_brew(request, brew), step(word)
        if request.method != "POST":
            act = _act(chosen, opened.brew, request.GET.get("act", chosen.acts[0].name))
            texts = standing_of(opened.brew).texts if act.name == BOTTLE.name else None  # as counted by taps
            return _shown(request, opened, step(act.step), empty_sheet(act, opened.desk, texts))
        act = _act(chosen, opened.brew, request.POST.get("act", ""))
        sheet = read_sheet(act, request.POST, opened.desk)
        sheet, change = carry_out(sheet, write_act(opened.brew.id, opened.desk))
        if change is None:
            return _shown(request, opened, step(act.step), sheet)
        remember(request, opened.desk.book, change, sheet.command_id)
        return redirect(brew_url(opened.brew.id))

    return page


def _act(chosen: Step, brew: Brew, name: str) -> Act:
    """The act of that name; of a brew in bottles it may belong to another step than its own."""
    offered = (*chosen.acts, *acts_at(chosen, brew))
    found = next((act.of(brew) for act in offered if act.name == name), None)
    if found is None:
        raise NotFound(
            say(
                "“{name}” is not written down at {title}; choose what happened once more.",
                name=name[:40],
                title=chosen.title.lower(),
            )
        )
    return found


def _shown(request: HttpRequest, opened: Opened, chosen: Step, sheet: Sheet) -> HttpResponse:
    asking = _asked(request, opened, chosen)
    cautions = dict.fromkeys((*asking.answer.cautions, *chosen.cautions))
    context = {
        **opened.context(request),
        "step": chosen,
        "answer": replace(asking.answer, cautions=tuple(c for c in cautions if c not in sheet.act.cautions)),
        "ask": asking.form,
        "supposed": asking.supposed,
        "sheet": sheet,
        "writing": "act" in request.GET or request.method == "POST",
        "here": step_url(opened.brew.id, chosen.word),
        "others": [act for act in acts_at(chosen, opened.brew) if act is not sheet.act],
    }
    status = sheet.status if sheet.refused or asking.form.fine else 422
    return render(request, "brews/step.html", context, status=status)


@dataclass(frozen=True, slots=True)
class _Asking:
    """What was supposed, and the answer to it."""

    form: Form
    answer: Answer
    supposed: bool


def _asked(request: HttpRequest, opened: Opened, chosen: Step) -> _Asking:
    """The step's answer; where what was supposed cannot be, the answer without it and the fault beside its field."""
    names = {field.name for field in chosen.ask}
    setting = opened.desk.setting()
    if request.method == "POST" or not any(request.GET.get(name) for name in names):
        form = blank(chosen.ask, opened.desk.measures, group=SUPPOSED)
        return _Asking(form, answered(chosen, opened.brew, setting), supposed=False)
    form = sent(chosen.ask, request.GET, opened.desk.measures, group=SUPPOSED)
    try:
        if form.fine:
            answer = answered(chosen, opened.brew, opened.desk.setting(form.confirmed), form.values)
            return _Asking(form, answer, supposed=True)
    except InputError as error:
        form = form.refused(error)
    return _Asking(form, answered(chosen, opened.brew, setting), supposed=True)
