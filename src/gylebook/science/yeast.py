"""Dry yeast: dose, sachets, age and the wait before it shows. Mostly habit of the trade, and said so.

No published curve of the ageing of dry brewing yeast was found, nor of its lag with dose and warmth; the intervals
here are wide for that reason.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gylebook.errors import NotFound
from gylebook.phrases import say
from gylebook.science._arrays import Numbers, fence, only_where
from gylebook.science.interval import Interval, Span

# Rates as instruction sheets of dry yeast print them [g/L].
# Source: dry_yeast_sheets
SHEET_RATES_G_PER_L: Final = MappingProxyType({"ale": Span(0.5, 0.65, 0.8), "lager": Span(0.8, 0.9, 1.0)})

# Temperatures at pitching [degC]: the range to aim at, above it fruity and solvent notes, above it death of yeast.
# Source: common_practice
PITCH_AT_C: Final = (18.0, 22.0)
PITCH_BELOW_C: Final = 25.0
PITCH_STRESS_C: Final = 27.0
PITCH_KILL_C: Final = 38.0

# Live cells in a gram of dry yeast [1e9/g]: the least that labels promise, and what interviews quote.
# Source: dry_yeast_sheets
CELLS_1E9_PER_G: Final = Span(6.0, 10.0, 20.0)

# Share lost in a year at 20 degC; the loss doubles over ten degrees. Source: common_practice
_YEARLY_LOSS: Final = Span(0.05, 0.20, 0.50)
# Wait at 19 degC and 0.5 g/L [h]; 2.5 times longer for ten degrees less, with the cube root of the dose; the interval
# is 2.5 times shorter or longer. Source: common_practice
_LAG_H: Final = Span(12.0 / 2.5, 12.0, 12.0 * 2.5)


def dose_g_per_l(yeast_g: ArrayLike, volume_l: ArrayLike) -> Numbers:
    """Dry yeast in a litre of wort.

    Parameters
    ----------
    yeast_g : array_like, shape (...)
        Dry yeast [g].
    volume_l : array_like, shape (...)
        Wort [L].

    Returns
    -------
    float or ndarray, shape (...)
        Dose [g/L].

    Range: yeast_g >= 0, volume_l > 0; NaN outside.
    Source: by_definition
    """
    mass, inside_m = fence(yeast_g, 0.0, 1e6)
    volume, inside_v = fence(volume_l, 0.01, 1e5)
    return only_where(inside_m & inside_v, mass / volume)


def yeast_needed_g(volume_l: ArrayLike, kind: str) -> Interval:
    """Dry yeast for a volume at the rates that instruction sheets print.

    Parameters
    ----------
    volume_l : array_like, shape (...)
        Wort [L].
    kind : str
        "ale" or "lager" [text].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Dry yeast [g].

    Raises
    ------
    NotFound
        When the kind is neither.

    Range: volume_l > 0; NaN outside. Wort up to about 1.065; stronger wort wants twice as much.
    Source: dry_yeast_sheets
    """
    if kind not in SHEET_RATES_G_PER_L:
        raise NotFound(say("No pitching rate is known for {kind} yeast; choose ale or lager.", kind=kind))
    volume, inside = fence(volume_l, 0.01, 1e5)
    low, best, high = (only_where(inside, volume * rate) for rate in SHEET_RATES_G_PER_L[kind])
    return Interval(low, best, high)


def sachets_needed(yeast_g: ArrayLike, sachet_g: ArrayLike, viability: ArrayLike = 1.0) -> Numbers:
    """Whole sachets that hold so much live yeast.

    Parameters
    ----------
    yeast_g : array_like, shape (...)
        Fresh dry yeast that is wanted [g].
    sachet_g : array_like, shape (...)
        Content of a sachet [g].
    viability : array_like, shape (...)
        Share of it that is still as good as fresh [1].

    Returns
    -------
    float or ndarray, shape (...)
        Sachets, a whole number [1].

    Range: yeast_g >= 0, sachet_g >= 0.5, 0.01 <= viability <= 1; NaN outside.
    Source: by_definition
    """
    wanted, inside_w = fence(yeast_g, 0.0, 1e6)
    each, inside_s = fence(sachet_g, 0.5, 1e5)
    alive, inside_v = fence(viability, 0.01, 1.0)
    # A whole number that a rounding error lifts by a hair is not one sachet more.
    return only_where(inside_w & inside_s & inside_v, np.ceil(wanted / (each * alive) - 1e-9))


def viability(age_months: ArrayLike, storage_temp_c: ArrayLike) -> Interval:
    """Share of dry yeast as good as fresh after storage in a sealed sachet: a guess with a wide interval.

    Parameters
    ----------
    age_months : array_like, shape (...)
        Time since packing; the best-before date often stands 24 months after it [months].
    storage_temp_c : array_like, shape (...)
        Temperature that it was kept at [degC].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Share [1].

    Range: 0 <= age_months <= 120, -20 <= storage_temp_c <= 40; NaN outside.
    Source: common_practice
    """
    age, inside_a = fence(age_months, 0.0, 120.0)
    t, inside_t = fence(storage_temp_c, -20.0, 40.0)
    years_at_20c = age / 12.0 * 2.0 ** ((t - 20.0) / 10.0)
    low, best, high = (only_where(inside_a & inside_t, (1.0 - loss) ** years_at_20c) for loss in reversed(_YEARLY_LOSS))
    return Interval(low, best, high)


def cells_million_per_ml_plato(live_g_per_l: ArrayLike, extract_plato: ArrayLike) -> Interval:
    """Live cells for each millilitre and degree Plato, to set beside the brewing rule of one million.

    Parameters
    ----------
    live_g_per_l : array_like, shape (...)
        Dose of live dry yeast, that is the dose times its viability [g/L].
    extract_plato : array_like, shape (...)
        Extract of the wort [g/100 g].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Cells [1e6/(mL °P)].

    Range: 0 <= live_g_per_l <= 50, 1 <= extract_plato <= 35; NaN outside.
    Source: dry_yeast_sheets, pitching_rule
    """
    dose, inside_d = fence(live_g_per_l, 0.0, 50.0)
    plato, inside_p = fence(extract_plato, 1.0, 35.0)
    low, best, high = (only_where(inside_d & inside_p, dose * cells / plato) for cells in CELLS_1E9_PER_G)
    return Interval(low, best, high)


def lag_h(temp_c: ArrayLike, live_g_per_l: ArrayLike) -> Interval:
    """Hours from pitching until something can be seen or measured: a guess with a wide interval.

    Parameters
    ----------
    temp_c : array_like, shape (...)
        Temperature of the wort [degC].
    live_g_per_l : array_like, shape (...)
        Dose of live dry yeast, that is the dose times its viability [g/L].

    Returns
    -------
    Interval of float or ndarray, shape (...)
        Time [h].

    Range: 8 <= temp_c <= 32, 0.02 <= live_g_per_l <= 5; NaN outside. Ale yeast; below 14 degC it may not start.
    Source: common_practice
    """
    t, inside_t = fence(temp_c, 8.0, 32.0)
    dose, inside_d = fence(live_g_per_l, 0.02, 5.0)
    stretch = 2.5 ** ((19.0 - t) / 10.0) * np.cbrt(0.5 / dose)
    low, best, high = (only_where(inside_t & inside_d, hours * stretch) for hours in _LAG_H)
    return Interval(low, best, high)
