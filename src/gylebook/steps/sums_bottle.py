"""Sums on the bottle: gas left after fermentation, priming, pressure and how many bottles."""

from __future__ import annotations

from collections.abc import Mapping
from math import floor
from typing import Any

from gylebook.errors import InputError
from gylebook.journal.state import Shelf
from gylebook.phrases import joined, say, say_amount
from gylebook.science.carbon_dioxide import ambient_pressure_bar
from gylebook.science.glass import BOTTLES, bottles_filled
from gylebook.science.interval import Span
from gylebook.steps import sums_fields
from gylebook.steps.answers import Answer, Figure, Finding, MomentFigure, Option, Urgency, Working
from gylebook.steps.asked import BAR, COUNT, LITRES_2, VOLUMES, Asked, Shown, figure, within
from gylebook.steps.bottle_kinds import (
    COOL_THEM,
    GLASS_CAUTIONS,
    HINT,
    PUBLISHED_LIMIT,
    Bottle,
    bare_bar,
    bottle_of,
    bottles_of,
    limit_words,
    pressure_bar,
    weakest,
    words_to_keys,
)
from gylebook.steps.decision import Sum
from gylebook.steps.fields import CHOICE, LONG_TEXT, QUANTITY, Field
from gylebook.steps.fields import COUNT as COUNTED
from gylebook.steps.gas_parts import residual_of
from gylebook.steps.lines import read_bottle_lots
from gylebook.steps.priming_dose import (
    CAUTIONS,
    SUGAR_CHOICES,
    Base,
    Outcome,
    advice,
    bottle_figures,
    dose_figure,
    outcome,
    outcome_figures,
    rails,
    sugar_options,
    sugar_words,
)
from gylebook.units import Quantity, show

_EMPTY = Shelf()
_STRONG = frozenset({"heavy", "pet"})  # made for more gas than an ordinary beer
_WHOLE_CELSIUS = Shown("°C", "temperature", 0)  # rounded down: tenths would say more than the trade's habit knows
_PER_POINT = Span(0.49, 0.50, 0.53)  # volumes of gas from one point of gravity

# --- gas left after fermentation ------------------------------------------------------------------------------

_RESIDUAL = (
    sums_fields.temperature("warmest", say("Warmest since it finished"), required=True, possible=(0.0, 35.0)),
    sums_fields.temperature("now", say("Its temperature now"), possible=(-2.0, 35.0)),
)


def _residual(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_RESIDUAL, values)
    warmest, now = asked.need("warmest"), asked.number("now")
    held = residual_of(Span(warmest, warmest, warmest))
    working = Working(
        say("what beer keeps after fermentation, by the warmest it has been since"),
        asked.given("warmest"),
        ("draper_hibberd_1996", "delange_2011"),
        (say("printed table, straight between its rows"),),
        (say("Beer that has just finished can hold more: it lets go slowly."),),
    )
    figures = [figure("residual", say("Gas in it"), held.best, VOLUMES, working, low=held.low, high=held.high)]
    why = say(
        "Beer lets go of gas as it warms, and takes up hardly any as it cools in a vessel with a little headspace."
    )
    if now is not None and now < warmest - 2:
        wrong = residual_of(Span(now, now, now)).best
        why += say(
            " Reckoned with {now} it would seem {wrong}: too much, and the beer too flat.",
            now=say_amount(now, None, "°C"),
            wrong=show(wrong, 2),
        )
    return Answer(
        say("About {best} volumes.", best=show(held.best, 2)),
        why,
        Urgency.NOTHING,
        tuple(figures),
        rule_of_thumb=say("The warmest after fermentation counts, not the cold it was chilled to."),
        assumed=asked.assumed,
    )


# --- priming --------------------------------------------------------------------------------------------------

_PRIMING = (
    sums_fields.volume("volume", say("Beer really in the bucket"), required=True, possible=(0.1, 1000.0)),
    sums_fields.co2("co2", say("Fizz wanted"), default="2.3 vol", reason=say("an ordinary ale")),
    sums_fields.temperature(
        "warmest",
        say("Warmest since it finished"),
        default="20 °C",
        reason=say("an ordinary room"),
        possible=(0.0, 35.0),
    ),
    Field(
        "sugar", say("Sugar"), CHOICE, choices=SUGAR_CHOICES, default="sucrose", reason=say("what every kitchen has")
    ),
    Field(
        "points",
        say("Gravity points still to fall"),
        QUANTITY,
        ("number",),
        possible=(0.0, 60.0),
        default="0",
        reason=say("level readings, two days and more apart"),
    ),
    Field("bottles", say("Bottles, one kind on a line"), LONG_TEXT, hint=HINT),
    sums_fields.temperature(
        "store", say("Warmest they will stand"), default="25 °C", reason=say("a room in summer"), possible=(0.0, 50.0)
    ),
    sums_fields.mass("mass", say("What if I gave this much sugar"), possible=(0.0, 5000.0)),
    Field("each", say("That much into each of so many bottles"), COUNTED, possible=(1, 5000)),
    sums_fields.volume("bought_for", say("The sugar was weighed for"), possible=(0.1, 1000.0)),
)


def _priming(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_PRIMING, values)
    litres, target, store = asked.need("volume"), asked.need("co2"), asked.need("store")
    warmest, points, sugar = asked.need("warmest"), asked.need("points"), asked.word("sugar")
    bottles = _bottles(asked)
    base = Base(
        Span(litres * 0.98, litres, litres * 1.02),
        residual_of(Span(warmest, warmest, warmest)),
        Span(*(points * each for each in _PER_POINT)),
        asked.givens,
    )
    dose = dose_figure(base, target, sugar)
    given, what_if = _given(asked, base, dose.value, sugar)
    broken = rails(given, bottles, store)
    unnamed = () if bottles or broken else _unnamed(given, store)
    sizes = tuple(sorted({b.size_l for b in bottles}, reverse=True)) or (0.5, 0.33, 0.568)
    figures: list[Figure | MomentFigure] = [dose, *outcome_figures(base, given, bottles, store)]
    figures += bottle_figures(base, given.grams, sugar, sizes)
    if what_if:
        words = say(
            "{what_if} {gives} volumes; {target} would take {dose}.",
            what_if=what_if,
            gives=show(given.total.best, 1),
            target=show(target, 1),
            dose=say_amount(dose.value, 0, "g"),
        )
    elif dose.value <= 0:
        words = say("No sugar: it has, or will make, {target} volumes by itself.", target=show(target, 1))
    else:
        words = say(
            "Weigh {dose} of {sugar} for {litres}.",
            dose=say_amount(dose.value, 0, "g"),
            sugar=sugar_words(sugar),
            litres=say_amount(litres, 1, "L"),
        )
    return Answer(
        words,
        _held_words(base, points),
        Urgency.DANGER if broken else Urgency.ACT if unnamed else Urgency.NOTHING,
        tuple(figures),
        (*broken, *unnamed, *advice(given, bottles, store)),
        sugar_options(base, target, sugar),
        missing="" if bottles else say("Which bottles will it go into?"),
        cautions=(*CAUTIONS, *GLASS_CAUTIONS),
        assumed=asked.assumed,
    )


def _held_words(base: Base, points: float) -> str:
    held = show(base.residual.best, 2)
    if not points:
        return say("It holds {held} volumes already; nothing more is counted on to come.", held=held)
    more = show(base.to_come.best, 1)
    return say("It holds {held} volumes already; {more} will come by itself.", held=held, more=more)


def _unnamed(given: Outcome, store: float) -> tuple[Finding, ...]:
    """That glass of unknown make is not fit for it, where no bottles were named; empty where it is."""
    most = weakest(()).most_volumes(store).high
    if given.total.best <= most:
        return ()
    text = say(
        "{gas} volumes: glass of unknown make is fit for no more than {most} at {store}.",
        gas=show(given.total.best, 1),
        most=show(most, 1),
        store=say_amount(store, 0, "°C"),
    )
    return (Finding(Urgency.ACT, text, say("Which bottles will it go into?"), key="unknown_bottles"),)


def _given(asked: Asked, base: Base, dose: float, sugar: str) -> tuple[Outcome, str]:
    """What the sugar that is spoken of gives, and how the sentence begins; "" where it is only the dose."""
    mass, each, bought_for = asked.number("mass"), asked.count("each"), asked.number("bought_for")
    if mass is not None and each:
        return outcome(base, mass * each, sugar, say("each bottle")), say(
            "{mass} in each of {each} bottles gives", mass=say_amount(mass, 1, "g"), each=each
        )
    if mass is not None:
        return outcome(base, mass, sugar), say("{mass} gives", mass=say_amount(mass, 0, "g"))
    if bought_for is not None:
        grams = dose * bought_for / base.litres.best
        words = say(
            "Take × {share} of the sugar that was weighed for {volume}. All of it, {grams}, gives",
            share=show(base.litres.best / bought_for, 2),
            volume=asked.quantity("bought_for"),
            grams=say_amount(grams, 0, "g"),
        )
        return outcome(base, grams, sugar), words
    return outcome(base, dose, sugar), ""


def _bottles(asked: Asked) -> tuple[Bottle, ...]:
    text = asked.word("bottles")
    if not text.strip():
        return ()
    return bottles_of(read_bottle_lots(text, say("Bottles"), words_to_keys(_EMPTY)), _EMPTY)


# --- pressure -------------------------------------------------------------------------------------------------

_PRESSURE = (
    sums_fields.co2("co2", say("Gas in the bottle"), required=True),
    sums_fields.temperature("temp", say("As warm as"), required=True, possible=(0.0, 50.0)),
    Field(
        "altitude",
        say("Metres above the sea"),
        QUANTITY,
        ("number",),
        possible=(-400, 5000),
        default="0",
        reason=say("near the sea"),
    ),
)


def _pressure(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_PRESSURE, values)
    gas, temp = asked.need("co2"), asked.need("temp")
    if not 0.1 <= gas <= 12:
        raise InputError(
            say("Gas in the bottle"),
            say("{gas} volumes cannot be reckoned with", gas=show(gas, 1)),
            say("write 0.1 to 12 vol"),
        )
    outside = within(
        ambient_pressure_bar(asked.need("altitude")),
        say("Metres above the sea"),
        say("no air is known there"),
        say("write −400 to 5000"),
    )
    span, cold, hot = (
        pressure_bar(gas, temp, outside),
        pressure_bar(gas, 4.0, outside),
        pressure_bar(gas, 35.0, outside),
    )
    working = Working(
        say("gas shared between beer and a headspace of 4 %, above the air outside"),
        asked.givens,
        ("co2_mass_balance", "delange_2011", "standard_atmosphere"),
        (),
        (say("Above 25 °C the brewing chart is led on beyond its end."),) if temp > 25 else (),
    )

    bursting = _bursting(gas, temp)

    def bar(key: str, label: str, found: Span) -> Figure:
        return figure(key, label, found.best, BAR, working, low=found.low, high=found.high)

    return Answer(
        say(
            "{gas} volumes at {temp} push {pressure} outward.",
            gas=show(gas, 1),
            temp=say_amount(temp, 0, "°C"),
            pressure=say_amount(span.best, 1, "bar"),
        ),
        say(
            "The same bottle makes {cold} at 4 °C and {hot} at 35 °C: warmth is half of it.",
            cold=say_amount(cold.best, 1, "bar"),
            hot=bare_bar(hot.best),
        ),
        Urgency.DANGER if bursting else Urgency.NOTHING,
        (
            bar("pressure", say("At {temp}", temp=say_amount(temp, 0, "°C")), span),
            bar("cold", say("At 4 °C"), cold),
            bar("hot", say("At 35 °C"), hot),
        ),
        (Finding(Urgency.DANGER, bursting, COOL_THEM, key="may_burst"),) if bursting else (),
        options=_kinds(gas, temp, working),
        cautions=GLASS_CAUTIONS,
        rule_of_thumb=PUBLISHED_LIMIT,
        assumed=asked.assumed,
    )


def _bursting(gas: float, temp: float) -> str:
    """That no ordinary bottle is fit for so much gas, and what to do; "" where one is."""
    kinds = (bottle_of(kind.key, Quantity("500", "mL"), 1, _EMPTY) for kind in BOTTLES.values())
    ordinary = [bottle for bottle in kinds if not bottle.never and bottle.kind.key not in _STRONG]
    if not all(bottle.may_burst(gas, temp) for bottle in ordinary):
        return ""
    return say(
        "At {temp} no ordinary bottle is fit for {gas} volumes: filled ones may burst. Once cold, keep "
        "them cold and drink them soon, or pour them away cold; eye protection and thick gloves.",
        temp=say_amount(temp, 0, "°C"),
        gas=show(gas, 1),
    )


def _kinds(gas: float, temp: float, working: Working) -> tuple[Option, ...]:
    found = []
    for kind in BOTTLES.values():
        bottle = bottle_of(kind.key, Quantity("500", "mL"), 1, _EMPTY)
        warmest = bottle.warmest_c(gas, gas)
        shown: tuple[Figure, ...] = ()
        if warmest >= 1:
            shown = (figure("warmest", say("Keep below"), floor(min(warmest, 50.0)), _WHOLE_CELSIUS, working),)
        found.append(
            Option(
                bottle.name,
                shown,
                say(
                    "{fit}; {limit}. {note}",
                    fit=bottle.fit_words(gas, gas, temp),
                    limit=limit_words(bottle),
                    note=kind.note,
                ),
            )
        )
    return tuple(found)


# --- bottles --------------------------------------------------------------------------------------------------

_BOTTLES = (
    sums_fields.volume("volume", say("Beer"), required=True, possible=(0.0, 1000.0)),
    Field("bottles", say("Bottles at hand, one kind on a line"), LONG_TEXT, hint=HINT),
)


def _count(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_BOTTLES, values)
    litres, at_hand = asked.need("volume"), _bottles(asked)
    working = Working(say("litres ÷ the bottle's size, whole bottles"), asked.givens, ("by_definition",))
    figures: list[Figure | MomentFigure] = []
    if not at_hand:
        found: dict[str, int] = {}
        for text in ("330 mL", "500 mL", "568 mL", "750 mL"):
            full = bottles_filled(litres, [float(text.split(" ")[0]) / 1000], [100_000]).full[0]
            found[text] = full
            figures.append(figure(f"of_{text.split(' ')[0]}", say("Of {text}", text=text), full, COUNT, working))
        words = say(
            "{litres}: {halves} × 500 mL, or {thirds} × 330 mL.",
            litres=say_amount(litres, 1, "L"),
            halves=found["500 mL"],
            thirds=found["330 mL"],
        )
        options: tuple[Option, ...] = ()
    else:
        counts = [0 if b.never else b.count for b in at_hand]
        filled = bottles_filled(litres, [b.size_l for b in at_hand], counts)
        parts = [
            say("{full} × {bottle}", full=full, bottle=b.words)
            for b, full in zip(at_hand, filled.full, strict=True)
            if full
        ]
        unfit = all(b.never for b in at_hand)
        none = (
            say("Not one of these may hold beer that still ferments")
            if unfit
            else say("Too little beer to fill one of these")
        )
        words = joined(" + ", parts) or none
        words += say("; {left} left over.", left=say_amount(filled.left_l, 2, "L"))
        figures.append(figure("left", say("Left over"), filled.left_l, LITRES_2, working))
        options = tuple(
            Option(
                b.words,
                (figure("full", say("Filled"), full, COUNT, working),),
                say("never: {note}", note=b.kind.note) if b.never else b.kind.note,
                chosen=full > 0,
            )
            for b, full in zip(at_hand, filled.full, strict=True)
        )
    return Answer(
        words,
        say(
            "All of it is counted; the step of bottling takes off 0.2 L that stay under the tap, so it may say "
            "one less."
        ),
        Urgency.NOTHING,
        (*figures, _pints(litres, working)),
        options=options,
        missing="" if at_hand else say("Which bottles are at hand?"),
        cautions=GLASS_CAUTIONS[2:],
        assumed=asked.assumed,
    )


def _pints(litres: float, working: Working) -> Figure:
    in_pints = litres / 0.56826125
    # In words, lest the page turn pints into the units that its reader prefers.
    shown = say("{in_pints} imp pt", in_pints=show(in_pints, 0))
    return figure("pints", say("Imperial pints"), in_pints, Shown("imp pt", "volume", 0), working, words=shown)


SUMS = (
    Sum(
        "residual_co2",
        say("Gas left in the beer"),
        say("How much gas does beer keep after fermentation?"),
        _RESIDUAL,
        _residual,
        {"warmest": "20 °C", "now": "3 °C"},
    ),
    Sum(
        "priming",
        say("Priming sugar"),
        say("How much sugar for so many litres, and what does a dose give?"),
        _PRIMING,
        _priming,
        {"volume": "20.6 L", "co2": "2.4 vol", "warmest": "20 °C", "bottles": "40 x 500 mL brown returnable"},
    ),
    Sum(
        "pressure",
        say("Pressure"),
        say("What pressure does it make, and which bottles are fit for it?"),
        _PRESSURE,
        _pressure,
        {"co2": "2.4 vol", "temp": "30 °C"},
    ),
    Sum(
        "bottles",
        say("Bottles"),
        say("How many bottles?"),
        _BOTTLES,
        _count,
        {"volume": "22 L", "bottles": "24 x 500 mL brown returnable\n12 x 330 mL swing-top\n10 x 1 L PET"},
    ),
)
