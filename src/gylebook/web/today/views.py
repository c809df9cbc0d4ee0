"""Today: what is due across all brews, in the order in which a pair of hands would do it."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import islice
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from gylebook.steps.answers import Urgency
from gylebook.steps.cards import Card
from gylebook.steps.day import Line, Part, day
from gylebook.steps.warm_spell import spell_tasks
from gylebook.store import brew_log, demo
from gylebook.web.brews.addresses import act_url, brew_url, step_url
from gylebook.web.cards import card_of, where
from gylebook.web.desk import Desk, desk
from gylebook.web.said import heard
from gylebook.web.today.first_brew import first_lines
from gylebook.web.today.load import load_of

_MOST_BREWS = 500
_PAGE = 40
_AHEAD = 12  # of what can wait, so many are told


@dataclass(frozen=True, slots=True)
class Item:
    """A line with where it leads: to the form that writes it down, to the step that tells why, to the brew."""

    line: Line
    where: str
    act_url: str
    why_url: str
    brew_url: str


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of the day's work, as far as it stands on this page."""

    part: Part
    items: list[Item]


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """The day's work, from cards alone."""
    at = desk(request)
    listed = brew_log.due(at.book, limit=_MOST_BREWS)
    first = [] if brew_log.count(at.book)["closed"] else first_lines(request, at, listed)
    if not listed and not brew_log.count(at.book)["closed"]:
        context = {"said": heard(request, at.book), "demo_filled": not demo.is_empty(), "first": first}
        return render(request, "today/empty.html", context)
    found = [(brew, card_of(brew)) for brew in listed]
    context = _work([card for _, card in found if card is not None], at, _number(request.GET.get("page", "")))
    context["first"] = first
    context["unreckoned"] = [brew for brew, card in found if card is None]
    return render(request, "today/today.html", context)


def _work(cards: list[Card], at: Desk, number: int) -> dict[str, Any]:
    """One page of the work that the cards tell of."""
    by_brew = {card.id: card for card in cards}
    beside = [(spell.place, task) for spell, task in spell_tasks(cards, at.shelf, at.now, at.measures.zone)]
    today = day(cards, at.now, at.measures.zone, _empties(cards, at), beside)
    stretches, more = _stretches(today.parts, number, by_brew)
    later = [_item(line, by_brew) for line in today.later[:_AHEAD]]
    whenever = [_item(line, by_brew) for line in today.whenever[:_AHEAD]]
    spoken_of = next((item for item in whenever if item.line.task.act == "mix"), later[0] if later else None)
    return {
        "measures": at.measures,
        "today": today,
        "load": load_of(today),
        "stretches": stretches,
        "newer": number - 1,
        "older": number + 1 if more else 0,
        "whenever": whenever,
        "whenever_more": len(today.whenever) > _AHEAD,
        "later": later,
        "later_more": len(today.later) > _AHEAD,
        "next_url": spoken_of.why_url if spoken_of else "",
    }


def _number(text: str) -> int:
    return max(1, int(text)) if text.isascii() and text.isdigit() and len(text) < 7 else 1


def _stretches(parts: tuple[Part, ...], number: int, cards: dict[str, Card]) -> tuple[list[Stretch], bool]:
    """The parts with the lines of one page; a part without lines of its own stands where it belongs."""
    first, last = (number - 1) * _PAGE, number * _PAGE
    seen, found = 0, []
    for part in parts:
        start, seen = seen, seen + len(part.lines)
        shown = islice(part.lines, max(0, first - start), max(0, last - start))
        items = [_item(line, cards) for line in shown]
        if items or (not part.lines and first <= start < last):
            found.append(Stretch(part, items))
    return found, seen > last


def _item(line: Line, cards: dict[str, Card]) -> Item:
    if not line.brew:
        cellar = f"{reverse('cellar')}#warm"
        return Item(line, line.place, cellar, cellar, cellar)
    why = step_url(line.brew, line.task.step)
    # A brew that may be mixed whenever it suits wants its step's answer first, and the form after it.
    act = why if line.task.act == "mix" and line.urgency is Urgency.NOTHING else act_url(line.brew, line.task.act)
    return Item(line, where(cards[line.brew]), act, why, brew_url(line.brew))


def _empties(cards: list[Card], at: Desk) -> int | None:
    """Bottles owned and not standing full in the cellar; None where none are kept on the shelf."""
    if not at.shelf.bottles:
        return None
    owned = sum(kept.count for kept in at.shelf.bottles.values())
    return max(0, owned - sum(card.bottles_left for card in cards))
