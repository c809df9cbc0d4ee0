"""Bitterness of a hopped kit: it goes with one over the volume."""

from __future__ import annotations

from numpy.typing import ArrayLike

from gylebook.science._arrays import Numbers, fence, only_where


def scaled_bitterness_ibu(leaflet_ibu: ArrayLike, leaflet_volume_l: ArrayLike, volume_l: ArrayLike) -> Numbers:
    """Bitterness when a hopped kit is made to another volume than its leaflet's.

    The bitter substance is in the can already, so its mass is kept; a little more is lost with a stronger wort.

    Parameters
    ----------
    leaflet_ibu : array_like, shape (...)
        Bitterness at the leaflet's volume [mg/L].
    leaflet_volume_l : array_like, shape (...)
        The leaflet's volume [L].
    volume_l : array_like, shape (...)
        The volume made [L].

    Returns
    -------
    float or ndarray, shape (...)
        Bitterness [mg/L].

    Range: 0 <= leaflet_ibu <= 300, volumes > 0; NaN outside.
    Source: mass_balance
    """
    bitterness, inside_b = fence(leaflet_ibu, 0.0, 300.0)
    meant, inside_m = fence(leaflet_volume_l, 0.01, 1e5)
    made, inside_v = fence(volume_l, 0.01, 1e5)
    return only_where(inside_b & inside_m & inside_v, bitterness * meant / made)
