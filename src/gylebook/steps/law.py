"""The law where the brewer lives, as far as the book knows it, and how much was brewed of what is allowed a year.

It is never legal advice: every card names whom to ask, every line its sources and the month it is from.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, tzinfo
from math import sqrt

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.phrases import joined, say, say_amount
from gylebook.steps.answers import Answer, Basis, Figure, Finding, Given, Urgency, Working
from gylebook.steps.chosen import COUNTRIES, IN_SENTENCE
from gylebook.steps.law_cards import CARDS
from gylebook.steps.law_lines import Allowed, LawCard
from gylebook.steps.volumes import mixed_l, start_l

CHOOSE = say("Choose your country in the settings, and the law the book knows of stands here.")
EVERYWHERE = (
    say("Beer made at home is not for sale, and not for children."),
    say("This book does not cover distilling: in most places it is against the law without a licence."),
    say("The strength that the book reckons is an estimate; no tax office takes it for a measurement."),
)
_USUAL_BREW_L = 23.0  # the commonest leaflet volume: what one more brew would add


def law(country: str | None) -> LawCard | None:
    """The card of a country of the settings, None where none is chosen.

    Raises
    ------
    InputError
        When it is no country of the settings.
    """
    if not country:
        return None
    if country not in CARDS:
        known = joined(", ", (value for value, _ in COUNTRIES))
        raise InputError(
            say("Country"),
            say("“{country}” has no card", country=country[:40]),
            say("choose one of {known}", known=known),
        )
    return CARDS[country]


def title_of(card: LawCard | None) -> str:
    """What stands over a card."""
    if card is None or card.country == "other":
        return say("The law where you live")
    return say("The law of {country}", country=IN_SENTENCE[card.country])


def standing_words(card: LawCard | None) -> str:
    """What holds of every card: it is no advice, whom to ask, and what decides."""
    whom = card.authority if card is not None else CARDS["other"].authority
    return say("This is no legal advice. Law changes: ask {whom}. The law of the place decides.", whom=whom)


def begun_at(brew: Brew) -> datetime | None:
    """When a brew was made: mixed, else pitched; None where it is only planned."""
    mixed, pitched = brew.first(ev.Mixed), brew.first(ev.Pitched)
    first = mixed or pitched
    return first.at if first is not None else None


def year_so_far(card: LawCard, brews: Sequence[Brew], shelf: Shelf, now: datetime, zone: tzinfo) -> Answer | None:
    """How much was brewed this calendar year against what is allowed; None where the card has no amount.

    Of the brews those count that were made in the calendar year of `now` by the brewer's own clock, whatever became of
    them. Litres, with a 90 % interval.
    """
    if not card.allowed:
        return None
    year = now.astimezone(zone).year
    made = [(at, brew) for brew in brews if (at := begun_at(brew)) is not None and at.astimezone(zone).year == year]
    made.sort(key=lambda pair: pair[0])
    brewed = _brewed([(at.astimezone(zone), brew, start_l(brew, shelf)) for at, brew in made])
    least = min(card.allowed, key=lambda each: each.litres)
    most = max(card.allowed, key=lambda each: each.litres)
    findings = tuple(f for each in card.allowed if (f := _finding(each, brewed, card, last=each is most)) is not None)
    unknown = [brew for _, brew in made if mixed_l(brew, shelf) is None]
    return Answer(
        _headline(brewed, least, alone=most is least),
        say("Two adults or more in a household may brew more than one.") if most is not least else "",
        next((f.urgency for f in findings if f.urgency is Urgency.ACT), Urgency.NOTHING),
        figures=(brewed, *(f for each in card.allowed for f in (_allowed(each), _left(each, brewed)))),
        findings=findings,
        assumed=tuple(
            say(
                "{litres} for No. {brew}, whose volume is not written",
                litres=say_amount(start_l(brew, shelf).value, 0, "L"),
                brew=brew.id,
            )
            for brew in unknown
        ),
    )


def _headline(brewed: Figure, least: Allowed, *, alone: bool) -> str:
    amounts = {"brewed": say_amount(brewed.value, 0, "L"), "allowed": say_amount(least.litres, 0, "L")}
    if alone:
        return say("By the book you have brewed {brewed} this calendar year, of {allowed} allowed.", **amounts)
    return say(
        "By the book you have brewed {brewed} this calendar year, of {allowed} allowed to a household of one adult.",
        **amounts,
    )


def _brewed(made: Sequence[tuple[datetime, Brew, Figure]]) -> Figure:
    """All wort of the year with its interval: the errors of single brews know nothing of each other."""
    value = sum(figure.value for _, _, figure in made)
    half = sqrt(sum(((figure.high - figure.low) / 2) ** 2 for _, _, figure in made))
    inputs = tuple(
        Given(say("No. {brew}", brew=brew.id), figure.text(), Basis.RECKONED, at.date().isoformat())
        for at, brew, figure in made
    )
    working = Working(
        say("wort made up in every brew that was mixed this calendar year, added up"),
        inputs,
        ("mass_balance", "error_propagation"),
        cautions=(
            say("Wort is counted; the beer that came of it is a little less."),
            say("What was thrown away or drunk is counted too. What is not in the book is not."),
        ),
    )
    return Figure(
        "brewed",
        say("Brewed this calendar year"),
        value,
        max(0.0, value - half),
        value + half,
        "L",
        "volume",
        0,
        working,
    )


def _allowed(of: Allowed) -> Figure:
    working = Working(
        say("as the rule is quoted: {written} in a calendar year", written=of.as_written),
        (),
        of.sources,
        cautions=(say("Law changes; ask whether it still holds."),),
    )
    return Figure(of.key, of.who, of.litres, of.litres, of.litres, "L", "volume", 0, working)


def _left(of: Allowed, brewed: Figure) -> Figure:
    value, low, high = (max(0.0, of.litres - each) for each in (brewed.value, brewed.high, brewed.low))
    working = Working(
        say("what is allowed − what was brewed, never below nothing"),
        (Given(brewed.label, brewed.text(), Basis.RECKONED),),
        of.sources,
        (say("{who}: {allowed}", who=of.who, allowed=say_amount(of.litres, 0, "L")),),
    )
    return Figure(f"{of.key}_left", say("Left of that"), value, low, high, "L", "volume", 0, working)


def _finding(of: Allowed, brewed: Figure, card: LawCard, *, last: bool) -> Finding | None:
    """What is to be said of one amount: passed, perhaps passed, or passed by one more brew of the usual size."""
    grave = Urgency.ACT if last else Urgency.NOTHING
    ask = say("Ask {whom} before you brew again.", whom=card.authority) if last else ""
    if brewed.low > of.litres:
        return Finding(grave, say("{who}: more than that was brewed.", who=of.who), ask, key=f"{of.key}_passed")
    if brewed.high > of.litres:
        text = say("{who}: it may be more already; the volumes are not known better.", who=of.who)
        return Finding(grave, text, ask, key=f"{of.key}_perhaps")
    if brewed.high + _USUAL_BREW_L > of.litres:
        text = say("{who}: one more brew of the usual size would pass it.", who=of.who)
        return Finding(Urgency.NOTHING, text, ask, key=f"{of.key}_near")
    return None
