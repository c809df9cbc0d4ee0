"""How warm bottles stood since they were filled, and will stand: a likely temperature for each stretch, and its doubt.

A reading holds where it was made and fades over weeks into what is usual for the place in that month. How far the mean
of a place strays from the middle of its range is not known either, so that every stretch has a standard deviation.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.steps import warmth
from gylebook.steps.once import once
from gylebook.steps.place_months import usual_of
from gylebook.steps.warm_days import track, yeast_kind

DAY = timedelta(days=1)
LOOKED_AHEAD_DAYS = 400  # past the last entry: every month of the place once, and what it is waited for
_DAILY = 60
# Habit, all of it: what the mean of a place strays from the middle of its stated range, nine times in ten by less than
# a quarter of the range; where nothing is stated an ordinary room of 16 to 24 °C; a kitchen thermometer.
_Z90 = 1.645
_OF_RANGE = 0.25
_OF_GUESS = 0.5  # where the range itself is guessed from the place's name
_LEAST_SD_C = 1.0
_ROOM_SD_C = 4.0 / _Z90
_READ_SD_C = 0.5
_FADES_DAYS = 14.0
_SETTLED = 4 * DAY  # after filling, the beer's own temperature in the vessel tells nothing more


@dataclass(frozen=True, slots=True)
class Stood:
    """Stretches from the filling on. `edges` has one value more than the others.

    Parameters
    ----------
    start
        When the first bottles were filled.
    edges
        Ends of the stretches [d since start].
    temp_c, sd_c
        The likely temperature of each, and the standard deviation of its doubt [°C].
    lager
        Whether the yeast is one that works in the cold.
    """

    start: datetime
    edges: NDArray[np.float64]
    temp_c: NDArray[np.float64]
    sd_c: NDArray[np.float64]
    lager: bool = False


@once
def stood(brew: Brew, shelf: Shelf) -> Stood | None:
    """How warm the bottles of a brew stood, and will where they stand now; None before they were filled."""
    bottled = brew.first(ev.Bottled)
    if bottled is None:
        return None
    start = bottled.at
    stays = [(start, warmth.place_at(brew, start))]
    stays += [(k.at, k.event.place) for k in brew.all(ev.Moved) if k.at > start]
    read = [w for w in warmth.log(brew, shelf) if w.of != warmth.PLACE and w.at > start]
    cuts = [(at - start) / DAY for at in (*(at for at, _ in stays[1:]), *(w.at for w in read))]
    edges = _edges(cuts, _of_weather(shelf, stays))
    usual = _Usual(shelf, track(brew, shelf).at_moment(start + _SETTLED))
    middles = (edges[:-1] + edges[1:]) / 2
    found = [_at(start + day * DAY, stays, read, usual) for day in middles.tolist()]
    temps, sds = np.array([each[0] for each in found]), np.array([each[1] for each in found])
    for array in (edges, temps, sds):
        array.setflags(write=False)
    return Stood(start, edges, temps, sds, yeast_kind(brew) == "lager")


def _of_weather(shelf: Shelf, stays: list[tuple[datetime, str]]) -> list[float]:
    """First and last days of warm or frosty weather that was written for where they stand [d since the filling]."""
    start = stays[0][0]
    spells = [each for _, place in stays for each in warmth.spells_of(shelf, place, start.date())]
    return [float((day - start.date()).days) for each in spells for day in (each.from_on, each.to_on + DAY)]


def _edges(cuts: list[float], weather: list[float]) -> NDArray[np.float64]:
    """Days at first, weeks later; every move, reading and change of the weather begins a stretch of its own."""
    last = int(max(cuts, default=0.0)) + LOOKED_AHEAD_DAYS
    whole = [*range(_DAILY), *range(_DAILY, last + 7, 7)]
    return np.unique(np.array([*whole, *cuts, *(day for day in weather if 0 < day < last)], dtype=np.float64))


class _Usual:
    """What is usual at a place on a day: the middle of its range and the doubt, or of an ordinary room."""

    def __init__(self, shelf: Shelf, elsewhere_c: float) -> None:
        self._shelf, self._elsewhere_c = shelf, elsewhere_c
        self._known: dict[tuple[str, int], tuple[float, float] | None] = {}

    def at(self, place: str, moment: datetime, last: warmth.Warm | None) -> tuple[float, float]:
        """Middle and standard deviation; of a place of which nothing tells, as it was read last or stood before."""
        found = self._of_place(place, moment)
        if found is not None:
            return found
        return (self._elsewhere_c if last is None else last.temp_c), _ROOM_SD_C

    def _of_place(self, place: str, moment: datetime) -> tuple[float, float] | None:
        if self._shelf.spells:
            return self._ranged(place, moment.month, moment.date())
        key = (place, moment.month)
        if key not in self._known:
            self._known[key] = self._ranged(place, moment.month, None)
        return self._known[key]

    def _ranged(self, place: str, month: int, on: date | None) -> tuple[float, float] | None:
        span, part = warmth.place_range_c(self._shelf, place, month, on), _OF_RANGE
        if span is None:
            if not usual_of(place).word:
                return None
            span, part = warmth.usual_range_c(self._shelf, place, month), _OF_GUESS
        low, high = span
        return (low + high) / 2, max(_LEAST_SD_C, part * (high - low) / _Z90)


def _at(
    moment: datetime, stays: list[tuple[datetime, str]], read: list[warmth.Warm], usual: _Usual
) -> tuple[float, float]:
    """The likely temperature at a moment and its standard deviation [°C]."""
    since, place = stays[max(0, bisect_right(stays, moment, key=lambda stay: stay[0]) - 1)]
    number = bisect_right(read, moment, key=lambda warm: warm.at)
    last = read[number - 1] if number and read[number - 1].at >= since else None
    middle, doubt = usual.at(place, moment, last)
    if last is None:
        return middle, doubt
    then, _ = usual.at(place, last.at, last)
    holds = float(np.exp(-((moment - last.at) / DAY) / _FADES_DAYS))
    sd = np.hypot(_READ_SD_C * holds, doubt * np.sqrt(1.0 - holds**2))
    return middle + (last.temp_c - then) * holds, float(sd)
