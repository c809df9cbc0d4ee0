"""The fan of gravities to come, in days of the calendar, for the chart."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from gylebook.steps.outlook import Outlook

_DAY = timedelta(days=1)
_POINTS = 48  # enough for a smooth line on any screen
_BEYOND_DAYS = 4.0  # past the next reading, so that its place in the fan can be seen
_MOST_DAYS = 60.0


@dataclass(frozen=True, slots=True)
class GravityFan:
    """True gravity over time: its middle, and the ends of the middle half and of the middle nine tenths."""

    at: tuple[datetime, ...]
    low: tuple[float, ...]
    half_low: tuple[float, ...]
    middle: tuple[float, ...]
    half_high: tuple[float, ...]
    high: tuple[float, ...]


def fan_of(found: Outlook, until: datetime | None = None) -> GravityFan | None:
    """The fan from pitching to some days past the next reading, or to `until`; None where there is no forecast."""
    if found.forecast is None or found.pitched_at is None or found.seen_at is None:
        return None
    last = until or max(found.seen_at, found.next_reading_at or found.seen_at) + _BEYOND_DAYS * _DAY
    span = min(max((last - found.pitched_at) / _DAY, 1.0), _MOST_DAYS)
    fan = found.forecast.fan(np.linspace(0.0, span, _POINTS))
    low, half_low, middle, half_high, high = (
        tuple(float(value) for value in line) for line in (fan.q05, fan.q25, fan.q50, fan.q75, fan.q95)
    )
    at = tuple(found.pitched_at + float(day) * _DAY for day in fan.day)
    return GravityFan(at, low, half_low, middle, half_high, high)
