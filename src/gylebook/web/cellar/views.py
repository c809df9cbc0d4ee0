"""The cellar: what stands in bottles where, how much is left, and whose glass is not fit for its pressure.

Everything comes from the brews' cards; no log is read. Below it the weather: spells that were written, what they do to
what stands there, and a form to ask what a warmer day would do.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from gylebook.errors import InputError, NotFound
from gylebook.journal import events as ev
from gylebook.journal.state import SHELF, Shelf
from gylebook.phrases import capital, say
from gylebook.steps import cellar_list
from gylebook.steps.answers import Figure, Finding, MomentFigure
from gylebook.steps.card_bottles import CardLot
from gylebook.steps.cards import Card
from gylebook.steps.cellar_list import Standing
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.shelf import FORGET
from gylebook.steps.shelf_spell import WARM_SPELL, spell_of, texts_of_spell
from gylebook.steps.warm_spell import Warmed, WarmList, spell_words, to_come, warm_list
from gylebook.web.brews.addresses import brew_url, step_url
from gylebook.web.brews.writing import Sheet, carry_out, empty_sheet, new_id, read_sheet
from gylebook.web.cards import cards_open
from gylebook.web.desk import Desk, desk
from gylebook.web.form import Form, blank, sent
from gylebook.web.offers import offers
from gylebook.web.said import heard, remember
from gylebook.web.shelf_page import write_shelf

_PAGE = 12
_SUPPOSED = tuple(field for field in WARM_SPELL.fields if field.name != "note")
_WHAT_IF = "what_if"  # tells the form that asks apart from the one that writes


@dataclass(frozen=True, slots=True)
class Lot:
    """Bottles of one kind: what they are fit for in words, what they have to bear, and what habit fills them to."""

    lot: CardLot
    fit: str
    figures: tuple[Figure, Figure]


@dataclass(frozen=True, slots=True)
class Row:
    """One brew in bottles, as the page shows it."""

    standing: Standing
    lots: tuple[Lot, ...]
    figures: tuple[Figure | MomentFigure, ...]
    url: str
    why_url: str
    open_url: str
    take_out_url: str


@dataclass(frozen=True, slots=True)
class WarmRow:
    """One bottled brew in a spell, and where it is told more of."""

    warmed: Warmed
    url: str
    why_url: str
    move_url: str


@dataclass(frozen=True, slots=True)
class Weather:
    """A spell, written or supposed, with what it does; `name` is that on the shelf, "" where it is supposed."""

    words: str
    found: WarmList
    rows: tuple[WarmRow, ...]
    vessels: tuple[tuple[str, Finding], ...]
    name: str = ""
    change_url: str = ""
    forget_id: str = ""


@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest) -> HttpResponse:
    """Bottled brews, dangerous ones first, then place by place; then the weather. Sent back once it was written."""
    at = desk(request)
    if request.method != "POST":
        return _shown(request, at, None)
    act = _keeping(request.POST.get("was", "")) if request.POST.get("act") != FORGET.name else FORGET
    sheet, change = carry_out(read_sheet(act, request.POST, at), lambda read: write_shelf(read, at))
    if change is None:
        return _shown(request, at, sheet)
    remember(request, at.book, change, sheet.command_id)
    return redirect(f"{reverse('cellar')}#warm")


def _keeping(was: str) -> Act:
    """The act that writes a spell, made to know which one it changes: that one goes when place or day was changed."""

    def decide(shelf: Shelf, values: Any, moment: datetime, setting: Setting) -> Decision:
        decision = WARM_SPELL.decide(shelf, values, moment, setting)
        names = {event.name for _, event in decision.events if isinstance(event, ev.WarmSpell)}
        if was not in shelf.spells or was in names:
            return decision
        return replace(decision, events=(*decision.events, (moment, ev.Forgotten(thing="warm weather", name=was))))

    return replace(WARM_SPELL, decide=decide)


def _shown(request: HttpRequest, at: Desk, sheet: Sheet | None) -> HttpResponse:
    cards = cards_open(at.book)
    found = cellar_list.standing(cards, at.now, at.measures.zone)
    form, supposed = _supposed(request, at)
    was = request.POST.get("was", "") or request.GET.get("spell", "")
    failed = sheet if sheet is not None and sheet.act.name == FORGET.name else None
    if sheet is None or failed is not None:
        sheet = empty_sheet(WARM_SPELL, at, _texts(request, at, was))
    wrong = failed.status if failed else sheet.status
    context = {
        "measures": at.measures,
        "headline": cellar_list.headline(found),
        "none": not found,
        **_stand(request, at, found),
        "weather": [_weather(spell, cards, at, written=True) for spell in to_come(at.shelf, at.now, at.measures.zone)],
        "supposed": _weather(supposed, cards, at) if supposed is not None else None,
        "form": form,
        "write_url": f"?{_written_query(request)}#write",
        "sheet": sheet if sheet.refused or was or "write" in request.GET else None,
        "was": was if was in at.shelf.spells else "",
        "here": reverse("cellar"),
        "faults": failed.form.faults if failed else (),
        "said": heard(request, at.book, SHELF),
        "entries_at": reverse("shelf_log"),
    }
    return render(request, "cellar/cellar.html", context, status=wrong if wrong != 200 or form.fine else 422)


def _stand(request: HttpRequest, at: Desk, found: list[Standing]) -> dict[str, Any]:
    """One page of what stands there."""
    asked = request.GET.get("page", "")
    number = max(1, int(asked)) if asked.isascii() and asked.isdigit() and len(asked) < 7 else 1
    shown = found[(number - 1) * _PAGE : number * _PAGE]
    places = dict.fromkeys(each.card.place for each in shown if not each.first)
    return {
        "first": [_row(each, at) for each in shown if each.first],
        "places": [
            (place, [_row(each, at) for each in shown if not each.first and each.card.place == place])
            for place in places
        ],
        "newer": number - 1,
        "older": number + 1 if number * _PAGE < len(found) else 0,
    }


# --- weather --------------------------------------------------------------------------------------------------------


def _supposed(request: HttpRequest, at: Desk) -> tuple[Form, ev.WarmSpell | None]:
    """What was asked about, with nothing written; None where nothing was, or it cannot be."""
    names = offers(at.shelf)
    if not request.GET.get("high") or "write" in request.GET:
        return blank(_SUPPOSED, at.measures, offers=names, group=_WHAT_IF), None
    form = sent(_SUPPOSED, request.GET, at.measures, names, group=_WHAT_IF)
    if not form.fine:
        return form, None
    try:
        return form, spell_of(form.values, at.now.astimezone(at.measures.zone).date())
    except InputError as error:
        return form.refused(error), None


def _texts(request: HttpRequest, at: Desk, was: str) -> dict[str, str]:
    """What the form that writes begins with: the spell that is changed, or what was asked about."""
    if was:
        spell = at.shelf.spells.get(was)
        if spell is None:
            raise NotFound(
                say("There is no warm weather “{was}” in the book; it may have been taken back.", was=was[:60])
            )
        return texts_of_spell(spell)
    texts = {field.name: request.GET.get(field.name, "") for field in _SUPPOSED}
    for name in ("high", "low"):
        if texts[name] and (unit := request.GET.get(f"{name}-unit", "")):
            texts[name] = f"{texts[name]} {unit}"
    return texts


def _written_query(request: HttpRequest) -> str:
    kept = {f"{f.name}{end}": request.GET.get(f"{f.name}{end}", "") for f in _SUPPOSED for end in ("", "-unit")}
    return urlencode({"write": "1", **{name: text for name, text in kept.items() if text}})


def _weather(spell: ev.WarmSpell, cards: list[Card], at: Desk, *, written: bool = False) -> Weather:
    found = warm_list(cards, spell, at.now, at.measures.zone)
    words = spell_words(spell, at.now, at.measures.zone)
    return Weather(
        capital(words),
        found,
        tuple(_warm_row(each) for each in found.warmed),
        tuple((step_url(card.id, "readings"), finding) for card, finding in found.vessels),
        spell.name if written else "",
        f"?{urlencode({'spell': spell.name})}#write" if written else "",
        new_id(),
    )


def _warm_row(each: Warmed) -> WarmRow:
    brew = each.card.id
    return WarmRow(
        each,
        brew_url(brew),
        step_url(brew, "conditioning"),
        f"{step_url(brew, 'conditioning', 'move')}#write",
    )


# --- what stands there ----------------------------------------------------------------------------------------------


def figures_of(each: Standing, at: Desk) -> tuple[Figure | MomentFigure, ...]:
    """What is shown of a brew in bottles: how many are left, how old, how fizzy, how warm, and until when."""
    return cellar_list.figures_of(each, at.now, at.measures.zone)


def _row(each: Standing, at: Desk) -> Row:
    card, bottles = each.card, each.bottles
    lots = (lot for lot in bottles.lots if lot.left)
    return Row(
        each,
        tuple(Lot(lot, cellar_list.fit_words(lot), cellar_list.lot_figures(bottles, lot)) for lot in lots),
        figures_of(each, at),
        brew_url(card.id),
        step_url(card.id, "conditioning"),
        f"{step_url(card.id, 'conditioning', 'open_bottle')}#write",
        f"{step_url(card.id, 'conditioning', 'take_out')}#write",
    )
