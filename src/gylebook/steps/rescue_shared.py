"""Which other brews share the cause of a dangerous one: the same day, sugar, vessel, kit or place. From cards alone."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from gylebook.phrases import joined, say
from gylebook.steps.answers import Basis, Deed, Figure, Given, Urgency, Working
from gylebook.steps.asked import COUNT, figure
from gylebook.steps.cards import Card

NEAR = timedelta(days=60)  # so near in time that a bag of sugar, a scale or a bucket's dirt is likely the same
# Which likenesses speak of which cause (the keys of opened.CAUSES); all of them where the cause is not known.
_SPEAKS = {
    "early": ("kit", "day"),
    "much": ("sugar", "day"),
    "little": ("sugar", "day"),
    "uneven": ("day", "sugar"),
    "wild": ("vessel", "day"),
    "dirty": ("day",),
}
_SUGARS = {
    "sucrose": say("sucrose"),
    "glucose_anhydrous": say("glucose anhydrous"),
    "glucose_monohydrate": say("glucose monohydrate"),
    "dried_malt_extract": say("dried malt extract"),
    "honey": say("honey"),
}
_ALL = ("day", "sugar", "vessel", "kit")


@dataclass(frozen=True, slots=True)
class Shared:
    """Another brew with bottles left, and what it has in common, in words."""

    brew: str
    name: str
    left: int
    reasons: tuple[str, ...]


def share_cause(card: Card, others: Iterable[Card], zone: tzinfo) -> tuple[Shared, ...]:
    """The other brews in bottles that share what may have made this one dangerous, those with most in common first.

    Parameters
    ----------
    card
        The brew in danger. Where its likeliest cause is known, only what speaks of it counts.
    others
        Cards of other brews; itself and those without bottles are left out.
    zone
        The brewer's, for days.
    """
    asked = (*_SPEAKS.get(card.cause, _ALL), "place")
    found = []
    for other in others:
        if other.id == card.id or other.bottles is None or other.bottles_left <= 0:
            continue
        reasons = tuple(words for likeness in asked if (words := _likeness(likeness, card, other, zone)))
        if reasons:
            found.append(Shared(other.id, other.name, other.bottles_left, reasons))
    return tuple(sorted(found, key=lambda each: -len(each.reasons)))


def _likeness(likeness: str, card: Card, other: Card, zone: tzinfo) -> str:
    """What two brews have in common of one sort, "" where nothing."""
    near = _near(card.bottled, other.bottled)
    match likeness:
        case "day" if _same_day(card.primed_on, other.primed_on, zone) or _same_day(card.bottled, other.bottled, zone):
            return say("primed and bottled on the same day")
        case "sugar" if near and card.sugar and card.sugar == other.sugar:
            return say(
                "primed with {sugar} too, most likely by the same scale",
                sugar=_SUGARS.get(card.sugar, card.sugar.replace("_", " ")),
            )
        case "vessel" if near and card.vessel and card.vessel == other.vessel:
            return say("from the same vessel, {vessel}", vessel=card.vessel)
        case "kit" if card.early and other.early and card.kit and card.kit == other.kit:
            return say("the same kit, {kit}, also bottled early", kit=card.kit)
        case "place" if card.bottles and other.bottles and card.bottles.place == other.bottles.place != "":
            return say("in the same place, {place}", place=other.bottles.place) if other.bottles.place else ""
    return ""


def _near(one: datetime | None, other: datetime | None) -> bool:
    return one is not None and other is not None and abs(one - other) <= NEAR


def _same_day(one: datetime | None, other: datetime | None, zone: tzinfo) -> bool:
    return one is not None and other is not None and one.astimezone(zone).date() == other.astimezone(zone).date()


def shared_deed(found: tuple[Shared, ...]) -> Deed:
    """The line of a plan that names the brews that share the cause."""
    told = joined("; ", (say("{each}: {together}", each=each.name, together=_together(each.reasons)) for each in found))
    words = say("They may share the cause: {told}. Chill one of each and open it cold before it gets warm.", told=told)
    return Deed("others", Urgency.MEASURE, say("Look at the others"), words, tuple(_left(each) for each in found))


def _together(reasons: tuple[str, ...]) -> str:
    return joined(say(", and "), reasons if len(reasons) < 3 else (joined(", ", reasons[:-1]), reasons[-1]))


def _left(shared: Shared) -> Figure:
    given = Given(
        say("bottles left"), str(shared.left), Basis.MEASURED, say("the log of brew {brew}", brew=shared.brew)
    )
    working = Working(say("filled − gone"), (given,), ("by_definition",))
    return figure(
        f"left_of_{shared.brew}",
        say("Bottles left of {brew}", brew=shared.name),
        float(shared.left),
        COUNT,
        working,
    )
