"""Food energy of beer."""

from __future__ import annotations

from numpy.typing import ArrayLike

from gylebook.science._arrays import Numbers, fence, only_where
from gylebook.science.alcohol import alcohol_by_mass, real_extract_plato
from gylebook.science.constants import KJ_PER_KCAL
from gylebook.science.extract import HIGHEST_SG, LOWEST_SG

_ASH_PERCENT = 0.1  # Source: beer_ash


def energy_kcal_per_100g(alcohol_by_mass: ArrayLike, real_extract_plato: ArrayLike) -> Numbers:
    """Energy of 100 g of beer from its alcohol and real extract: 6.9 A + 4 (RE − ash).

    Parameters
    ----------
    alcohol_by_mass : array_like, shape (...)
        Alcohol by mass [g/100 g].
    real_extract_plato : array_like, shape (...)
        Real extract [g/100 g].

    Returns
    -------
    float or ndarray, shape (...)
        Energy [kcal/100 g].

    Range: 0 <= alcohol_by_mass <= 20, 0 <= real_extract_plato <= 35; NaN outside. Ash is taken as 0.1 g/100 g, and
    extract below that as nothing.
    Source: oxford_companion_beer, beer_ash
    """
    alcohol, inside_alcohol = fence(alcohol_by_mass, 0.0, 20.0)
    extract, inside_extract = fence(real_extract_plato, 0.0, 35.0)
    food = (extract - _ASH_PERCENT).clip(min=0.0)
    return only_where(inside_alcohol & inside_extract, 6.9 * alcohol + 4.0 * food)


def energy_kcal_per_100ml(original_sg: ArrayLike, final_sg: ArrayLike) -> Numbers:
    """Energy of 100 mL of beer from its gravities, alcohol and extract by the density closure.

    Parameters
    ----------
    original_sg : array_like, shape (...)
        Specific gravity 20/20 degC before fermentation [1].
    final_sg : array_like, shape (...)
        Specific gravity 20/20 degC now [1].

    Returns
    -------
    float or ndarray, shape (...)
        Energy [kcal/100 mL].

    Range: 1 <= original_sg <= 1.15, 0.98 <= final_sg <= original_sg and some extract left; NaN outside.
    Source: oxford_companion_beer, beer_ash, density_closure
    """
    fg, inside = fence(final_sg, LOWEST_SG, HIGHEST_SG)
    per_100g = energy_kcal_per_100g(alcohol_by_mass(original_sg, fg), real_extract_plato(original_sg, fg))
    return only_where(inside, per_100g * fg)


def energy_kj_per_100ml(original_sg: ArrayLike, final_sg: ArrayLike) -> Numbers:
    """Energy of 100 mL of beer in kilojoules, as European labels ask.

    Parameters
    ----------
    original_sg : array_like, shape (...)
        Specific gravity 20/20 degC before fermentation [1].
    final_sg : array_like, shape (...)
        Specific gravity 20/20 degC now [1].

    Returns
    -------
    float or ndarray, shape (...)
        Energy [kJ/100 mL].

    Range: 1 <= original_sg <= 1.15, 0.98 <= final_sg <= original_sg and some extract left; NaN outside.
    Source: oxford_companion_beer, beer_ash, density_closure, unit_definitions
    """
    return energy_kcal_per_100ml(original_sg, final_sg) * KJ_PER_KCAL
