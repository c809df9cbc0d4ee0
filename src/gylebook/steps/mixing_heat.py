"""Where mixed wort lands: the share of boiling, tap and chilled water for the volume and the pitching temperature."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

from gylebook.journal import events as ev
from gylebook.phrases import joined, say, say_amount
from gylebook.science.dilution import water_needed_l
from gylebook.science.heat import (
    WATER_SPECIFIC_HEAT_J_PER_KG_K,
    MixingPlan,
    boiling_water_for_target,
    mixed_temp_c,
    water_temp_needed_c,
)
from gylebook.steps.answers import Figure, Finding, Given, Urgency, Working
from gylebook.steps.asked import CELSIUS, LITRES, Shown, figure
from gylebook.steps.makeup import material_of, net_mass_g, solids_span
from gylebook.steps.warmth import celsius
from gylebook.units import show

_KILOGRAMS = Shown("kg", "mass", 1)
_CHILLED_C = 4.0
_POURED_C = 93.0  # what a kettle's water may have cooled to when it reaches the bucket
_TAP_ERROR_C = 1.0
_LEAFLET_BOILING_L = 3.5
_PLENTY = 100.0
_NEAR_C = 1.0  # no kitchen hits it closer
_SOURCES = ("mixing_heat_balance", "llano_2005", "ice_heat", "mass_balance")


@dataclass(frozen=True, slots=True)
class Waters:
    """What is at hand, and what is wanted."""

    volume_l: float
    target_c: float
    tap_c: float
    extract_c: float
    least_boiling_l: float
    most_boiling_l: float
    chilled_l: float
    ice_kg: float
    inputs: tuple[Given, ...] = ()


@dataclass(frozen=True, slots=True)
class Landing:
    """The share-out and where it lands."""

    plan: MixingPlan
    water_l: float
    target_c: float
    temp: Figure
    figures: tuple[Figure, ...]
    findings: tuple[Finding, ...]

    @property
    def verdict(self) -> str:
        """Whether it was reached, too warm or too cold, in those words."""
        return _verdict(self.plan, self.target_c)


@dataclass(frozen=True, slots=True)
class _Parts:
    mass_kg: list[float]
    heat: list[float]
    heat_low: list[float]
    heat_high: list[float]
    temp_c: list[float]


def _parts(ingredients: tuple[ev.Ingredient, ...], extract_c: float) -> _Parts:
    spans = [material_of(i).specific_heat_j_per_kg_k for i in ingredients]
    return _Parts(
        [net_mass_g(i) / 1000 for i in ingredients],
        [s.best for s in spans],
        [s.low for s in spans],
        [s.high for s in spans],
        [celsius(i.temp) if i.temp is not None else extract_c for i in ingredients],
    )


def water_in(ingredients: tuple[ev.Ingredient, ...], volume_l: float) -> float:
    """All the water that makes the ingredients up to a volume [L]; NaN where there is no room for any."""
    masses = [net_mass_g(i) for i in ingredients]
    return float(water_needed_l(masses, [solids_span(i).best for i in ingredients], volume_l))


def landing(ingredients: tuple[ev.Ingredient, ...], waters: Waters) -> Landing | None:
    """The share of waters that lands on volume and temperature; None where the volume holds no water at all."""
    water = water_in(ingredients, waters.volume_l)
    if not isfinite(water) or water <= 0:
        return None
    parts = _parts(ingredients, waters.extract_c)
    plan = _plan(parts, waters, water, waters.chilled_l, waters.ice_kg)
    if not isfinite(float(plan.temp_c)):
        return None
    working = _working(ingredients, waters, water, plan)
    low, high = _spread(parts, waters, plan)
    temp = figure("temp", say("Lands at"), float(plan.temp_c), CELSIUS, working, low=low, high=high)
    return Landing(
        plan, water, waters.target_c, temp, _figures(plan, water, temp, working), _findings(parts, waters, water, plan)
    )


def _verdict(plan: MixingPlan, target_c: float) -> str:
    near = abs(float(plan.temp_c) - target_c) <= _NEAR_C
    return "reached" if near else str(plan.verdict)


def _plan(parts: _Parts, waters: Waters, water: float, chilled_l: float, ice_kg: float) -> MixingPlan:
    return boiling_water_for_target(
        parts.mass_kg,
        parts.heat,
        parts.temp_c,
        water_l=water,
        target_temp_c=waters.target_c,
        tap_temp_c=max(waters.tap_c, _CHILLED_C),
        least_boiling_l=min(waters.least_boiling_l, water),
        most_boiling_l=waters.most_boiling_l,
        chilled_l=chilled_l,
        chilled_temp_c=min(_CHILLED_C, waters.tap_c),
        ice_kg=ice_kg,
    )


def _spread(parts: _Parts, waters: Waters, plan: MixingPlan) -> tuple[float, float]:
    """Coldest and warmest that this share-out may land: tap a degree off, kettle cooled, syrup's heat uncertain."""
    litres = [float(plan.boiling_l), float(plan.tap_l), float(plan.chilled_l)]
    cold = [_POURED_C, max(0.0, waters.tap_c - _TAP_ERROR_C), _CHILLED_C]
    hot = [100.0, waters.tap_c + _TAP_ERROR_C, _CHILLED_C + 2.0]
    ends = []
    for heats, temps, shift in ((parts.heat_low, cold, -2.0), (parts.heat_high, hot, 2.0)):
        extract = [min(100.0, max(0.0, temp + shift)) for temp in parts.temp_c]
        ends.append(
            float(
                mixed_temp_c(
                    [*parts.mass_kg, *litres],
                    [*heats, *[WATER_SPECIFIC_HEAT_J_PER_KG_K] * 3],
                    [*extract, *temps],
                    ice_kg=float(plan.ice_kg),
                )
            )
        )
    reached = float(plan.temp_c)
    low, high = (end if isfinite(end) else reached for end in ends)
    return min(low, reached), max(high, reached)


def _working(ingredients: tuple[ev.Ingredient, ...], waters: Waters, water: float, plan: MixingPlan) -> Working:
    lines = [
        say(
            "made up to {volume_l}, {water} of it is water; dissolved extract is the rest",
            volume_l=say_amount(waters.volume_l, 1, "L"),
            water=say_amount(water, 1, "L"),
        )
    ]
    lines += [
        say(
            "{net_mass_g} of {label} × {best} kJ/(kg °C)",
            net_mass_g=say_amount(net_mass_g(i) / 1000, 2, "kg"),
            label=material_of(i).label,
            best=show(material_of(i).specific_heat_j_per_kg_k.best / 1000, 2),
        )
        for i in ingredients
    ]
    lines.append(say("{water} of water × 4.18 kJ/(kg °C)", water=say_amount(water, 1, "L")))
    lines.append(say("together: {temp_c}", temp_c=say_amount(float(plan.temp_c), 1, "°C")))
    return Working(
        say("Σ mass × specific heat × temperature is kept; solved for the boiling water"),
        waters.inputs,
        _SOURCES,
        tuple(lines),
        (say("Heat lost to bucket and air is left out: it lands a little nearer to the room."),),
    )


def _figures(plan: MixingPlan, water: float, temp: Figure, working: Working) -> tuple[Figure, ...]:
    found = [figure("boiling", say("Boiling water"), float(plan.boiling_l), LITRES, working)]
    found.append(figure("tap", say("Tap water"), float(plan.tap_l), LITRES, working))
    if float(plan.chilled_l) > 0.05:
        found.append(figure("chilled", say("Chilled water"), float(plan.chilled_l), LITRES, working))
    if float(plan.ice_kg) > 0.05:
        found.append(figure("ice", say("Ice of drinking water"), float(plan.ice_kg), _KILOGRAMS, working))
    found.append(figure("water", say("Water in all"), water, LITRES, working, spread=0.1))
    return (*found, temp)


def _findings(parts: _Parts, waters: Waters, water: float, plan: MixingPlan) -> tuple[Finding, ...]:
    verdict = _verdict(plan, waters.target_c)
    if verdict == "too warm":
        return (_too_warm(parts, waters, water, plan),)
    if verdict == "too cold":
        return (
            Finding(
                Urgency.WAIT,
                say(
                    "With all the boiling water at hand it lands at {temp_c}, below the {target_c} wanted.",
                    temp_c=say_amount(float(plan.temp_c), 0, "°C"),
                    target_c=say_amount(waters.target_c, 0, "°C"),
                ),
                say("Can you boil more, or stand the vessel in a warm place before pitching?"),
                key="too_cold",
            ),
        )
    usual = _usual_way(parts, waters, water)
    if usual is not None and usual > waters.target_c + 3 and usual > 24:
        return (
            Finding(
                Urgency.NOTHING,
                say(
                    "The {boiling} of boiling water that leaflets often name would land at about {usual}.",
                    boiling=say_amount(_LEAFLET_BOILING_L, None, "L"),
                    usual=say_amount(usual, 0, "°C"),
                ),
                key="leaflet_hot",
            ),
        )
    return ()


def _usual_way(parts: _Parts, waters: Waters, water: float) -> float | None:
    boiling = min(_LEAFLET_BOILING_L, water)
    found = float(
        mixed_temp_c(
            [*parts.mass_kg, boiling, water - boiling],
            [*parts.heat, *[WATER_SPECIFIC_HEAT_J_PER_KG_K] * 2],
            [*parts.temp_c, 100.0, waters.tap_c],
        )
    )
    return found if isfinite(found) else None


def _too_warm(parts: _Parts, waters: Waters, water: float, plan: MixingPlan) -> Finding:
    least = min(waters.least_boiling_l, water)
    needed = float(
        water_temp_needed_c(
            [*parts.mass_kg, least],
            [*parts.heat, WATER_SPECIFIC_HEAT_J_PER_KG_K],
            [*parts.temp_c, 100.0],
            max(water - least, 0.001),
            waters.target_c,
        )
    )
    ways = []
    if isfinite(needed):
        ways.append(say("all the cold water at {needed}", needed=say_amount(needed, 0, "°C")))
    chilled = _plan(parts, waters, water, _PLENTY, 0.0)
    if str(chilled.verdict) == "reached" and float(chilled.chilled_l) > waters.chilled_l:
        ways.append(
            say(
                "{chilled} of it chilled to {cold} beforehand",
                chilled=say_amount(float(chilled.chilled_l), 0, "L"),
                cold=say_amount(_CHILLED_C, None, "°C"),
            )
        )
    iced = _plan(parts, waters, water, waters.chilled_l, _PLENTY)
    if str(iced.verdict) == "reached" and float(iced.ice_kg) > waters.ice_kg:
        ways.append(say("{ice_kg} of ice made of drinking water", ice_kg=say_amount(float(iced.ice_kg), 1, "kg")))
    told = joined(say("; or "), ways) if ways else say("no more boiling water than dissolves the extract")
    return Finding(
        Urgency.ACT,
        say(
            "It lands at {temp_c}, not {target_c}. What would do it: {told}. Or mix, close it, and wait with "
            "the yeast until it has cooled.",
            temp_c=say_amount(float(plan.temp_c), 0, "°C"),
            target_c=say_amount(waters.target_c, 0, "°C"),
            told=told,
        ),
        say("How cold is the tap after it has run for a minute?"),
        key="too_warm",
    )
