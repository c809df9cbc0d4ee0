"""Kits: the leaflet as it was entered, what each choice would give, and the way to change, forget or brew it."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from gylebook.errors import InputError
from gylebook.journal.events import Kit
from gylebook.journal.state import SHELF, Brew
from gylebook.outputs.entries import kit_words
from gylebook.steps.answers import Answer
from gylebook.steps.catalogue import step
from gylebook.steps.shelf import FORGET, texts_of_thing
from gylebook.steps.shelf_kit import KEEP_KIT
from gylebook.web.brews.writing import Sheet, carry_out, empty_sheet, new_id
from gylebook.web.desk import Desk, desk
from gylebook.web.form import Form, blank, sent
from gylebook.web.said import heard, remember
from gylebook.web.shelf_page import filled_sheet, shelf_sheet, thing_named, write_shelf

_PLAN = step("plan")
_ASK = tuple(field for field in _PLAN.ask if field.name == "volume")
# Names that would be another page's address, or none.
_NO_ADDRESS = {"new", ".", ".."}


def kit_url(name: str) -> str:
    """A kit's own page."""
    if "/" in name or name in _NO_ADDRESS:
        return f"{reverse('kits')}?{urlencode({'name': name})}"
    return reverse("kit", args=[name])


@dataclass(frozen=True, slots=True)
class _Reckoned:
    """What the kit would give, and the volume that was asked about."""

    form: Form
    answer: Answer | None
    supposed: bool


@require_http_methods(["GET", "HEAD", "POST"])
def every_kit(request: HttpRequest) -> HttpResponse:
    """The kits by name; with a name, that kit's page."""
    if "name" in request.GET:
        return page(request, request.GET["name"])
    at = desk(request)
    kits = [(kit_url(name), name, kit_words(kit)) for name, kit in sorted(at.shelf.kits.items())]
    return render(request, "stores/kits.html", {"measures": at.measures, "kits": kits})


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Enter a leaflet."""
    at = desk(request)
    if request.method != "POST":
        return _form(request, at, "", empty_sheet(KEEP_KIT, at))
    return _written(request, at, "")


@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest, name: str) -> HttpResponse:
    """One kit; changed or forgotten by the forms on its page."""
    at = desk(request)
    kit = thing_named(at.shelf, "kit", name)
    assert isinstance(kit, Kit)
    if request.method == "POST":
        return _written(request, at, name)
    if request.GET.get("do") == "change":
        return _form(request, at, name, filled_sheet(KEEP_KIT, "kit", name, at))
    return _sheet(request, at, kit)


def _written(request: HttpRequest, at: Desk, name: str) -> HttpResponse:
    data = request.POST.copy()
    data["was"] = name
    sheet, change = carry_out(shelf_sheet("kit", KEEP_KIT.name, data, at), lambda read: write_shelf(read, at))
    if change is None:
        return _form(request, at, name, sheet)
    remember(request, at.book, change, sheet.command_id)
    if sheet.act.name == FORGET.name:
        return redirect("stores")
    return redirect(kit_url(" ".join(str(sheet.form.values["name"]).split())))


def _form(request: HttpRequest, at: Desk, name: str, sheet: Sheet) -> HttpResponse:
    here = kit_url(name) if name else reverse("kit_new")
    context = {"measures": at.measures, "sheet": sheet, "name": name, "here": here}
    return render(request, "stores/kit_form.html", context, status=sheet.status)


def _sheet(request: HttpRequest, at: Desk, kit: Kit) -> HttpResponse:
    labels = {field.name: field.label for field in KEEP_KIT.fields}
    found = _reckoned(request, at, kit)
    here = kit_url(kit.name)
    context = {
        "measures": at.measures,
        "kit": kit,
        "rows": [(labels[key], text) for key, text in texts_of_thing(kit).items() if key != "name"],
        "answer": found.answer,
        "form": found.form,
        "supposed": found.supposed,
        "here": here,
        "change_url": f"{here}{'&' if '?' in here else '?'}do=change",
        "brew_url": f"{reverse('brew_new')}?{urlencode({'kit': kit.name})}",
        "forget_id": new_id(),
        "said": heard(request, at.book, SHELF),
        "entries_at": reverse("shelf_log"),
    }
    return render(request, "stores/kit.html", context, status=200 if found.form.fine else 422)


def _reckoned(request: HttpRequest, at: Desk, kit: Kit) -> _Reckoned:
    """What it gives in the leaflet's volume, or in the one asked about."""
    supposed = any(request.GET.get(field.name) for field in _ASK)
    form = sent(_ASK, request.GET, at.measures) if supposed else blank(_ASK, at.measures)
    values = {"kit": kit.name, **form.values}
    try:
        answer = _PLAN.answer(Brew("0", (), ()), at.setting(form.confirmed), values) if form.fine else None
    except InputError as error:
        return _Reckoned(form.refused(error), None, supposed)
    return _Reckoned(form, answer, supposed)
