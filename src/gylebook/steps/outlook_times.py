"""When: the next reading that would tell something, and when the beer should be at its end."""

from __future__ import annotations

from datetime import datetime, timedelta
from math import isfinite

from gylebook.forecast.answers import Story
from gylebook.phrases import say, say_amount
from gylebook.steps.answers import Basis, Given, MomentFigure
from gylebook.steps.chances import chance_words
from gylebook.steps.outlook_evidence import Told, is_odd
from gylebook.steps.outlook_facts import DAY, Facts
from gylebook.steps.outlook_figures import working_of
from gylebook.steps.outlook_gates import (
    LEAST_WARM_DAYS,
    WAKE_DAYS,
    Lack,
    Seen,
    hop_days_wanted,
    is_above,
    is_flat,
)
from gylebook.steps.stretch import SPACED_DAYS

FIRST_READING_WARM_DAYS = 6.0
_CONFIRM_DAYS = 3.0
_FIRST_AFTER_HOPS_DAYS = 2.0
_MOST_DAYS = 120.0  # beyond it a day says nothing
_STOPPED = (Story.HALTED, Story.HIGH, Story.BELOW)
_WARMED = say("Three days after it was warmed and roused: enough for a move to show.")


def next_reading(facts: Facts, seen: Seen | None, lacking: tuple[Lack, ...]) -> tuple[datetime | None, str]:
    """When a reading would tell something, to the hour, and why then; None where none is wanted."""
    at, why = _next(facts, seen, lacking)
    return (at.replace(minute=0, second=0, microsecond=0) + DAY / 24 if at is not None else None), why


def _next(facts: Facts, seen: Seen | None, lacking: tuple[Lack, ...]) -> tuple[datetime | None, str]:
    keys = {lack.key for lack in lacking}
    if facts.closed_at is not None:
        return None, say("The beer is primed or in bottles: open a bottle instead.")
    if seen is None or facts.pitched_at is None:
        return None, say("One reading of the stirred wort before the yeast goes in; none after that for some days.")
    if not lacking:
        return None, say("No further reading is needed: each one costs beer and lets air in.")
    if not facts.readings:
        at = facts.track.after_warm_days(facts.pitched_at, FIRST_READING_WARM_DAYS)
        return at, say("Early readings tell the pace, late ones the end; before then a reading would change nothing.")
    last = facts.readings[-1].at
    if "below_possible" in keys:
        return last + DAY, say("Repeat it degassed, after the hydrometer has been checked in water.")
    if keys & {"doubtful", "unexplained"} or is_odd(facts.readings[-1]) or facts.readings[-1].lightly:
        return last + DAY / 24, say("The last reading counts lightly: degas and repeat it.")
    if facts.reopened is not None and keys & {"fresh", "hops"}:
        return _after_reopening(facts, seen, keys)
    return _after_readings(facts, seen, keys)


def _after_reopening(facts: Facts, seen: Seen, keys: set[str]) -> tuple[datetime, str]:
    assert facts.reopened is not None
    begin, what = facts.reopened.at, facts.reopened.words
    if facts.reopened.by == "water":
        return begin + DAY, say("Stirred in and given a day, one reading tells what the water made of it.")
    if facts.reopened.by == "sugar":
        at = facts.track.after_warm_days(begin, _CONFIRM_DAYS)
        return at, say("The {what} needs some days to be eaten; earlier readings no longer tell the end.", what=what)
    gate = facts.track.after_warm_days(begin, hop_days_wanted(facts))
    if "fresh" in keys:
        first = min(begin + _FIRST_AFTER_HOPS_DAYS * DAY, gate)
        return first, say(
            "The first of two fresh readings; hops can wake the yeast, so those before them no longer count."
        )
    earliest = max(facts.fresh[-1].at + _CONFIRM_DAYS * DAY, gate)
    at, why = _forecast_day(facts, seen, earliest)
    return at, why or say("The second of two fresh readings since the hops, with days enough between them.")


def _after_readings(facts: Facts, seen: Seen, keys: set[str]) -> tuple[datetime, str]:
    assert facts.pitched_at is not None
    last = facts.readings[-1].at
    woken = max(last, facts.woken_at or last)
    if "cold" in keys and "falls" not in keys:
        words = say("Three days after it was warmed; a reading in the cold shows only the cold.")
        return woken + _CONFIRM_DAYS * DAY, words
    if is_above(facts) and is_flat(facts):
        return woken + _CONFIRM_DAYS * DAY, _WARMED
    earliest = max(last + DAY, facts.track.after_warm_days(facts.pitched_at, LEAST_WARM_DAYS))
    if "woken" in keys:
        earliest = max(earliest, facts.track.after_warm_days(woken, WAKE_DAYS))
    if "pair" in keys:
        earliest = max(earliest, (facts.fresh[-1].at if facts.fresh else last) + SPACED_DAYS * DAY)
    at, why = _forecast_day(facts, seen, earliest)
    return at, why or say("Spacing beats counting: three days apart says twice as much as a day and a half.")


def _forecast_day(facts: Facts, seen: Seen, earliest: datetime) -> tuple[datetime, str]:
    """The day on which a reading is likeliest worth its beer, not before the earliest that could count."""
    assert facts.pitched_at is not None
    found = seen.forecast.next_reading()
    fallback = max(earliest, facts.readings[-1].at + _CONFIRM_DAYS * DAY)
    if found.day is None:
        return fallback, ""
    at = facts.pitched_at + found.day * DAY
    if at >= earliest:
        return at, (
            say(
                "A flat reading then settles it with a chance of {chance}; sooner it would cost beer and tell less.",
                chance=chance_words(found.chance),
            )
        )
    day = (earliest - facts.pitched_at) / DAY
    later = [chance for each, chance in zip(found.days, found.chances, strict=True) if each >= day]
    chance = later[0] if later else found.chance
    return earliest, say(
        "Sooner it could not count; then it settles it with a chance of {chance}.",
        chance=chance_words(chance),
    )


def end_by(facts: Facts, seen: Seen | None, told: Told | None, lacking: tuple[Lack, ...]) -> MomentFigure | None:
    """When it should be within a point of its end; None where it is there, or has come to a halt."""
    keys = {lack.key for lack in lacking}
    if seen is None or told is None or not lacking or facts.closed_at is not None or "below_possible" in keys:
        return None
    spread = seen.forecast.end_day
    stopped = sum(seen.forecast.stories[story] for story in _STOPPED) > 0.5 and "falls" not in keys
    there = spread.q50 <= told.evidence.now_day and bool(facts.readings) and "falls" not in keys
    if stopped or there or "cold" in keys or not isfinite(spread.q75):
        return None
    high, interval = spread.q95, say("nine times in ten")
    if not isfinite(high) or high - told.evidence.now_day > _MOST_DAYS:
        high, interval = spread.q75, say("three times in four it is sooner than the last; it may come to a halt before")
    low, half_low, value, half_high, last = (
        told.pitched_at + timedelta(days=max(day, told.evidence.now_day if facts.readings else day))
        for day in (spread.q05, spread.q25, spread.q50, spread.q75, high)
    )
    working = working_of(seen, told, say("the day on which less than one point is left, by each course"))
    basis = Basis.MEASURED if facts.track.known else Basis.ASSUMED
    from_now = Given(
        say("temperature from now on"),
        say_amount(facts.track.temp_c[-1], 0, "°C"),
        basis,
        say("the last that is known or assumed"),
    )
    working = type(working)(
        working.relation, (*working.inputs, from_now), working.sources, working.steps, working.cautions
    )
    return MomentFigure("by", say("At its end by"), value, low, last, working, interval, half=(half_low, half_high))
