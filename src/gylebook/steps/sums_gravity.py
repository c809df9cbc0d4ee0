"""Sums on gravity: scales, hydrometer readings, what weights make, and how to move it."""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot
from typing import Any

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.phrases import joined, say, say_amount
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

_GRAVITY = (sums_fields.gravity("gravity", say("Gravity"), required=True),)


def _gravity(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_GRAVITY, values)
    sg = asked.need_gravity("gravity")
    quantity = asked.quantity("gravity")
    half = _half_step(quantity, 0.0005)
    half_sg = half if quantity is not None and quantity.unit == "SG" else half * 0.004
    plato = within(
        extract.plato_from_sg(sg), say("Gravity"), say("this is beyond the sugar tables"), say("write 0.98 to 1.15")
    )
    working = Working(
        say("extract by mass of a sugar solution that weighs as much as this one, at 20 °C, weighed in air"),
        asked.givens,
        ("nbs_c440", "sg_plato_fit"),
        (say("half of the last digit written is ±{half_sg} SG", half_sg=show(half_sg, 4)),),
    )
    points = (sg - 1) * 1000
    return Answer(
        say(
            "{sg} is {plato} °P, {points} gravity points.", sg=show(sg, 4), plato=show(plato, 2), points=show(points, 1)
        ),
        say("One gravity point is a thousandth of specific gravity; four make about one degree Plato."),
        Urgency.NOTHING,
        (
            figure("sg", say("Specific gravity"), sg, SG, working, spread=half_sg),
            figure("plato", say("Extract"), plato, PLATO, working, spread=hypot(half_sg * 258, _PLATO_FIT)),
            figure("points", say("Gravity points"), points, NUMBER, working, spread=half_sg * 1000),
        ),
        assumed=asked.assumed,
    )


# --- a hydrometer reading -------------------------------------------------------------------------------------

_READING = (
    sums_fields.gravity("reading", say("Reading"), required=True),
    sums_fields.temperature(
        "temp", say("Sample"), default="20 °C", reason=say("no correction where it is not known"), possible=(0.0, 60.0)
    ),
    Field(
        "scale",
        say("The hydrometer is true at"),
        QUANTITY,
        ("temperature",),
        possible=(10.0, 30.0),
        default="20 °C",
        reason=say("the commonest scale; it is printed on the glass"),
        hint=say("20 °C, or 60 °F (15.56 °C)"),
    ),
    Field(
        "offset",
        say("What it shows in water there, less 1.000"),
        QUANTITY,
        ("number",),
        possible=(-0.02, 0.02),
        default="0.000",
        reason=say("not checked in water"),
        hint=say("0.002 when it shows 1.002"),
    ),
    sums_fields.gravity("original", say("Original gravity, where it has fermented")),
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
        return _true(shown, degrees, scale, offset, original)

    sg = true(reading, temp)
    by_temp = (true(reading, min(temp + 1, 59.0)) - true(reading, max(temp - 1, 0.0))) / 2
    sd = hypot(_READING_SD, by_temp * _THERMOMETER_SD_C)
    added = (sg - reading) * 1000
    working = Working(
        say(
            "reading × density of water at the scale's temperature × glass's expansion = density of the sample; that "
            "density brought to 20 °C"
        ),
        asked.givens,
        ("hydrometer_equilibrium", "iso_1768_1975", "bubnik_1995")
        + (("density_closure", "oiml_r22") if original is not None else ()),
        (
            say(
                "{reading} {sign} {added} = {sg}",
                reading=show(reading, 4),
                sign="+" if added >= 0 else "−",
                added=show(abs(added) / 1000, 4),
                sg=show(sg, 4),
            ),
            say(
                "the eye ±{eye}, the thermometer ±{thermometer}",
                eye=show(NORMAL_90 * _READING_SD, 4),
                thermometer=show(abs(NORMAL_90 * by_temp * 0.7), 4),
            ),
        ),
        (say("A fizzy sample reads 1 to 4 points too high: pour it to and fro and let it stand."),),
    )
    return Answer(
        say(
            "It is {sg} at 20 °C: add {added} points."
            if added >= 0
            else "It is {sg} at 20 °C: take off {added} points.",
            sg=show(sg, 4),
            added=show(abs(added), 1),
        ),
        say(
            "Read {reading} at {temp} with a glass that is true at {scale}.",
            reading=show(reading, 4),
            temp=say_amount(temp, 1, "°C"),
            scale=say_amount(scale, 1, "°C"),
        ),
        Urgency.NOTHING,
        (
            figure("sg", say("True gravity at 20 °C"), sg, SG, working, spread=NORMAL_90 * sd),
            figure("correction", say("Correction"), added, POINTS, working, spread=abs(NORMAL_90 * by_temp * 700)),
        ),
        _reading_findings(temp, reading),
        assumed=asked.assumed,
        missing=""
        if original is not None or reading > 1.03
        else say("Has it fermented, and from which original gravity?"),
    )


def _true(shown: float, degrees: float, scale: float, offset: float, original: float | None) -> float:
    found = (
        hydrometer.true_sg(shown, degrees, scale, offset)
        if original is None
        else hydrometer.true_sg_beer(shown, degrees, original, scale, offset)
    )
    hottest = 60 if original is None else 40
    return within(
        found,
        say("Sample"),
        say("no correction holds at {degrees}", degrees=say_amount(degrees, None, "°C")),
        say("cool it to {hottest} or less", hottest=say_amount(hottest, 0, "°C")),
    )


def _reading_findings(temp: float, reading: float) -> tuple[Finding, ...]:
    found = []
    if temp > 40:
        found.append(
            Finding(
                Urgency.MEASURE,
                say(
                    "At {temp} the sample cools while you read it, half a point for each degree.",
                    temp=say_amount(temp, None, "°C"),
                ),
                say("Cool it below 40 °C and read again."),
                key="too_hot",
            )
        )
    if reading < 0.99:
        found.append(
            Finding(
                Urgency.MEASURE,
                say("{reading} is lighter than any beer.", reading=show(reading, 3)),
                say("Is it a spirit hydrometer, or the potential-alcohol scale?"),
                key="wrong_scale",
            )
        )
    return tuple(found)


# --- what the weights make ------------------------------------------------------------------------------------

_ORIGINAL = (
    Field(
        "ingredients",
        say("Ingredients, one on a line"),
        LONG_TEXT,
        required=True,
        hint=say("1.7 kg liquid malt extract\n1 kg table sugar"),
    ),
    sums_fields.volume("volume", say("Made up to"), default="23 L", reason=say("the commonest leaflet volume")),
    sums_fields.volume(
        "error", say("The volume may be wrong by"), default="0.5 L", reason=say("a bucket mark, not calibrated")
    ),
)


def _original(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_ORIGINAL, values)
    volume, error = asked.need("volume"), asked.need("error")
    if volume <= 0 or error >= volume / 2:
        raise InputError(
            say("Made up to"), say("the volume is nothing beside its own error"), say("write the litres in the bucket")
        )
    ingredients: tuple[ev.Ingredient, ...] = lines.read_ingredients(asked.word("ingredients"))
    og = makeup.original_gravity_reckoned(ingredients, volume, error / NORMAL_90)
    within(og.value, say("Ingredients"), say("that is thicker than any wort"), say("check the masses and the litres"))
    fg = makeup.final_gravity_expected(ingredients, og.value, (og.high - og.low) / 2 / NORMAL_90)
    plato = float(extract.plato_from_sg(og.value))
    points = (og.value - 1) * 1000
    short = (float(dilution.original_gravity_sg(makeup.extract_g(ingredients), max(volume - 1, 0.1))) - 1) * 1000
    return Answer(
        say(
            "Expect {og} before the yeast ({plato} °P), and about {fg} at the end.",
            og=show(og.value, 4),
            plato=show(plato, 1),
            fg=show(fg.value, 3),
        ),
        say(
            "Weights tell it better than an unstirred sample does. One litre less gives {short} points more.",
            short=show(short - points, 1),
        ),
        Urgency.NOTHING,
        (og, fg),
        assumed=asked.assumed,
        rule_of_thumb=say(
            "How far malt extract ferments is a range of the trade; a kit's leaflet knows its own better."
        ),
    )


# --- dilution -------------------------------------------------------------------------------------------------

_DILUTION = (
    sums_fields.gravity("gravity", say("Gravity now"), required=True),
    sums_fields.volume("volume", say("Volume now"), required=True),
    sums_fields.volume("water", say("Water added by mistake, or to be added")),
    sums_fields.gravity("target", say("Gravity wanted")),
    Field(
        "material",
        say("To raise it with"),
        CHOICE,
        choices=tuple((m.key, m.label) for m in MATERIALS.values()),
        default="dried_malt_extract",
        reason=say("it keeps body and strength in step"),
    ),
)


def _dilution(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_DILUTION, values)
    sg, volume = asked.need_gravity("gravity"), asked.need("volume")
    water, target = asked.number("water"), asked.gravity("target")
    if water is None and target is None:
        raise InputError(
            say("Water added"),
            say("neither water nor a wanted gravity was written"),
            say("write the litres of water or the gravity"),
        )
    figures: list[Figure] = []
    words: list[str] = []
    if water is not None:
        words.append(_watered(asked, sg, volume, water, figures))
    if target is not None:
        words.append(_to_target(asked, sg, volume, target, figures))
    return Answer(
        joined(" ", words),
        say("Mixing keeps the mass of extract; strength falls in step with gravity, bitterness with volume."),
        Urgency.NOTHING,
        tuple(figures),
        missing="" if target is not None else say("Which gravity was wanted?"),
        assumed=asked.assumed if target is not None or water is not None else (),
        cautions=(say("Boil what you add to cool wort for a few minutes, in a little water, and stir it in well."),),
    )


def _mixing(asked: Asked, *steps: str) -> Working:
    return Working(
        say("mass of extract before = mass of extract after; densities from the sugar tables"),
        asked.givens,
        ("mass_balance", "bubnik_1995", "nbs_c440"),
        steps,
    )


def _outside(value: object) -> float:
    return within(value, say("Gravity"), say("these do not go together"), say("check gravity, volume and water"))


def _watered(asked: Asked, sg: float, volume: float, water: float, figures: list[Figure]) -> str:
    after = _outside(dilution.dilute_gravity_sg(sg, volume, water))
    whole = _outside(dilution.diluted_volume_l(sg, volume, water))
    solids = MATERIALS[asked.word("material")].solids
    restore = _outside(dilution.extract_to_reach_g(after, whole, sg, solids.best))
    low, high = (float(dilution.extract_to_reach_g(after, whole, sg, s)) for s in (solids.high, solids.low))
    lost = 100 * (1 - volume / whole)
    working = _mixing(
        asked,
        say(
            "{volume} + {water} of water = {whole}",
            volume=say_amount(volume, 2, "L"),
            water=say_amount(water, 2, "L"),
            whole=say_amount(whole, 2, "L"),
        ),
    )
    name = MATERIALS[asked.word("material")].label
    figures += [
        figure("diluted", say("Gravity with the water"), after, SG, working, spread=0.0005),
        figure("volume", say("Volume with the water"), whole, LITRES_2, working),
        figure("restore", say("To restore it: {name}", name=name), restore, GRAMS, working, low=low, high=high),
        figure("weaker", say("Weaker and less bitter by"), lost, PER_CENT, working),
    ]
    return say(
        "{sg} becomes {after} in {whole}, {lost} % weaker and less bitter; {grams} g of {name} would restore it.",
        sg=show(sg, 4),
        after=show(after, 4),
        whole=say_amount(whole, 1, "L"),
        lost=show(lost, 0),
        grams=tens(restore),
        name=name,
    )


def _to_target(asked: Asked, sg: float, volume: float, target: float, figures: list[Figure]) -> str:
    if target <= sg:
        water = _outside(dilution.water_to_reach_l(sg, volume, target))
        working = _mixing(asked, say("from {sg} to {target}", sg=show(sg, 4), target=show(target, 4)))
        figures.append(figure("top_up", say("Water to add"), water, LITRES_2, working, spread=0.02 * water))
        return say(
            "Add {water} of water to come down to {target}.", water=say_amount(water, 1, "L"), target=show(target, 4)
        )
    material = MATERIALS[asked.word("material")]
    if material.solids.best < 0.5:
        raise InputError(
            say("To raise it with"),
            say("{label} is too thin", label=material.label),
            say("choose an extract or a sugar"),
        )
    grams = _outside(dilution.extract_to_reach_g(sg, volume, target, material.solids.best))
    ends = tuple(
        float(dilution.extract_to_reach_g(sg, volume, target, s)) for s in (material.solids.high, material.solids.low)
    )
    working = _mixing(
        asked,
        say("{label} holds {share} % of extract", label=material.label, share=show(100 * material.solids.best, 0)),
    )
    figures.append(
        figure("add", say("{label} to add", label=material.label), grams, GRAMS, working, low=ends[0], high=ends[1])
    )
    return say(
        "Add {grams} g of {label} to come up to {target}.",
        grams=tens(grams),
        label=material.label,
        target=show(target, 4),
    )


SUMS = (
    Sum(
        "gravity",
        say("Gravity and extract"),
        say("What is this gravity on the other scale?"),
        _GRAVITY,
        _gravity,
        {"gravity": "1.0403"},
    ),
    Sum(
        "reading",
        say("A hydrometer reading"),
        say("What is a reading really, at another temperature or with another glass?"),
        _READING,
        _reading,
        {"reading": "1.044", "temp": "25 °C", "scale": "20 °C"},
    ),
    Sum(
        "original_gravity",
        say("Gravity from weights"),
        say("What will these ingredients give in this volume?"),
        _ORIGINAL,
        _original,
        {"ingredients": "1.7 kg liquid malt extract\n1 kg table sugar", "volume": "23 L"},
    ),
    Sum(
        "dilution",
        say("Water and extract"),
        say("Too much water, or a gravity to reach: what now?"),
        _DILUTION,
        _dilution,
        {"gravity": "1.0400", "volume": "23 L", "water": "2 L"},
    ),
)
