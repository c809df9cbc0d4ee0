"""What the cellar shows of a brew in bottles, as figures with their workings, from its card alone."""

from __future__ import annotations

from datetime import datetime, tzinfo

from gylebook.phrases import say, say_amount
from gylebook.steps.answers import Basis, Figure, Given, MomentFigure, Working
from gylebook.steps.asked import BAR, CELSIUS, COUNT, VOLUMES, figure
from gylebook.steps.bottle_moments import NOT_BEFORE, carbonated_moment, law
from gylebook.steps.card_bottles import CardBottles, CardLot
from gylebook.steps.moments import WHOLE_MONTHS, days_words

_PARTS = say("its parts stand on the brew's page of conditioning")


def where_warmest(bottles: CardBottles) -> str:
    """In which month, and where, bottles are warmest."""
    if not bottles.store_known:
        return (
            say("a room in summer; no place is known")
            if not bottles.place
            else say("{place}, how warm is not known", place=bottles.place)
        )
    if not bottles.warmest_month:
        return say("{place}, all year", place=bottles.place)
    return say("{place} in {month}", place=bottles.place, month=WHOLE_MONTHS[bottles.warmest_month - 1])


def left_figure(bottles: CardBottles) -> Figure:
    """Bottles that are not drunk, given, lost or burst, key "left"."""
    filled = Given(say("filled"), str(bottles.filled), Basis.MEASURED, say("the log"))
    gone = Given(say("opened, taken out or burst"), str(bottles.filled - bottles.left), Basis.MEASURED, say("the log"))
    return figure(
        "left",
        say("Bottles left"),
        bottles.left,
        COUNT,
        Working(say("filled − gone"), (filled, gone), ("by_definition",)),
    )


def fizz_figure(bottles: CardBottles) -> Figure:
    """Gas in the average bottle when all of it is made, key "co2"."""
    short = bottles.co2
    working = Working(
        say("dissolved after fermentation + from priming sugar + still to ferment"),
        (Given(say("all parts together"), short.text, Basis.RECKONED, _PARTS),),
        ("draper_hibberd_1996", "co2_stoichiometry", "delange_2011", "error_propagation"),
    )
    return figure("co2", say("Fizz when done"), short.value, VOLUMES, working, low=short.low, high=short.high)


def store_figure(bottles: CardBottles) -> Figure:
    """The warmest that its place gets, key "warmest"."""
    given = Given(say("warmest"), say_amount(bottles.warmest_c, 0, "°C"), Basis.ASSUMED, where_warmest(bottles))
    working = Working(say("the highest of the place's months"), (given,), ("common_practice",))
    return figure("warmest", say("Warmest there"), bottles.warmest_c, CELSIUS, working, low=bottles.warmest_c - 2.0,
                  high=bottles.warmest_c + 3.0)  # fmt: skip


def pressure_figure(bottles: CardBottles, lot: CardLot) -> Figure:
    """Pressure when all gas is made, in the warmest month of the place, key "pressure_warm"."""
    temp = Given(say("temperature"), say_amount(bottles.warmest_c, 0, "°C"), Basis.ASSUMED, where_warmest(bottles))
    working = Working(
        say("gas shared between beer and headspace in a closed bottle, above the pressure of the air outside"),
        (Given(say("carbon dioxide"), bottles.co2.text, Basis.RECKONED, _PARTS), temp),
        ("co2_mass_balance", "delange_2011"),
        (
            say("the average bottle {pressure}", pressure=say_amount(lot.pressure, 1, "bar")),
            say("the worst bottle {pressure}", pressure=say_amount(lot.worst_pressure, 1, "bar")),
        ),
        (say("Above 25 °C the brewing chart is led on beyond its end."),) if bottles.warmest_c > 25 else (),
    )
    return figure(
        "pressure_warm",
        say("Has to bear when warmest"),
        lot.pressure,
        BAR,
        working,
        low=lot.pressure_low,
        high=lot.pressure_high,
    )


def limit_figure(lot: CardLot) -> Figure:
    """The pressure that this kind of bottle is fit for, at the cautious end of habit, key "limit"."""
    working = Working(
        say(
            "what the trade fills such bottles to, as pressure at 25 °C, less what each wash costs; never above "
            "the one published ceiling for glass"
        ),
        (Given(say("kind"), lot.bottle, Basis.MEASURED, say("the log")),),
        ("british_glass_tec7", "common_practice"),
        cautions=(say("No standard gives a figure for bottles refilled at home; this is habit's cautious end."),),
    )
    return figure("limit", say("Habit fills them to"), lot.limit_bar, BAR, working)


def age_figure(bottled: datetime, now: datetime, zone: tzinfo) -> Figure:
    """Days since bottling by the calendar, key "age"."""
    since, today = bottled.astimezone(zone).date(), now.astimezone(zone).date()
    days = (today - since).days
    given = Given(say("bottled"), since.isoformat(), Basis.MEASURED, say("the log"))
    working = Working(say("days since it was bottled, by the calendar"), (given,), ("by_definition",))
    words = say("today") if days == 0 else days_words(days)
    return figure("age", say("In the bottle"), float(days), COUNT, working, words=words)


def carbonated_figure(bottles: CardBottles) -> MomentFigure | Figure:
    """When nine tenths of the fizz should be there, key "carbonated"; in words where it is not before it is warmed."""
    return carbonated_moment(
        bottles.carbonated, bottles.carbonated_last, bottles.carbonated_words, bottles.carbonated_ever, law()
    )


def is_carbonated(bottles: CardBottles, now: datetime) -> bool:
    """Whether it is as good as sure that they are carbonated."""
    first, _, last = bottles.carbonated
    at = last or bottles.carbonated_last
    return first is not None and at is not None and at <= now


def drink_by_figure(bottles: CardBottles) -> MomentFigure:
    """When a beer of its make is past its best, key "drink_by"."""
    best_from = bottles.best_from.date().isoformat() if bottles.best_from is not None else NOT_BEFORE
    working = Working(
        say("weeks from bottling, by what was brewed: dry hops fade, strong beer keeps"),
        (Given(say("at its best from"), best_from, Basis.RECKONED),),
        ("common_practice",),
    )
    return MomentFigure(
        "drink_by",
        say("Drink by"),
        bottles.drink_by,
        bottles.best_to,
        bottles.drink_by,
        working,
        say("from the end of its best"),
    )
