"""Mixing extract, sugar and water: what gravity the weights make, and how to move it.

Mass is what mixing keeps; volumes do not add up exactly, so every sum here goes through mass. Volumes are at 20 degC.
For wort before fermentation: once alcohol is there the same sums treat it as water.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from gylebook.science._arrays import Numbers, Truths, fence, only_where
from gylebook.science._mixtures import plato_of_sg, sg_of_plato, true_density
from gylebook.science.extract import HIGHEST_SG, extract_g_per_l, sg_from_extract_g_per_l
from gylebook.science.interval import Interval

_LARGEST_MASS_G = 1e7  # these three lie beyond any brewer of kits
_SMALLEST_VOLUME_L, _LARGEST_VOLUME_L = 1e-3, 1e4
_WATER_KG_PER_L = float(true_density(np.asarray(1.0))) / 1000.0
_HIGHEST_FRACTION = float(plato_of_sg(np.asarray(HIGHEST_SG))) / 100.0


def _kg_per_l(fraction: Numbers) -> Numbers:
    return true_density(sg_of_plato(100.0 * fraction)) / 1000.0


def _fraction_of_sg(gravity_sg: ArrayLike) -> tuple[Numbers, Truths]:
    sg, inside = fence(gravity_sg, 1.0, HIGHEST_SG)
    return np.maximum(plato_of_sg(sg), 0.0) / 100.0, inside


def _over_ingredients(each: Numbers) -> Numbers:
    """Sum along the last axis; a lone ingredient needs none."""
    return each if each.ndim == 0 else each.sum(axis=-1)


def extract_solids_g(mass_g: ArrayLike, solids_fraction: ArrayLike) -> Numbers:
    """Extract in a list of ingredients, added up.

    Parameters
    ----------
    mass_g : array_like, shape (..., n)
        Mass of each of n ingredients as weighed [g].
    solids_fraction : array_like, shape (..., n)
        Extract in each by mass [1].

    Returns
    -------
    float or ndarray, shape (...)
        Extract [g].

    Range: mass_g >= 0, 0 <= solids_fraction <= 1; NaN outside.
    Source: mass_balance
    """
    mass, inside_m = fence(mass_g, 0.0, _LARGEST_MASS_G)
    solids, inside_s = fence(solids_fraction, 0.0, 1.0)
    total = _over_ingredients(np.where(inside_m & inside_s, mass * solids, np.nan))
    return only_where(~np.isnan(total), total)


def original_gravity_sg(solids_g: ArrayLike, volume_l: ArrayLike) -> Numbers:
    """Gravity of a wort from the extract that went in and its volume, well stirred.

    Parameters
    ----------
    solids_g : array_like, shape (...)
        Extract dissolved [g].
    volume_l : array_like, shape (...)
        Volume made up to [L].

    Returns
    -------
    float or ndarray, shape (...)
        Apparent specific gravity 20/20 degC [1].

    Range: 0 <= solids_g, volume_l > 0, gravity up to 1.15; NaN outside.
    Source: mass_balance, nbs_c440
    """
    volume, inside_v = fence(volume_l, _SMALLEST_VOLUME_L, _LARGEST_VOLUME_L)
    solids, inside_s = fence(solids_g, 0.0, _LARGEST_MASS_G)
    return only_where(inside_v & inside_s, sg_from_extract_g_per_l(solids / volume))


def solids_for_gravity_g(gravity_sg: ArrayLike, volume_l: ArrayLike) -> Numbers:
    """Extract held by a wort of this gravity and volume: what must go in to make it.

    Parameters
    ----------
    gravity_sg : array_like, shape (...)
        Apparent specific gravity 20/20 degC [1].
    volume_l : array_like, shape (...)
        Volume of the wort [L].

    Returns
    -------
    float or ndarray, shape (...)
        Extract [g].

    Range: 1 <= gravity_sg <= 1.15, volume_l > 0; NaN outside.
    Source: mass_balance, nbs_c440
    """
    sg, inside_g = fence(gravity_sg, 1.0, HIGHEST_SG)
    volume, inside_v = fence(volume_l, _SMALLEST_VOLUME_L, _LARGEST_VOLUME_L)
    return only_where(inside_g & inside_v, extract_g_per_l(sg) * volume)


def volume_for_gravity_l(gravity_sg: ArrayLike, solids_g: ArrayLike) -> Numbers:
    """Volume to make up to so that the extract gives this gravity.

    Parameters
    ----------
    gravity_sg : array_like, shape (...)
        Gravity wanted [1].
    solids_g : array_like, shape (...)
        Extract that goes in [g].

    Returns
    -------
    float or ndarray, shape (...)
        Volume [L].

    Range: 1.001 <= gravity_sg <= 1.15, solids_g >= 0; NaN outside.
    Source: mass_balance, nbs_c440
    """
    sg, inside_g = fence(gravity_sg, 1.001, HIGHEST_SG)
    solids, inside_s = fence(solids_g, 0.0, _LARGEST_MASS_G)
    return only_where(inside_g & inside_s, solids / extract_g_per_l(sg))


def _diluted(gravity_sg: ArrayLike, volume_l: ArrayLike, added_water_l: ArrayLike) -> tuple[Numbers, Numbers, Truths]:
    """Mass fraction and mass [kg] after water went in, and where the inputs are in range."""
    w, inside_w = _fraction_of_sg(gravity_sg)
    volume, inside_v = fence(volume_l, _SMALLEST_VOLUME_L, _LARGEST_VOLUME_L)
    water, inside_a = fence(added_water_l, 0.0, _LARGEST_VOLUME_L)
    before = volume * _kg_per_l(w)
    after = before + water * _WATER_KG_PER_L
    return w * before / after, after, inside_w & inside_v & inside_a


def dilute_gravity_sg(gravity_sg: ArrayLike, volume_l: ArrayLike, added_water_l: ArrayLike) -> Numbers:
    """Gravity after water is stirred in.

    Parameters
    ----------
    gravity_sg : array_like, shape (...)
        Gravity before [1].
    volume_l : array_like, shape (...)
        Volume before [L].
    added_water_l : array_like, shape (...)
        Water added [L].

    Returns
    -------
    float or ndarray, shape (...)
        Gravity after [1].

    Range: 1 <= gravity_sg <= 1.15, volume_l > 0, added_water_l >= 0; NaN outside.
    Source: mass_balance, nbs_c440
    """
    w, _, inside = _diluted(gravity_sg, volume_l, added_water_l)
    return only_where(inside, sg_of_plato(100.0 * w))


def diluted_volume_l(gravity_sg: ArrayLike, volume_l: ArrayLike, added_water_l: ArrayLike) -> Numbers:
    """Volume after water is stirred in: a few millilitres away from the sum of the two.

    Parameters
    ----------
    gravity_sg : array_like, shape (...)
        Gravity before [1].
    volume_l : array_like, shape (...)
        Volume before [L].
    added_water_l : array_like, shape (...)
        Water added [L].

    Returns
    -------
    float or ndarray, shape (...)
        Volume after [L].

    Range: 1 <= gravity_sg <= 1.15, volume_l > 0, added_water_l >= 0; NaN outside.
    Source: mass_balance, nbs_c440
    """
    w, mass_kg, inside = _diluted(gravity_sg, volume_l, added_water_l)
    return only_where(inside, mass_kg / _kg_per_l(w))


def water_to_reach_l(gravity_sg: ArrayLike, volume_l: ArrayLike, target_sg: ArrayLike) -> Numbers:
    """Water that brings a wort down to a gravity.

    Parameters
    ----------
    gravity_sg : array_like, shape (...)
        Gravity now [1].
    volume_l : array_like, shape (...)
        Volume now [L].
    target_sg : array_like, shape (...)
        Gravity wanted, not above the present one [1].

    Returns
    -------
    float or ndarray, shape (...)
        Water to add [L].

    Range: 1.001 <= target_sg <= gravity_sg <= 1.15, volume_l > 0; NaN outside.
    Source: mass_balance, nbs_c440
    """
    w, inside_w = _fraction_of_sg(gravity_sg)
    target, inside_t = fence(target_sg, 1.001, HIGHEST_SG)
    volume, inside_v = fence(volume_l, _SMALLEST_VOLUME_L, _LARGEST_VOLUME_L)
    water_kg = volume * _kg_per_l(w) * (w / _fraction_of_sg(target)[0] - 1.0)
    return only_where(inside_w & inside_t & inside_v & (water_kg >= 0.0), water_kg / _WATER_KG_PER_L)


def extract_to_reach_g(
    gravity_sg: ArrayLike, volume_l: ArrayLike, target_sg: ArrayLike, solids_fraction: ArrayLike
) -> Numbers:
    """Mass of malt extract or sugar that brings a wort up to a gravity, the room it takes allowed for.

    Parameters
    ----------
    gravity_sg : array_like, shape (...)
        Gravity now [1].
    volume_l : array_like, shape (...)
        Volume now [L].
    target_sg : array_like, shape (...)
        Gravity wanted, not below the present one [1].
    solids_fraction : array_like, shape (...)
        Extract by mass of what is added [1].

    Returns
    -------
    float or ndarray, shape (...)
        Mass to add, as weighed [g].

    Range: 1 <= gravity_sg <= target_sg <= 1.15, volume_l > 0, 0.5 <= solids_fraction <= 1; NaN outside.
    Source: mass_balance, nbs_c440
    """
    w, inside_w = _fraction_of_sg(gravity_sg)
    w_target, inside_t = _fraction_of_sg(target_sg)
    volume, inside_v = fence(volume_l, _SMALLEST_VOLUME_L, _LARGEST_VOLUME_L)
    solids, inside_s = fence(solids_fraction, 0.5, 1.0)
    mass_g = 1000.0 * volume * _kg_per_l(w) * (w_target - w) / (solids - w_target)
    inside = inside_w & inside_t & inside_v & inside_s & (w_target >= w)
    return only_where(inside, mass_g)


def points_left_in_can(
    left_g: ArrayLike, solids_fraction: ArrayLike, solids_g: ArrayLike, volume_l: ArrayLike
) -> Numbers:
    """Gravity points missing because extract stayed in the can.

    Parameters
    ----------
    left_g : array_like, shape (...)
        Extract left behind, as weighed [g].
    solids_fraction : array_like, shape (...)
        Its solids by mass [1].
    solids_g : array_like, shape (...)
        Extract that was meant to go in [g].
    volume_l : array_like, shape (...)
        Volume made up to [L].

    Returns
    -------
    float or ndarray, shape (...)
        Points (thousandths of gravity) missing [1].

    Range: 0 <= left_g x solids_fraction <= solids_g, volume_l > 0, gravity up to 1.15; NaN outside.
    Source: mass_balance, nbs_c440
    """
    left, inside_l = fence(left_g, 0.0, _LARGEST_MASS_G)
    solids, inside_s = fence(solids_fraction, 0.0, 1.0)
    meant, inside_m = fence(solids_g, 0.0, _LARGEST_MASS_G)
    lost = original_gravity_sg(meant, volume_l) - original_gravity_sg(meant - left * solids, volume_l)
    return only_where(inside_l & inside_s & inside_m, 1000.0 * lost)


def water_needed_l(mass_g: ArrayLike, solids_fraction: ArrayLike, volume_l: ArrayLike) -> Numbers:
    """All the water that makes ingredients up to a volume: dissolved extract takes up room of its own.

    Parameters
    ----------
    mass_g : array_like, shape (..., n)
        Mass of each of n ingredients as weighed [g].
    solids_fraction : array_like, shape (..., n)
        Extract in each by mass [1].
    volume_l : array_like, shape (...)
        Volume made up to [L].

    Returns
    -------
    float or ndarray, shape (...)
        Water, measured at 20 degC [L].

    Range: gravity up to 1.15 and no less than no water; NaN outside.
    Source: mass_balance, nbs_c440
    """
    solids = extract_solids_g(mass_g, solids_fraction)
    volume, inside_v = fence(volume_l, _SMALLEST_VOLUME_L, _LARGEST_VOLUME_L)
    whole_kg = volume * true_density(original_gravity_sg(solids, volume)) / 1000.0
    water_l = (whole_kg - extract_solids_g(mass_g, 1.0) / 1000.0) / _WATER_KG_PER_L
    return only_where(inside_v & (water_l >= 0.0), water_l)


def made_up_volume_l(mass_g: ArrayLike, solids_fraction: ArrayLike, water_l: ArrayLike) -> Numbers:
    """Volume that ingredients and a measured amount of water make together.

    It answers what came of adding 23 L of water where the leaflet said to make up to 23 L.

    Parameters
    ----------
    mass_g : array_like, shape (..., n)
        Mass of each of n ingredients as weighed [g].
    solids_fraction : array_like, shape (..., n)
        Extract in each by mass [1].
    water_l : array_like, shape (...)
        All water added, measured at 20 degC [L].

    Returns
    -------
    float or ndarray, shape (...)
        Volume [L].

    Range: water_l > 0, gravity up to 1.15; NaN outside.
    Source: mass_balance, nbs_c440
    """
    water, inside_w = fence(water_l, _SMALLEST_VOLUME_L, _LARGEST_VOLUME_L)
    whole_g = extract_solids_g(mass_g, 1.0) + 1000.0 * water * _WATER_KG_PER_L
    w, inside_f = fence(extract_solids_g(mass_g, solids_fraction) / whole_g, 0.0, _HIGHEST_FRACTION)
    return only_where(inside_w & inside_f, whole_g / 1000.0 / _kg_per_l(w))


def gravity_interval_sg(
    mass_g: ArrayLike,
    solids_low: ArrayLike,
    solids_best: ArrayLike,
    solids_high: ArrayLike,
    *,
    volume_l: ArrayLike,
    volume_error_l: ArrayLike,
) -> Interval:
    """Expected gravity with its spread from uncertain solids and an uncertain volume.

    Each cause is varied alone and the moves are added as independent errors, upward and downward apart.

    Parameters
    ----------
    mass_g : array_like, shape (..., n)
        Mass of each of n ingredients as weighed [g].
    solids_low : array_like, shape (..., n)
        Lowest credible extract in each by mass [1].
    solids_best : array_like, shape (..., n)
        Likeliest extract in each by mass [1].
    solids_high : array_like, shape (..., n)
        Highest credible extract in each by mass [1].
    volume_l : array_like, shape (...)
        Volume as read [L].
    volume_error_l : array_like, shape (...)
        By how much the reading may be wrong either way [L].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Lowest, best and highest gravity [1].

    Range: solids_low <= solids_best <= solids_high, gravity up to 1.15, volume_error_l at most half the volume; NaN
    outside.
    Source: mass_balance, error_propagation
    """
    volume, inside_v = fence(volume_l, _SMALLEST_VOLUME_L, _LARGEST_VOLUME_L)
    error, inside_e = fence(np.asarray(volume_error_l, dtype=np.float64) / volume, 0.0, 0.5)
    solids = extract_solids_g(mass_g, solids_best)
    best = original_gravity_sg(solids, volume)
    slope = (original_gravity_sg(solids + volume, volume) - best) / volume  # one gram in a litre more
    mass = fence(mass_g, 0.0, _LARGEST_MASS_G)[0]
    fences = [fence(share, 0.0, 1.0) for share in (solids_low, solids_best, solids_high)]
    (lowest, likeliest, highest), known = (fence[0] for fence in fences), fences[0][1] & fences[2][1]
    down_g = np.sqrt(
        _over_ingredients(np.where(known & (lowest <= likeliest), mass * (likeliest - lowest), np.nan) ** 2)
    )
    up_g = np.sqrt(
        _over_ingredients(np.where(known & (likeliest <= highest), mass * (highest - likeliest), np.nan) ** 2)
    )
    inside = inside_v & inside_e & ~np.isnan(down_g + up_g)
    thin = best - original_gravity_sg(solids, volume * (1.0 + error))
    thick = original_gravity_sg(solids, volume * (1.0 - error)) - best
    return Interval(
        only_where(inside, best - np.hypot(slope * down_g, thin)),
        only_where(inside, best),
        only_where(inside, best + np.hypot(slope * up_g, thick)),
    )
