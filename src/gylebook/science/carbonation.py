"""Carbon dioxide in beer and over it: how much beer holds, what it already has, what pressure it makes in a bottle.

One volume is 1.97681 g/L. The chart behind the beer figures ends near 25 degC; above that they are extrapolated and
their interval widens. The headspace counts as litres of gas per litre of beer.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gylebook.science._arrays import Numbers, fence, only_where
from gylebook.science.carbon_dioxide import (
    ATMOSPHERE_BAR,
    CO2_G_PER_L_PER_VOLUME,
    CO2_G_PER_MOL,
    GAS_CONSTANT,
    KELVIN,
    second_virial_cm3_per_mol,
)
from gylebook.science.interval import Interval, Span

# Gas other than carbon dioxide left in the headspace, as at 20 degC [bar]: none after capping on foam; over a still
# surface all the nitrogen of the air, 0.79 of an atmosphere. What lies between is not known: the middle is assumed.
# Source: co2_mass_balance
TRAPPED_AIR_BAR: Final = Span(0.0, 0.4, 0.8)

_PSI_PER_BAR = 14.5037738
_CHART_OFFSET_VOLUMES = 0.003342
# Draper & Hibberd 1996: warmest temperature of the beer since fermentation ended [degC], volumes left in it.
_RESIDUAL_TEMP_C = (0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0, 22.0)
_RESIDUAL_VOLUMES = (1.7, 1.6, 1.5, 1.4, 1.3, 1.2, 1.12, 1.05, 0.99, 0.93, 0.88, 0.83)
# Carbon dioxide from one point (0.001) of fall in gravity [g/L]. The density closure gives 0.98 to 1.00 over a whole
# fermentation from 8 to 20 degrees Plato; late in the bottle hardly any yeast grows, and up to 1.05 is made.
_CO2_PER_POINT = (0.97, 0.99, 1.05)


def volumes_from_g_per_l(co2_g_per_l: ArrayLike) -> Numbers:
    """Carbonation in volumes.

    Parameters
    ----------
    co2_g_per_l : array_like, shape (...)
        Carbon dioxide in a litre of beer [g/L].

    Returns
    -------
    float or ndarray, shape (...)
        Carbonation [volumes].

    Range: co2_g_per_l >= 0; NaN outside.
    Source: co2_reference_gas
    """
    mass, inside = fence(co2_g_per_l, 0.0, 1e3)
    return only_where(inside, mass / CO2_G_PER_L_PER_VOLUME)


def g_per_l_from_volumes(volumes: ArrayLike) -> Numbers:
    """Carbonation in grams per litre.

    Parameters
    ----------
    volumes : array_like, shape (...)
        Carbonation [volumes].

    Returns
    -------
    float or ndarray, shape (...)
        Carbon dioxide in a litre of beer [g/L].

    Range: volumes >= 0; NaN outside.
    Source: co2_reference_gas
    """
    amount, inside = fence(volumes, 0.0, 500.0)
    return only_where(inside, amount * CO2_G_PER_L_PER_VOLUME)


def _volumes_per_bar(t: Numbers) -> Numbers:
    """Slope of the chart's fit: volumes dissolved per bar of absolute pressure."""
    return _PSI_PER_BAR * (0.01821 + 0.090115 * np.exp(-1.8 * t / 43.11))


def _half_width(t: Numbers) -> Numbers:
    """Share by which the dissolved carbon dioxide may be wrong.

    3 % is what measurements in water differ by. At 20 degC the fit lies 2.5 % below pure water, at 50 degC 2 % above,
    where beer cannot be: so 0.2 % more for each degree above the chart.
    """
    return 0.03 + 0.002 * np.maximum(t - 25.0, 0.0)


def equilibrium_volumes(pressure_bar: ArrayLike, temp_c: ArrayLike) -> Numbers:
    """Carbon dioxide that beer holds in balance with a pressure: the fit of the brewing chart.

    Where the chart's data come from is unknown; the beer that it would suit holds 4.22 % alcohol by mass and 5.78 °P
    of real extract.

    Parameters
    ----------
    pressure_bar : array_like, shape (...)
        Gauge pressure, counted from one standard atmosphere [bar].
    temp_c : array_like, shape (...)
        Temperature [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Dissolved carbon dioxide [volumes].

    Range: 0 <= pressure_bar <= 10, 0 <= temp_c <= 60; NaN outside. Extrapolated above 25 degC.
    Source: delange_2011, speers_macintosh_2013
    """
    gauge, inside_p = fence(pressure_bar, 0.0, 10.0)
    t, inside_t = fence(temp_c, 0.0, 60.0)
    held = (gauge + ATMOSPHERE_BAR) * _volumes_per_bar(t) - _CHART_OFFSET_VOLUMES
    return only_where(inside_p & inside_t, held)


def equilibrium_volumes_interval(pressure_bar: ArrayLike, temp_c: ArrayLike) -> Interval:
    """Carbon dioxide that beer holds in balance with a pressure, with its spread.

    Parameters
    ----------
    pressure_bar : array_like, shape (...)
        Gauge pressure, counted from one standard atmosphere [bar].
    temp_c : array_like, shape (...)
        Temperature [degC].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Dissolved carbon dioxide: 3 % either way, from 25 degC on 0.2 % more for each degree [volumes].

    Range: 0 <= pressure_bar <= 10, 0 <= temp_c <= 60; NaN outside. Extrapolated above 25 degC.
    Source: delange_2011, carroll_1991, sander_2023
    """
    best = equilibrium_volumes(pressure_bar, temp_c)
    width = _half_width(fence(temp_c, 0.0, 60.0)[0])
    return Interval(best * (1.0 - width), best, best * (1.0 + width))


def residual_volumes(highest_temp_c: ArrayLike) -> Numbers:
    """Carbon dioxide still in beer after fermentation, from the warmest it has been since.

    The published table, straight between its rows; above its last row, 22 degC, it is led on in step with the chart.

    Parameters
    ----------
    highest_temp_c : array_like, shape (...)
        Warmest temperature of the beer since fermentation ended, not the present one [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Residual carbon dioxide [volumes].

    Range: 0 <= highest_temp_c <= 35; NaN outside. Extrapolated above 22 degC.
    Source: draper_hibberd_1996, delange_2011
    """
    t, inside = fence(highest_temp_c, 0.0, 35.0)
    beyond = equilibrium_volumes(0.0, t) / equilibrium_volumes(0.0, 22.0)
    tabled = np.interp(t, _RESIDUAL_TEMP_C, _RESIDUAL_VOLUMES)
    return only_where(inside, np.where(t > 22.0, tabled * beyond, tabled))


def residual_volumes_interval(highest_temp_c: ArrayLike) -> Interval:
    """Residual carbon dioxide with its spread: the beer chart below, the published table (pure water) 3 % up above.

    Beer that has just finished, was never stirred or stood cold can hold more than any of them.

    Parameters
    ----------
    highest_temp_c : array_like, shape (...)
        Warmest temperature of the beer since fermentation ended [degC].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Residual carbon dioxide [volumes].

    Range: 0 <= highest_temp_c <= 35; NaN outside. Extrapolated above 22 degC.
    Source: draper_hibberd_1996, delange_2011
    """
    best = residual_volumes(highest_temp_c)
    return Interval(np.minimum(best, equilibrium_volumes(0.0, highest_temp_c)), best, best * 1.03)


def co2_from_gravity_drop_g_per_l(sg_from: ArrayLike, sg_to: ArrayLike) -> Interval:
    """Carbon dioxide made by a fall in apparent gravity: about 1 g/L, half a volume, for each point.

    Parameters
    ----------
    sg_from : array_like, shape (...)
        Gravity before [1].
    sg_to : array_like, shape (...)
        Gravity after, not above it [1].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Carbon dioxide made [g/L].

    Range: 0.98 <= sg_to <= sg_from <= 1.15; NaN outside.
    Source: density_closure, balling_nielsen_2007, co2_stoichiometry
    """
    before, inside_b = fence(sg_from, 0.98, 1.15)
    after, inside_a = fence(sg_to, 0.98, 1.15)
    points = 1000.0 * (before - after)
    inside = inside_b & inside_a & (points >= 0.0)
    low, best, high = (only_where(inside, points * each) for each in _CO2_PER_POINT)
    return Interval(low, best, high)


def _closed_bottle(
    total_volumes: ArrayLike, temp_c: ArrayLike, headspace: ArrayLike, trapped_air_bar: ArrayLike, wrong_by: ArrayLike
) -> Numbers:
    """Absolute pressure in a closed bottle; ``wrong_by`` moves solubility by so many half widths of its interval.

    With a the volumes dissolved per bar and k the gas per bar without attraction, the balance
    total = a P − offset + headspace k P/(1 + b P) is a quadratic in P; its smaller root is the real one.
    """
    total, inside_v = fence(total_volumes, 0.1, 12.0)
    t, inside_t = fence(temp_c, 0.0, 50.0)
    h, inside_h = fence(headspace, 0.0, 1.0)
    air, inside_a = fence(trapped_air_bar, 0.0, 1.2)
    off, inside_o = fence(wrong_by, -5.0, 5.0)
    dissolved = _volumes_per_bar(t) * (1.0 + off * _half_width(t))
    kelvin = t + KELVIN
    b = second_virial_cm3_per_mol(t) / (GAS_CONSTANT * kelvin)
    gas = h * CO2_G_PER_MOL * 1000.0 / (GAS_CONSTANT * kelvin * CO2_G_PER_L_PER_VOLUME)
    whole = total + _CHART_OFFSET_VOLUMES
    slope = dissolved + gas - b * whole
    pressure = 2.0 * whole / (slope + np.sqrt(slope**2 + 4.0 * dissolved * b * whole))
    inside = inside_v & inside_t & inside_h & inside_a & inside_o
    return only_where(inside, pressure + air * kelvin / (20.0 + KELVIN))


def gauge_pressure_bar(
    total_volumes: ArrayLike,
    temp_c: ArrayLike,
    headspace_fraction: ArrayLike = 0.04,
    *,
    ambient_bar: ArrayLike = ATMOSPHERE_BAR,
    trapped_air_bar: ArrayLike = 0.0,
    solubility_off: ArrayLike = 0.0,
) -> Numbers:
    """Gauge pressure in a closed bottle from all the carbon dioxide in it, shared between beer and headspace.

    Published grids leave out the air that a bottle is capped with. Its oxygen is used up, its nitrogen stays:
    ``trapped_air_bar`` adds it (see ``TRAPPED_AIR_BAR``).

    Parameters
    ----------
    total_volumes : array_like, shape (...)
        All carbon dioxide in the bottle per litre of beer [volumes].
    temp_c : array_like, shape (...)
        Temperature of the bottle [degC].
    headspace_fraction : array_like, shape (...)
        Litres of gas over a litre of beer [1].
    ambient_bar : array_like, shape (...)
        Absolute pressure of the air outside [bar].
    trapped_air_bar : array_like, shape (...)
        Partial pressure of other gas left in the headspace, as at 20 degC [bar].
    solubility_off : array_like, shape (...)
        By how many half widths of its interval beer holds more gas than the fit says; below 0 it holds less [1].

    Returns
    -------
    float or ndarray, shape (...)
        Gauge pressure; below 0 the bottle sucks [bar].

    Range: 0.1 <= total_volumes <= 12, 0 <= temp_c <= 50, 0 <= headspace_fraction <= 1, 0.5 <= ambient_bar <= 1.1,
    0 <= trapped_air_bar <= 1.2, -5 <= solubility_off <= 5; NaN outside. Extrapolated above 25 degC.
    Source: co2_mass_balance, delange_2011, co2_reference_gas
    """
    ambient, inside = fence(ambient_bar, 0.5, 1.1)
    absolute = _closed_bottle(total_volumes, temp_c, headspace_fraction, trapped_air_bar, solubility_off)
    return only_where(inside, absolute - ambient)


def gauge_pressure_interval_bar(
    total_volumes: ArrayLike,
    temp_c: ArrayLike,
    headspace_fraction: ArrayLike = 0.04,
    *,
    ambient_bar: ArrayLike = ATMOSPHERE_BAR,
    trapped_air_bar: ArrayLike = 0.0,
) -> Interval:
    """Gauge pressure in a closed bottle with the spread that the solubility leaves.

    Parameters
    ----------
    total_volumes : array_like, shape (...)
        All carbon dioxide in the bottle per litre of beer [volumes].
    temp_c : array_like, shape (...)
        Temperature of the bottle [degC].
    headspace_fraction : array_like, shape (...)
        Litres of gas over a litre of beer [1].
    ambient_bar : array_like, shape (...)
        Absolute pressure of the air outside [bar].
    trapped_air_bar : array_like, shape (...)
        Partial pressure of other gas left in the headspace, as at 20 degC [bar].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Gauge pressure [bar].

    Range: as ``gauge_pressure_bar``; NaN outside.
    Source: co2_mass_balance, delange_2011, carroll_1991, sander_2023
    """
    ambient, inside = fence(ambient_bar, 0.5, 1.1)
    low, best, high = (
        only_where(inside, _closed_bottle(total_volumes, temp_c, headspace_fraction, trapped_air_bar, each) - ambient)
        for each in (1.0, 0.0, -1.0)
    )
    return Interval(low, best, high)
