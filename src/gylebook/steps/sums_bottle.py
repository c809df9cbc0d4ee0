"""Sums on the bottle: gas left after fermentation, priming, pressure and how many bottles."""

from __future__ import annotations

from collections.abc import Mapping
from math import floor
from typing import Any

from gylebook.errors import InputError
from gylebook.journal.state import Shelf
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
    sums_fields.temperature("warmest", "Warmest since it finished", required=True, possible=(0.0, 35.0)),
    sums_fields.temperature("now", "Its temperature now", possible=(-2.0, 35.0)),
)


def _residual(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_RESIDUAL, values)
    warmest, now = asked.need("warmest"), asked.number("now")
    held = residual_of(Span(warmest, warmest, warmest))
    working = Working(
        "what beer keeps after fermentation, by the warmest it has been since",
        asked.given("warmest"),
        ("draper_hibberd_1996", "delange_2011"),
        ("printed table, straight between its rows",),
        ("Beer that has just finished can hold more: it lets go slowly.",),
    )
    figures = [figure("residual", "Gas in it", held.best, VOLUMES, working, low=held.low, high=held.high)]
    why = "Beer lets go of gas as it warms, and takes up hardly any as it cools in a vessel with a little headspace."
    if now is not None and now < warmest - 2:
        wrong = residual_of(Span(now, now, now)).best
        why += f" Reckoned with {now:g} °C it would seem {show(wrong, 2)}: too much, and the beer too flat."
    return Answer(
        f"About {show(held.best, 2)} volumes.",
        why,
        Urgency.NOTHING,
        tuple(figures),
        rule_of_thumb="The warmest after fermentation counts, not the cold it was chilled to.",
        assumed=asked.assumed,
    )


# --- priming --------------------------------------------------------------------------------------------------

_PRIMING = (
    sums_fields.volume("volume", "Beer really in the bucket", required=True, possible=(0.1, 1000.0)),
    sums_fields.co2("co2", "Fizz wanted", default="2.3 vol", reason="an ordinary ale"),
    sums_fields.temperature(
        "warmest", "Warmest since it finished", default="20 °C", reason="an ordinary room", possible=(0.0, 35.0)
    ),
    Field("sugar", "Sugar", CHOICE, choices=SUGAR_CHOICES, default="sucrose", reason="what every kitchen has"),
    Field(
        "points",
        "Gravity points still to fall",
        QUANTITY,
        ("number",),
        possible=(0.0, 60.0),
        default="0",
        reason="level readings, two days and more apart",
    ),
    Field("bottles", "Bottles, one kind on a line", LONG_TEXT, hint=HINT),
    sums_fields.temperature(
        "store", "Warmest they will stand", default="25 °C", reason="a room in summer", possible=(0.0, 50.0)
    ),
    sums_fields.mass("mass", "What if I gave this much sugar", possible=(0.0, 5000.0)),
    Field("each", "That much into each of so many bottles", COUNTED, possible=(1, 5000)),
    sums_fields.volume("bought_for", "The sugar was weighed for", possible=(0.1, 1000.0)),
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
        words = f"{what_if} {show(given.total.best, 1)} volumes; {show(target, 1)} would take {show(dose.value, 0)} g."
    elif dose.value <= 0:
        words = f"No sugar: it has, or will make, {show(target, 1)} volumes by itself."
    else:
        words = f"Weigh {show(dose.value, 0)} g of {sugar_words(sugar)} for {show(litres, 1)} L."
    return Answer(
        words,
        f"It holds {show(base.residual.best, 2)} volumes already; "
        + (f"{show(base.to_come.best, 1)} will come by itself." if points else "nothing more is counted on to come."),
        Urgency.DANGER if broken else Urgency.ACT if unnamed else Urgency.NOTHING,
        tuple(figures),
        (*broken, *unnamed, *advice(given, bottles, store)),
        sugar_options(base, target, sugar),
        missing="" if bottles else "Which bottles will it go into?",
        cautions=(*CAUTIONS, *GLASS_CAUTIONS),
        assumed=asked.assumed,
    )


def _unnamed(given: Outcome, store: float) -> tuple[Finding, ...]:
    """That glass of unknown make is not fit for it, where no bottles were named; empty where it is."""
    most = weakest(()).most_volumes(store).high
    if given.total.best <= most:
        return ()
    text = (
        f"{show(given.total.best, 1)} volumes: glass of unknown make is fit for no more than {show(most, 1)} at "
        f"{show(store, 0)} °C."
    )
    return (Finding(Urgency.ACT, text, "Which bottles will it go into?", key="unknown_bottles"),)


def _given(asked: Asked, base: Base, dose: float, sugar: str) -> tuple[Outcome, str]:
    """What the sugar that is spoken of gives, and how the sentence begins; "" where it is only the dose."""
    mass, each, bought_for = asked.number("mass"), asked.count("each"), asked.number("bought_for")
    if mass is not None and each:
        return outcome(base, mass * each, sugar, "each bottle"), f"{show(mass, 1)} g in each of {each} bottles gives"
    if mass is not None:
        return outcome(base, mass, sugar), f"{show(mass, 0)} g gives"
    if bought_for is not None:
        grams = dose * bought_for / base.litres.best
        words = (
            f"Take × {show(base.litres.best / bought_for, 2)} of the sugar that was weighed for "
            f"{asked.quantity('bought_for')}. All of it, {show(grams, 0)} g, gives"
        )
        return outcome(base, grams, sugar), words
    return outcome(base, dose, sugar), ""


def _bottles(asked: Asked) -> tuple[Bottle, ...]:
    text = asked.word("bottles")
    if not text.strip():
        return ()
    return bottles_of(read_bottle_lots(text, "Bottles", words_to_keys(_EMPTY)), _EMPTY)


# --- pressure -------------------------------------------------------------------------------------------------

_PRESSURE = (
    sums_fields.co2("co2", "Gas in the bottle", required=True),
    sums_fields.temperature("temp", "As warm as", required=True, possible=(0.0, 50.0)),
    Field(
        "altitude",
        "Metres above the sea",
        QUANTITY,
        ("number",),
        possible=(-400, 5000),
        default="0",
        reason="near the sea",
    ),
)


def _pressure(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_PRESSURE, values)
    gas, temp = asked.need("co2"), asked.need("temp")
    if not 0.1 <= gas <= 12:
        raise InputError("Gas in the bottle", f"{show(gas, 1)} volumes cannot be reckoned with", "write 0.1 to 12 vol")
    outside = within(
        ambient_pressure_bar(asked.need("altitude")),
        "Metres above the sea",
        "no air is known there",
        "write −400 to 5000",
    )
    span, cold, hot = (
        pressure_bar(gas, temp, outside),
        pressure_bar(gas, 4.0, outside),
        pressure_bar(gas, 35.0, outside),
    )
    working = Working(
        "gas shared between beer and a headspace of 4 %, above the air outside",
        asked.givens,
        ("co2_mass_balance", "delange_2011", "standard_atmosphere"),
        (),
        ("Above 25 °C the brewing chart is led on beyond its end.",) if temp > 25 else (),
    )

    bursting = _bursting(gas, temp)

    def bar(key: str, label: str, found: Span) -> Figure:
        return figure(key, label, found.best, BAR, working, low=found.low, high=found.high)

    return Answer(
        f"{show(gas, 1)} volumes at {show(temp, 0)} °C push {show(span.best, 1)} bar outward.",
        f"The same bottle makes {show(cold.best, 1)} bar at 4 °C and {show(hot.best, 1)} at 35 °C: warmth is half of "
        "it.",
        Urgency.DANGER if bursting else Urgency.NOTHING,
        (
            bar("pressure", f"At {show(temp, 0)} °C", span),
            bar("cold", "At 4 °C", cold),
            bar("hot", "At 35 °C", hot),
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
    return (
        f"At {show(temp, 0)} °C no ordinary bottle is fit for {show(gas, 1)} volumes: filled ones may burst. Once "
        "cold, keep them cold and drink them soon, or pour them away cold; eye protection and thick gloves."
    )


def _kinds(gas: float, temp: float, working: Working) -> tuple[Option, ...]:
    found = []
    for kind in BOTTLES.values():
        bottle = bottle_of(kind.key, Quantity("500", "mL"), 1, _EMPTY)
        warmest = bottle.warmest_c(gas, gas)
        shown: tuple[Figure, ...] = ()
        if warmest >= 1:
            shown = (figure("warmest", "Keep below", floor(min(warmest, 50.0)), _WHOLE_CELSIUS, working),)
        found.append(
            Option(bottle.name, shown, f"{bottle.fit_words(gas, gas, temp)}; {limit_words(bottle)}. {kind.note}")
        )
    return tuple(found)


# --- bottles --------------------------------------------------------------------------------------------------

_BOTTLES = (
    sums_fields.volume("volume", "Beer", required=True, possible=(0.0, 1000.0)),
    Field("bottles", "Bottles at hand, one kind on a line", LONG_TEXT, hint=HINT),
)


def _count(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_BOTTLES, values)
    litres, at_hand = asked.need("volume"), _bottles(asked)
    working = Working("litres ÷ the bottle's size, whole bottles", asked.givens, ("by_definition",))
    figures: list[Figure | MomentFigure] = []
    if not at_hand:
        found: dict[str, int] = {}
        for text in ("330 mL", "500 mL", "568 mL", "750 mL"):
            full = bottles_filled(litres, [float(text.split(" ")[0]) / 1000], [100_000]).full[0]
            found[text] = full
            figures.append(figure(f"of_{text.split(' ')[0]}", f"Of {text}", full, COUNT, working))
        words = f"{show(litres, 1)} L: {found['500 mL']} × 500 mL, or {found['330 mL']} × 330 mL."
        options: tuple[Option, ...] = ()
    else:
        counts = [0 if b.never else b.count for b in at_hand]
        filled = bottles_filled(litres, [b.size_l for b in at_hand], counts)
        parts = [f"{full} × {b.words}" for b, full in zip(at_hand, filled.full, strict=True) if full]
        unfit = all(b.never for b in at_hand)
        none = "Not one of these may hold beer that still ferments" if unfit else "Too little beer to fill one of these"
        words = " + ".join(parts) or none
        words += f"; {show(filled.left_l, 2)} L left over."
        figures.append(figure("left", "Left over", filled.left_l, LITRES_2, working))
        options = tuple(
            Option(
                b.words,
                (figure("full", "Filled", full, COUNT, working),),
                "never: " + b.kind.note if b.never else b.kind.note,
                chosen=full > 0,
            )
            for b, full in zip(at_hand, filled.full, strict=True)
        )
    in_pints = litres / 0.56826125
    # In words, lest the page turn pints into the units that its reader prefers.
    shown = f"{show(in_pints, 0)} imp pt"
    pints = figure("pints", "Imperial pints", in_pints, Shown("imp pt", "volume", 0), working, words=shown)
    return Answer(
        words,
        "All of it is counted; the step of bottling takes off 0.2 L that stay under the tap, so it may say one less.",
        Urgency.NOTHING,
        (*figures, pints),
        options=options,
        missing="" if at_hand else "Which bottles are at hand?",
        cautions=GLASS_CAUTIONS[2:],
        assumed=asked.assumed,
    )


SUMS = (
    Sum(
        "residual_co2",
        "Gas left in the beer",
        "How much gas does beer keep after fermentation?",
        _RESIDUAL,
        _residual,
        {"warmest": "20 °C", "now": "3 °C"},
    ),
    Sum(
        "priming",
        "Priming sugar",
        "How much sugar for so many litres, and what does a dose give?",
        _PRIMING,
        _priming,
        {"volume": "20.6 L", "co2": "2.4 vol", "warmest": "20 °C", "bottles": "40 x 500 mL brown returnable"},
    ),
    Sum(
        "pressure",
        "Pressure",
        "What pressure does it make, and which bottles are fit for it?",
        _PRESSURE,
        _pressure,
        {"co2": "2.4 vol", "temp": "30 °C"},
    ),
    Sum(
        "bottles",
        "Bottles",
        "How many bottles?",
        _BOTTLES,
        _count,
        {"volume": "22 L", "bottles": "24 x 500 mL brown returnable\n12 x 330 mL swing-top\n10 x 1 L PET"},
    ),
)
