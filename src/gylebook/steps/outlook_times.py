"""When: the next reading that would tell something, and when the beer should be at its end."""

from __future__ import annotations

from datetime import datetime
from math import log

from gylebook.steps.answers import Basis, Given, MomentFigure, Working
from gylebook.steps.outlook_facts import DAY, Facts
from gylebook.steps.outlook_rule import (
    LEAST_WARM_DAYS,
    RULE,
    TAIL_FAST,
    TAIL_PER_WARM_DAY,
    TAIL_SLOW,
    Lack,
    Reckoned,
    hop_days_wanted,
    is_above,
)
from gylebook.units import show

FIRST_READING_WARM_DAYS = 6.0
_CONFIRM_DAYS = 3.0
_REPEAT_DAYS = 2.0
_END_POINTS = 0.5
_NEAR_END_POINTS = 1.0
_LEAST_WAIT_DAYS, _MOST_WAIT_DAYS = 2.0, 7.0
_FIRST_AFTER_HOPS_DAYS = 2.0
_END_WARM_DAYS = (5.0, 7.0, 12.0)


def next_reading(facts: Facts, lacking: tuple[Lack, ...]) -> tuple[datetime | None, str]:
    """When a reading would tell something, to the hour, and why then; None where none is wanted."""
    at, why = _next(facts, lacking)
    return (at.replace(minute=0, second=0, microsecond=0) + DAY / 24 if at is not None else None), why


def _next(facts: Facts, lacking: tuple[Lack, ...]) -> tuple[datetime | None, str]:
    keys = {lack.key for lack in lacking}
    if facts.closed_at is not None:
        return None, "The beer is primed or in bottles: open a bottle instead."
    if facts.pitched_at is None:
        return None, "One reading of the stirred wort before the yeast goes in; none after that for some days."
    if not lacking:
        return None, "No further reading is needed: each one costs beer and lets air in."
    if not facts.readings:
        at = facts.track.after_warm_days(facts.pitched_at, FIRST_READING_WARM_DAYS)
        return at, "Early readings tell the pace, late ones the end; before then a reading would change nothing."
    last = facts.readings[-1].at
    if "below_possible" in keys:
        return last + DAY, "Repeat it degassed, after the hydrometer has been checked in water."
    if facts.reopened is not None and keys & {"fresh", "hops", "pair"}:
        return _after_reopening(facts, keys)
    return _after_readings(facts, keys, last)


def _after_reopening(facts: Facts, keys: set[str]) -> tuple[datetime | None, str]:
    assert facts.reopened is not None
    if facts.reopened.by != "hops":
        if "fresh" in keys:
            at = facts.track.after_warm_days(facts.reopened.at, _CONFIRM_DAYS)
            return (
                at,
                f"The {facts.reopened.words} needs some days to be eaten; earlier readings no longer tell the end.",
            )
        return facts.fresh[-1].at + _CONFIRM_DAYS * DAY, _SPACED
    gate = facts.track.after_warm_days(facts.reopened.at, hop_days_wanted(facts))
    if not facts.fresh:
        first = min(facts.reopened.at + _FIRST_AFTER_HOPS_DAYS * DAY, gate)
        return first, "The first of two fresh readings; hops can wake the yeast, so those before them no longer count."
    at = max(facts.fresh[-1].at + _CONFIRM_DAYS * DAY, gate)
    return at, "The second of two fresh readings since the hops, with days enough between them."


_SPACED = "Spacing beats counting: three days apart says twice as much as a day and a half."


def _after_waking(facts: Facts, last: datetime) -> datetime:
    """Days enough for a move to show, from the last reading or from when it was roused since."""
    return max(last, facts.woken_at or last) + _CONFIRM_DAYS * DAY


def _after_readings(facts: Facts, keys: set[str], last: datetime) -> tuple[datetime, str]:
    now = facts.now_points
    assert now is not None
    assert facts.pitched_at is not None
    if facts.readings[-1].lightly:
        return last + DAY / 24, "The last reading counts lightly: degas and repeat it."
    early = facts.track.after_warm_days(facts.pitched_at, LEAST_WARM_DAYS)
    if "cold" in keys and "falls" not in keys:
        return _after_waking(facts, last), "Three days after it was warmed; a reading in the cold shows only the cold."
    if is_above(facts) or "falls" in keys:
        if "falls" not in keys and facts.line is not None and facts.line.firm_span_days >= _REPEAT_DAYS:
            return _after_waking(facts, last), "Three days after it was warmed and roused: enough for a move to show."
        over = max(now[0] - facts.end_points[0], _NEAR_END_POINTS * 1.5)
        warm = log(over / _NEAR_END_POINTS) / TAIL_PER_WARM_DAY
        wait = (facts.track.after_warm_days(last, warm) - last) / DAY
        at = last + min(max(wait, _LEAST_WAIT_DAYS), _MOST_WAIT_DAYS) * DAY
        return max(at, early), "By then it should be near its end; before that a reading would only show that it falls."
    if "pair" in keys:
        return max(last + _CONFIRM_DAYS * DAY, early), _SPACED
    return max(last + _REPEAT_DAYS * DAY, early), "One more lengthens the stretch, which is what is still lacking."


def end_by(facts: Facts, reckoned: Reckoned, lacking: tuple[Lack, ...]) -> MomentFigure | None:
    """When it should be within half a point of its end; None where it is there, or has come to a halt."""
    keys = {lack.key for lack in lacking}
    if facts.pitched_at is None or not lacking or facts.closed_at is not None or "below_possible" in keys:
        return None
    if not facts.readings:
        days = _END_WARM_DAYS
        low, value, high = (facts.track.after_warm_days(facts.pitched_at, d) for d in days)
        steps = (f"{days[0]:g} to {days[2]:g} days in the warmth from pitching",)
        return _moment(facts, value, low, high, steps)
    halted = is_above(facts) and "falls" not in keys and facts.line is not None and facts.line.firm_span_days >= 2.0
    if halted or "cold" in keys:
        return None
    last, left = facts.readings[-1].at, reckoned.left
    if left.middle <= _END_POINTS and "falls" not in keys:
        return None
    low, value, high = (
        facts.track.after_warm_days(last, log(max(points / _END_POINTS, 1.0)) / pace)
        for points, pace in ((left.low, TAIL_FAST), (left.middle, TAIL_PER_WARM_DAY), (left.high, TAIL_SLOW))
    )
    steps = (f"{show(left.middle, 1)} points left; in a warm day {100 * TAIL_PER_WARM_DAY:.0f} % of the rest goes",)
    return _moment(facts, value, low, high, steps)


def _moment(facts: Facts, value: datetime, low: datetime, high: datetime, steps: tuple[str, ...]) -> MomentFigure:
    basis = Basis.MEASURED if facts.track.known else Basis.ASSUMED
    warmth = f"{show(facts.track.temp_c[-1], 0)} °C"
    working = Working(
        "time for the rest to fall to half a point, counted in warm days",
        (Given("temperature from now on", warmth, basis, "the last that is known or assumed"),),
        ("common_practice",),
        steps,
        (RULE,),
    )
    return MomentFigure("by", "At its end by", value, low, high, working)
