"""Carbon dioxide in the room: what fermenting buckets add to its air, beside the limits for places of work.

The air is taken as mixed. It is not: carbon dioxide lies in cupboards, pits, cellars and open chest freezers, where the
figures here say far too little. Ventilate such places; put no head into them.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gylebook.science._arrays import Numbers, fence, only_where
from gylebook.science.carbon_dioxide import gas_volume_l
from gylebook.science.carbonation import co2_from_gravity_drop_g_per_l
from gylebook.science.interval import Interval

# Limits of exposure at work: mean over 8 hours, mean over 15 minutes [ppm].
# Source: eh40
LIMIT_8H_PPM: Final = 5000.0
LIMIT_15MIN_PPM: Final = 15000.0
# Immediately dangerous to life or health [ppm].
# Source: niosh_idlh
DANGEROUS_PPM: Final = 40000.0
# Outdoor air, recalled [ppm].
OUTDOOR_PPM: Final = 420.0


def co2_evolved_g(volume_l: ArrayLike, sg_from: ArrayLike, sg_to: ArrayLike) -> Interval:
    """Carbon dioxide that leaves a bucket while its gravity falls.

    Parameters
    ----------
    volume_l : array_like, shape (...)
        Beer in the bucket [L].
    sg_from : array_like, shape (...)
        Gravity before [1].
    sg_to : array_like, shape (...)
        Gravity after [1].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Carbon dioxide; the litre or two of gas that stays dissolved in each litre of beer is included [g].

    Range: volume_l > 0, 0.98 <= sg_to <= sg_from <= 1.15; NaN outside.
    Source: density_closure, balling_nielsen_2007, co2_stoichiometry
    """
    volume, inside = fence(volume_l, 0.01, 1e5)
    made = co2_from_gravity_drop_g_per_l(sg_from, sg_to)
    low, best, high = (only_where(inside, volume * each) for each in made)
    return Interval(low, best, high)


def sealed_room_ppm(co2_g: ArrayLike, room_m3: ArrayLike) -> Numbers:
    """Carbon dioxide in the air of a closed room after so much was set free in it, at 20 degC.

    Parameters
    ----------
    co2_g : array_like, shape (...)
        Carbon dioxide set free [g].
    room_m3 : array_like, shape (...)
        Room [m3].

    Returns
    -------
    float or ndarray, shape (...)
        Parts per million by volume, outdoor air included [ppm].

    Range: co2_g >= 0, room_m3 > 0, answers below 1 000 000; NaN outside.
    Source: co2_reference_gas, mass_balance
    """
    room, inside = fence(room_m3, 0.01, 1e6)
    ppm = OUTDOOR_PPM + gas_volume_l(co2_g, 20.0) / (room * 1000.0) * 1e6
    return only_where(inside & (ppm < 1e6), ppm)


def room_ppm(
    co2_l_per_h: ArrayLike, room_m3: ArrayLike, air_changes_per_h: ArrayLike, elapsed_h: ArrayLike = np.inf
) -> Numbers:
    """Carbon dioxide in the mixed air of a room with a steady source and steady change of air.

    Parameters
    ----------
    co2_l_per_h : array_like, shape (...)
        Carbon dioxide set free in an hour [L/h].
    room_m3 : array_like, shape (...)
        Room [m3].
    air_changes_per_h : array_like, shape (...)
        Times in an hour that its air is renewed; a closed room may have 0.2 [1/h].
    elapsed_h : array_like, shape (...)
        Time since it started; endless for the value that it settles at [h].

    Returns
    -------
    float or ndarray, shape (...)
        Parts per million by volume, outdoor air included [ppm].

    Range: co2_l_per_h >= 0, room_m3 > 0, 0.01 <= air_changes_per_h <= 100, elapsed_h >= 0; NaN outside.
    Source: mass_balance
    """
    source, inside_s = fence(co2_l_per_h, 0.0, 1e6)
    room, inside_r = fence(room_m3, 0.01, 1e6)
    changes, inside_c = fence(air_changes_per_h, 0.01, 100.0)
    elapsed, inside_e = fence(elapsed_h, 0.0, np.inf)
    settled = source / (changes * room * 1000.0) * 1e6
    ppm = OUTDOOR_PPM + settled * -np.expm1(-changes * elapsed)
    return only_where(inside_s & inside_r & inside_c & inside_e & (ppm < 1e6), ppm)
