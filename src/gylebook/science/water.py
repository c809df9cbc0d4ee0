"""Density of air-free water at one atmosphere."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from gylebook.science._arrays import Numbers, fence, only_where
from gylebook.science._mixtures import water_density

# Tanaka 2001, equation of the recommended table; kg/m3, degC.
_TANAKA_A1 = -3.983035
_TANAKA_A2 = 301.797
_TANAKA_A3 = 522528.9
_TANAKA_A4 = 69.34881
_TANAKA_A5 = 999.974950


def density_kg_m3(temp_c: ArrayLike) -> Numbers:
    """Density of water: Tanaka to 40 degC, the Kell form above.

    At 40 degC the two differ by 0.0033 kg/m3 (3 parts in a million), downward, so density still falls with
    temperature everywhere above 4 degC. The step is left as it is: neither source is altered.

    Parameters
    ----------
    temp_c : array_like, shape (...)
        Temperature [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Density [kg/m3].

    Range: 0 <= temp_c <= 100; NaN outside. Within 0.0012 kg/m3 of IAPWS-95 to 40 degC, within 0.006 above.
    Source: tanaka_2001, bubnik_1995
    """
    t, inside = fence(temp_c, 0.0, 100.0)
    tanaka = _TANAKA_A5 * (1 - (t + _TANAKA_A1) ** 2 * (t + _TANAKA_A2) / (_TANAKA_A3 * (t + _TANAKA_A4)))
    return only_where(inside, np.where(t <= 40.0, tanaka, water_density(t)))


def kell_form_density_kg_m3(temp_c: ArrayLike) -> Numbers:
    """Density of water by the Kell form, the one that belongs to the sucrose polynomial.

    Parameters
    ----------
    temp_c : array_like, shape (...)
        Temperature [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Density [kg/m3].

    Range: 0 <= temp_c <= 100; NaN outside. Up to 0.006 kg/m3 below IAPWS-95.
    Source: bubnik_1995
    """
    t, inside = fence(temp_c, 0.0, 100.0)
    return only_where(inside, water_density(t))
