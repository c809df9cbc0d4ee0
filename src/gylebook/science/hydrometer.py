"""What a hydrometer shows and what it means: temperature of the sample, scale of the glass, known offset.

The hydrometer floats where reading × density of water at the scale's temperature × (1 − γ (t − scale's temperature))
equals the density of the liquid at its own temperature t; γ is the expansion of glass. The result is always gravity
20/20 °C. Whether a scale was made in air or in vacuum cancels to 0.000 005.

``offset_sg`` is the instrument's own error: what it shows in pure water at its scale's temperature, less 1.000.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from gylebook.science._arrays import Numbers, Truths, fence, only_where
from gylebook.science._mixtures import (
    beer_density_ratio,
    partners_by_closure,
    plato_of_sg,
    sg_of_plato,
    sucrose_density,
    water_density,
)
from gylebook.science.constants import GLASS_EXPANSION_PER_C
from gylebook.science.extract import HIGHEST_SG, LOWEST_SG

_WORT_HOTTEST_C = 60.0
_BEER_HOTTEST_C = 40.0
_SCALE_C = (10.0, 30.0)
_LARGEST_OFFSET = 0.02
# Two digits finer than any sum here is good to; a round gains about two digits, so four rounds are usual.
_CLOSE_ENOUGH_SG = 1e-11


def reading_sg(
    gravity_sg: ArrayLike, temp_c: ArrayLike, ref_temp_c: ArrayLike = 20.0, offset_sg: ArrayLike = 0.0
) -> Numbers:
    """What a hydrometer shows in wort (or in water) of known gravity.

    Parameters
    ----------
    gravity_sg : array_like, shape (...)
        True specific gravity 20/20 degC [1].
    temp_c : array_like, shape (...)
        Temperature of the sample [degC].
    ref_temp_c : array_like, shape (...)
        Temperature at which the scale reads 1.000 in water [degC].
    offset_sg : array_like, shape (...)
        What the instrument shows in water at that temperature, less 1.000 [1].

    Returns
    -------
    float or ndarray, shape (...)
        Reading on the scale [1].

    Range: 0.98 <= gravity_sg <= 1.15, 0 <= temp_c <= 60, 10 <= ref_temp_c <= 30, |offset_sg| <= 0.02; NaN outside.
    Source: hydrometer_equilibrium, iso_1768_1975, bubnik_1995
    """
    sg, inside_sg = fence(gravity_sg, LOWEST_SG, HIGHEST_SG)
    t, ref, offset, inside = _circumstances(temp_c, ref_temp_c, offset_sg, _WORT_HOTTEST_C)
    return only_where(inside & inside_sg, sg * _shown_per_sg(_wort_change(sg, t), t, ref) + offset)


def true_sg(
    reading_sg: ArrayLike, temp_c: ArrayLike, ref_temp_c: ArrayLike = 20.0, offset_sg: ArrayLike = 0.0
) -> Numbers:
    """Specific gravity 20/20 degC of wort from a reading at another temperature.

    Above 40 degC the sum still holds but the reading does not: the sample cools while it is read, and 1 degC is
    worth 0.0004. Cool it first.

    Parameters
    ----------
    reading_sg : array_like, shape (...)
        Reading on the scale [1].
    temp_c : array_like, shape (...)
        Temperature of the sample [degC].
    ref_temp_c : array_like, shape (...)
        Temperature at which the scale reads 1.000 in water [degC].
    offset_sg : array_like, shape (...)
        What the instrument shows in water at that temperature, less 1.000 [1].

    Returns
    -------
    float or ndarray, shape (...)
        Specific gravity 20/20 degC [1].

    Range: result from 0.98 to 1.15, 0 <= temp_c <= 60, 10 <= ref_temp_c <= 30, |offset_sg| <= 0.02; NaN outside.
    Source: hydrometer_equilibrium, iso_1768_1975, bubnik_1995
    """
    t, ref, offset, inside = _circumstances(temp_c, ref_temp_c, offset_sg, _WORT_HOTTEST_C)
    return _solve(reading_sg, offset, inside, lambda sg: _shown_per_sg(_wort_change(sg, t), t, ref))


def reading_sg_beer(
    gravity_sg: ArrayLike,
    temp_c: ArrayLike,
    original_sg: ArrayLike,
    ref_temp_c: ArrayLike = 20.0,
    offset_sg: ArrayLike = 0.0,
) -> Numbers:
    """What a hydrometer shows in fermenting or finished beer, whose alcohol expands more than sugar does.

    A gravity at or above the original one (noise, or nothing fermented yet) is taken as wort without alcohol.

    Parameters
    ----------
    gravity_sg : array_like, shape (...)
        Specific gravity 20/20 degC of the beer [1].
    temp_c : array_like, shape (...)
        Temperature of the sample [degC].
    original_sg : array_like, shape (...)
        Specific gravity 20/20 degC before fermentation [1].
    ref_temp_c : array_like, shape (...)
        Temperature at which the scale reads 1.000 in water [degC].
    offset_sg : array_like, shape (...)
        What the instrument shows in water at that temperature, less 1.000 [1].

    Returns
    -------
    float or ndarray, shape (...)
        Reading on the scale [1].

    Range: 0.98 <= gravity_sg <= 1.15, 1 <= original_sg <= 1.15, 0 <= temp_c <= 40, 10 <= ref_temp_c <= 30,
    |offset_sg| <= 0.02; NaN outside.
    Source: hydrometer_equilibrium, iso_1768_1975, density_closure
    """
    sg, inside_sg = fence(gravity_sg, LOWEST_SG, HIGHEST_SG)
    og, inside_og = fence(original_sg, 1.0, HIGHEST_SG)
    t, ref, offset, inside = _circumstances(temp_c, ref_temp_c, offset_sg, _BEER_HOTTEST_C)
    shown = sg * _shown_per_sg(_beer_change(sg, plato_of_sg(og), t), t, ref) + offset
    return only_where(inside & inside_sg & inside_og, shown)


def true_sg_beer(
    reading_sg: ArrayLike,
    temp_c: ArrayLike,
    original_sg: ArrayLike,
    ref_temp_c: ArrayLike = 20.0,
    offset_sg: ArrayLike = 0.0,
) -> Numbers:
    """Specific gravity 20/20 degC of fermenting or finished beer from a reading at another temperature.

    Parameters
    ----------
    reading_sg : array_like, shape (...)
        Reading on the scale [1].
    temp_c : array_like, shape (...)
        Temperature of the sample [degC].
    original_sg : array_like, shape (...)
        Specific gravity 20/20 degC before fermentation [1].
    ref_temp_c : array_like, shape (...)
        Temperature at which the scale reads 1.000 in water [degC].
    offset_sg : array_like, shape (...)
        What the instrument shows in water at that temperature, less 1.000 [1].

    Returns
    -------
    float or ndarray, shape (...)
        Specific gravity 20/20 degC [1].

    Range: result from 0.98 to 1.15, 1 <= original_sg <= 1.15, 0 <= temp_c <= 40, 10 <= ref_temp_c <= 30,
    |offset_sg| <= 0.02; NaN outside. With original_sg wrong by 0.010 the result moves by less than 0.0005.
    Source: hydrometer_equilibrium, iso_1768_1975, density_closure
    """
    og, inside_og = fence(original_sg, 1.0, HIGHEST_SG)
    original_plato = plato_of_sg(og)
    t, ref, offset, inside = _circumstances(temp_c, ref_temp_c, offset_sg, _BEER_HOTTEST_C)
    return _solve(
        reading_sg, offset, inside & inside_og, lambda sg: _shown_per_sg(_beer_change(sg, original_plato, t), t, ref)
    )


def _circumstances(
    temp_c: ArrayLike, ref_temp_c: ArrayLike, offset_sg: ArrayLike, hottest_c: float
) -> tuple[Numbers, Numbers, Numbers, Truths]:
    t, inside_t = fence(temp_c, 0.0, hottest_c)
    ref, inside_ref = fence(ref_temp_c, *_SCALE_C)
    offset, inside_offset = fence(offset_sg, -_LARGEST_OFFSET, _LARGEST_OFFSET)
    return t, ref, offset, inside_t & inside_ref & inside_offset


def _wort_change(sg: Numbers, t: Numbers) -> Numbers:
    """Density at t over density at 20 °C."""
    w = plato_of_sg(sg) / 100.0
    return sucrose_density(w, t) / sucrose_density(w, np.full_like(t, 20.0))


def _beer_change(sg: Numbers, original_plato: Numbers, t: Numbers) -> Numbers:
    """Density at t over density at 20 °C, with the alcohol that this fall in gravity means."""
    found = partners_by_closure(original_plato, np.minimum(sg, sg_of_plato(original_plato)))
    # A reading above the original gravity has no alcohol; its extract is its own.
    extract = np.where(sg > sg_of_plato(original_plato), plato_of_sg(sg), found.extract)
    partners = found._replace(extract=extract, alcohol=np.maximum(found.alcohol, 0.0))
    warm = beer_density_ratio(partners, t) * water_density(t)
    at_20 = np.full_like(t, 20.0)
    return warm / (beer_density_ratio(partners, at_20) * water_density(at_20))


def _shown_per_sg(change: Numbers, t: Numbers, ref: Numbers) -> Numbers:
    """Reading over gravity 20/20."""
    scale = water_density(ref) / water_density(np.full_like(ref, 20.0))
    return change / (scale * (1.0 - GLASS_EXPANSION_PER_C * (t - ref)))


def _solve(reading: ArrayLike, offset: Numbers, inside: Truths, shown_per_sg: Callable[[Numbers], Numbers]) -> Numbers:
    """Gravity whose reading is the one given: repeated substitution, each round gains about two digits."""
    shown, inside_reading = fence(reading, LOWEST_SG - 0.05, HIGHEST_SG + 0.05)
    shown = shown - offset
    sg, moves = shown, np.ones_like(shown, dtype=bool)
    for _ in range(8):
        # Each stops by itself, so that no reading's gravity depends on the others that are asked for beside it.
        before, sg = sg, np.where(moves, shown / shown_per_sg(np.clip(sg, LOWEST_SG, HIGHEST_SG)), sg)
        moves = moves & (np.abs(sg - before) >= _CLOSE_ENOUGH_SG)
        if not np.any(moves):
            break
    result_inside = (sg >= LOWEST_SG - 1e-9) & (sg <= HIGHEST_SG + 1e-9)
    return only_where(inside & inside_reading & result_inside, sg)
