"""Sums on heat: how much boiling water, and how long a bucket takes to cool."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from gylebook.errors import InputError
from gylebook.phrases import say, say_amount
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
        "extract",
        say("Liquid malt extract"),
        default="1.7 kg",
        reason=say("one can of a kit"),
        possible=(0.0, 50_000.0),
    ),
    sums_fields.mass(
        "dry", say("Sugar or dried extract"), default="1 kg", reason=say("what most one-can kits ask for")
    ),
    sums_fields.temperature(
        "extract_temp",
        say("Extract when it goes in"),
        default="20 °C",
        reason=say("as in a room; a can out of hot water is about 40 °C: write that"),
        possible=(0.0, 100.0),
    ),
    sums_fields.volume("volume", say("Made up to"), default="23 L", reason=say("the commonest leaflet volume")),
    sums_fields.temperature(
        "tap", say("Tap water"), default="12 °C", reason=say("a middling tap"), possible=(0.0, 40.0)
    ),
    sums_fields.temperature("target", say("Wanted at the end"), default="20 °C", reason=say("fit for most ale yeasts")),
    sums_fields.volume(
        "least", say("Least boiling water"), default="1.5 L", reason=say("dissolves the extract and rinses the cans")
    ),
    sums_fields.volume("boiling", say("Boiling water, where it is given")),
)
_BOILING_CAUTIONS = (
    say("Boiling water scalds: set the bucket on the floor, pour slowly, no child or pet near, never into glass."),
    say("A full bucket weighs as much as a small child: fill it where it will stand."),
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
        say("Made up to"),
        say("{volume} is too little for so much extract", volume=say_amount(volume, 1, "L")),
        say("write the volume in the bucket"),
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
    litres = within(
        plan.boiling_l, say("Wanted at the end"), say("no mixture gives that"), say("check the temperatures")
    )
    reached = float(plan.temp_c)
    working = _heat_working(asked, bucket)
    figures = [
        figure("boiling", say("Boiling water"), litres, LITRES, working, spread=0.04 * litres + 0.1),
        figure("temp", say("Lands at"), reached, CELSIUS, working, spread=1.0),
    ]
    tap = bucket.water_l - litres
    words = say(
        "Use {litres} of boiling water and {tap} from the tap: {reached}.",
        litres=say_amount(litres, 1, "L"),
        tap=say_amount(tap, 1, "L"),
        reached=say_amount(reached, 0, "°C"),
    )
    findings: tuple[Finding, ...] = ()
    if str(plan.verdict) != "reached":
        findings = (_off_target(target, reached),)
        words = say(
            "Too warm: with as little as {litres} of boiling water it lands at {reached}."
            if reached > target
            else "Too cold: even with {litres} of boiling water it lands at {reached}.",
            litres=say_amount(litres, 1, "L"),
            reached=say_amount(reached, 0, "°C"),
        )
    given = asked.number("boiling")
    if given is not None:
        landed = _landed(bucket, given, asked.need("tap"))
        name = say("With {litres} boiling", litres=say_amount(given, 1, "L"))
        figures.insert(0, figure("landed", name, landed, CELSIUS, working, spread=1.5))
        words = say(
            "With {litres} boiling water it lands at {landed}. {words}",
            litres=say_amount(given, 1, "L"),
            landed=say_amount(landed, 0, "°C"),
            words=words,
        )
    return Answer(
        words,
        say("Extract must dissolve hot, the yeast wants it cool: the litres of boiling water settle it."),
        Urgency.NOTHING,
        tuple(figures),
        findings,
        cautions=_BOILING_CAUTIONS,
        assumed=asked.assumed,
    )


def _off_target(target: float, reached: float) -> Finding:
    """That the boiling water cannot do it, and what could."""
    text = say("The target of {target} is out of reach.", target=say_amount(target, None, "°C"))
    if reached > target:
        return Finding(Urgency.ACT, text, say("Chill part of the water the day before, or wait."), key="off_target")
    return Finding(Urgency.ACT, text, say("Use warmer tap water."), key="off_target")


def _heat_working(asked: Asked, bucket: _Bucket) -> Working:
    return Working(
        say("Σ mass × specific heat × temperature is kept by mixing"),
        asked.givens,
        ("mixing_heat_balance", "llano_2005", "mass_balance"),
        (
            say(
                "{water} of water make {volume} with the extract",
                water=say_amount(bucket.water_l, 1, "L"),
                volume=asked.quantity("volume"),
            ),
            say(
                "boiling water arrives at {temp}; the bucket's own heat is left out",
                temp=say_amount(_KETTLE_C, None, "°C"),
            ),
        ),
        (say("The air takes some heat: a long stir ends half a degree or so nearer to the room."),),
    )


def _landed(bucket: _Bucket, boiling_l: float, tap_c: float) -> float:
    if boiling_l > bucket.water_l:
        raise InputError(
            say("Boiling water"),
            say("{boiling} is more than all the water", boiling=say_amount(boiling_l, None, "L")),
            say("write the litres from the kettle"),
        )
    water = heat.WATER_SPECIFIC_HEAT_J_PER_KG_K
    landed = heat.mixed_temp_c(
        [*bucket.masses, boiling_l, bucket.water_l - boiling_l],
        [*bucket.heats, water, water],
        [*bucket.temps, _KETTLE_C, tap_c],
    )
    return within(landed, say("Boiling water"), say("no mixture gives that"), say("check litres and temperatures"))


# --- cooling --------------------------------------------------------------------------------------------------

_COOLING = (
    sums_fields.temperature("now", say("Wort now"), required=True, possible=(-5.0, 100.0)),
    sums_fields.temperature("target", say("Wanted"), default="20 °C", reason=say("fit for most ale yeasts")),
    sums_fields.temperature("room", say("Room or bath"), default="16 °C", reason=say("a cool room")),
    sums_fields.volume("volume", say("Wort"), default="23 L", reason=say("the commonest leaflet volume")),
    sums_fields.temperature("earlier", say("It was, some time ago"), possible=(-5.0, 100.0)),
    Field("ago", say("How long ago that was"), QUANTITY, ("time",), possible=(0.05, 200.0), hint="3 h"),
)


def _cooling(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_COOLING, values)
    now, target, room = asked.need("now"), asked.need("target"), asked.need("room")
    earlier, ago = asked.number("earlier"), asked.number("ago")
    if earlier is not None and ago is not None:
        tau = within(
            cooling.time_constant_h(earlier, now, room, ago),
            say("It was"),
            say("it does not cool from there to here in that room"),
            say("check both temperatures and the room's"),
        )
        ends, how = (0.85 * tau, 1.15 * tau), say("measured with your own bucket")
    else:
        estimate = cooling.time_constant_estimate_h(asked.need("volume"))
        tau = within(estimate.best, say("Wort"), say("no estimate holds for that volume"), say("write 1 to 100 L"))
        ends, how = (float(estimate.low), float(estimate.high)), say("an estimate for a bare bucket in still air")
    working = Working(
        say("the difference to the surroundings falls by 63 % in one time constant"),
        asked.givens,
        ("newton_cooling", "vessel_cooling_estimate"),
        (
            say(
                "time constant {tau} h ({low} to {high}), {how}",
                tau=show(tau, 1),
                low=show(ends[0], 1),
                high=show(ends[1], 1),
                how=how,
            ),
        ),
    )
    constant = figure("constant", say("Time constant"), tau, HOURS, working, low=ends[0], high=ends[1])
    if (now - target) * (target - room) <= 0 and now != target:
        return Answer(
            say(
                "It never reaches {target} in surroundings of {room}.",
                target=say_amount(target, None, "°C"),
                room=say_amount(room, None, "°C"),
            ),
            say("By standing it goes towards {room} and no further.", room=say_amount(room, None, "°C")),
            Urgency.ACT,
            (constant,),
            missing=say("Is there a colder bath, or a warmer room?"),
            assumed=asked.assumed,
        )
    hours = float(cooling.cooling_time_h(now, target, room, tau))
    low, high = (float(cooling.cooling_time_h(now, target, room, end)) for end in ends)
    return Answer(
        say(
            "About {hours} hours to {target} ({low} to {high}).",
            hours=show(hours, 1),
            target=say_amount(target, None, "°C"),
            low=show(low, 1),
            high=show(high, 1),
        ),
        say(
            "From {now} in {room}; {how}.", now=say_amount(now, None, "°C"), room=say_amount(room, None, "°C"), how=how
        ),
        Urgency.WAIT,
        (figure("time", say("Time to wait"), hours, HOURS, working, low=low, high=high), constant),
        missing=""
        if earlier is not None
        else say("How warm was it an hour or more ago? Two readings beat any estimate."),
        cautions=(
            say(
                "A lid on, clean hands: cool sweet wort is what microbes like best. A night is fine when all is clean."
            ),
        ),
        rule_of_thumb=say("A bath of cold water cools several times faster than air; a wet towel and a fan help."),
        assumed=asked.assumed,
    )


SUMS = (
    Sum(
        "boiling_water",
        say("Boiling water"),
        say("How much boiling water lands on the pitching temperature?"),
        _BOILING,
        _boiling,
        {"extract": "3 kg", "dry": "0 kg", "volume": "23 L", "tap": "18 °C", "target": "20 °C", "boiling": "3.5 L"},
    ),
    Sum(
        "cooling",
        say("Cooling"),
        say("When has it cooled enough for the yeast?"),
        _COOLING,
        _cooling,
        {"now": "31 °C", "target": "20 °C", "room": "14 °C"},
    ),
)
