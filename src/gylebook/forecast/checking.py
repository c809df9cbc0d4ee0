"""What evidence is refused: one sentence that names the field, what was wrong and what to do."""

from __future__ import annotations

from itertools import pairwise
from math import isfinite

from gylebook.errors import InputError
from gylebook.forecast.evidence import Evidence, Known, Reading, Warmth

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
        _reading(f"reading {number}", reading, evidence.now_day)
    _known(evidence.known)
    _warmth(evidence.warmth)
    if evidence.forced is not None:
        _number("forced sample", "gravity", evidence.forced.gravity_sg, *_SG)
        _above_zero("forced sample", "error", evidence.forced.sd_sg)
    if evidence.hops is not None:
        hops = evidence.hops
        _number("hops", "day", hops.day, -1000.0, 10000.0)
        _number("hops", "dose [g/L]", hops.dose_g_per_l, 0.0, 100.0)
        if hops.out_day is not None:
            _number("hops", "day out", hops.out_day, hops.day, 10000.0)
    for added in evidence.additions:
        _number("later sugar", "day", added.day, -1000.0, 10000.0)
        _number("later sugar", "rise of gravity", added.lifts_sg, 0.0, 0.2)
        _number("later sugar", "fall of gravity", added.falls_sg, 0.0, 0.3)


def _reading(field: str, reading: Reading, now_day: float) -> None:
    _number(field, "day", reading.day, -1000.0, 10000.0)
    _number(field, "gravity", reading.gravity_sg, *_SG)
    _above_zero(field, "error", reading.sd_sg)
    _number(field, "lift by gas", reading.lift_sg, 0.0, 0.05)
    _number(field, "chance to be grossly wrong", reading.gross, 0.0, 1.0)
    if reading.day > now_day + 1e-9:
        raise InputError(
            field,
            f"day {reading.day:g} lies after now, day {now_day:g}",
            "correct the day",
        )


def _known(known: Known) -> None:
    _number("original gravity", "value", known.og_sg, 1.001, 1.25)
    _above_zero("original gravity", "spread", known.og_sd_sg)
    _number("attenuation", "share", known.attenuation, 0.05, 1.3)
    _above_zero("attenuation", "spread", known.attenuation_sd)
    _above_zero("pace", "rate", known.pace)
    _above_zero("pace", "spread", known.pace_sd)
    _above_zero("yeast", "activity", known.pitch)
    _above_zero("yeast", "spread of its activity", known.pitch_sd)
    for number, offset, sd in known.offsets:
        _number(f"hydrometer {number}", "error", offset, -0.05, 0.05)
        _number(f"hydrometer {number}", "spread of its error", sd, 0.0, 0.05)


def _warmth(warmth: Warmth) -> None:
    if len(warmth.day) != len(warmth.temp_c) or not warmth.day:
        raise InputError("temperature", "days and temperatures are not pairs", "give a temperature for each day")
    for day in warmth.day:
        _number("temperature", "day", day, -10000.0, 10000.0)
    if any(after <= before for before, after in pairwise(warmth.day)):
        raise InputError("temperature", "its days do not follow each other", "put them in order, each once")
    for temp in (*warmth.temp_c, warmth.works_c):
        _number("temperature", "value [°C]", temp, *_TEMP_C)


def _number(field: str, part: str, value: float, low: float, high: float) -> None:
    if not isfinite(value):
        raise InputError(
            field,
            f"its {part} is not a number",
            f"give one from {low:g} to {high:g}",
        )
    if not low <= value <= high:
        raise InputError(
            field,
            f"its {part}, {value:g}, cannot be",
            f"give one from {low:g} to {high:g}",
        )


def _above_zero(field: str, part: str, value: float) -> None:
    if not isfinite(value):
        raise InputError(field, f"its {part} is not a number", "give one above zero")
    if value <= 0:
        raise InputError(
            field,
            f"its {part}, {value:g}, is not above zero",
            "give one above zero",
        )
