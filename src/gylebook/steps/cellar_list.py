"""The cellar as a list: every brew of which bottles are left, from cards alone, those to look at first at the top."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, tzinfo

from gylebook.phrases import say, say_count
from gylebook.steps import cellar_figures as figures
from gylebook.steps.answers import Figure, MomentFigure, Urgency
from gylebook.steps.card_bottles import CardBottles, CardLot
from gylebook.steps.cards import Card, Said, says

_FIRST = (Urgency.DANGER, Urgency.ACT)
_FIT_WORDS = {
    "fit": say("fit for it where it stands, in every usual month."),
    "not fit": say("not fit for it in any ordinary place."),
    "never": say("never to be filled with beer that works in the bottle."),
}


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


def standing(cards: Iterable[Card], now: datetime, zone: tzinfo) -> list[Standing]:
    """Every brew of which bottles are left, in order."""
    full = ((card, card.bottles) for card in cards if card.bottles is not None and card.bottles.left)
    return sorted((Standing(card, bottles, says(card, now, zone)) for card, bottles in full), key=lambda e: e.order)


def headline(found: list[Standing]) -> str:
    """How many bottles stand there, and whether any want looking at first."""
    if not found:
        return say("No bottles stand in the cellar.")
    count = sum(each.bottles.left for each in found)
    bottles = say_count(count, "{n} bottle", "{n} bottles")
    brews = say_count(len(found), "{n} brew", "{n} brews")
    first = sum(each.first for each in found)
    wanting = (
        say_count(first, "look at one brew first", "look at {n} brews first") if first else say("none wants looking at")
    )
    return say("{bottles} of {brews}; {wanting}.", bottles=bottles, brews=brews, wanting=wanting)


def figures_of(each: Standing, now: datetime, zone: tzinfo) -> tuple[Figure | MomentFigure, ...]:
    """What is shown of a brew in bottles: how many are left, how old, how fizzy, how warm, and until when."""
    card, bottles = each.card, each.bottles
    shown: list[Figure | MomentFigure] = [figures.left_figure(bottles)]
    if card.bottled is not None:
        shown.append(figures.age_figure(card.bottled, now, zone))
    shown += [figures.fizz_figure(bottles), figures.store_figure(bottles)]
    if each.says.urgency is Urgency.DANGER:  # no date to drink by stands beside bottles that may burst before it
        return tuple(shown)
    done = figures.is_carbonated(bottles, now)
    shown.append(figures.drink_by_figure(bottles) if done else figures.carbonated_figure(bottles))
    return tuple(shown)


def lot_figures(bottles: CardBottles, lot: CardLot) -> tuple[Figure, Figure]:
    """What bottles of one kind have to bear, and what habit fills them to."""
    return figures.pressure_figure(bottles, lot), figures.limit_figure(lot)


def fit_words(lot: CardLot) -> str:
    """What bottles of one kind are fit for where they stand."""
    return _FIT_WORDS.get(lot.fit, say("{fit}.", fit=lot.fit))
