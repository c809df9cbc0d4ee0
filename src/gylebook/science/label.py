"""What a label and the law make of a strength: rounding, tolerances, units of alcohol.

Law differs by country and changes; what is in force on the day decides.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from gylebook.science._arrays import Numbers, fence, only_where

_PURE_ABV = 100.0


def alcohol_units_uk(abv: ArrayLike, volume_l: ArrayLike) -> Numbers:
    """Units of alcohol as counted in the United Kingdom, 10 mL of ethanol each.

    Parameters
    ----------
    abv : array_like, shape (...)
        Alcohol by volume [% vol].
    volume_l : array_like, shape (...)
        Volume drunk or bottled [L].

    Returns
    -------
    float or ndarray, shape (...)
        Units [10 mL of ethanol].

    Range: 0 <= abv <= 100, 0 <= volume_l <= 10000; NaN outside.
    Source: uk_unit_of_alcohol
    """
    strength, inside_strength = fence(abv, 0.0, _PURE_ABV)
    volume, inside_volume = fence(volume_l, 0.0, 10_000.0)
    return only_where(inside_strength & inside_volume, strength * volume)


def round_down_one_decimal(abv: ArrayLike) -> Numbers:
    """Strength rounded down to one decimal, as United Kingdom duty asks: 7.59 counts as 7.5.

    Parameters
    ----------
    abv : array_like, shape (...)
        Alcohol by volume [% vol].

    Returns
    -------
    float or ndarray, shape (...)
        Alcohol by volume [% vol].

    Range: 0 <= abv <= 100; NaN outside.
    Source: uk_alcohol_guide
    """
    strength, inside = fence(abv, 0.0, _PURE_ABV)
    # 4.1 is stored as a hair less or more; a hair must not cost a tenth.
    return only_where(inside, np.floor(strength * 10.0 + 1e-6) / 10.0)


def tolerance_eu(abv: ArrayLike) -> Numbers:
    """By how much a beer's strength may differ from its label in the European Union.

    Parameters
    ----------
    abv : array_like, shape (...)
        Strength on the label [% vol].

    Returns
    -------
    float or ndarray, shape (...)
        Tolerance, up and down [% vol].

    Range: 1.2 < abv <= 100; NaN outside (no strength need be stated up to 1.2). The law in force decides.
    Source: eu_1169_2011
    """
    strength, inside = fence(abv, 1.2, _PURE_ABV)
    return only_where(inside & (strength > 1.2), np.where(strength > 5.5, 1.0, 0.5))


def tolerance_us(abv: ArrayLike) -> Numbers:
    """By how much a malt beverage's strength may differ from its label in the United States.

    Parameters
    ----------
    abv : array_like, shape (...)
        Strength on the label [% vol].

    Returns
    -------
    float or ndarray, shape (...)
        Tolerance, up and down [% vol].

    Range: 0.5 <= abv <= 100; NaN outside. The law in force decides.
    Source: us_27_cfr
    """
    strength, inside = fence(abv, 0.5, _PURE_ABV)
    return only_where(inside, np.full_like(strength, 0.3))
