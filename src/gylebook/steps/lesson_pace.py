"""How fast a finished brew went, against the general pace: from readings taken while it fell.

The forecast's own curve is turned round: each reading tells what share of the fall was done after how much thermal
time, and so the pace. Where the first reading found the beer all but done, only the least pace is known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from math import exp, hypot, log, sqrt
from statistics import NormalDist

import numpy as np

from gylebook.forecast.curve import Clock, Shape, thermal_at
from gylebook.forecast.evidence import Evidence, Known, Warmth
from gylebook.steps.learned import Told
from gylebook.steps.warm_days import DAY, Track

_GENERAL = Known()
_LEAST_DONE, _MOST_DONE = 0.10, 0.90  # beyond these a share says little of the time it took
_NEAR_LEAST_SD = 0.05  # of the share: no reading tells it better than the curve fits
_LEAST_THERMAL = 0.3
_TELLS_NOTHING = 3.0  # a spread of the logarithm that is no news
_STANDARD = NormalDist()


@dataclass(frozen=True, slots=True)
class Fall:
    """One reading of beer: days since the yeast went in, gravity and its own error."""

    day: float
    gravity_sg: float
    sd_sg: float


def log_pace(falls: Sequence[Fall], og_sg: float, end: Told, track: Track, pitched_at: datetime) -> Told | None:
    """Logarithm of the pace over the general one, with what the curve's shape leaves open; None without news."""
    depth = og_sg - end.value
    if not falls or depth <= 0.005:
        return None
    thermal = Clock(_warmth(track, pitched_at), np.array([f.day for f in falls])).thermal(_shapes().energy)
    done = [min(max((og_sg - f.gravity_sg) / depth, 0.001), 0.999) for f in falls]
    spread = [max(hypot(f.sd_sg, end.sd * share) / depth, _NEAR_LEAST_SD) for f, share in zip(falls, done, strict=True)]
    telling = [
        number
        for number, share in enumerate(done)
        if _LEAST_DONE <= share <= _MOST_DONE and thermal[number, 0] >= _LEAST_THERMAL
    ]
    if telling:
        return _measured([done[n] for n in telling], [spread[n] for n in telling], thermal[telling])
    late = next((n for n, share in enumerate(done) if share > _MOST_DONE), None)
    if late is None or thermal[late, 0] < _LEAST_THERMAL:
        return None
    least = np.log(_reached(_MOST_DONE) / thermal[late])
    return at_least(float(least[0]), _shape_sd(least), _GENERAL.pace_sd)


def _measured(done: list[float], spread: list[float], thermal: np.ndarray) -> Told:
    """Weighted mean over the readings, for the usual curve and for each way in which it may be otherwise."""
    logs = np.array([np.log(_reached(share) / row) for share, row in zip(done, thermal, strict=True)])
    errors = [
        abs(log(_reached(min(share + sd, 0.98))[0] / _reached(max(share - sd, 0.02))[0])) / 2
        for share, sd in zip(done, spread, strict=True)
    ]
    weights = np.array([1 / max(error, 0.02) ** 2 for error in errors])
    means = weights @ logs / weights.sum()
    return Told(float(means[0]), hypot(1 / sqrt(float(weights.sum())), _shape_sd(means)))


def at_least(bound: float, bound_sd: float, general_sd: float) -> Told | None:
    """What it says of a number, normal about nought, that it is no less than a bound known to some error.

    The general expectation cut off at the bound has a mean and a variance; the normal number that would move the
    general expectation to these is what was told. None where that is next to nothing.
    """
    wide = hypot(general_sd, bound_sd)
    at = bound / wide
    above = 1 - _STANDARD.cdf(at)
    if above < 1e-6:
        return None
    ratio = exp(-at * at / 2) / sqrt(2 * np.pi) / above
    gain = general_sd**2 / wide
    mean, variance = gain * ratio, general_sd**2 - gain**2 * ratio * (ratio - at)
    told = 1 / variance - 1 / general_sd**2
    if told <= 1 / (_TELLS_NOTHING * general_sd) ** 2:
        return None
    return Told(mean / variance / told, sqrt(1 / told))


@cache
def _shapes() -> Shape:
    """The usual curve at the usual pace first, then each of its other parameters a spread to one side and the other."""
    from gylebook.forecast.priors import families  # it brings much with it: only when asked for

    usual = families(Evidence((), 0.0))[0]
    draws = np.zeros((usual.size, 1 + 2 * (usual.size - 1)))
    for row in range(1, usual.size):
        draws[row, 2 * row - 1 : 2 * row + 1] = 1.0, -1.0
    return usual.draw(draws).shape


def _reached(done: float) -> np.ndarray:
    """Thermal time at the usual pace by which this share is done, for each of the curves."""
    shapes = _shapes()
    return thermal_at(shapes, np.full_like(shapes.pace, done))


def _shape_sd(logs: np.ndarray) -> float:
    return float(np.sqrt(np.sum((logs[1:] - logs[0]) ** 2) / 2))


def _warmth(track: Track, pitched_at: datetime) -> Warmth:
    cuts = [pitched_at, *(at for at in track.at if at > pitched_at)]
    return Warmth(
        tuple((at - pitched_at) / DAY for at in cuts), tuple(track.at_moment(at) for at in cuts), track.works_c
    )
