"""Bottles: which kinds may hold refermenting beer, to what pressure, after how many washes, and how many fill up.

The ceilings are habit of the trade below one published figure, 4.7 bar for glass. No standard gives a figure for
bottles refilled at home: what is said here is what a bottle is fit for, under conditions, and nothing more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from gylebook.errors import NotFound
from gylebook.phrases import say
from gylebook.science._arrays import Numbers, Truths, fence, only_where
from gylebook.science.carbonation import gauge_pressure_bar
from gylebook.science.interval import Interval, Span
from gylebook.science.water import density_kg_m3

# Glass is not recommended above this carbonation pressure [bar], nor above this size [L].
# Source: british_glass_tec7
GLASS_CEILING_BAR: Final = 4.7
GLASS_LARGEST_L: Final = 1.15
# The trade's ceilings are given in volumes without a temperature; they are read here as meant for a room of 25 degC.
# Source: common_practice
CEILING_TEMP_C: Final = 25.0
# Plastic bottles rupture near here when new and cool [bar].
# Source: campden_bri
PLASTIC_RUPTURE_BAR: Final = 12.0
# Share of the pressure lost with each wash. The published study fits an exponential; its coefficients were not seen,
# and these are habit: a fifth less after twenty rounds, as used bottles are proved to 10 bar where new ones to 12.
# Source: common_practice
_LOSS_PER_WASH: Final = Span(0.003, 0.009, 0.025)


@dataclass(frozen=True, slots=True)
class BottleKind:
    """One kind of bottle.

    Parameters
    ----------
    key
        Plain name used by records.
    label
        The name a brewer reads.
    never
        Whether it must never hold refermenting beer.
    glass
        Whether it is glass.
    ceiling_volumes
        What the trade fills it to [volumes]; None where it must never be filled.
    note
        What to look out for.
    """

    key: str
    label: str
    never: bool
    glass: bool
    ceiling_volumes: Span | None
    note: str


_ALL = (
    BottleKind(
        "returnable_500",
        say("brown returnable bottle, 500 mL"),
        never=False,
        glass=True,
        ceiling_volumes=Span(3.0, 3.25, 3.5),
        note=say("Made to be refilled. Leave out any with a chip, a scratch or a scuffed ring."),
    ),
    BottleKind(
        "returnable_330",
        say("brown returnable bottle, 330 mL"),
        never=False,
        glass=True,
        ceiling_volumes=Span(3.0, 3.25, 3.5),
        note=say("Made to be refilled. Leave out any with a chip, a scratch or a scuffed ring."),
    ),
    BottleKind(
        "one_way",
        say("light one-way beer bottle"),
        never=False,
        glass=True,
        ceiling_volumes=Span(2.3, 2.5, 2.5),
        note=say("Made to be filled once; a maker advises against filling it again. Twist-off necks do not seal."),
    ),
    BottleKind(
        "heavy",
        say("heavy Belgian or sparkling-wine bottle"),
        never=False,
        glass=True,
        ceiling_volumes=Span(4.0, 5.0, 6.0),
        note=say("Thick glass with a deep punt. Some need a 29 mm cap or a wired cork."),
    ),
    BottleKind(
        "swing_top",
        say("swing-top bottle made for beer"),
        never=False,
        glass=True,
        ceiling_volumes=Span(2.5, 3.0, 3.0),
        note=say("No published figure. The clamp does not vent: such bottles have burst. Renew tired washers."),
    ),
    BottleKind(
        "pet",
        say("plastic (PET) bottle made for fizzy drinks"),
        never=False,
        glass=False,
        ceiling_volumes=Span(4.0, 4.0, 4.5),
        note=say("Softens with heat and lets gas through over months. Hard to the squeeze says started, not how far."),
    ),
    BottleKind(
        "unknown_glass",
        say("glass bottle of unknown make"),
        never=False,
        glass=True,
        ceiling_volumes=Span(2.0, 2.5, 2.5),
        note=say("Taken as the weakest kind. If it never held a fizzy drink, do not use it."),
    ),
    BottleKind(
        "wine",
        say("wine bottle (still wine)"),
        never=True,
        glass=True,
        ceiling_volumes=None,
        note=say("It will burst."),
    ),
    BottleKind(
        "spirit", say("spirit bottle"), never=True, glass=True, ceiling_volumes=None, note=say("It will burst.")
    ),
    BottleKind(
        "decorative",
        say("square, thin or decorative bottle"),
        never=True,
        glass=True,
        ceiling_volumes=None,
        note=say("Flat walls and corners take no pressure."),
    ),
    BottleKind(
        "oversize_glass",
        say("glass larger than 1.15 L"),
        never=True,
        glass=True,
        ceiling_volumes=None,
        note=say("A demijohn or growler takes no pressure of refermentation."),
    ),
    BottleKind(
        "chipped",
        say("chipped, cracked or deeply scratched glass"),
        never=True,
        glass=True,
        ceiling_volumes=None,
        note=say("Put it out for recycling."),
    ),
)
BOTTLES: Final = MappingProxyType({kind.key: kind for kind in _ALL})


class BottleCount(NamedTuple):
    """What a batch fills: full bottles of each entry of the stock, in its order, and what does not fit."""

    full: tuple[int, ...]
    left_l: float


def _kind(key: str) -> BottleKind:
    try:
        return BOTTLES[key]
    except KeyError:
        raise NotFound(
            say("No kind of bottle is called {key}; choose one of {known}.", key=key, known=", ".join(BOTTLES))
        ) from None


def wash_factor(washes: ArrayLike) -> Interval:
    """Share of its first pressure resistance that glass keeps after washing: falls by the same share each time.

    Parameters
    ----------
    washes : array_like, shape (...)
        Times that it was washed and refilled [1].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Share kept [1].

    Range: 0 <= washes <= 200; NaN outside. The shape is published, its pace is habit.
    Source: patamakam_2025, gb_4544, common_practice
    """
    count, inside = fence(washes, 0.0, 200.0)
    low, best, high = (only_where(inside, np.exp(-loss * count)) for loss in reversed(_LOSS_PER_WASH))
    return Interval(low, best, high)


def pressure_limit_bar(kind: str, washes: ArrayLike = 0.0) -> Interval:
    """Gauge pressure that a kind of bottle is fit for, as habit and the one published ceiling have it.

    The trade's ceiling in volumes is turned into the pressure that it makes at 25 degC; glass is cut at 4.7 bar, and
    washing takes its share. Reckon with the lowest: the highest is for telling how far opinions go.

    Parameters
    ----------
    kind : str
        Name in ``BOTTLES`` [text].
    washes : array_like, shape (...)
        Times that it was washed and refilled; plastic is not derated, for it is not meant for many rounds [1].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Gauge pressure; 0 for a kind that must never be filled [bar].

    Raises
    ------
    NotFound
        When no kind has that name; the message lists the names.

    Range: 0 <= washes <= 200; NaN outside.
    Source: british_glass_tec7, co2_mass_balance, common_practice
    """
    bottle = _kind(kind)
    kept = wash_factor(washes)
    if bottle.never or bottle.ceiling_volumes is None:
        nothing = 0.0 * kept.best
        return Interval(nothing, nothing, nothing)
    ceiling = gauge_pressure_bar(np.asarray(bottle.ceiling_volumes), CEILING_TEMP_C)
    if bottle.glass:
        low, best, high = (
            limit * share for limit, share in zip(np.minimum(ceiling, GLASS_CEILING_BAR), kept, strict=True)
        )
        return Interval(low, best, high)
    unworn = 0.0 * kept.best
    return Interval(ceiling[0] + unworn, ceiling[1] + unworn, ceiling[2] + unworn)


def size_is_fit(kind: str, bottle_l: ArrayLike) -> Truths:
    """Whether a bottle of that kind and size may hold refermenting beer at all.

    Parameters
    ----------
    kind : str
        Name in ``BOTTLES`` [text].
    bottle_l : array_like, shape (...)
        Size [L].

    Returns
    -------
    bool or ndarray of bool, shape (...)
        True where it may [1].

    Raises
    ------
    NotFound
        When no kind has that name; the message lists the names.

    Range: 0.05 <= bottle_l <= 60; False outside.
    Source: british_glass_tec7, common_practice
    """
    bottle = _kind(kind)
    size, inside = fence(bottle_l, 0.05, 60.0)
    fit: Truths = (inside & (not bottle.never) & ((size <= GLASS_LARGEST_L) | (not bottle.glass)))[()]
    return fit


def headspace_fraction(gap_cm: ArrayLike, neck_inside_cm: ArrayLike, brimful_ml: ArrayLike) -> Numbers:
    """Headspace as litres of gas over a litre of beer, from the gap below the rim in a neck taken as a cylinder.

    Parameters
    ----------
    gap_cm : array_like, shape (...)
        Gap between beer and rim [cm].
    neck_inside_cm : array_like, shape (...)
        Inner diameter of the neck over that gap [cm].
    brimful_ml : array_like, shape (...)
        What the bottle holds brimful, 15 to 25 mL more than its stated size [mL].

    Returns
    -------
    float or ndarray, shape (...)
        Headspace over beer [1].

    Range: 0 <= gap_cm <= 15, 1 <= neck_inside_cm <= 5, 100 <= brimful_ml <= 5000; NaN outside.
    Source: by_definition
    """
    gap, inside_g = fence(gap_cm, 0.0, 15.0)
    neck, inside_n = fence(neck_inside_cm, 1.0, 5.0)
    brimful, inside_b = fence(brimful_ml, 100.0, 5000.0)
    gas_ml = np.pi / 4.0 * neck**2 * gap
    return only_where(inside_g & inside_n & inside_b & (gas_ml < brimful), gas_ml / (brimful - gas_ml))


def headspace_when_warm(headspace_at_20c: ArrayLike, temp_c: ArrayLike) -> Numbers:
    """Headspace left when the beer has expanded: an overfilled bottle can become full of liquid, and burst.

    Beer is taken to expand as water does; the bottle's own small expansion is left out.

    Parameters
    ----------
    headspace_at_20c : array_like, shape (...)
        Litres of gas over a litre of beer at 20 degC [1].
    temp_c : array_like, shape (...)
        Temperature of the bottle [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Litres of gas over a litre of beer; 0 or less means full of liquid [1].

    Range: 0 <= headspace_at_20c <= 1, 0 <= temp_c <= 60; NaN outside.
    Source: tanaka_2001, bubnik_1995, mass_balance
    """
    headspace, inside_h = fence(headspace_at_20c, 0.0, 1.0)
    t, inside_t = fence(temp_c, 0.0, 60.0)
    swollen = density_kg_m3(20.0) / density_kg_m3(t)
    return only_where(inside_h & inside_t, (1.0 + headspace - swollen) / swollen)


def bottles_filled(volume_l: float, sizes_l: Sequence[float], counts: Sequence[float]) -> BottleCount:
    """Full bottles from a mixed stock, filled in its order.

    Parameters
    ----------
    volume_l : float
        Beer to be bottled [L].
    sizes_l : sequence of float, shape (n,)
        Beer in a bottle of each entry [L].
    counts : sequence of float, shape (n,)
        Bottles at hand of each entry [1].

    Returns
    -------
    BottleCount
        Full bottles of each entry [1] and the beer left over [L].

    Range: volume_l >= 0, sizes_l > 0, counts >= 0; where any is outside, no bottle is filled and all is left over.
    Source: by_definition
    """
    left = float(volume_l)
    inside = left >= 0.0 and all(size > 0.0 for size in sizes_l) and all(count >= 0 for count in counts)
    full: list[int] = []
    for size, count in zip(sizes_l, counts, strict=True):
        # 18 L are 36 half litres, whatever the last bits of the division say.
        filled = min(int(count), int(left / size + 1e-9)) if inside else 0
        left = max(left - filled * size, 0.0) if inside else left
        full.append(filled)
    return BottleCount(tuple(full), float(left))
