"""How far the priming sugar has gone in the bottle. Habit of the trade, put into a curve: no measured one was found.

The curve is 1 - exp(-(age/scale)^1.4) with age in days as if at 20 degC. At 20 degC it gives 58 % after 6 days, 90 %
after 12 and 99 % after 20, which is "one week for fizz, two to three weeks for beer"; the pace changes 3.7-fold
over ten degrees, so that 15 days at 13 degC count as 6 at 20. The interval is a scale 1.6 times shorter or longer,
which is taken to hold nine beers in ten, the scale being log-normal.

Ale yeast may stop in the cold, and goes on when it is warmed: none stops at 10 degC, a third of it at 8, all of it at
4. The trade says no more than "below 8 to 10 degC it may stall", and the straight line between is this book's.
"""

from __future__ import annotations

from functools import lru_cache
from math import erfc, log, sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gylebook.science._arrays import Numbers, fence, only_where
from gylebook.science.interval import Interval, Span

# Source: common_practice
_SHAPE: Final = 1.4
_SCALE_DAYS: Final = Span(6.61 / 1.6, 6.61, 6.61 * 1.6)
_PACE_PER_10C: Final = 3.7
_WARMEST_GAIN_C: Final = 30.0  # yeast gains nothing from more warmth
_STALL_C: Final = 10.0  # ale yeast may stop below
_STALLED_C: Final = 4.0  # and none is left working there
_LAGER_COLDER_C: Final = 7.0  # lager yeast works so much colder than ale yeast, and stops so much colder
_Z90: Final = 1.6449  # ends of the middle nine tenths of a normal, in standard deviations
PACE_SD: Final = log(1.6) / _Z90  # of the logarithm of the time that bottles take


def days_at_20c(days: ArrayLike, temp_c: ArrayLike) -> Numbers:
    """Days at a temperature, as if they had been spent at 20 degC; stretches of different warmth add up.

    Parameters
    ----------
    days : array_like, shape (...)
        Time in the bottle at that temperature [d].
    temp_c : array_like, shape (...)
        Temperature of the bottles [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Equivalent time [d].

    Range: 0 <= days <= 3650, 0 <= temp_c <= 45; NaN outside.
    Source: common_practice
    """
    time, inside_d = fence(days, 0.0, 3650.0)
    t, inside_t = fence(temp_c, 0.0, 45.0)
    pace = _PACE_PER_10C ** ((np.minimum(t, _WARMEST_GAIN_C) - 20.0) / 10.0)
    return only_where(inside_d & inside_t, time * pace)


def carbonation_fraction(days: ArrayLike, temp_c: ArrayLike) -> Interval:
    """Share of the priming sugar that has become carbon dioxide.

    Parameters
    ----------
    days : array_like, shape (...)
        Time in the bottle at that temperature [d].
    temp_c : array_like, shape (...)
        Temperature of the bottles [degC].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Share done; the lowest is 0 below 10 degC, where ale yeast may stop [1].

    Range: 0 <= days <= 3650, 0 <= temp_c <= 45; NaN outside.
    Source: common_practice
    """
    age = days_at_20c(days, temp_c)
    fast, best, slow = (1.0 - np.exp(-((age / scale) ** _SHAPE)) for scale in _SCALE_DAYS)
    stalled = np.asarray(temp_c, dtype=np.float64) < _STALL_C
    return Interval(only_where(~np.isnan(age), np.where(stalled, 0.0, slow)), best, fast)


def carbonation_days(fraction: ArrayLike, temp_c: ArrayLike) -> Interval:
    """Days until a share of the priming sugar has become carbon dioxide.

    Parameters
    ----------
    fraction : array_like, shape (...)
        Share waited for [1].
    temp_c : array_like, shape (...)
        Temperature of the bottles [degC].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Time; the longest is infinite below 10 degC, where ale yeast may stop [d].

    Range: 0 <= fraction <= 0.999, 0 <= temp_c <= 45; NaN outside.
    Source: common_practice
    """
    share, inside = fence(fraction, 0.0, 0.999)
    age = (-np.log1p(-share)) ** (1.0 / _SHAPE) / days_at_20c(1.0, temp_c)
    fast, best, slow = (only_where(inside, age * scale) for scale in _SCALE_DAYS)
    stalled = inside & (np.asarray(temp_c, dtype=np.float64) < _STALL_C)
    return Interval(fast, best, only_where(~np.isnan(slow), np.where(stalled, np.inf, slow)))


def chance_carbonated(fraction: ArrayLike, age_days: ArrayLike) -> Numbers:
    """Chance that a share of the priming sugar has become carbon dioxide by an age; the pace of bottles is log-normal.

    Parameters
    ----------
    fraction : array_like, shape (...)
        Share waited for [1].
    age_days : array_like, shape (...)
        Time in the bottle, counted as if at 20 degC [d].

    Returns
    -------
    float or ndarray, shape (...)
        Probability [1].

    Range: 0 < fraction <= 0.999, 0 <= age_days <= 3650; NaN outside.
    Source: common_practice
    """
    share, inside_s = fence(fraction, 1e-9, 0.999)
    age, inside_a = fence(age_days, 0.0, 3650.0)
    wanted = _SCALE_DAYS.best * (-np.log1p(-share)) ** (1.0 / _SHAPE)
    z = np.log(np.maximum(age, 1e-12) / wanted) / PACE_SD
    places, levels = _normal_table()
    return only_where(inside_s & inside_a, np.interp(z, places, levels))


def stall_temp_c(level: ArrayLike, *, lager: bool = False) -> Numbers:
    """Temperature at which so many of a hundred yeasts, the hardiest first, have stopped working in the cold.

    Parameters
    ----------
    level : array_like, shape (...)
        Share of yeasts that stop at that temperature or at a lower one [1].
    lager : bool
        Whether it is lager yeast, which stops seven degrees colder [1].

    Returns
    -------
    float or ndarray, shape (...)
        Temperature at and below which it stands still [degC].

    Range: 0 <= level <= 1; NaN outside.
    Source: common_practice
    """
    share, inside = fence(level, 0.0, 1.0)
    colder = _LAGER_COLDER_C if lager else 0.0
    return only_where(inside, _STALLED_C - colder + share * (_STALL_C - _STALLED_C))


@lru_cache(maxsize=1)
def _normal_table() -> tuple[Numbers, Numbers]:
    """Places of the normal law and their levels, within 0.000 001 between. SciPy wants a tenth of a second to start."""
    places = np.linspace(-6.5, 6.5, 2601)
    return places, np.array([erfc(-z / sqrt(2.0)) / 2.0 for z in places])
