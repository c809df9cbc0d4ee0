"""When bottles are carbonated, at their best and past it, by how warm they stand and what was brewed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache

import numpy as np

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.science.conditioning import carbonation_days, days_at_20c
from gylebook.science.interval import Span
from gylebook.steps.warm_days import Track, track, yeast_kind

DAY = timedelta(days=1)
WEEK = timedelta(days=7)
_LONGEST = timedelta(days=180)  # where the cold stops it, an end has to be named
_STRONG_OG = 1.065
_LEAST_PACE = 1e-3


@dataclass(frozen=True, slots=True)
class Window:
    """When a kind of beer is at its best, counted from bottling [weeks], and why."""

    from_weeks: float
    to_weeks: float
    last_weeks: float
    because: str


@dataclass(frozen=True, slots=True)
class BottleTimes:
    """The dates of a bottled brew; each of `carbonated` is when nine tenths of the fizz is there."""

    bottled_at: datetime
    carbonated: tuple[datetime, datetime, datetime]
    cool_at: datetime
    best_from: datetime
    best_to: datetime
    drink_by: datetime
    window: Window


def bottle_times(brew: Brew, shelf: Shelf, og_sg: float, warmth: Track | None = None) -> BottleTimes | None:
    """The dates of a bottled brew; None before it is bottled."""
    bottled = brew.first(ev.Bottled)
    if bottled is None:
        return None
    warmth = warmth or track(brew, shelf)
    low, best, high = (_after(warmth, bottled.at, age) for age in _age_of(0.9))
    window = window_of(brew, og_sg)
    best_from = max(best, bottled.at + window.from_weeks * WEEK)
    best_to = max(bottled.at + window.to_weeks * WEEK, best_from + 2 * WEEK)
    return BottleTimes(
        bottled.at,
        (low, best, high),
        cool_at=max(best, bottled.at + 14 * DAY),
        best_from=best_from,
        best_to=best_to,
        drink_by=max(bottled.at + window.last_weeks * WEEK, best_to),
        window=window,
    )


def window_of(brew: Brew, og_sg: float) -> Window:
    """How long a beer of this make keeps its best: hops fade, strength keeps."""
    if brew.all(ev.Hopped):
        return Window(3, 8, 13, "dry hops fade")
    if og_sg >= _STRONG_OG:
        return Window(12, 52, 104, "strong beer ripens slowly and keeps")
    if yeast_kind(brew) == "wheat":
        return Window(2, 8, 26, "wheat beer is best young")
    return Window(4, 26, 52, "an ordinary beer")


@cache
def _age_of(share: float) -> Span:
    found = carbonation_days(share, 20.0)
    return Span(float(found.low), float(found.best), float(found.high))


def _after(warmth: Track, start: datetime, age_days: float) -> datetime:
    """When bottles have aged so many days, counted as if at 20 °C."""
    first = warmth.at_moment(start)
    later = [(at, temp) for at, temp in zip(warmth.at, warmth.temp_c, strict=True) if at > start]
    temps = np.clip(np.array([first, *(temp for _, temp in later)]), 0.0, 45.0)
    paces = [max(float(pace), _LEAST_PACE) for pace in np.atleast_1d(days_at_20c(1.0, temps))]
    moment, left = start, age_days
    for (at, _), pace in zip(later, paces[:-1], strict=True):
        done = (at - moment) / DAY * pace
        if done >= left:
            break
        moment, left = at, left - done
    else:
        return min(moment + DAY * (left / paces[-1]), start + _LONGEST)
    return min(moment + DAY * (left / pace), start + _LONGEST)
