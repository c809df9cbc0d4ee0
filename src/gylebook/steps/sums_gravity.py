"""Sums on gravity: scales, hydrometer readings, what weights make, and how to move it."""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot
from typing import Any

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.science import dilution, extract, hydrometer
from gylebook.science.materials import MATERIALS
from gylebook.steps import lines, makeup, sums_fields
from gylebook.steps.answers import Answer, Figure, Finding, Urgency, Working
from gylebook.steps.asked import (
    GRAMS,
    LITRES_2,
    NORMAL_90,
    NUMBER,
    PER_CENT,
    PLATO,
    POINTS,
    SG,
    Asked,
    figure,
    tens,
    within,
)
from gylebook.steps.decision import Sum
from gylebook.steps.fields import CHOICE, LONG_TEXT, QUANTITY, Field
from gylebook.units import Quantity, show

_READING_SD = 0.0005  # a tenth-millimetre meniscus on a scale of 0.002, read at eye level
_THERMOMETER_SD_C = 0.7
_PLATO_FIT = 0.005  # worst difference of the fit from the table, g/100 g


def _half_step(quantity: Quantity | None, fallback: float) -> float:
    """Half of the last digit written: a number is no better than its writing."""
    return quantity.resolution() / 2 if quantity is not None else fallback


# --- the two scales -------------------------------------------------------------------------------------------

_GRAVITY = (sums_fields.gravity("gravity", "Gravity", required=True),)


def _gravity(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_GRAVITY, values)
    sg = asked.need_gravity("gravity")
    quantity = asked.quantity("gravity")
    half = _half_step(quantity, 0.0005)
    half_sg = half if quantity is not None and quantity.unit == "SG" else half * 0.004
    plato = within(extract.plato_from_sg(sg), "Gravity", "this is beyond the sugar tables", "write 0.98 to 1.15")
    working = Working(
        "extract by mass of a sugar solution that weighs as much as this one, at 20 °C, weighed in air",
        asked.givens,
        ("nbs_c440", "sg_plato_fit"),
        (f"half of the last digit written is ±{show(half_sg, 4)} SG",),
    )
    points = (sg - 1) * 1000
    return Answer(
        f"{show(sg, 4)} is {show(plato, 2)} °P, {show(points, 1)} gravity points.",
        "One gravity point is a thousandth of specific gravity; four make about one degree Plato.",
        Urgency.NOTHING,
        (
            figure("sg", "Specific gravity", sg, SG, working, spread=half_sg),
            figure("plato", "Extract", plato, PLATO, working, spread=hypot(half_sg * 258, _PLATO_FIT)),
            figure("points", "Gravity points", points, NUMBER, working, spread=half_sg * 1000),
        ),
        assumed=asked.assumed,
    )


# --- a hydrometer reading -------------------------------------------------------------------------------------

_READING = (
    sums_fields.gravity("reading", "Reading", required=True),
    sums_fields.temperature(
        "temp", "Sample", default="20 °C", reason="no correction where it is not known", possible=(0.0, 60.0)
    ),
    Field(
        "scale",
        "The hydrometer is true at",
        QUANTITY,
        ("temperature",),
        possible=(10.0, 30.0),
        default="20 °C",
        reason="the commonest scale; it is printed on the glass",
        hint="20 °C, or 60 °F (15.56 °C)",
    ),
    Field(
        "offset",
        "What it shows in water there, less 1.000",
        QUANTITY,
        ("number",),
        possible=(-0.02, 0.02),
        default="0.000",
        reason="not checked in water",
        hint="0.002 when it shows 1.002",
    ),
    sums_fields.gravity("original", "Original gravity, where it has fermented"),
)


def _reading(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_READING, values)
    reading, temp, scale, offset = (
        asked.need_gravity("reading"),
        asked.need("temp"),
        asked.need("scale"),
        asked.need("offset"),
    )
    original = asked.gravity("original")

    def true(shown: float, degrees: float) -> float:
        found = (
            hydrometer.true_sg(shown, degrees, scale, offset)
            if original is None
            else hydrometer.true_sg_beer(shown, degrees, original, scale, offset)
        )
        hottest = 60 if original is None else 40
        return within(found, "Sample", f"no correction holds at {degrees:g} °C", f"cool it to {hottest} °C or less")

    sg = true(reading, temp)
    by_temp = (true(reading, min(temp + 1, 59.0)) - true(reading, max(temp - 1, 0.0))) / 2
    sd = hypot(_READING_SD, by_temp * _THERMOMETER_SD_C)
    added = (sg - reading) * 1000
    working = Working(
        "reading × density of water at the scale's temperature × glass's expansion = density of the sample; that "
        "density brought to 20 °C",
        asked.givens,
        ("hydrometer_equilibrium", "iso_1768_1975", "bubnik_1995")
        + (("density_closure", "oiml_r22") if original is not None else ()),
        (
            f"{show(reading, 4)} {'+' if added >= 0 else '−'} {show(abs(added) / 1000, 4)} = {show(sg, 4)}",
            f"the eye ±{show(NORMAL_90 * _READING_SD, 4)}, the thermometer ±{show(abs(NORMAL_90 * by_temp * 0.7), 4)}",
        ),
        ("A fizzy sample reads 1 to 4 points too high: pour it to and fro and let it stand.",),
    )
    return Answer(
        f"It is {show(sg, 4)} at 20 °C: {'add' if added >= 0 else 'take off'} {show(abs(added), 1)} points.",
        f"Read {show(reading, 4)} at {show(temp, 1)} °C with a glass that is true at {show(scale, 1)} °C.",
        Urgency.NOTHING,
        (
            figure("sg", "True gravity at 20 °C", sg, SG, working, spread=NORMAL_90 * sd),
            figure("correction", "Correction", added, POINTS, working, spread=abs(NORMAL_90 * by_temp * 700)),
        ),
        _reading_findings(temp, reading),
        assumed=asked.assumed,
        missing="" if original is not None or reading > 1.03 else "Has it fermented, and from which original gravity?",
    )


def _reading_findings(temp: float, reading: float) -> tuple[Finding, ...]:
    found = []
    if temp > 40:
        found.append(
            Finding(
                Urgency.MEASURE,
                f"At {temp:g} °C the sample cools while you read it, half a point for each degree.",
                "Cool it below 40 °C and read again.",
                key="too_hot",
            )
        )
    if reading < 0.99:
        found.append(
            Finding(
                Urgency.MEASURE,
                f"{show(reading, 3)} is lighter than any beer.",
                "Is it a spirit hydrometer, or the potential-alcohol scale?",
                key="wrong_scale",
            )
        )
    return tuple(found)


# --- what the weights make ------------------------------------------------------------------------------------

_ORIGINAL = (
    Field(
        "ingredients",
        "Ingredients, one on a line",
        LONG_TEXT,
        required=True,
        hint="1.7 kg liquid malt extract\n1 kg table sugar",
    ),
    sums_fields.volume("volume", "Made up to", default="23 L", reason="the commonest leaflet volume"),
    sums_fields.volume("error", "The volume may be wrong by", default="0.5 L", reason="a bucket mark, not calibrated"),
)


def _original(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_ORIGINAL, values)
    volume, error = asked.need("volume"), asked.need("error")
    if volume <= 0 or error >= volume / 2:
        raise InputError("Made up to", "the volume is nothing beside its own error", "write the litres in the bucket")
    ingredients: tuple[ev.Ingredient, ...] = lines.read_ingredients(asked.word("ingredients"))
    og = makeup.original_gravity_reckoned(ingredients, volume, error / NORMAL_90)
    within(og.value, "Ingredients", "that is thicker than any wort", "check the masses and the litres")
    fg = makeup.final_gravity_expected(ingredients, og.value, (og.high - og.low) / 2 / NORMAL_90)
    plato = float(extract.plato_from_sg(og.value))
    points = (og.value - 1) * 1000
    short = (float(dilution.original_gravity_sg(makeup.extract_g(ingredients), max(volume - 1, 0.1))) - 1) * 1000
    return Answer(
        f"Expect {show(og.value, 4)} before the yeast ({show(plato, 1)} °P), and about {show(fg.value, 3)} at the end.",
        "Weights tell it better than an unstirred sample does. "
        f"One litre less gives {show(short - points, 1)} points more.",
        Urgency.NOTHING,
        (og, fg),
        assumed=asked.assumed,
        rule_of_thumb="How far malt extract ferments is a range of the trade; a kit's leaflet knows its own better.",
    )


# --- dilution -------------------------------------------------------------------------------------------------

_DILUTION = (
    sums_fields.gravity("gravity", "Gravity now", required=True),
    sums_fields.volume("volume", "Volume now", required=True),
    sums_fields.volume("water", "Water added by mistake, or to be added"),
    sums_fields.gravity("target", "Gravity wanted"),
    Field(
        "material",
        "To raise it with",
        CHOICE,
        choices=tuple((m.key, m.label) for m in MATERIALS.values()),
        default="dried_malt_extract",
        reason="it keeps body and strength in step",
    ),
)


def _dilution(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_DILUTION, values)
    sg, volume = asked.need_gravity("gravity"), asked.need("volume")
    water, target = asked.number("water"), asked.gravity("target")
    if water is None and target is None:
        raise InputError(
            "Water added", "neither water nor a wanted gravity was written", "write the litres of water or the gravity"
        )
    figures: list[Figure] = []
    words: list[str] = []
    if water is not None:
        words.append(_watered(asked, sg, volume, water, figures))
    if target is not None:
        words.append(_to_target(asked, sg, volume, target, figures))
    return Answer(
        " ".join(words),
        "Mixing keeps the mass of extract; strength falls in step with gravity, bitterness with volume.",
        Urgency.NOTHING,
        tuple(figures),
        missing="" if target is not None else "Which gravity was wanted?",
        assumed=asked.assumed if target is not None or water is not None else (),
        cautions=("Boil what you add to cool wort for a few minutes, in a little water, and stir it in well.",),
    )


def _mixing(asked: Asked, *steps: str) -> Working:
    return Working(
        "mass of extract before = mass of extract after; densities from the sugar tables",
        asked.givens,
        ("mass_balance", "bubnik_1995", "nbs_c440"),
        steps,
    )


def _outside(value: object) -> float:
    return within(value, "Gravity", "these do not go together", "check gravity, volume and water")


def _watered(asked: Asked, sg: float, volume: float, water: float, figures: list[Figure]) -> str:
    after = _outside(dilution.dilute_gravity_sg(sg, volume, water))
    whole = _outside(dilution.diluted_volume_l(sg, volume, water))
    solids = MATERIALS[asked.word("material")].solids
    restore = _outside(dilution.extract_to_reach_g(after, whole, sg, solids.best))
    low, high = (float(dilution.extract_to_reach_g(after, whole, sg, s)) for s in (solids.high, solids.low))
    lost = 100 * (1 - volume / whole)
    working = _mixing(asked, f"{show(volume, 2)} L + {show(water, 2)} L of water = {show(whole, 2)} L")
    name = MATERIALS[asked.word("material")].label
    figures += [
        figure("diluted", "Gravity with the water", after, SG, working, spread=0.0005),
        figure("volume", "Volume with the water", whole, LITRES_2, working),
        figure("restore", f"To restore it: {name}", restore, GRAMS, working, low=low, high=high),
        figure("weaker", "Weaker and less bitter by", lost, PER_CENT, working),
    ]
    return (
        f"{show(sg, 4)} becomes {show(after, 4)} in {show(whole, 1)} L, {show(lost, 0)} % weaker and less bitter; "
        f"{tens(restore)} g of {name} would restore it."
    )


def _to_target(asked: Asked, sg: float, volume: float, target: float, figures: list[Figure]) -> str:
    if target <= sg:
        water = _outside(dilution.water_to_reach_l(sg, volume, target))
        working = _mixing(asked, f"from {show(sg, 4)} to {show(target, 4)}")
        figures.append(figure("top_up", "Water to add", water, LITRES_2, working, spread=0.02 * water))
        return f"Add {show(water, 1)} L of water to come down to {show(target, 4)}."
    material = MATERIALS[asked.word("material")]
    if material.solids.best < 0.5:
        raise InputError("To raise it with", f"{material.label} is too thin", "choose an extract or a sugar")
    grams = _outside(dilution.extract_to_reach_g(sg, volume, target, material.solids.best))
    ends = tuple(
        float(dilution.extract_to_reach_g(sg, volume, target, s)) for s in (material.solids.high, material.solids.low)
    )
    working = _mixing(asked, f"{material.label} holds {show(100 * material.solids.best, 0)} % of extract")
    figures.append(figure("add", f"{material.label} to add", grams, GRAMS, working, low=ends[0], high=ends[1]))
    return f"Add {tens(grams)} g of {material.label} to come up to {show(target, 4)}."


SUMS = (
    Sum(
        "gravity",
        "Gravity and extract",
        "What is this gravity on the other scale?",
        _GRAVITY,
        _gravity,
        {"gravity": "1.0403"},
    ),
    Sum(
        "reading",
        "A hydrometer reading",
        "What is a reading really, at another temperature or with another glass?",
        _READING,
        _reading,
        {"reading": "1.044", "temp": "25 °C", "scale": "20 °C"},
    ),
    Sum(
        "original_gravity",
        "Gravity from weights",
        "What will these ingredients give in this volume?",
        _ORIGINAL,
        _original,
        {"ingredients": "1.7 kg liquid malt extract\n1 kg table sugar", "volume": "23 L"},
    ),
    Sum(
        "dilution",
        "Water and extract",
        "Too much water, or a gravity to reach: what now?",
        _DILUTION,
        _dilution,
        {"gravity": "1.0400", "volume": "23 L", "water": "2 L"},
    ),
)
