"""Time counted by its warmth: a day at 20 °C is one warm day, a day at 15 °C little more than half of one.

A rule of the trade put as a curve: ale at 14 to 16 °C takes about twice as long as at 20 °C, which is a threefold
pace for ten degrees. Above 25 °C nothing more is credited, and below 4 °C nothing at all. Lager yeast works seven
degrees colder.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import accumulate, pairwise

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.steps.once import once
from gylebook.steps.warmth import BEER, PLACE, Warm, celsius, log

DAY = timedelta(days=1)
_PACE_OF_TEN_DEGREES = 3.0
_SLOWEST_PACE = 0.1  # so that a wait in the cold has an end
_LIKELY_C = 19.0  # an ordinary room and a quiet vessel, where nothing was written
_ABOVE_ROOM_C = 0.5
_HOLDS = timedelta(days=3)
_LONG_AGO = datetime(2000, 1, 1, tzinfo=UTC)
_MANY = 20  # steps: more of them are summed up beforehand
_NEAR = timedelta(days=1)  # the beer's own reading outweighs the room's within a day
_WORKS_AT_C = {"ale": 20.0, "wheat": 20.0, "lager": 13.0}
_TOO_COLD_C = {"ale": 16.5, "wheat": 16.5, "lager": 8.0}


@dataclass(frozen=True, slots=True)
class Track:
    """The beer's temperature as steps: each holds from its moment to the next; `known` is False where it is assumed."""

    at: tuple[datetime, ...]
    temp_c: tuple[float, ...]
    known: bool
    yeast: str
    # Degree days from the first step to each: a long mean of many steps is then one difference.
    _heat: tuple[float, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        steps = zip(pairwise(self.at), self.temp_c, strict=False)
        heat = accumulate((((b - a) / DAY * temp) for (a, b), temp in steps), initial=0.0)
        object.__setattr__(self, "_heat", tuple(heat))

    def at_moment(self, moment: datetime) -> float:
        """The temperature then."""
        return self.temp_c[max(0, bisect_right(self.at, moment) - 1)]

    def warm_days(self, start: datetime, end: datetime) -> float:
        """Days from start to end, each counted by its warmth."""
        return sum(((b - a) / DAY) * self.pace(temp) for a, b, temp in self._pieces(start, end))

    def mean_c(self, start: datetime, end: datetime) -> float:
        """Mean temperature from start to end."""
        if bisect_left(self.at, end) - bisect_right(self.at, start) > _MANY:
            return (self._heat_at(end) - self._heat_at(start)) / ((end - start) / DAY)
        pieces = self._pieces(start, end)
        total = sum((b - a) / DAY for a, b, _ in pieces)
        if total <= 0:
            return self.at_moment(end)
        return sum((b - a) / DAY * temp for a, b, temp in pieces) / total

    def _heat_at(self, moment: datetime) -> float:
        step = max(0, bisect_right(self.at, moment) - 1)
        return self._heat[step] + (moment - self.at[step]) / DAY * self.temp_c[step]

    def pace(self, temp_c: float) -> float:
        """How much of a warm day one day at this temperature is."""
        works = _WORKS_AT_C.get(self.yeast, 20.0)
        if temp_c < works - 16.0:
            return 0.0
        return float(_PACE_OF_TEN_DEGREES ** ((min(temp_c, works + 5.0) - works) / 10.0))

    def after_warm_days(self, start: datetime, days: float) -> datetime:
        """When so many warm days have passed since start; the last known temperature goes on from there."""
        moment, left = start, days
        if left <= 0:
            return start
        for when in (*(w for w in self.at if w > start), None):
            pace = self.pace(self.at_moment(moment))
            if when is None:
                return moment + DAY * (left / max(pace, _SLOWEST_PACE))
            done = (when - moment) / DAY * pace
            if done >= left:
                return moment + DAY * (left / pace)
            moment, left = when, left - done
        return moment

    @property
    def too_cold_c(self) -> float:
        """Below this the yeast may have gone to sleep."""
        return _TOO_COLD_C.get(self.yeast, 16.5)

    @property
    def works_c(self) -> float:
        """Where this yeast works at its usual pace."""
        return _WORKS_AT_C.get(self.yeast, 20.0)

    def _pieces(self, start: datetime, end: datetime) -> list[tuple[datetime, datetime, float]]:
        if end <= start:
            return []
        first, last = bisect_right(self.at, start), bisect_left(self.at, end)
        cuts = (start, *self.at[first:last], end)
        return [(a, b, self.at_moment(a)) for a, b in pairwise(cuts)]


@once
def track(brew: Brew, shelf: Shelf) -> Track:
    """The temperature of the brew's beer through its life, from the log and the places it stood in.

    A reading of the beer holds for three days, one at mixing or pitching for one day; after that the room's or the
    place's temperature counts again, or an ordinary room's where neither is known.
    """
    entries = log(brew, shelf)
    started = {k.seq for k in brew.kept if isinstance(k.event, ev.Mixed | ev.Pitched)}
    steps: list[tuple[datetime, float]] = []
    around = likely = _likely_c(brew)
    beer_at: datetime | None = None
    for number, warm in enumerate(entries):
        if warm.of == BEER:
            beer_at = warm.at
            steps.append((warm.at, warm.temp_c))
            back = warm.at + (DAY if warm.seq in started else _HOLDS)
            if number + 1 == len(entries) or entries[number + 1].at > back:
                steps.append((back, around))
            continue
        around = warm.temp_c + _ABOVE_ROOM_C
        if beer_at is None or warm.at - beer_at > _NEAR or (warm.of == PLACE and warm.at > beer_at):
            steps.append((warm.at, around))
    if not steps:
        steps = [(brew.kept[0].at if brew.kept else _LONG_AGO, likely)]
    return Track(tuple(at for at, _ in steps), tuple(temp for _, temp in steps), bool(entries), yeast_kind(brew))


def yeast_kind(brew: Brew) -> str:
    """Ale, lager, wheat or other: as pitched, else as the leaflet says, else ale."""
    pitched = brew.last(ev.Pitched)
    if pitched is not None and pitched.event.kind:
        return pitched.event.kind
    kit = brew.plan.kit
    return kit.yeast_kind if kit is not None and kit.yeast_kind else "ale"


def coldest(entries: Sequence[Warm], start: datetime, end: datetime) -> Warm | None:
    """The coldest entry written between two moments; None where there is none."""
    return min((w for w in entries if start <= w.at <= end), key=lambda w: w.low_c, default=None)


def _likely_c(brew: Brew) -> float:
    kit = brew.plan.kit
    if kit is not None and kit.temp_from is not None and kit.temp_to is not None:
        return (celsius(kit.temp_from) + celsius(kit.temp_to)) / 2
    return _LIKELY_C
