"""Papers of a brew: labels, cap dots, the brew-day sheet and a slip of advice, each a form whose answer is a PDF."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from gylebook.errors import InputError, NotFound
from gylebook.outputs import paper
from gylebook.outputs.label_grids import CAPS, LABELS, PAGES, grid_named
from gylebook.outputs.label_sheet import KINDS, MOST, cap_sheet, label_sheet
from gylebook.outputs.qr import Code, code_of, is_for_others
from gylebook.outputs.sheets import sheet
from gylebook.phrases import say
from gylebook.steps.brew_day import advice, brew_day
from gylebook.steps.fields import CHOICE, COUNT, TEXT, Field
from gylebook.steps.label import Label, label
from gylebook.web.brews.opened import Opened, open_brew
from gylebook.web.form import Form, blank, sent

_KIND = Field("kind", say("What for"), CHOICE, required=True, choices=tuple(KINDS.items()))
_SHEET = Field("sheet", say("Sheet of labels"), CHOICE, required=True,
               choices=tuple((grid.key, grid.words) for grid in LABELS))  # fmt: skip
_CAPS = Field("sheet", say("Sheet of dots"), CHOICE, required=True,
              choices=tuple((grid.key, grid.words) for grid in CAPS))  # fmt: skip
_COUNT = Field("count", say("How many"), COUNT, possible=(1, MOST), hint=say("left out: the rest of one sheet"))
_START = Field(
    "start", say("First label"), COUNT, default="1", reason=say("the sheet is whole; counted along the rows")
)
_NAME = Field("name", say("Name on it"), TEXT, hint=say("left out: the brew's own"))
_SIZE = Field("size", say("Size of the bottles"), TEXT, hint=say("500 mL; left out: as bottled"))
_OUTLINE = Field("outline", say("Edges of the labels"), CHOICE, required=True,
                 hint=say("to hold against the sheet before it is printed on"),
                 choices=(("no", say("left out")), ("yes", say("drawn"))))  # fmt: skip
_PAGE = Field("page", say("Paper"), CHOICE, required=True, choices=tuple((page, page) for page in PAGES))
_ADDRESS = Field("address", say("Address of the book, for the code"), TEXT,
                 hint=say("as a phone reaches it; left out, the code holds the brew's number alone"))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Paper:
    """One paper: what its form is called and asks for, and what makes it from the answers."""

    word: str
    title: str
    about: str
    fields: tuple[Field, ...]
    make: Callable[[Opened, Mapping[str, Any]], bytes]


def _code(opened: Opened, values: Mapping[str, Any]) -> Code:
    return code_of(opened.brew.id, values.get("address") or "")


def _label(opened: Opened, values: Mapping[str, Any]) -> Label:
    return label(opened.brew, opened.desk.setting(), name=values.get("name") or "", size=values.get("size") or "")


def _labels(opened: Opened, values: Mapping[str, Any]) -> bytes:
    grid, code = grid_named(values["sheet"], LABELS), _code(opened, values)
    return label_sheet(
        _label(opened, values),
        values["kind"],
        grid,
        code,
        opened.desk.now,
        count=values.get("count"),
        start=values.get("start") or 1,
        outline=values["outline"] == "yes",
    )


def _caps(opened: Opened, values: Mapping[str, Any]) -> bytes:
    grid = grid_named(values["sheet"], CAPS)
    start = values.get("start") or 1
    return cap_sheet(_label(opened, values), grid, opened.desk.now, count=values.get("count"), start=start)


def _brew_day(opened: Opened, values: Mapping[str, Any]) -> bytes:
    desk = opened.desk
    told = brew_day(opened.brew, desk.setting())
    return sheet(told, desk.measures, desk.now, page=values["page"], code=_code(opened, values))


def _slip(opened: Opened, values: Mapping[str, Any]) -> bytes:
    desk = opened.desk
    told = advice(opened.brew, desk.setting())
    return sheet(told, desk.measures, desk.now, page=values["page"], half=True, code=_code(opened, values))


PAPERS = (
    Paper("label", say("Bottle labels"),
          say("Name, code, day, about how strong; on a gift what it contains and how to keep it."),
          (_KIND, _SHEET, _START, _COUNT, _NAME, _SIZE, _OUTLINE, _ADDRESS), _labels),
    Paper("caps", say("Cap dots"), say("Circles with the code on the caps, else the brew's number."),
          (_CAPS, _START, _COUNT), _caps),
    Paper("sheet", say("Brew-day sheet"), say("What to have ready, what to do, and blanks to write in."),
          (_PAGE, _ADDRESS), _brew_day),
    Paper("slip", say("Slip of advice"), say("Half a page: how it stands, what is next and when, what to mind."),
          (_PAGE, _ADDRESS), _slip),
)  # fmt: skip


@require_safe
def page(request: HttpRequest, brew: int) -> HttpResponse:
    """Everything that can be printed of a brew."""
    return _shown(request, open_brew(request, brew), {})


@require_safe
def pdf(request: HttpRequest, brew: int, word: str) -> HttpResponse:
    """One paper as it was asked for; its form again where something in it was refused."""
    opened = open_brew(request, brew)
    asked = next((each for each in PAPERS if each.word == word), None)
    if asked is None:
        raise NotFound(say("There is no paper called “{word}”; choose one from the brew's papers.", word=word[:20]))
    form = sent(asked.fields, request.GET, opened.desk.measures, group=asked.word)
    if not form.fine:
        return _shown(request, opened, {word: form})
    try:
        made = asked.make(opened, form.values)
    except InputError as error:
        return _shown(request, opened, {word: form.refused(error)})
    return pdf_response(made, f"brew-{opened.brew.id}-{word}.pdf")


def pdf_response(made: bytes, name: str) -> HttpResponse:
    """A PDF that the browser shows, with a name to keep it by."""
    response = HttpResponse(made, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response


def _shown(request: HttpRequest, opened: Opened, forms: dict[str, Form]) -> HttpResponse:
    found = label(opened.brew, opened.desk.setting())
    offered = {"address": address_of(request)}
    context = {
        **opened.context(request),
        "papers": [
            (each, forms.get(each.word) or _blank(each, opened, offered), _url(opened, each)) for each in PAPERS
        ],
        "label": found,
        "figures": found.figures,
        "lacking": "" if paper.is_there() else paper.HOW_TO_GET_IT,
        "focus": next((form.wrong for form in forms.values() if form.wrong), ""),
    }
    return render(request, "brews/papers.html", context, status=422 if forms else 200)


def _blank(each: Paper, opened: Opened, offered: dict[str, str]) -> Form:
    texts = {field.name: field.choices[0][0] for field in each.fields if field.kind == CHOICE} | offered
    return blank(each.fields, opened.desk.measures, texts, group=each.word)


def _url(opened: Opened, each: Paper) -> str:
    return reverse("brew_paper", args=[int(opened.brew.id), each.word])


def address_of(request: HttpRequest) -> str:
    """The address of the book for a phone: as it was set, else as this reader reached it; "" where no phone gets.

    The demo book lies below its own address.
    """
    here = request.build_absolute_uri(reverse("today"))
    if settings.URL:
        return f"{settings.URL.rstrip('/')}{reverse('today')}"
    return here if is_for_others(here) else ""
