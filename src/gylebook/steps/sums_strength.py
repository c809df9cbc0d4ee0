"""The sum on strength: what is in the glass, by several ways of counting."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from typing import Any

from gylebook.errors import InputError
from gylebook.phrases import say, say_number
from gylebook.science import alcohol, attenuation, energy, label
from gylebook.steps import sums_fields
from gylebook.steps.answers import Answer, Figure, Finding, Urgency, Working
from gylebook.steps.asked import NUMBER, PER_CENT, STRENGTH, Asked, Shown, figure
from gylebook.steps.decision import Sum
from gylebook.steps.fields import QUANTITY, Field
from gylebook.steps.strength import ALCOHOL_CAUTION, strength_figure
from gylebook.units import show

_OG_SD, _FG_SD = 0.0010, 0.0007  # what an ordinary reading, or a sum of weights, leaves open

_FIELDS = (
    sums_fields.gravity("original", say("Original gravity"), required=True),
    sums_fields.gravity("final", say("Final gravity"), required=True),
    Field(
        "priming",
        say("Priming sugar, as dry sugar"),
        QUANTITY,
        ("concentration",),
        possible=(0.0, 50.0),
        default="0 g/L",
        reason=say("no priming counted"),
        hint="6 g/L",
    ),
    sums_fields.volume("bottle", say("Bottle"), default="500 mL", reason=say("the commonest returnable bottle")),
)


@dataclass(frozen=True, slots=True)
class _Way:
    """One more way to count: what it is called, how it goes, where that comes from and what enters it."""

    key: str
    label: str
    relation: str
    source: str
    shown: Shown
    of: tuple[str, ...] = ("original", "final")


_DUTY = Shown("% vol", "strength", 2)
_WAYS = {
    way.key: way
    for way in (
        _Way(
            "units",
            say("Units in the bottle"),
            say("strength × litres; 10 mL of ethanol are one unit in the United Kingdom"),
            "uk_unit_of_alcohol",
            NUMBER,
            ("original", "final", "priming", "bottle"),
        ),
        _Way(
            "customary", say("By the customary rule"), say("131.25 × (original − final gravity)"), "rule_131", STRENGTH
        ),
        _Way(
            "duty",
            say("By the factors of UK duty"),
            say("fall in degrees of gravity × the factor of its band; the law rounds down to one decimal"),
            "hmrc_226",
            _DUTY,
        ),
        _Way(
            "attenuation",
            say("Apparent attenuation"),
            say("(original − final) / original extract, by the hydrometer"),
            "by_definition",
            PER_CENT,
        ),
        _Way(
            "real_attenuation",
            say("Real attenuation"),
            say("fall of real extract / original"),
            "density_closure",
            PER_CENT,
        ),
        _Way(
            "energy",
            say("Energy in the bottle"),
            say("6.9 kcal per g of alcohol + 4 kcal per g of real extract; priming left out"),
            "oxford_companion_beer",
            Shown("kcal", "", 0),
            ("original", "final", "bottle"),
        ),
    )
}


def _strength(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_FIELDS, values)
    og, fg, bottle = asked.need_gravity("original"), asked.need_gravity("final"), asked.need("bottle")
    if og < 1.002:
        raise InputError(
            say("Original gravity"), say("{og} holds nothing to ferment", og=show(og, 4)), say("write 1.002 or more")
        )
    inputs = asked.given("original", "final", "priming")
    abv = strength_figure(og, fg, inputs, og_sd=_OG_SD, fg_sd=_FG_SD, priming_g_per_l=asked.need("priming"))
    counted = {
        "units": float(label.alcohol_units_uk(abv.value, bottle)),
        "customary": float(alcohol.abv_customary(og, fg)),
        "duty": float(alcohol.abv_uk_duty(og, fg)),
        "attenuation": 100 * float(attenuation.apparent_attenuation(og, fg)),
        "real_attenuation": 100 * float(attenuation.real_attenuation(og, fg)),
        "energy": float(energy.energy_kcal_per_100ml(og, fg)) * bottle * 10,
    }
    # A fall beyond the printed table of duty gives no number, and is left out.
    known = {key: value for key, value in counted.items() if isfinite(value)}
    figures = [abv, *(_counted(_WAYS[key], value, abv, asked) for key, value in known.items())]
    units = counted["units"]
    return Answer(
        say(
            "About {abv} % vol ({abv_low} to {abv_high}); a bottle of {size} holds {units} units.",
            abv=show(abv.value, 1),
            abv_low=show(abv.low, 1),
            abv_high=show(abv.high, 1),
            size=asked.quantity("bottle"),
            units=show(units, 1),
        ),
        say(
            "It fell {points} points, {share} % of its gravity.",
            points=show((og - fg) * 1000, 0),
            share=show(counted["attenuation"], 0),
        ),
        Urgency.NOTHING,
        tuple(figures),
        _findings(counted["attenuation"] / 100),
        cautions=(ALCOHOL_CAUTION, say("Selling needs leave and a measured strength; look at your law.")),
        assumed=asked.assumed,
    )


def _counted(way: _Way, value: float, abv: Figure, asked: Asked) -> Figure:
    low = high = value
    if way.key == "units":
        bottle = asked.need("bottle")
        low, high = (float(label.alcohol_units_uk(max(end, 0.0), bottle)) for end in (abv.low, abv.high))
    working = Working(way.relation, asked.given(*way.of), (way.source,))
    return figure(way.key, way.label, value, way.shown, working, low=low, high=high, interval=abv.interval)


def _findings(apparent: float) -> tuple[Finding, ...]:
    if apparent < 0.5:
        return (
            Finding(
                Urgency.MEASURE,
                say(
                    "Only {share} % of the gravity has gone: few beers stop there.",
                    share=say_number(f"{100 * apparent:.0f}"),
                ),
                say("Is it finished? Read again in a few days."),
                key="low_attenuation",
            ),
        )
    if apparent > 1.05:
        return (
            Finding(
                Urgency.MEASURE,
                say("It ended below what sugar alone would: a wild yeast, or one of the two gravities is wrong."),
                say("Was the wort stirred before the first reading?"),
                key="below_possible",
            ),
        )
    return ()


SUMS = (
    Sum(
        "strength",
        say("Strength"),
        say("How strong is it?"),
        _FIELDS,
        _strength,
        {"original": "1.0395", "final": "1.0080", "priming": "6 g/L", "bottle": "500 mL"},
    ),
)
