"""What evidence is refused: one sentence that names the field, what was wrong and what to do."""

from __future__ import annotations

from itertools import pairwise
from math import isfinite

from gylebook.errors import InputError
from gylebook.forecast.evidence import Evidence, Known, Reading, Warmth
from gylebook.phrases import say, say_number

_SG = (0.95, 1.3)
_TEMP_C = (-10.0, 60.0)


def check(evidence: Evidence) -> None:
    """Refuse what cannot be reckoned with.

    Raises
    ------
    InputError
        For the first fault found.
    """
    _number("now", "day", evidence.now_day, -1000.0, 10000.0)
    for number, reading in enumerate(evidence.readings, start=1):
        _reading(say("reading {number}", number=number), reading, evidence.now_day)
    _known(evidence.known)
    _warmth(evidence.warmth)
    if evidence.forced is not None:
        _number(say("forced sample"), "gravity", evidence.forced.gravity_sg, *_SG)
        _above_zero(say("forced sample"), "error", evidence.forced.sd_sg)
    if evidence.hops is not None:
        hops = evidence.hops
        _number("hops", "day", hops.day, -1000.0, 10000.0)
        _number("hops", say("dose [g/L]"), hops.dose_g_per_l, 0.0, 100.0)
        if hops.out_day is not None:
            _number("hops", say("day out"), hops.out_day, hops.day, 10000.0)
    for added in evidence.additions:
        _number(say("later sugar"), "day", added.day, -1000.0, 10000.0)
        _number(say("later sugar"), say("rise of gravity"), added.lifts_sg, 0.0, 0.2)
        _number(say("later sugar"), say("fall of gravity"), added.falls_sg, 0.0, 0.3)


def _reading(field: str, reading: Reading, now_day: float) -> None:
    _number(field, "day", reading.day, -1000.0, 10000.0)
    _number(field, "gravity", reading.gravity_sg, *_SG)
    _above_zero(field, "error", reading.sd_sg)
    _number(field, say("lift by gas"), reading.lift_sg, 0.0, 0.05)
    _number(field, say("chance to be grossly wrong"), reading.gross, 0.0, 1.0)
    if reading.day > now_day + 1e-9:
        raise InputError(
            field,
            say(
                "day {day} lies after now, day {now_day}",
                day=say_number(f"{reading.day:g}"),
                now_day=say_number(f"{now_day:g}"),
            ),
            say("correct the day"),
        )


def _known(known: Known) -> None:
    _number(say("original gravity"), "value", known.og_sg, 1.001, 1.25)
    _above_zero(say("original gravity"), "spread", known.og_sd_sg)
    _number("attenuation", "share", known.attenuation, 0.05, 1.3)
    _above_zero("attenuation", "spread", known.attenuation_sd)
    _above_zero("pace", "rate", known.pace)
    _above_zero("pace", "spread", known.pace_sd)
    _above_zero("yeast", "activity", known.pitch)
    _above_zero("yeast", say("spread of its activity"), known.pitch_sd)
    for number, offset, sd in known.offsets:
        _number(say("hydrometer {number}", number=number), "error", offset, -0.05, 0.05)
        _number(say("hydrometer {number}", number=number), say("spread of its error"), sd, 0.0, 0.05)


def _warmth(warmth: Warmth) -> None:
    if len(warmth.day) != len(warmth.temp_c) or not warmth.day:
        raise InputError(
            "temperature", say("days and temperatures are not pairs"), say("give a temperature for each day")
        )
    for day in warmth.day:
        _number("temperature", "day", day, -10000.0, 10000.0)
    if any(after <= before for before, after in pairwise(warmth.day)):
        raise InputError("temperature", say("its days do not follow each other"), say("put them in order, each once"))
    for temp in (*warmth.temp_c, warmth.works_c):
        _number("temperature", say("value [°C]"), temp, *_TEMP_C)


def _number(field: str, part: str, value: float, low: float, high: float) -> None:
    if not isfinite(value):
        raise InputError(
            field,
            say("its {part} is not a number", part=part),
            say("give one from {low} to {high}", low=say_number(f"{low:g}"), high=say_number(f"{high:g}")),
        )
    if not low <= value <= high:
        raise InputError(
            field,
            say("its {part}, {value}, cannot be", part=part, value=say_number(f"{value:g}")),
            say("give one from {low} to {high}", low=say_number(f"{low:g}"), high=say_number(f"{high:g}")),
        )


def _above_zero(field: str, part: str, value: float) -> None:
    if not isfinite(value):
        raise InputError(field, say("its {part} is not a number", part=part), say("give one above zero"))
    if value <= 0:
        raise InputError(
            field,
            say("its {part}, {value}, is not above zero", part=part, value=say_number(f"{value:g}")),
            say("give one above zero"),
        )
