"""The cellar: what stands in bottles where, how much is left, and whose glass is not fit for its pressure.

Everything comes from the brews' cards; no log is read.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gylebook.steps import cellar_figures as figures
from gylebook.steps.answers import Figure, MomentFigure, Urgency
from gylebook.steps.cards import Card, CardBottles, CardLot, Said, says
from gylebook.web.brews.addresses import brew_url, step_url
from gylebook.web.cards import cards_open
from gylebook.web.desk import Desk, desk

_FIRST = (Urgency.DANGER, Urgency.ACT)
_PAGE = 12
_FIT_WORDS = {
    "fit": "fit for it where it stands, all year.",
    "not fit": "not fit for it, however cool it is kept.",
    "never": "never to be filled with beer that works in the bottle.",
}


@dataclass(frozen=True, slots=True)
class Lot:
    """Bottles of one kind: what they are fit for in words, what they have to bear, and what habit fills them to."""

    lot: CardLot
    fit: str
    figures: tuple[Figure, Figure]


@dataclass(frozen=True, slots=True)
class Standing:
    """A brew in bottles with what its card says now."""

    card: Card
    bottles: CardBottles
    says: Said

    @property
    def first(self) -> bool:
        """Whether it wants looking at before all others."""
        return self.says.urgency in _FIRST or not all(lot.is_fit for lot in self.bottles.lots if lot.left)

    @property
    def order(self) -> tuple[bool, int, bool, str, int]:
        """Dangerous ones first; the others by place, those whose place is not known last."""
        urgency = list(Urgency).index(self.says.urgency) if self.first else 0
        place = "" if self.first else self.card.place.lower()
        return (not self.first, urgency, not self.first and not place, place, self.card.number)


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


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """Bottled brews, dangerous ones first, then place by place."""
    at = desk(request)
    found = sorted(_standing(at), key=lambda each: each.order)
    asked = request.GET.get("page", "")
    number = max(1, int(asked)) if asked.isascii() and asked.isdigit() and len(asked) < 7 else 1
    shown = found[(number - 1) * _PAGE : number * _PAGE]
    places = dict.fromkeys(each.card.place for each in shown if not each.first)
    context = {
        "measures": at.measures,
        "headline": _headline(found),
        "none": not found,
        "first": [_row(each, at) for each in shown if each.first],
        "places": [
            (place, [_row(each, at) for each in shown if not each.first and each.card.place == place])
            for place in places
        ],
        "newer": number - 1,
        "older": number + 1 if number * _PAGE < len(found) else 0,
    }
    return render(request, "cellar/cellar.html", context)


def _standing(at: Desk) -> Iterator[Standing]:
    for card in cards_open(at.book):
        if card.bottles is not None and card.bottles.left:
            yield Standing(card, card.bottles, says(card, at.now, at.measures.zone))


def _headline(found: list[Standing]) -> str:
    if not found:
        return "No bottles stand in the cellar."
    count = sum(each.bottles.left for each in found)
    bottles = "1 bottle" if count == 1 else f"{count} bottles"
    brews = "1 brew" if len(found) == 1 else f"{len(found)} brews"
    first = sum(each.first for each in found)
    wanting = f"look at {'one brew' if first == 1 else f'{first} brews'} first" if first else "none wants looking at"
    return f"{bottles} of {brews}; {wanting}."


def _row(each: Standing, at: Desk) -> Row:
    card, bottles = each.card, each.bottles
    shown: list[Figure | MomentFigure] = [figures.left_figure(bottles)]
    if card.bottled is not None:
        shown.append(figures.age_figure(card.bottled, at.now, at.measures.zone))
    shown += [figures.fizz_figure(bottles), figures.store_figure(bottles)]
    done = bottles.carbonated[2] <= at.now
    shown.append(figures.drink_by_figure(bottles) if done else figures.carbonated_figure(bottles))
    return Row(
        each,
        tuple(_lot(bottles, lot) for lot in bottles.lots if lot.left),
        tuple(shown),
        brew_url(card.id),
        step_url(card.id, "conditioning"),
        f"{step_url(card.id, 'conditioning', 'open_bottle')}#write",
        f"{step_url(card.id, 'conditioning', 'take_out')}#write",
    )


def _lot(bottles: CardBottles, lot: CardLot) -> Lot:
    return Lot(lot, _fit(lot), (figures.pressure_figure(bottles, lot), figures.limit_figure(lot)))


def _fit(lot: CardLot) -> str:
    return _FIT_WORDS.get(lot.fit, f"{lot.fit}.")
