"""A page for one sort of things on the shelf: what is kept, the form that keeps one, and the button that forgets it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from gylebook.errors import NotFound
from gylebook.journal.state import SHELF, Shelf
from gylebook.outputs.entries import entry_words
from gylebook.phrases import say
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.place_lesson import place_line
from gylebook.steps.shelf import FORGET, act_for, texts_of_thing
from gylebook.steps.shelf_changing import Thing, changing, held
from gylebook.store import brew_log
from gylebook.store.brew_log import Change
from gylebook.web.brews.writing import WHEN, Sheet, carry_out, empty_sheet, insisting, new_id, read_sheet
from gylebook.web.desk import SOURCE, Desk, desk
from gylebook.web.said import heard, remember

View = Callable[..., HttpResponse]


@dataclass(frozen=True, slots=True)
class Sort:
    """One sort of things, with the words of its page.

    Parameters
    ----------
    thing, act
        Which sort, and the name of the act that keeps one.
    url
        Name of the page's address.
    up, up_words
        Name and words of the page above it.
    title, question, one
        The heading, the question below it, and what a single one is called.
    nothing
        What is said while nothing of it is kept.
    """

    thing: Thing
    act: str
    url: str
    up: str
    up_words: str
    title: str
    question: str
    one: str
    nothing: str


@dataclass(frozen=True, slots=True)
class Row:
    """One thing on the shelf, as a line of ink, and what finished brews taught of it in pencil."""

    name: str
    words: str
    learned: str
    change_url: str
    forget_id: str


def page_of(sort: Sort) -> View:
    """The page of one sort of things."""

    @require_http_methods(["GET", "HEAD", "POST"])
    def page(request: HttpRequest) -> HttpResponse:
        at = desk(request)
        was = request.GET.get("name", "")
        if request.method != "POST":
            return _shown(request, sort, at, was, None)
        sheet = shelf_sheet(sort.thing, sort.act, request.POST, at)
        sheet, change = carry_out(sheet, lambda read: write_shelf(read, at))
        if change is None:
            return _shown(request, sort, at, request.POST.get("was", ""), sheet)
        remember(request, at.book, change, sheet.command_id)
        return redirect(reverse(sort.url))

    return page


def shelf_sheet(thing: Thing, keeps: str, data: QueryDict, at: Desk) -> Sheet:
    """The form that was sent: keeping a thing, or forgetting one."""
    if data.get("act") == FORGET.name:
        return read_sheet(FORGET, data, at)
    return read_sheet(changing(act_for(keeps), thing, data.get("was", "")), data, at)


def write_shelf(sheet: Sheet, at: Desk) -> Change:
    """Write on the shelf what the sheet's act decides, through the one door."""
    moment = sheet.form.values.get(WHEN.name) or at.now

    def decide(shelf: Shelf, setting: Setting) -> Decision:
        return sheet.act.decide(shelf, sheet.form.values, moment, setting)

    return brew_log.change_shelf(
        insisting(sheet, decide, at.setting(sheet.form.confirmed)),
        actor=at.actor,
        source=SOURCE,
        command_id=sheet.command_id,
        now=at.now,
        book=at.book,
    )


def filled_sheet(act: Act, thing: Thing, name: str, at: Desk) -> Sheet:
    """The form that changes a thing, filled with what is kept of it.

    Raises
    ------
    NotFound
        Nothing of that name is on the shelf.
    """
    return empty_sheet(act, at, texts_of_thing(thing_named(at.shelf, thing, name)))


def thing_named(shelf: Shelf, thing: Thing, name: str) -> object:
    """What is kept under a name.

    Raises
    ------
    NotFound
        Nothing of that name is on the shelf.
    """
    found = held(shelf, thing).get(name)
    if found is None:
        raise NotFound(
            say("“{name}” is not on the shelf; it may have another name by now, or been taken off.", name=name[:60])
        )
    return found


def _shown(request: HttpRequest, sort: Sort, at: Desk, was: str, sheet: Sheet | None) -> HttpResponse:
    act, here = act_for(sort.act), reverse(sort.url)
    failed = sheet if sheet is not None and sheet.act.name == FORGET.name else None
    if sheet is None or failed is not None:
        sheet = filled_sheet(act, sort.thing, was, at) if was and failed is None else empty_sheet(act, at)
    context = {
        "measures": at.measures,
        "sort": sort,
        "rows": _rows(sort, at, here),
        "sheet": sheet,
        "was": was,
        "here": here,
        "up": reverse(sort.up),
        "said": heard(request, at.book, SHELF),
        "entries_at": reverse("shelf_log"),
        "faults": failed.form.faults if failed else (),
        "writing": bool(was) or "new" in request.GET or sheet.refused or not held(at.shelf, sort.thing),
    }
    return render(request, "stores/things.html", context, status=failed.status if failed else sheet.status)


def _rows(sort: Sort, at: Desk, here: str) -> list[Row]:
    told = brew_log.read_learned(at.shelf, book=at.book)
    lines: dict[Thing, Callable[[str], str]] = {
        "vessel": told.loss_line,
        "instrument": told.offset_line,
        "place": lambda name: place_line(told.place_months, name, at.shelf),
    }
    learned = lines.get(sort.thing)
    return [
        Row(
            name,
            thing_words(thing),
            learned(name) if learned else "",
            f"{here}?{urlencode({'name': name})}#write",
            new_id(),
        )
        for name, thing in sorted(held(at.shelf, sort.thing).items())
    ]


def thing_words(thing: object) -> str:
    """A thing of the shelf as a sentence."""
    return entry_words(thing)  # type: ignore[arg-type]
