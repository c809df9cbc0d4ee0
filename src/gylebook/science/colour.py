"""Colour of beer: the two scales, a kit's colour at another volume, grain's colour by rule, and a word for it.

No spectrum and no screen colour: one number on a scale and a word are all that a brewer is shown.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gylebook.science._arrays import Numbers, fence, only_where

# 25 × A430 over 12.7 × A430.
# Source: ebc_srm_definition
EBC_PER_SRM: Final = 25.0 / 12.7
_POUNDS_PER_KG: Final = 1.0 / 0.45359237
_US_GALLONS_PER_L: Final = 1.0 / 3.785411784
# Morey: SRM = 1.4922 MCU^0.6859, below SRM 50.
_MOREY_FACTOR: Final = 1.4922
_MOREY_POWER: Final = 0.6859
_HIGHEST_MCU: Final = (50.0 / _MOREY_FACTOR) ** (1.0 / _MOREY_POWER)
# Upper ends [EBC] of the words. Source: common_practice
_WORDS: Final = ((6.0, "straw"), (12.0, "gold"), (20.0, "amber"), (32.0, "copper"), (60.0, "brown"))


def ebc_from_srm(colour_srm: ArrayLike) -> Numbers:
    """Colour on the European scale from the American one.

    Both are meant for clear beer, whose absorbance at 700 nm is at most 0.039 of that at 430 nm.

    Parameters
    ----------
    colour_srm : array_like, shape (...)
        Colour [SRM].

    Returns
    -------
    float or ndarray, shape (...)
        Colour [EBC].

    Range: 0 <= colour_srm <= 200; NaN outside.
    Source: ebc_srm_definition, delange_asbc_2007
    """
    colour, inside = fence(colour_srm, 0.0, 200.0)
    return only_where(inside, colour * EBC_PER_SRM)


def srm_from_ebc(colour_ebc: ArrayLike) -> Numbers:
    """Colour on the American scale from the European one.

    Parameters
    ----------
    colour_ebc : array_like, shape (...)
        Colour [EBC].

    Returns
    -------
    float or ndarray, shape (...)
        Colour [SRM].

    Range: 0 <= colour_ebc <= 400; NaN outside.
    Source: ebc_srm_definition
    """
    colour, inside = fence(colour_ebc, 0.0, 400.0)
    return only_where(inside, colour / EBC_PER_SRM)


def scaled_colour_ebc(leaflet_ebc: ArrayLike, leaflet_volume_l: ArrayLike, volume_l: ArrayLike) -> Numbers:
    """Colour when a kit is made to another volume than its leaflet's: absorbance goes with concentration.

    Parameters
    ----------
    leaflet_ebc : array_like, shape (...)
        Colour at the leaflet's volume [EBC].
    leaflet_volume_l : array_like, shape (...)
        The leaflet's volume [L].
    volume_l : array_like, shape (...)
        The volume made [L].

    Returns
    -------
    float or ndarray, shape (...)
        Colour [EBC].

    Range: 0 <= leaflet_ebc <= 400, volumes > 0; NaN outside.
    Source: ebc_srm_definition, mass_balance
    """
    colour, inside_c = fence(leaflet_ebc, 0.0, 400.0)
    meant, inside_m = fence(leaflet_volume_l, 0.01, 1e5)
    made, inside_v = fence(volume_l, 0.01, 1e5)
    return only_where(inside_c & inside_m & inside_v, colour * meant / made)


def malt_colour_units(grain_kg: ArrayLike, grain_lovibond: ArrayLike, volume_l: ArrayLike) -> Numbers:
    """Malt colour units of one grain: pounds × degrees Lovibond in a United States gallon.

    Parameters
    ----------
    grain_kg : array_like, shape (...)
        Grain, such as steeping malt [kg].
    grain_lovibond : array_like, shape (...)
        Its colour [degrees Lovibond].
    volume_l : array_like, shape (...)
        Wort [L].

    Returns
    -------
    float or ndarray, shape (...)
        Malt colour units [lb/US gal].

    Range: grain_kg >= 0, 0 <= grain_lovibond <= 1000, volume_l > 0; NaN outside.
    Source: morey, unit_definitions
    """
    grain, inside_g = fence(grain_kg, 0.0, 1e4)
    colour, inside_c = fence(grain_lovibond, 0.0, 1000.0)
    volume, inside_v = fence(volume_l, 0.01, 1e5)
    units = grain * _POUNDS_PER_KG * colour / (volume * _US_GALLONS_PER_L)
    return only_where(inside_g & inside_c & inside_v, units)


def morey_srm(malt_colour: ArrayLike) -> Numbers:
    """Colour of wort from malt colour units; made for grain, not for malt extract.

    Parameters
    ----------
    malt_colour : array_like, shape (...)
        Malt colour units of all the grain [lb/US gal].

    Returns
    -------
    float or ndarray, shape (...)
        Colour [SRM].

    Range: 0 <= malt_colour <= 167 (SRM 50); NaN outside. Below 3.6 it gives more colour than there is.
    Source: morey
    """
    units, inside = fence(malt_colour, 0.0, _HIGHEST_MCU)
    return only_where(inside, _MOREY_FACTOR * units**_MOREY_POWER)


def colour_word(colour_ebc: ArrayLike) -> NDArray[np.str_]:
    """A word for a colour.

    Parameters
    ----------
    colour_ebc : array_like, shape (...)
        Colour [EBC].

    Returns
    -------
    str or ndarray of str, shape (...)
        straw, gold, amber, copper, brown or black [text].

    Range: 0 <= colour_ebc <= 400; an empty word outside.
    Source: common_practice
    """
    colour, inside = fence(colour_ebc, 0.0, 400.0)
    upto = [~inside, *(colour < end for end, _ in _WORDS)]
    words: NDArray[np.str_] = np.select(upto, ["", *(word for _, word in _WORDS)], "black")[()]
    return words
