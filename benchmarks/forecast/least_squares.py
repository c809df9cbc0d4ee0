"""A logistic curve fitted to the readings by least squares: the spreadsheet's forecast of the final gravity."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from gylebook.forecast.evidence import Reading

FEWEST_READINGS: Final = 4  # as many as the curve has parameters; the wort's reading counts
LOWEST_SG: Final = 0.980
LEAST_FALL_SG: Final = 0.001

# Bounds of original gravity, drop, day of the middle, rate [1/d].
_LOW: Final = np.array([1.000, 0.0, -2.0, 0.05])
_HIGH: Final = np.array([1.150, 0.150, 40.0, 15.0])
_RATES: Final = (0.6, 2.0)  # a slow and a quick start; the better fit counts
_SCALE: Final = np.array([0.01, 0.01, 1.0, 1.0])


def final_gravity(readings: Sequence[Reading]) -> float | None:
    """The level that the curve runs to, or None with too few readings or where no fit is usable.

    Not usable: no convergence, no fall to follow, a final gravity below `LOWEST_SG`, or a curve whose middle or rate
    lies on its bound, for then nothing in the readings holds the level.
    """
    if len(readings) < FEWEST_READINGS:
        return None
    day = np.array([each.day for each in readings])
    gravity = np.array([each.gravity_sg for each in readings])
    if np.ptp(gravity) < LEAST_FALL_SG:
        return None
    fits = [each for rate in _RATES if (each := _fit(day, gravity, rate)) is not None]
    if not fits:
        return None
    _, found = min(fits, key=lambda each: each[0])
    final = float(found[0] - found[1])
    held = np.all((found[2:] > _LOW[2:] + 1e-6) & (found[2:] < _HIGH[2:] - 1e-6))
    return final if held and final >= LOWEST_SG else None


def curve(day: NDArray[np.float64], parameters: NDArray[np.float64]) -> NDArray[np.float64]:
    """Gravity by day: original gravity, drop, day of the middle, rate."""
    original, drop, middle, rate = parameters
    fallen: NDArray[np.float64] = original - drop / (1.0 + np.exp(np.clip(-rate * (day - middle), -500.0, 500.0)))
    return fallen


def _fit(
    day: NDArray[np.float64], gravity: NDArray[np.float64], rate: float
) -> tuple[float, NDArray[np.float64]] | None:
    drop = max(float(np.ptp(gravity)), 0.005)
    half = gravity.max() - drop / 2.0
    middle = float(day[np.argmin(np.abs(gravity - half))])
    start = np.clip([gravity.max(), drop, max(middle, 0.5), rate], _LOW + 1e-6, _HIGH - 1e-6)
    found = least_squares(
        lambda parameters: (curve(day, parameters) - gravity) / 0.001,
        start,
        bounds=(_LOW, _HIGH),
        x_scale=_SCALE,
        max_nfev=200,
    )
    if not found.success or not np.all(np.isfinite(found.x)):
        return None
    return float(found.cost), np.asarray(found.x, dtype=np.float64)
