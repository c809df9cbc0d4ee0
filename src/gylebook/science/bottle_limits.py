"""The bottle sum turned round: how warm, how fizzy, and what one lift of the cap lets out."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from gylebook.science._arrays import Numbers, fence, only_where
from gylebook.science.carbon_dioxide import ATMOSPHERE_BAR, CO2_G_PER_L_PER_VOLUME, KELVIN, gas_density_g_per_l
from gylebook.science.carbonation import (
    equilibrium_volumes_interval,
    gauge_pressure_bar,
    gauge_pressure_interval_bar,
)
from gylebook.science.interval import Interval

_COLDEST_C, _WARMEST_C = 0.0, 50.0
_PARTS = np.linspace(0.0, 1.0, 33)
_ROUNDS = 3  # 50 degC in 32 parts, three times: 0.0015 degC, and a straight line in between


def most_volumes(
    limit_bar: ArrayLike,
    temp_c: ArrayLike,
    headspace_fraction: ArrayLike = 0.04,
    *,
    trapped_air_bar: ArrayLike = 0.0,
) -> Interval:
    """Total carbon dioxide that just reaches a gauge pressure at a temperature.

    Parameters
    ----------
    limit_bar : array_like, shape (...)
        Gauge pressure not to be passed [bar].
    temp_c : array_like, shape (...)
        Temperature of the bottle [degC].
    headspace_fraction : array_like, shape (...)
        Litres of gas over a litre of beer [1].
    trapped_air_bar : array_like, shape (...)
        Partial pressure of other gas left in the headspace, as at 20 degC [bar].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Total carbon dioxide per litre of beer; the lowest is the cautious one [volumes].

    Range: 0 <= limit_bar <= 10 after the trapped air's share, 0 <= temp_c <= 50, 0 <= headspace_fraction <= 1,
    0 <= trapped_air_bar <= 1.2; NaN outside. Extrapolated above 25 degC.
    Source: co2_mass_balance, delange_2011, co2_reference_gas
    """
    t, inside_t = fence(temp_c, _COLDEST_C, _WARMEST_C)
    air, inside_a = fence(trapped_air_bar, 0.0, 1.2)
    limit, inside_l = fence(np.asarray(limit_bar) - air * (t + KELVIN) / (20.0 + KELVIN), 0.0, 10.0)
    h, inside_h = fence(headspace_fraction, 0.0, 1.0)
    over = h * gas_density_g_per_l(limit + ATMOSPHERE_BAR, t) / CO2_G_PER_L_PER_VOLUME
    inside = inside_l & inside_t & inside_h & inside_a
    low, best, high = (only_where(inside, held + over) for held in equilibrium_volumes_interval(limit, t))
    return Interval(low, best, high)


def warmest_temp_c(
    total_volumes: ArrayLike,
    limit_bar: ArrayLike,
    headspace_fraction: ArrayLike = 0.04,
    *,
    trapped_air_bar: ArrayLike = 0.0,
) -> Interval:
    """Warmest place in which a closed bottle stays within a gauge pressure.

    Parameters
    ----------
    total_volumes : array_like, shape (...)
        All carbon dioxide in the bottle per litre of beer [volumes].
    limit_bar : array_like, shape (...)
        Gauge pressure not to be passed [bar].
    headspace_fraction : array_like, shape (...)
        Litres of gas over a litre of beer [1].
    trapped_air_bar : array_like, shape (...)
        Partial pressure of other gas left in the headspace, as at 20 degC [bar].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Temperature, the lowest being the cautious one; 50 stands for 50 or more, minus infinity for no temperature
        from 0 up [degC].

    Range: 0.1 <= total_volumes <= 12, 0 <= limit_bar <= 10, 0 <= headspace_fraction <= 1, 0 <= trapped_air_bar <= 1.2;
    NaN outside. Extrapolated above 25 degC.
    Source: co2_mass_balance, delange_2011, co2_reference_gas
    """
    limit, inside = fence(limit_bar, 0.0, 10.0)
    total, headspace, air = (
        np.asarray(each, dtype=np.float64) for each in (total_volumes, headspace_fraction, trapped_air_bar)
    )
    shape = np.broadcast_shapes(total.shape, limit.shape, headspace.shape, air.shape)

    def pressures(temp_c: Numbers) -> Numbers:
        """For each edge (the highest pressure sets the lowest temperature) its own pressures, one row a temperature."""
        found = gauge_pressure_interval_bar(total, temp_c, headspace, trapped_air_bar=air)
        return np.stack([found.high[:, 0], found.best[:, 1], found.low[:, 2]], axis=1)

    low, high = np.full((3, *shape), _COLDEST_C), np.full((3, *shape), _WARMEST_C)
    for _ in range(_ROUNDS):  # pressure rises with temperature everywhere, so it is sought between two neighbours
        temps = low + (high - low) * _PARTS.reshape(-1, *(1,) * low.ndim)
        found = pressures(temps)
        below = np.clip(np.sum(found <= limit, axis=0) - 1, 0, len(_PARTS) - 2)[None]
        low, high = (np.take_along_axis(temps, below + step, axis=0)[0] for step in (0, 1))
        p_low, p_high = (np.take_along_axis(found, below + step, axis=0)[0] for step in (0, 1))
    warmest = low + (high - low) * np.clip((limit - p_low) / (p_high - p_low), 0.0, 1.0)
    ends = pressures(np.stack([np.full((3, *shape), each) for each in (_COLDEST_C, _WARMEST_C)]))
    warmest = np.where(ends[1] <= limit, _WARMEST_C, np.where(ends[0] > limit, -np.inf, warmest))
    known = inside & ~np.isnan(ends[0])
    return Interval(*(only_where(known[edge], warmest[edge]) for edge in range(3)))


def volumes_after_vent(total_volumes: ArrayLike, temp_c: ArrayLike, headspace_fraction: ArrayLike = 0.04) -> Numbers:
    """Total carbon dioxide left after the cap is lifted once and closed: only the headspace's gas leaves.

    The least that a vent takes: a bottle that foams, or stays open for long, loses more.

    Parameters
    ----------
    total_volumes : array_like, shape (...)
        Carbon dioxide before, per litre of beer [volumes].
    temp_c : array_like, shape (...)
        Temperature of the bottle [degC].
    headspace_fraction : array_like, shape (...)
        Litres of gas over a litre of beer [1].

    Returns
    -------
    float or ndarray, shape (...)
        Carbon dioxide after [volumes].

    Range: 0.1 <= total_volumes <= 12, 0 <= temp_c <= 50, 0 <= headspace_fraction <= 1; NaN outside.
    Source: co2_mass_balance, delange_2011, co2_reference_gas
    """
    before = np.asarray(total_volumes, dtype=np.float64)
    gauge = np.maximum(gauge_pressure_bar(before, temp_c, headspace_fraction), 0.0)
    leaving = gas_density_g_per_l(gauge + ATMOSPHERE_BAR, temp_c) - gas_density_g_per_l(ATMOSPHERE_BAR, temp_c)
    lost = np.asarray(headspace_fraction, dtype=np.float64) * leaving / CO2_G_PER_L_PER_VOLUME
    return only_where(~np.isnan(lost), before - lost)
