"""The last stretch of readings: how fast gravity still falls, and how level it lies.

Plain arithmetic on days and gravity points; a point is 0.001 of specific gravity. Spacing beats counting: with
readings good to 0.7 of a point, two of them a day apart leave a slope good to one point a day, four days apart to a
quarter of a point a day.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

SPACED_DAYS = 2.0  # two readings closer than this say little about a slope
LIGHT = 3.0  # a reading that counts lightly has its spread multiplied by this
SHARED_SD_POINTS = 0.4  # the error that all readings of one glass share: averaging does not lessen it
SLOWEST_FALL = 0.25  # points a day; a slower tail has half a point left
_LEVEL_WITHIN_SD = 1.5  # readings no farther from their mean than this are taken as one level
_HALF_90 = 1.645
_NOTHING_KNOWN = 1e6  # standard error of a slope through readings of one moment


@dataclass(frozen=True, slots=True)
class Point:
    """One reading: days since the first of them, gravity points, spread, and whether it counts in full."""

    days: float
    points: float
    sd: float
    firm: bool
    seq: int


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line through a stretch of readings, weighted by how good each is.

    Parameters
    ----------
    slope, slope_se
        Points a day (negative while it falls), and the standard error of that.
    level, level_sd
        Weighted mean of the readings, in points, and its spread with the error that they share.
    span_days, firm_span_days
        From first to last; and from the first to the last of those that count in full.
    """

    slope: float
    slope_se: float
    level: float
    level_sd: float
    span_days: float
    firm_span_days: float
    count: int

    @property
    def falls(self) -> bool:
        """Whether it falls by more than the readings' own errors would show, and fast enough to matter."""
        return -self.slope > _HALF_90 * self.slope_se and -self.slope > SLOWEST_FALL


def mean_of(points: Sequence[Point]) -> float:
    """Weighted mean of the readings, in points."""
    weights = [1 / p.sd**2 for p in points]
    return sum(w * p.points for w, p in zip(weights, points, strict=True)) / sum(weights)


def level_stretch(points: Sequence[Point]) -> tuple[Point, ...]:
    """The longest run of latest readings that differ by no more than their own errors would make them."""
    weight = total = 0.0
    floor, ceiling = float("-inf"), float("inf")
    start = len(points)
    for number in range(len(points) - 1, -1, -1):
        p = points[number]
        weight, total = weight + 1 / p.sd**2, total + p.points / p.sd**2
        floor = max(floor, p.points - _LEVEL_WITHIN_SD * p.sd)
        ceiling = min(ceiling, p.points + _LEVEL_WITHIN_SD * p.sd)
        if not floor <= total / weight <= ceiling:
            break
        start = number
    return tuple(points[start:])


def last_stretch(points: Sequence[Point]) -> tuple[Point, ...]:
    """The readings that tell the present slope: the level run if it is long enough, else the last two days."""
    run = level_stretch(points)
    start = len(points) - len(run)
    while run and start > 0 and points[-1].days - points[start].days < SPACED_DAYS:
        start -= 1
    return tuple(points[start:])


def line_through(points: Sequence[Point]) -> Line | None:
    """Weighted least squares through the readings; None for fewer than two moments."""
    if len(points) < 2 or points[-1].days - points[0].days <= 0:
        return None
    weights = [1 / p.sd**2 for p in points]
    level = mean_of(points)
    slope, slope_se = _slope([p.days for p in points], points, weights, level)
    firm = [p.days for p in points if p.firm]
    return Line(
        slope=slope,
        slope_se=slope_se,
        level=level,
        level_sd=sqrt(1 / sum(weights) + SHARED_SD_POINTS**2),
        span_days=points[-1].days - points[0].days,
        firm_span_days=firm[-1] - firm[0] if firm else 0.0,
        count=len(points),
    )


def _slope(days: list[float], points: Sequence[Point], weights: list[float], level: float) -> tuple[float, float]:
    mean = sum(w * d for w, d in zip(weights, days, strict=True)) / sum(weights)
    spread = sum(w * (d - mean) ** 2 for w, d in zip(weights, days, strict=True))
    lean = sum(w * (d - mean) * (p.points - level) for w, d, p in zip(weights, days, points, strict=True))
    if spread < 1e-9:
        return 0.0, _NOTHING_KNOWN
    return lean / spread, 1 / sqrt(spread)
