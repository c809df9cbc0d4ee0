"""Hops: dose, beer that they keep, fermentation that they wake (hop creep), and isomerisation when they are boiled."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gylebook.science._arrays import Numbers, fence, only_where
from gylebook.science.interval import Interval, Span

# Beer kept back by pellets [mL/g].
# Source: hop_loss_trade_study, hop_loss_rule
BEER_LOST_ML_PER_G: Final = Span(7.0, 7.5, 8.3)

# Aroma nearly saturates above this dose; above the second one, grams or litres have probably been misread [g/L].
# Source: lafontaine_shellhammer_2018
SATURATING_DOSE_G_PER_L: Final = 8.0
# Source: common_practice
DOUBTFUL_DOSE_G_PER_L: Final = 15.0

# Days in the beer after which more gives little: stirred vessels take hours, still ones are slower.
# Source: wolfe_2012, common_practice
CONTACT_DAYS: Final = Span(2.0, 3.0, 4.0)

# One exponential through both published points: 1 °P after 5 days and 2 °P after 40 days, at 10 g/L and 20 degC.
# Source: hop_creep_curve
_CREEP_PLATO: Final = 2.00811
_CREEP_PER_DAY: Final = 0.137825
_CREEP_DOSE_G_PER_L: Final = 10.0
# Assumed: the pace changes 1.5- to 3-fold over ten degrees, likeliest 2; hops differ, from a quarter of the published
# effect to a quarter more than it.
_PACE_PER_10C: Final = Span(1.5, 2.0, 3.0)
_WEAK_HOP: Final = 0.25
_STRONG_HOP: Final = 1.25
# Carbon dioxide from extract: Balling's with yeast growth, and glucose's without [g/g].
# Source: balling_nielsen_2007, co2_stoichiometry
_CO2_PER_EXTRACT: Final = (0.46286, 0.46286, 0.48857)
_EXTRACT_G_PER_L_PER_PLATO: Final = 10.0
# Fall of apparent gravity for 1 °P of real extract: 3.87 points for 1 °P apparent, which is 0.80 to 0.82 °P real.
_POINTS_PER_REAL_PLATO: Final = (3.87 / 0.82, 3.87 / 0.805, 3.87 / 0.80)

# Malowicki & Shellhammer 2005: rate = factor × exp(−energy/T), per minute.
_ISOMERISATION: Final = (7.9e11, 11858.0)
_DEGRADATION: Final = (4.1e12, 12994.0)


def dose_g_per_l(hops_g: ArrayLike, volume_l: ArrayLike) -> Numbers:
    """Hops in a litre of beer.

    Parameters
    ----------
    hops_g : array_like, shape (...)
        Hops [g].
    volume_l : array_like, shape (...)
        Beer [L].

    Returns
    -------
    float or ndarray, shape (...)
        Dose [g/L].

    Range: hops_g >= 0, volume_l > 0; NaN outside.
    Source: by_definition
    """
    mass, inside_m = fence(hops_g, 0.0, 1e6)
    volume, inside_v = fence(volume_l, 0.01, 1e5)
    return only_where(inside_m & inside_v, mass / volume)


def beer_lost_l(hops_g: ArrayLike) -> Interval:
    """Beer that pellets soak up and keep.

    Parameters
    ----------
    hops_g : array_like, shape (...)
        Pellets [g].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Beer lost [L].

    Range: hops_g >= 0; NaN outside. Measured up to 20 g/L.
    Source: hop_loss_trade_study, hop_loss_rule
    """
    mass, inside = fence(hops_g, 0.0, 1e6)
    low, best, high = (only_where(inside, mass * each / 1000.0) for each in BEER_LOST_ML_PER_G)
    return Interval(low, best, high)


def hop_creep_plato(hop_dose_g_per_l: ArrayLike, days: ArrayLike, temp_c: ArrayLike) -> Interval:
    """Fall of real extract by hop creep, from dry hopping on, while hops and live yeast stay in warm beer.

    Two published points of one hop (10 g/L, 20 degC) carry this; how it goes with dose, warmth and kind of hop is
    assumed, widely: likeliest in proportion to the dose up to 10 g/L, at most with its square root.

    Parameters
    ----------
    hop_dose_g_per_l : array_like, shape (...)
        Dry hops [g/L].
    days : array_like, shape (...)
        Time since they went in [d].
    temp_c : array_like, shape (...)
        Temperature of the beer [degC].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Real extract fermented through the hops' enzymes [g/100 g].

    Range: 0 <= hop_dose_g_per_l <= 30, 0 <= days <= 3650, 0 <= temp_c <= 35; NaN outside.
    Source: kirkpatrick_shellhammer_2018, hop_creep_curve
    """
    dose, inside_h = fence(hop_dose_g_per_l, 0.0, 30.0)
    time, inside_d = fence(days, 0.0, 3650.0)
    t, inside_t = fence(temp_c, 0.0, 35.0)
    inside = inside_h & inside_d & inside_t
    relative = dose / _CREEP_DOSE_G_PER_L
    in_proportion = np.minimum(relative, 1.0)
    gentle, likely, steep = (each ** ((t - 20.0) / 10.0) for each in _PACE_PER_10C)
    cases = (
        (_WEAK_HOP * in_proportion, np.minimum(gentle, steep)),
        (in_proportion, likely),
        (_STRONG_HOP * np.sqrt(relative), np.maximum(gentle, steep)),
    )
    low, best, high = (
        only_where(inside, _CREEP_PLATO * size * -np.expm1(-_CREEP_PER_DAY * pace * time)) for size, pace in cases
    )
    return Interval(low, best, high)


def hop_creep_co2_g_per_l(hop_dose_g_per_l: ArrayLike, days: ArrayLike, temp_c: ArrayLike) -> Interval:
    """Carbon dioxide made by hop creep: what bottles gain when they are filled too soon after dry hopping.

    Parameters
    ----------
    hop_dose_g_per_l : array_like, shape (...)
        Dry hops [g/L].
    days : array_like, shape (...)
        Time since they went in [d].
    temp_c : array_like, shape (...)
        Temperature of the beer [degC].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Carbon dioxide made [g/L].

    Range: as ``hop_creep_plato``; NaN outside.
    Source: kirkpatrick_shellhammer_2018, hop_creep_curve, balling_nielsen_2007, co2_stoichiometry
    """
    fallen = hop_creep_plato(hop_dose_g_per_l, days, temp_c)
    low, best, high = (
        fall * _EXTRACT_G_PER_L_PER_PLATO * share for fall, share in zip(fallen, _CO2_PER_EXTRACT, strict=True)
    )
    return Interval(low, best, high)


def hop_creep_points(hop_dose_g_per_l: ArrayLike, days: ArrayLike, temp_c: ArrayLike) -> Interval:
    """Fall of apparent gravity by hop creep, in points (thousandths): what a hydrometer would show.

    Parameters
    ----------
    hop_dose_g_per_l : array_like, shape (...)
        Dry hops [g/L].
    days : array_like, shape (...)
        Time since they went in [d].
    temp_c : array_like, shape (...)
        Temperature of the beer [degC].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Points of gravity [1].

    Range: as ``hop_creep_plato``; NaN outside.
    Source: kirkpatrick_shellhammer_2018, hop_creep_curve, cutaia_2009, nbs_c440
    """
    fallen = hop_creep_plato(hop_dose_g_per_l, days, temp_c)
    low, best, high = (fall * points for fall, points in zip(fallen, _POINTS_PER_REAL_PLATO, strict=True))
    return Interval(low, best, high)


def _rate_per_min(temp_c: ArrayLike, factor: float, energy_k: float) -> Numbers:
    t, inside = fence(temp_c, 90.0, 130.0)
    return only_where(inside, factor * np.exp(-energy_k / (t + 273.15)))


def isomerisation_rate_per_min(temp_c: ArrayLike) -> Numbers:
    """Rate at which alpha acids become iso-alpha acids.

    Parameters
    ----------
    temp_c : array_like, shape (...)
        Temperature [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Rate [1/min].

    Range: 90 <= temp_c <= 130 at pH 5.2; NaN outside.
    Source: malowicki_shellhammer_2005
    """
    return _rate_per_min(temp_c, *_ISOMERISATION)


def iso_alpha_loss_rate_per_min(temp_c: ArrayLike) -> Numbers:
    """Rate at which iso-alpha acids go on to products that are not bitter.

    Parameters
    ----------
    temp_c : array_like, shape (...)
        Temperature [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Rate [1/min].

    Range: 90 <= temp_c <= 130 at pH 5.2; NaN outside.
    Source: malowicki_shellhammer_2005
    """
    return _rate_per_min(temp_c, *_DEGRADATION)


def isomerised_fraction(boil_min: ArrayLike, temp_c: ArrayLike) -> Numbers:
    """Share of dissolved alpha acids that is iso-alpha acid after a time; not the share that reaches the glass.

    Parameters
    ----------
    boil_min : array_like, shape (...)
        Time at that temperature [min].
    temp_c : array_like, shape (...)
        Temperature [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Share [1].

    Range: 0 <= boil_min <= 600, 90 <= temp_c <= 130 at pH 5.2; NaN outside. Alpha acids dissolve to about 90 mg/L.
    Source: malowicki_shellhammer_2005
    """
    time, inside = fence(boil_min, 0.0, 600.0)
    gain, loss = isomerisation_rate_per_min(temp_c), iso_alpha_loss_rate_per_min(temp_c)
    return only_where(inside, gain / (loss - gain) * (np.exp(-gain * time) - np.exp(-loss * time)))
