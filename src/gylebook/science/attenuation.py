"""How far fermentation has gone or will go: apparent and real attenuation, and what a make-up leads one to expect."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from gylebook.science._arrays import LAST_BITS, Numbers, fence, only_where
from gylebook.science._mixtures import (
    extract_per_alcohol,
    gravity_by_closure,
    plato_of_sg,
    sg_of_plato,
)
from gylebook.science.alcohol import real_extract_plato
from gylebook.science.extract import HIGHEST_SG, LOWEST_SG

# Below this original gravity a share of the extract says nothing: 0.0001 in a reading is a tenth of it.
_LOWEST_ORIGINAL_SG = 1.001


def apparent_attenuation(original_sg: ArrayLike, final_sg: ArrayLike) -> Numbers:
    """Share of the extract that has gone by the hydrometer, which alcohol makes look larger than it is.

    Parameters
    ----------
    original_sg : array_like, shape (...)
        Specific gravity 20/20 degC before fermentation [1].
    final_sg : array_like, shape (...)
        Specific gravity 20/20 degC now [1].

    Returns
    -------
    float or ndarray, shape (...)
        Apparent attenuation [1]; above 1 when the beer is lighter than water.

    Range: 1.001 <= original_sg <= 1.15, 0.98 <= final_sg <= original_sg; NaN outside.
    Source: by_definition
    """
    og, inside_og = fence(original_sg, _LOWEST_ORIGINAL_SG, HIGHEST_SG)
    fg, inside_fg = fence(final_sg, LOWEST_SG, HIGHEST_SG)
    original_plato = plato_of_sg(og)
    return only_where(
        inside_og & inside_fg & (fg <= og + LAST_BITS), (original_plato - plato_of_sg(fg)) / original_plato
    )


def real_attenuation(original_sg: ArrayLike, final_sg: ArrayLike) -> Numbers:
    """Fall of real extract over original extract, by the density closure.

    Parameters
    ----------
    original_sg : array_like, shape (...)
        Specific gravity 20/20 degC before fermentation [1].
    final_sg : array_like, shape (...)
        Specific gravity 20/20 degC now [1].

    Returns
    -------
    float or ndarray, shape (...)
        Real attenuation [1].

    Range: 1.001 <= original_sg <= 1.15, 0.98 <= final_sg <= original_sg and some extract left; NaN outside.
    Source: by_definition, density_closure
    """
    og, inside = fence(original_sg, _LOWEST_ORIGINAL_SG, HIGHEST_SG)
    original_plato = plato_of_sg(og)
    return only_where(inside, (original_plato - real_extract_plato(og, final_sg)) / original_plato)


def real_degree_of_fermentation(original_sg: ArrayLike, final_sg: ArrayLike) -> Numbers:
    """Share of the original extract's mass that was fermented: real attenuation, corrected for the mass that left.

    Parameters
    ----------
    original_sg : array_like, shape (...)
        Specific gravity 20/20 degC before fermentation [1].
    final_sg : array_like, shape (...)
        Specific gravity 20/20 degC now [1].

    Returns
    -------
    float or ndarray, shape (...)
        Real degree of fermentation [1].

    Range: 1.001 <= original_sg <= 1.15, 0.98 <= final_sg <= original_sg and some extract left; NaN outside.
    Source: rdf_asbc, density_closure
    """
    og, inside = fence(original_sg, _LOWEST_ORIGINAL_SG, HIGHEST_SG)
    left = real_extract_plato(og, final_sg)
    original_plato = plato_of_sg(og)
    return only_where(inside, (original_plato - left) / original_plato / (1.0 - 0.005161 * left))


def apparent_from_real_attenuation(original_sg: ArrayLike, real_attenuation: ArrayLike) -> Numbers:
    """Apparent attenuation that a wort shows when this share of its extract is gone.

    With 1 it tells what a fully fermented sugar shows: about 1.23, since alcohol is lighter than water.

    Parameters
    ----------
    original_sg : array_like, shape (...)
        Specific gravity 20/20 degC before fermentation [1].
    real_attenuation : array_like, shape (...)
        Fall of real extract over original extract [1].

    Returns
    -------
    float or ndarray, shape (...)
        Apparent attenuation [1].

    Range: 1.001 <= original_sg <= 1.1, 0 <= real_attenuation <= 1; NaN outside.
    Source: density_closure
    """
    og, inside_og = fence(original_sg, _LOWEST_ORIGINAL_SG, 1.1)
    share, inside_share = fence(real_attenuation, 0.0, 1.0)
    original_plato = plato_of_sg(og)
    alcohol = share * original_plato / extract_per_alcohol(original_plato)
    final_sg = gravity_by_closure(original_plato * (1.0 - share), alcohol)
    apparent = (original_plato - plato_of_sg(final_sg)) / original_plato
    return only_where(inside_og & inside_share, np.maximum(apparent, 0.0))


def final_gravity_sg(original_sg: ArrayLike, apparent_attenuation: ArrayLike) -> Numbers:
    """Gravity at which a wort of this apparent attenuation stops.

    Parameters
    ----------
    original_sg : array_like, shape (...)
        Specific gravity 20/20 degC before fermentation [1].
    apparent_attenuation : array_like, shape (...)
        Apparent attenuation [1].

    Returns
    -------
    float or ndarray, shape (...)
        Final specific gravity 20/20 degC [1].

    Range: 1 <= original_sg <= 1.15, 0 <= apparent_attenuation <= 1.3, a result of at least 0.98; NaN outside.
    Source: by_definition, sg_plato_fit
    """
    og, inside_og = fence(original_sg, 1.0, HIGHEST_SG)
    share, inside_share = fence(apparent_attenuation, 0.0, 1.3)
    final_sg = sg_of_plato(plato_of_sg(og) * (1.0 - share))
    return only_where(inside_og & inside_share & (final_sg >= LOWEST_SG), final_sg)


def blended_apparent_attenuation(extract_g: ArrayLike, apparent_attenuation: ArrayLike) -> Numbers:
    """Apparent attenuation of a wort made up of several extracts, each weighed by the extract it brings.

    Sugar that ferments fully counts about 1.2 (constants.SUGAR_APPARENT_ATTENUATION), lactose 0, malt extract what
    its own beers show, commonly 0.65 to 0.75.

    Parameters
    ----------
    extract_g : array_like, shape (..., parts)
        Dry extract that each part brings [g], or shares of any sum [1].
    apparent_attenuation : array_like, shape (..., parts)
        Apparent attenuation of each part [1].

    Returns
    -------
    float or ndarray, shape (...)
        Apparent attenuation of the whole [1].

    Range: extract_g >= 0 with a sum above 0, 0 <= apparent_attenuation <= 1.3; NaN when any part is outside. The rule
    holds to 0.01 of attenuation, because alcohol and extract add up almost, not quite.
    Source: attenuation_make_up, mass_balance
    """
    weight, inside_weight = fence(extract_g, 0.0, 1e9)
    share, inside_share = fence(apparent_attenuation, 0.0, 1.3)
    weight, share, inside = np.broadcast_arrays(weight, share, inside_weight & inside_share)
    if weight.ndim == 0:
        weight, share, inside = weight[np.newaxis], share[np.newaxis], inside[np.newaxis]
    total = weight.sum(axis=-1)
    whole = inside.all(axis=-1) & (total > 0.0)
    blended = (weight * share).sum(axis=-1) / np.where(total > 0.0, total, 1.0)
    return only_where(whole, blended)
