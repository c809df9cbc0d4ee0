"""Cooling of a full bucket by standing, and the warmth that fermentation sets free.

The surroundings are taken as steady and the beer as of one temperature throughout.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gylebook.science._arrays import Numbers, Truths, fence, only_where
from gylebook.science.interval import Interval, Span

# Source: beer_specific_heat
BEER_SPECIFIC_HEAT_J_PER_KG_K: Final = 4050.0
# Heat set free by fermenting extract [kJ/kg]: thermochemistry, trade practice, Boulton. One textbook is quoted with
# 1217 kJ/kg of glucose, twice what thermochemistry allows; it stays outside the interval.
# Source: glucose_thermochemistry, fermentation_heat_trade, boulton_1979
HEAT_OF_FERMENTATION_KJ_PER_KG: Final = Span(563.0, 586.0, 651.28)

_BEER_KG_PER_L = 1.01
# Bare plastic bucket of 23 L: wetted and lid area [m2], and heat passed to still air [W/(m2 K)]; assumed.
_AREA_23L_M2 = 0.45
_HEAT_TRANSFER = Span(5.0, 7.0, 10.0)


def temp_after_c(
    start_temp_c: ArrayLike, surroundings_temp_c: ArrayLike, time_constant_h: ArrayLike, elapsed_h: ArrayLike
) -> Numbers:
    """Temperature after standing for a time: Newton's law of cooling (or warming).

    Parameters
    ----------
    start_temp_c : array_like, shape (...)
        Temperature at the start [degC].
    surroundings_temp_c : array_like, shape (...)
        Temperature of room or bath, steady [degC].
    time_constant_h : array_like, shape (...)
        Time in which 63 % of the difference goes [h].
    elapsed_h : array_like, shape (...)
        Time since the start [h].

    Returns
    -------
    float or ndarray, shape (...)
        Temperature [degC].

    Range: -30 <= temperatures <= 100, time_constant_h > 0, elapsed_h >= 0; NaN outside.
    Source: newton_cooling
    """
    start, inside_s = fence(start_temp_c, -30.0, 100.0)
    room, inside_r = fence(surroundings_temp_c, -30.0, 100.0)
    tau, inside_t = fence(time_constant_h, 1e-3, 1e5)
    elapsed, inside_e = fence(elapsed_h, 0.0, 1e5)
    return only_where(inside_s & inside_r & inside_t & inside_e, room + (start - room) * np.exp(-elapsed / tau))


def _differences(
    start_temp_c: ArrayLike, later_temp_c: ArrayLike, surroundings_temp_c: ArrayLike
) -> tuple[Numbers, Numbers, Truths]:
    """Difference from the surroundings at the start and later, and where the later one is a part of the first."""
    start, inside_s = fence(start_temp_c, -30.0, 100.0)
    later, inside_l = fence(later_temp_c, -30.0, 100.0)
    room, inside_r = fence(surroundings_temp_c, -30.0, 100.0)
    whole, left = start - room, later - room
    between = (whole * left > 0.0) & (np.abs(left) <= np.abs(whole))
    return whole, left, inside_s & inside_l & inside_r & between


def cooling_time_h(
    start_temp_c: ArrayLike, target_temp_c: ArrayLike, surroundings_temp_c: ArrayLike, time_constant_h: ArrayLike
) -> Numbers:
    """Time until a temperature is reached by standing.

    Parameters
    ----------
    start_temp_c : array_like, shape (...)
        Temperature at the start [degC].
    target_temp_c : array_like, shape (...)
        Temperature waited for [degC].
    surroundings_temp_c : array_like, shape (...)
        Temperature of room or bath, steady [degC].
    time_constant_h : array_like, shape (...)
        Time in which 63 % of the difference goes [h].

    Returns
    -------
    float or ndarray, shape (...)
        Time [h].

    Range: -30 <= temperatures <= 100, target_temp_c between start_temp_c (included) and surroundings_temp_c (not
    included, for it is never reached), time_constant_h > 0; NaN outside.
    Source: newton_cooling
    """
    tau, inside = fence(time_constant_h, 1e-3, 1e5)
    whole, left, between = _differences(start_temp_c, target_temp_c, surroundings_temp_c)
    inside = inside & between
    return only_where(inside, tau * np.log(np.where(inside, whole, 1.0) / np.where(inside, left, 1.0)))


def time_constant_h(
    start_temp_c: ArrayLike, end_temp_c: ArrayLike, surroundings_temp_c: ArrayLike, elapsed_h: ArrayLike
) -> Numbers:
    """A vessel's own time constant from two temperatures: better than any estimate.

    Parameters
    ----------
    start_temp_c : array_like, shape (...)
        Temperature at the start [degC].
    end_temp_c : array_like, shape (...)
        Temperature at the end [degC].
    surroundings_temp_c : array_like, shape (...)
        Temperature of room or bath, steady [degC].
    elapsed_h : array_like, shape (...)
        Time between the two [h].

    Returns
    -------
    float or ndarray, shape (...)
        Time in which 63 % of the difference goes [h].

    Range: -30 <= temperatures <= 100, end_temp_c strictly between start_temp_c and surroundings_temp_c, elapsed_h > 0;
    NaN outside.
    Source: newton_cooling
    """
    elapsed, inside = fence(elapsed_h, 1e-3, 1e5)
    whole, left, between = _differences(start_temp_c, end_temp_c, surroundings_temp_c)
    inside = inside & between & (whole != left)
    return only_where(inside, elapsed / np.log(np.where(inside, whole, np.e) / np.where(inside, left, 1.0)))


def time_constant_estimate_h(volume_l: ArrayLike) -> Interval:
    """Time constant of a bare plastic bucket in still air: physics with assumed heat transfer, no measurement.

    Parameters
    ----------
    volume_l : array_like, shape (...)
        Beer in the bucket [L].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Shortest, likeliest and longest time constant [h].

    Range: 1 <= volume_l <= 100; NaN outside.
    Source: vessel_cooling_estimate, beer_specific_heat
    """
    volume, inside = fence(volume_l, 1.0, 100.0)
    area_m2 = _AREA_23L_M2 * (volume / 23.0) ** (2.0 / 3.0)
    heat_j_per_k = volume * _BEER_KG_PER_L * BEER_SPECIFIC_HEAT_J_PER_KG_K
    low, best, high = (
        only_where(inside, heat_j_per_k / (transfer * area_m2) / 3600.0) for transfer in reversed(_HEAT_TRANSFER)
    )
    return Interval(low, best, high)


def adiabatic_rise_k(extract_plato: ArrayLike, real_attenuation: ArrayLike) -> Interval:
    """Warming by fermentation if no heat escaped: the most that yeast can do.

    Parameters
    ----------
    extract_plato : array_like, shape (...)
        Original extract [g/100 g].
    real_attenuation : array_like, shape (...)
        Share of the extract really fermented [1].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Rise, over the conflicting heats of fermentation [K].

    Range: 0 <= extract_plato <= 35, 0 <= real_attenuation <= 1; NaN outside.
    Source: fermentation_heat_trade, boulton_1979, glucose_thermochemistry, beer_specific_heat
    """
    extract, inside_e = fence(extract_plato, 0.0, 35.0)
    share, inside_s = fence(real_attenuation, 0.0, 1.0)
    fermented = extract / 100.0 * share
    low, best, high = (
        only_where(inside_e & inside_s, fermented * heat * 1000.0 / BEER_SPECIFIC_HEAT_J_PER_KG_K)
        for heat in HEAT_OF_FERMENTATION_KJ_PER_KG
    )
    return Interval(low, best, high)


def rise_above_room_k(extract_rate_g_per_l_h: ArrayLike, time_constant_h: ArrayLike) -> Interval:
    """How much warmer than the room beer settles while it ferments at a steady rate.

    Parameters
    ----------
    extract_rate_g_per_l_h : array_like, shape (...)
        Extract fermented in a litre of beer in an hour [g/(L h)].
    time_constant_h : array_like, shape (...)
        The vessel's time constant [h].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Rise above the room, over the conflicting heats of fermentation [K].

    Range: 0 <= extract_rate_g_per_l_h <= 50, 0 < time_constant_h <= 200; NaN outside.
    Source: fermentation_heat_trade, boulton_1979, glucose_thermochemistry, newton_cooling
    """
    rate, inside_r = fence(extract_rate_g_per_l_h, 0.0, 50.0)
    tau, inside_t = fence(time_constant_h, 1e-3, 200.0)
    litre_j_per_k = _BEER_KG_PER_L * BEER_SPECIFIC_HEAT_J_PER_KG_K
    low, best, high = (
        only_where(inside_r & inside_t, rate * tau * heat / litre_j_per_k) for heat in HEAT_OF_FERMENTATION_KJ_PER_KG
    )
    return Interval(low, best, high)
