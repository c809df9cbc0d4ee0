"""Sums on heat: how much boiling water, and how long a bucket takes to cool."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from gylebook.errors import InputError
from gylebook.science import cooling, dilution, heat
from gylebook.science.materials import MATERIALS
from gylebook.steps import sums_fields
from gylebook.steps.answers import Answer, Finding, Urgency, Working
from gylebook.steps.asked import CELSIUS, HOURS, LITRES, Asked, figure, within
from gylebook.steps.decision import Sum
from gylebook.steps.fields import QUANTITY, Field
from gylebook.units import show

_BOILING = (
    sums_fields.mass(
        "extract", "Liquid malt extract", default="1.7 kg", reason="one can of a kit", possible=(0.0, 50_000.0)
    ),
    sums_fields.mass("dry", "Sugar or dried extract", default="1 kg", reason="what most one-can kits ask for"),
    sums_fields.temperature(
        "extract_temp",
        "Extract when it goes in",
        default="20 °C",
        reason="as in a room; a can out of hot water is about 40 °C: write that",
        possible=(0.0, 100.0),
    ),
    sums_fields.volume("volume", "Made up to", default="23 L", reason="the commonest leaflet volume"),
    sums_fields.temperature("tap", "Tap water", default="12 °C", reason="a middling tap", possible=(0.0, 40.0)),
    sums_fields.temperature("target", "Wanted at the end", default="20 °C", reason="fit for most ale yeasts"),
    sums_fields.volume(
        "least", "Least boiling water", default="1.5 L", reason="dissolves the extract and rinses the cans"
    ),
    sums_fields.volume("boiling", "Boiling water, where it is given"),
)
_BOILING_CAUTIONS = (
    "Boiling water scalds: set the bucket on the floor, pour slowly, no child or pet near, never into glass.",
    "A full bucket weighs as much as a small child: fill it where it will stand.",
)
_KETTLE_C = 97.0  # boiling water has lost a few degrees when it reaches the bucket


@dataclass(frozen=True, slots=True)
class _Bucket:
    """What goes into the bucket besides water: masses [kg], specific heats [J/(kg K)], temperatures [°C]; its water."""

    masses: list[float]
    heats: list[float]
    temps: list[float]
    water_l: float


def _bucket(asked: Asked) -> _Bucket:
    liquid, dry = MATERIALS["liquid_malt_extract"], MATERIALS["sucrose"]
    grams = [asked.need("extract"), asked.need("dry")]
    volume = asked.need("volume")
    water = within(
        dilution.water_needed_l(grams, [liquid.solids.best, dry.solids.best], volume),
        "Made up to",
        f"{show(volume, 1)} L is too little for so much extract",
        "write the volume in the bucket",
    )
    return _Bucket(
        [mass / 1000 for mass in grams],
        [liquid.specific_heat_j_per_kg_k.best, dry.specific_heat_j_per_kg_k.best],
        [asked.need("extract_temp"), 20.0],
        water,
    )


def _boiling(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_BOILING, values)
    bucket, target = _bucket(asked), asked.need("target")
    plan = heat.boiling_water_for_target(
        bucket.masses,
        bucket.heats,
        bucket.temps,
        water_l=bucket.water_l,
        target_temp_c=target,
        tap_temp_c=asked.need("tap"),
        boiling_temp_c=_KETTLE_C,
        least_boiling_l=asked.need("least"),
    )
    litres = within(plan.boiling_l, "Wanted at the end", "no mixture gives that", "check the temperatures")
    reached = float(plan.temp_c)
    working = _heat_working(asked, bucket)
    figures = [
        figure("boiling", "Boiling water", litres, LITRES, working, spread=0.04 * litres + 0.1),
        figure("temp", "Lands at", reached, CELSIUS, working, spread=1.0),
    ]
    tap = bucket.water_l - litres
    words = f"Use {show(litres, 1)} L of boiling water and {show(tap, 1)} L from the tap: {reached:.0f} °C."
    findings = []
    if str(plan.verdict) != "reached":
        few = "with as little as" if reached > target else "even with"
        verdict = str(plan.verdict).capitalize()
        words = f"{verdict}: {few} {show(litres, 1)} L of boiling water it lands at {reached:.0f} °C."
        remedy = "Chill part of the water the day before, or wait." if reached > target else "Use warmer tap water."
        findings.append(Finding(Urgency.ACT, f"The target of {target:g} °C is out of reach.", remedy, key="off_target"))
    given = asked.number("boiling")
    if given is not None:
        landed = _landed(bucket, given, asked.need("tap"))
        name = f"With {show(given, 1)} L boiling"
        figures.insert(0, figure("landed", name, landed, CELSIUS, working, spread=1.5))
        words = f"{name} water it lands at {show(landed, 0)} °C. {words}"
    return Answer(
        words,
        "Extract must dissolve hot, the yeast wants it cool: the litres of boiling water settle it.",
        Urgency.NOTHING,
        tuple(figures),
        tuple(findings),
        cautions=_BOILING_CAUTIONS,
        assumed=asked.assumed,
    )


def _heat_working(asked: Asked, bucket: _Bucket) -> Working:
    return Working(
        "Σ mass × specific heat × temperature is kept by mixing",
        asked.givens,
        ("mixing_heat_balance", "llano_2005", "mass_balance"),
        (
            f"{show(bucket.water_l, 1)} L of water make {asked.quantity('volume')} with the extract",
            f"boiling water arrives at {_KETTLE_C:g} °C; the bucket's own heat is left out",
        ),
        ("The air takes some heat: a long stir ends half a degree or so nearer to the room.",),
    )


def _landed(bucket: _Bucket, boiling_l: float, tap_c: float) -> float:
    if boiling_l > bucket.water_l:
        raise InputError(
            "Boiling water", f"{boiling_l:g} L is more than all the water", "write the litres from the kettle"
        )
    water = heat.WATER_SPECIFIC_HEAT_J_PER_KG_K
    landed = heat.mixed_temp_c(
        [*bucket.masses, boiling_l, bucket.water_l - boiling_l],
        [*bucket.heats, water, water],
        [*bucket.temps, _KETTLE_C, tap_c],
    )
    return within(landed, "Boiling water", "no mixture gives that", "check litres and temperatures")


# --- cooling --------------------------------------------------------------------------------------------------

_COOLING = (
    sums_fields.temperature("now", "Wort now", required=True, possible=(-5.0, 100.0)),
    sums_fields.temperature("target", "Wanted", default="20 °C", reason="fit for most ale yeasts"),
    sums_fields.temperature("room", "Room or bath", default="16 °C", reason="a cool room"),
    sums_fields.volume("volume", "Wort", default="23 L", reason="the commonest leaflet volume"),
    sums_fields.temperature("earlier", "It was, some time ago", possible=(-5.0, 100.0)),
    Field("ago", "How long ago that was", QUANTITY, ("time",), possible=(0.05, 200.0), hint="3 h"),
)


def _cooling(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_COOLING, values)
    now, target, room = asked.need("now"), asked.need("target"), asked.need("room")
    earlier, ago = asked.number("earlier"), asked.number("ago")
    if earlier is not None and ago is not None:
        tau = within(
            cooling.time_constant_h(earlier, now, room, ago),
            "It was",
            "it does not cool from there to here in that room",
            "check both temperatures and the room's",
        )
        ends, how = (0.85 * tau, 1.15 * tau), "measured with your own bucket"
    else:
        estimate = cooling.time_constant_estimate_h(asked.need("volume"))
        tau = within(estimate.best, "Wort", "no estimate holds for that volume", "write 1 to 100 L")
        ends, how = (float(estimate.low), float(estimate.high)), "an estimate for a bare bucket in still air"
    working = Working(
        "the difference to the surroundings falls by 63 % in one time constant",
        asked.givens,
        ("newton_cooling", "vessel_cooling_estimate"),
        (f"time constant {show(tau, 1)} h ({show(ends[0], 1)} to {show(ends[1], 1)}), {how}",),
    )
    constant = figure("constant", "Time constant", tau, HOURS, working, low=ends[0], high=ends[1])
    if (now - target) * (target - room) <= 0 and now != target:
        return Answer(
            f"It never reaches {target:g} °C in surroundings of {room:g} °C.",
            f"By standing it goes towards {room:g} °C and no further.",
            Urgency.ACT,
            (constant,),
            missing="Is there a colder bath, or a warmer room?",
            assumed=asked.assumed,
        )
    hours = float(cooling.cooling_time_h(now, target, room, tau))
    low, high = (float(cooling.cooling_time_h(now, target, room, end)) for end in ends)
    return Answer(
        f"About {show(hours, 1)} hours to {target:g} °C ({show(low, 1)} to {show(high, 1)}).",
        f"From {now:g} °C in {room:g} °C; {how}.",
        Urgency.WAIT,
        (figure("time", "Time to wait", hours, HOURS, working, low=low, high=high), constant),
        missing="" if earlier is not None else "How warm was it an hour or more ago? Two readings beat any estimate.",
        cautions=(
            "A lid on, clean hands: cool sweet wort is what microbes like best. A night is fine when all is clean.",
        ),
        rule_of_thumb="A bath of cold water cools several times faster than air; a wet towel and a fan help.",
        assumed=asked.assumed,
    )


SUMS = (
    Sum(
        "boiling_water",
        "Boiling water",
        "How much boiling water lands on the pitching temperature?",
        _BOILING,
        _boiling,
        {"extract": "3 kg", "dry": "0 kg", "volume": "23 L", "tap": "18 °C", "target": "20 °C", "boiling": "3.5 L"},
    ),
    Sum(
        "cooling",
        "Cooling",
        "When has it cooled enough for the yeast?",
        _COOLING,
        _cooling,
        {"now": "31 °C", "target": "20 °C", "room": "14 °C"},
    ),
)
