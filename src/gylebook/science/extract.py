"""Density of sugar solutions; specific gravity and degrees Plato.

``gravity_sg`` is the apparent specific gravity 20/20 °C, weighed in air, on which the sugar and brewing tables rest.
The true ratio of densities is smaller by 0.12 % of the excess over 1 (0.00005 at 1.040), less than anyone can read.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gylebook.science._arrays import Numbers, fence, only_where
from gylebook.science._mixtures import (
    DENSITY_PER_SG,
    plato_of_sg,
    sg_of_plato,
    sg_slope,
    sucrose_density,
    true_density,
)

# The gravities between which extract and gravity are turned into one another.
# Source: nbs_c440, sg_plato_fit
LOWEST_SG: Final = 0.98
HIGHEST_SG: Final = 1.15

# A hair is left so that a value which went one way comes back the other.
_LOWEST_PLATO = float(plato_of_sg(np.asarray(LOWEST_SG))) - 1e-9
_HIGHEST_PLATO = float(plato_of_sg(np.asarray(HIGHEST_SG))) + 1e-9
_MOST_G_PER_L = _HIGHEST_PLATO / 100.0 * float(true_density(np.asarray(HIGHEST_SG)))


def sucrose_density_kg_m3(mass_fraction: ArrayLike, temp_c: ArrayLike) -> Numbers:
    """True density of a sucrose solution, which stands in for wort.

    Maltose, glucose and dextrins weigh a little less: wort read as sucrose is good to 0.1 g/100 g at 10 g/100 g of
    extract and to 0.3 at 20.

    Parameters
    ----------
    mass_fraction : array_like, shape (...)
        Sucrose in the solution by mass [1].
    temp_c : array_like, shape (...)
        Temperature [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Density [kg/m3].

    Range: 0 <= mass_fraction <= 0.75, 0 <= temp_c <= 100; NaN outside. Checked against print to 0.70 at 20 degC.
    Source: bubnik_1995
    """
    w, inside_w = fence(mass_fraction, 0.0, 0.75)
    t, inside_t = fence(temp_c, 0.0, 100.0)
    return only_where(inside_w & inside_t, sucrose_density(w, t))


def sg_from_plato(extract_plato: ArrayLike) -> Numbers:
    """Apparent specific gravity of a wort from its extract.

    Below zero the curve runs on smoothly, nearly straight: a dry beer is lighter than water and its apparent extract
    is negative.

    Parameters
    ----------
    extract_plato : array_like, shape (...)
        Extract by mass [g/100 g].

    Returns
    -------
    float or ndarray, shape (...)
        Apparent specific gravity 20/20 degC in air [1].

    Range: -5.25 <= extract_plato <= 34.25 (SG 0.98 to 1.15); NaN outside. Within 0.00002 of the table from 0 to 30.
    Source: nbs_c440, sg_plato_fit
    """
    p, inside = fence(extract_plato, _LOWEST_PLATO, _HIGHEST_PLATO)
    return only_where(inside, sg_of_plato(p))


def plato_from_sg(gravity_sg: ArrayLike) -> Numbers:
    """Extract of a wort (or apparent extract of a beer) from its apparent specific gravity.

    Parameters
    ----------
    gravity_sg : array_like, shape (...)
        Apparent specific gravity 20/20 degC in air [1].

    Returns
    -------
    float or ndarray, shape (...)
        Extract by mass [g/100 g].

    Range: 0.98 <= gravity_sg <= 1.15; NaN outside. Within 0.005 g/100 g of the table from 1.000 to 1.129.
    Source: nbs_c440, sg_plato_fit
    """
    sg, inside = fence(gravity_sg, LOWEST_SG, HIGHEST_SG)
    return only_where(inside, plato_of_sg(sg))


def true_density_kg_m3(gravity_sg: ArrayLike) -> Numbers:
    """True density at 20 degC of a liquid with this apparent specific gravity.

    Parameters
    ----------
    gravity_sg : array_like, shape (...)
        Apparent specific gravity 20/20 degC in air [1].

    Returns
    -------
    float or ndarray, shape (...)
        Density at 20 degC [kg/m3], the same as [g/L].

    Range: 0.98 <= gravity_sg <= 1.15; NaN outside.
    Source: nbs_c440
    """
    sg, inside = fence(gravity_sg, LOWEST_SG, HIGHEST_SG)
    return only_where(inside, true_density(sg))


def extract_g_per_l(gravity_sg: ArrayLike) -> Numbers:
    """Extract in a litre of wort measured at 20 degC.

    Parameters
    ----------
    gravity_sg : array_like, shape (...)
        Apparent specific gravity 20/20 degC in air [1].

    Returns
    -------
    float or ndarray, shape (...)
        Extract [g/L].

    Range: 0.98 <= gravity_sg <= 1.15; NaN outside.
    Source: nbs_c440, sg_plato_fit
    """
    sg, inside = fence(gravity_sg, LOWEST_SG, HIGHEST_SG)
    return only_where(inside, plato_of_sg(sg) / 100.0 * true_density(sg))


def sg_from_extract_g_per_l(extract_g_per_l: ArrayLike) -> Numbers:
    """Apparent specific gravity of a wort that holds this much extract in a litre at 20 degC.

    What weights and a volume foretell: the extract of everything that went in over the litres it was made up to.

    Parameters
    ----------
    extract_g_per_l : array_like, shape (...)
        Extract [g/L].

    Returns
    -------
    float or ndarray, shape (...)
        Apparent specific gravity 20/20 degC in air [1].

    Range: 0 <= extract_g_per_l <= 393 (SG 1.000 to 1.15); NaN outside.
    Source: nbs_c440, sg_plato_fit
    """
    wanted, inside = fence(extract_g_per_l, 0.0, _MOST_G_PER_L)
    p = wanted / 11.0
    for _ in range(5):
        density = true_density(sg_of_plato(p))
        p = p - (p * density - 100.0 * wanted) / (density + p * sg_slope(p) * DENSITY_PER_SG)
    return only_where(inside, sg_of_plato(p))


def points(gravity_sg: ArrayLike) -> Numbers:
    """Gravity points, as brewers count them: 1.040 is 40 points.

    Parameters
    ----------
    gravity_sg : array_like, shape (...)
        Specific gravity [1].

    Returns
    -------
    float or ndarray, shape (...)
        Gravity points [0.001].

    Range: 0.98 <= gravity_sg <= 1.15; NaN outside.
    Source: by_definition
    """
    sg, inside = fence(gravity_sg, LOWEST_SG, HIGHEST_SG)
    return only_where(inside, (sg - 1.0) * 1000.0)
