"""Ticks of a chart: days and hours in the brewer's own zone, gravities in round steps."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta, tzinfo

from gylebook.phrases import say
from gylebook.steps.moments import MONTHS, SHORT_DAYS

HOUR_STEPS = (1, 2, 3, 6, 12)
DAY_STEPS = (1, 2, 3, 4, 7, 14, 28, 56, 112, 365)
GRAVITY_STEPS = {"SG": (0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1), "°P": (0.5, 1.0, 2.0, 5.0, 10.0, 20.0)}


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark on an axis: where, and what stands there."""

    at: datetime
    words: str


def time_ticks(first: datetime, last: datetime, zone: tzinfo, most: int) -> list[Tick]:
    """At most `most` ticks between two moments: whole hours for a short span, local midnights for a longer one."""
    hours = (last - first).total_seconds() / 3600
    for step in HOUR_STEPS:
        if hours / step <= most - 1:
            return _hour_ticks(first, last, zone, step)
    for step in DAY_STEPS:
        if hours / 24 / step <= most - 1:
            return _day_ticks(first, last, zone, step)
    return _day_ticks(first, last, zone, math.ceil(hours / 24 / max(most - 1, 1)))


def _local(day: datetime, hours: int, zone: tzinfo) -> datetime:
    """A wall-clock hour of a local day, as a moment; a day's clock may jump, so the wall clock is what counts."""
    wall = datetime.combine(day.date(), time()) + timedelta(hours=hours)
    return wall.replace(tzinfo=zone).astimezone(UTC)


def _hour_ticks(first: datetime, last: datetime, zone: tzinfo, step: int) -> list[Tick]:
    start, days = first.astimezone(zone), (last - first).days + 2
    moments = {_local(start, hour, zone) for hour in range(0, 24 * days, step)}
    ticks = []
    for at in sorted(m for m in moments if first <= m <= last):
        local = at.astimezone(zone)
        ticks.append(
            Tick(
                at,
                say("{weekday} {day}", weekday=SHORT_DAYS[local.weekday()], day=local.day)
                if local.hour == 0
                else f"{local.hour:02}:00",
            )
        )
    return ticks


def _day_ticks(first: datetime, last: datetime, zone: tzinfo, step: int) -> list[Tick]:
    start = first.astimezone(zone)
    ticks: list[Tick] = []
    month = 0
    for number in range(0, (last - first).days + 2 + step, step):
        at = _local(start, 24 * number, zone)
        if not first <= at <= last:
            continue
        local = at.astimezone(zone)
        words = (
            str(local.day)
            if local.month == month
            else say("{day} {month}", day=local.day, month=MONTHS[local.month - 1])
        )
        month = local.month
        ticks.append(Tick(at, words))
    return ticks


def count_ticks(first: datetime, last: datetime, start: datetime, most: int) -> list[Tick]:
    """At most `most` ticks at whole days since a start: "day 0", then the bare numbers."""
    day = timedelta(days=1)
    span = max((last - first) / day, 1.0)
    step = next((step for step in DAY_STEPS if span / step <= most - 1), math.ceil(span / max(most - 1, 1)))
    number = math.ceil((first - start) / day / step - 1e-9) * step
    ticks: list[Tick] = []
    while start + number * day <= last:
        ticks.append(Tick(start + number * day, str(number) if ticks else say("day {number}", number=number)))
        number += step
    return ticks


def gravity_ticks(low: float, high: float, scale: str, most: int = 6) -> list[float]:
    """Round gravities between two, at most `most`."""
    steps = GRAVITY_STEPS[scale]
    step = next((step for step in steps if (high - low) / step <= most), steps[-1])
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [round(number * step, 6) for number in range(first, last + 1)]
