"""Alcohol of beer from its gravities, and strength by volume and by mass.

The sum that Gylebook itself uses is ``alcohol_by_volume``, the density closure. The others stand beside it because
brewers expect them (``abv_customary``), because books print them (``abv_balling_08192``) or because the law counts
that way (``abv_uk_duty``). What a label makes of the figure stands in ``label``.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from gylebook.science._arrays import LAST_BITS, Numbers, Truths, fence, only_where
from gylebook.science._mixtures import (
    alcohol_of,
    ethanol_density,
    ethanol_density_20c,
    ethanol_density_20c_slope,
    extract_per_alcohol,
    partners_by_closure,
    plato_of_sg,
    true_density,
)
from gylebook.science.constants import ABV_FORMULA_LIMIT, ETHANOL_DENSITY_20C_KG_M3, EXTRACT_PER_ALCOHOL
from gylebook.science.extract import HIGHEST_SG, LOWEST_SG
from gylebook.science.interval import Interval

# Upper end of each band of the fall in gravity [degrees] and its factor.
_DUTY_BANDS = (6.9, 10.4, 17.2, 26.1, 36.0, 46.5, 57.1, 67.9, 78.8, 89.7, 100.7)
_DUTY_FACTORS = (0.125, 0.126, 0.127, 0.128, 0.129, 0.130, 0.131, 0.132, 0.133, 0.134, 0.135)
# 95 % of a bell curve lies within this many standard deviations.
_SD_OF_95_PERCENT = 1.96


def ethanol_water_density_kg_m3(mass_fraction: ArrayLike, temp_c: ArrayLike) -> Numbers:
    """True density of a mixture of ethanol and water.

    Parameters
    ----------
    mass_fraction : array_like, shape (...)
        Ethanol by mass [1].
    temp_c : array_like, shape (...)
        Temperature [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Density [kg/m3].

    Range: 0 <= mass_fraction <= 1, -20 <= temp_c <= 40; NaN outside. Mixtures that would freeze are not caught.
    Source: oiml_r22, eec_76_766
    """
    p, inside_p = fence(mass_fraction, 0.0, 1.0)
    t, inside_t = fence(temp_c, -20.0, 40.0)
    return only_where(inside_p & inside_t, ethanol_density(p, t))


def abv_from_mass_fraction(mass_fraction: ArrayLike) -> Numbers:
    """Strength by volume at 20 degC of an ethanol-water mixture from its strength by mass.

    Parameters
    ----------
    mass_fraction : array_like, shape (...)
        Ethanol by mass [1].

    Returns
    -------
    float or ndarray, shape (...)
        Ethanol by volume at 20 degC [% vol].

    Range: 0 <= mass_fraction <= 1; NaN outside. Without extract; for beer use alcohol_by_volume.
    Source: oiml_r22
    """
    p, inside = fence(mass_fraction, 0.0, 1.0)
    return only_where(inside, 100.0 * p * ethanol_density_20c(p) / ETHANOL_DENSITY_20C_KG_M3)


def mass_fraction_from_abv(abv: ArrayLike) -> Numbers:
    """Strength by mass of an ethanol-water mixture from its strength by volume at 20 degC.

    Parameters
    ----------
    abv : array_like, shape (...)
        Ethanol by volume at 20 degC [% vol].

    Returns
    -------
    float or ndarray, shape (...)
        Ethanol by mass [1].

    Range: 0 <= abv <= 100; NaN outside. Without extract.
    Source: oiml_r22
    """
    wanted, inside = fence(abv, 0.0, 100.0)
    p = wanted / 110.0
    for _ in range(8):
        density = ethanol_density_20c(p)
        slope = density + p * ethanol_density_20c_slope(p)
        p = p - (p * density - wanted / 100.0 * ETHANOL_DENSITY_20C_KG_M3) / slope
    return only_where(inside, np.minimum(p, 1.0))


def alcohol_by_mass(original_sg: ArrayLike, final_sg: ArrayLike) -> Numbers:
    """Alcohol by mass of a beer, by the density closure.

    Parameters
    ----------
    original_sg : array_like, shape (...)
        Specific gravity 20/20 degC before fermentation [1].
    final_sg : array_like, shape (...)
        Specific gravity 20/20 degC now [1].

    Returns
    -------
    float or ndarray, shape (...)
        Alcohol by mass [g/100 g].

    Range: 1 <= original_sg <= 1.15, 0.98 <= final_sg <= original_sg and some extract left; NaN outside.
    Source: density_closure, balling_nielsen_2007, hackbarth_2009, oiml_r22
    """
    brewed = _brewed(original_sg, final_sg)
    return only_where(brewed.inside, brewed.alcohol)


def alcohol_by_volume(original_sg: ArrayLike, final_sg: ArrayLike) -> Numbers:
    """Alcohol by volume of a beer at 20 degC, by the density closure.

    The alcohol is sought for which Balling's balance (2.0665 g of extract give 1 g of alcohol) and the densities of
    what is then in the beer give the gravity that was read. Breweries differ by 0.1 g/100 g in yield, so this and any
    other sum from two gravities is good to about 0.15 % vol: see abv_interval.

    Parameters
    ----------
    original_sg : array_like, shape (...)
        Specific gravity 20/20 degC before fermentation [1].
    final_sg : array_like, shape (...)
        Specific gravity 20/20 degC now [1].

    Returns
    -------
    float or ndarray, shape (...)
        Alcohol by volume at 20 degC [% vol].

    Range: 1 <= original_sg <= 1.15, 0.98 <= final_sg <= original_sg and some extract left; NaN outside.
    Source: density_closure, balling_nielsen_2007, hackbarth_2009, oiml_r22
    """
    brewed = _brewed(original_sg, final_sg)
    return only_where(brewed.inside, brewed.abv)


def real_extract_plato(original_sg: ArrayLike, final_sg: ArrayLike) -> Numbers:
    """Extract really left in a beer, free of the lightness that alcohol lends it, by the density closure.

    Parameters
    ----------
    original_sg : array_like, shape (...)
        Specific gravity 20/20 degC before fermentation [1].
    final_sg : array_like, shape (...)
        Specific gravity 20/20 degC now [1].

    Returns
    -------
    float or ndarray, shape (...)
        Real extract [g/100 g].

    Range: 1 <= original_sg <= 1.15, 0.98 <= final_sg <= original_sg and some extract left; NaN outside. Within 0.03 of
    the means of 532 brews.
    Source: density_closure, balling_nielsen_2007, hackbarth_2009, cutaia_2009
    """
    brewed = _brewed(original_sg, final_sg)
    return only_where(brewed.inside, brewed.extract)


class _Brewed(NamedTuple):
    inside: Truths
    alcohol: Numbers
    abv: Numbers
    extract: Numbers


def _brewed(original_sg: ArrayLike, final_sg: ArrayLike) -> _Brewed:
    og, inside_og = fence(original_sg, 1.0, HIGHEST_SG)
    fg, inside_fg = fence(final_sg, LOWEST_SG, HIGHEST_SG)
    original_plato = plato_of_sg(og)
    alcohol = alcohol_of(partners_by_closure(original_plato, fg), fg)
    extract = original_plato - alcohol * extract_per_alcohol(original_plato)
    inside = inside_og & inside_fg & (fg <= og + LAST_BITS) & (extract >= -LAST_BITS)
    # The last bits of the solution must not make nothing into less than nothing.
    alcohol, extract = np.maximum(alcohol, 0.0), np.maximum(extract, 0.0)
    return _Brewed(inside, alcohol, alcohol * true_density(fg) / ETHANOL_DENSITY_20C_KG_M3, extract)


def abv_interval(
    original_sg: ArrayLike, final_sg: ArrayLike, original_sd_sg: ArrayLike = 0.0, final_sd_sg: ArrayLike = 0.0
) -> Interval:
    """Alcohol by volume with its interval: the readings' errors and what no sum from two gravities can know.

    The limit of such sums, 0.15 % vol, is taken as the half width that holds 95 of 100 beers, independent of the
    readings; the standard deviations of the two gravities are carried through the closure to first order.

    Parameters
    ----------
    original_sg : array_like, shape (...)
        Specific gravity 20/20 degC before fermentation [1].
    final_sg : array_like, shape (...)
        Specific gravity 20/20 degC now [1].
    original_sd_sg : array_like, shape (...)
        Standard deviation of the original gravity [1].
    final_sd_sg : array_like, shape (...)
        Standard deviation of the final gravity [1].

    Returns
    -------
    Interval
        low, best and high, each float or ndarray of shape (...) [% vol]; low is never below 0.

    Range: as alcohol_by_volume, standard deviations from 0 to 0.05; NaN outside.
    Source: density_closure, cutaia_2009, error_propagation
    """
    og, fg = np.asarray(original_sg, dtype=np.float64), np.asarray(final_sg, dtype=np.float64)
    og_sd, inside_og_sd = fence(original_sd_sg, 0.0, 0.05)
    fg_sd, inside_fg_sd = fence(final_sd_sg, 0.0, 0.05)
    brewed = _brewed(og, fg)
    # One-sided steps stay within the fences wherever the beer itself does; the closure is almost straight.
    step = np.where(og + 1e-5 > HIGHEST_SG, -1e-5, 1e-5)
    by_original = (_brewed(og + step, fg).abv - brewed.abv) / step
    step = np.where(fg - 1e-5 < LOWEST_SG, 1e-5, -1e-5)
    by_final = (_brewed(og, fg + step).abv - brewed.abv) / step
    readings = _SD_OF_95_PERCENT * np.hypot(by_original * og_sd, by_final * fg_sd)
    half_width = np.hypot(ABV_FORMULA_LIMIT, readings)
    inside = brewed.inside & inside_og_sd & inside_fg_sd
    return Interval(
        only_where(inside, np.maximum(brewed.abv - half_width, 0.0)),
        only_where(inside, brewed.abv),
        only_where(inside, brewed.abv + half_width),
    )


def abv_customary(original_sg: ArrayLike, final_sg: ArrayLike) -> Numbers:
    """Alcohol by volume by the rule that most home brewers know: 131.25 times the fall in gravity.

    Parameters
    ----------
    original_sg : array_like, shape (...)
        Specific gravity before fermentation [1].
    final_sg : array_like, shape (...)
        Specific gravity now [1].

    Returns
    -------
    float or ndarray, shape (...)
        Alcohol by volume [% vol].

    Range: 1 <= original_sg <= 1.15, 0.98 <= final_sg <= original_sg; NaN outside.
    Source: rule_131
    """
    og, fg, inside = _fall(original_sg, final_sg)
    return only_where(inside, 131.25 * (og - fg))


def abv_balling_08192(original_sg: ArrayLike, final_sg: ArrayLike) -> Numbers:
    """Alcohol by volume by Balling with the customary real extract, 0.1808 original + 0.8192 apparent extract.

    It lies 0.05 to 0.2 % vol above the density closure, because the factor belongs to gravity 17.5/17.5 degC.

    Parameters
    ----------
    original_sg : array_like, shape (...)
        Specific gravity 20/20 degC before fermentation [1].
    final_sg : array_like, shape (...)
        Specific gravity 20/20 degC now [1].

    Returns
    -------
    float or ndarray, shape (...)
        Alcohol by volume [% vol].

    Range: 1 <= original_sg <= 1.15, 0.98 <= final_sg <= original_sg; NaN outside.
    Source: rule_08192, balling_nielsen_2007, nohel_2020
    """
    og, fg, inside = _fall(original_sg, final_sg)
    original_plato = plato_of_sg(og)
    real_extract = 0.1808 * original_plato + 0.8192 * plato_of_sg(fg)
    alcohol = (original_plato - real_extract) / extract_per_alcohol(original_plato)
    return only_where(inside, alcohol * fg / 0.79066)


def abv_uk_duty(original_sg: ArrayLike, final_sg: ArrayLike) -> Numbers:
    """Alcohol by volume by the factors of United Kingdom beer duty, not yet rounded down.

    The fall in degrees of gravity is rounded to a tenth, as the table's bands are, and multiplied by its band's factor.
    What is declared is rounded down to one decimal: see label.round_down_one_decimal. The law in force decides.

    Parameters
    ----------
    original_sg : array_like, shape (...)
        Specific gravity before fermentation [1].
    final_sg : array_like, shape (...)
        Specific gravity now [1].

    Returns
    -------
    float or ndarray, shape (...)
        Alcohol by volume [% vol].

    Range: 1 <= original_sg <= 1.15, 0.98 <= final_sg <= original_sg, a fall of 0.1007 at most; NaN outside.
    Source: hmrc_226
    """
    og, fg, inside = _fall(original_sg, final_sg)
    degrees = np.round((og - fg) * 1000.0, 1)
    band = np.searchsorted(np.asarray(_DUTY_BANDS) + 1e-6, degrees)
    covered = band < len(_DUTY_FACTORS)
    factor = np.asarray(_DUTY_FACTORS)[np.minimum(band, len(_DUTY_FACTORS) - 1)]
    return only_where(inside & covered, degrees * factor)


def _fall(original_sg: ArrayLike, final_sg: ArrayLike) -> tuple[Numbers, Numbers, Truths]:
    og, inside_og = fence(original_sg, 1.0, HIGHEST_SG)
    fg, inside_fg = fence(final_sg, LOWEST_SG, HIGHEST_SG)
    return og, np.minimum(fg, og), inside_og & inside_fg & (fg <= og + LAST_BITS)


def abv_added_by_priming(sugar_extract_g_per_l: ArrayLike) -> Numbers:
    """Alcohol by volume that fully fermented priming sugar adds.

    Parameters
    ----------
    sugar_extract_g_per_l : array_like, shape (...)
        Fermentable sugar added, dry and without water of crystallisation, per litre of beer [g/L].

    Returns
    -------
    float or ndarray, shape (...)
        Alcohol by volume added [% vol].

    Range: 0 <= sugar_extract_g_per_l <= 50; NaN outside. The water that the sugar is dissolved in is not counted.
    Source: density_closure_priming, balling_nielsen_2007, oiml_r22
    """
    sugar, inside = fence(sugar_extract_g_per_l, 0.0, 50.0)
    return only_where(inside, sugar / EXTRACT_PER_ALCOHOL / ETHANOL_DENSITY_20C_KG_M3 * 100.0)
