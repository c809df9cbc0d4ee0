"""The cellar: what stands in bottles where, how much is left, and whose glass is not fit for its pressure.

Everything comes from the brews' cards; no log is read.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gylebook.steps import cellar_figures as figures
from gylebook.steps.answers import Figure, MomentFigure, Urgency
from gylebook.steps.cards import Card, CardLot, Said, says
from gylebook.web.brews.addresses import brew_url, step_url
from gylebook.web.cards import cards_open
from gylebook.web.desk import Desk, desk

_FIRST = (Urgency.DANGER, Urgency.ACT)
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
class Row:
    """One brew in bottles."""

    card: Card
    says: Said
    lots: tuple[Lot, ...]
    figures: tuple[Figure | MomentFigure, ...]
    url: str
    why_url: str
    open_url: str
    take_out_url: str

    @property
    def first(self) -> bool:
        """Whether it wants looking at before all others."""
        return self.says.urgency in _FIRST or not all(each.lot.is_fit for each in self.lots if each.lot.left)


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """Bottled brews, dangerous ones first, then place by place."""
    at = desk(request)
    rows = sorted(
        (_row(card, at) for card in cards_open(at.book) if card.bottles is not None and card.bottles.left),
        key=lambda row: (list(Urgency).index(row.says.urgency), row.card.number),
    )
    first = [row for row in rows if row.first]
    calm = [row for row in rows if not row.first]
    places = sorted({row.card.place for row in calm}, key=lambda place: (not place, place.lower()))
    context = {
        "measures": at.measures,
        "headline": _headline(rows, first),
        "first": first,
        "places": [(place, [row for row in calm if row.card.place == place]) for place in places],
    }
    return render(request, "cellar/cellar.html", context)


def _headline(rows: list[Row], first: list[Row]) -> str:
    if not rows:
        return "No bottles stand in the cellar."
    count = sum(row.card.bottles_left for row in rows)
    brews = "1 brew" if len(rows) == 1 else f"{len(rows)} brews"
    wanting = "none of them wants looking at" if not first else f"look at {len(first)} of them first"
    return f"{count} bottles of {brews}; {wanting}."


def _row(card: Card, at: Desk) -> Row:
    bottles = card.bottles
    assert bottles is not None
    shown: list[Figure | MomentFigure] = [figures.left_figure(bottles)]
    if card.bottled is not None:
        shown.append(figures.age_figure(card.bottled, at.now, at.measures.zone))
    shown += [figures.fizz_figure(bottles), figures.store_figure(bottles)]
    shown.append(
        figures.carbonated_figure(bottles) if bottles.carbonated[2] > at.now else figures.drink_by_figure(bottles)
    )
    conditioning = step_url(card.id, "conditioning")
    return Row(
        card,
        says(card, at.now, at.measures.zone),
        tuple(
            Lot(lot, _fit(lot), (figures.pressure_figure(bottles, lot), figures.limit_figure(lot)))
            for lot in bottles.lots
            if lot.left
        ),
        tuple(shown),
        brew_url(card.id),
        conditioning,
        f"{step_url(card.id, 'conditioning', 'open_bottle')}#write",
        f"{step_url(card.id, 'conditioning', 'take_out')}#write",
    )


def _fit(lot: CardLot) -> str:
    return _FIT_WORDS.get(lot.fit, f"{lot.fit}.")
