"""When each draw comes within one point of its end."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from scipy.special import ndtr, ndtri

from gylebook.forecast.answers import NEAR_END_SG, Floats
from gylebook.forecast.curve import Clock, day_of, halted_for, progress, thermal_at
from gylebook.forecast.evidence import Evidence
from gylebook.forecast.likelihood import later_left
from gylebook.forecast.mixture import Part, resampled, take
from gylebook.forecast.priors import PAUSE, RESTARTS, Drawn

_FEWER: Final = 200  # draws where the end has to be searched for
_GRID: Final = np.concatenate([[0.0], np.geomspace(0.5, 400.0, 90)])


def ends_of(evidence: Evidence, part: Part) -> tuple[Floats, Floats]:
    """Days since pitching, and weights; infinite where a draw never comes to its end by itself."""
    searched = bool(evidence.additions) or part.drawn.creep_sg is not None
    chosen, weight = np.arange(len(part.weight)), part.weight
    if searched and len(chosen) > _FEWER:
        chosen = resampled(part.weight, _FEWER)
        weight = np.full(_FEWER, part.weight.sum() / _FEWER)
    u = (np.arange(len(chosen)) * 0.6180339887498949 + 0.37) % 1.0
    sd = np.sqrt(np.maximum(part.var_fall[chosen], 0.0))
    fall = np.maximum(part.fall[chosen] + sd * ndtri(np.clip(u, 1e-4, 1 - 1e-4)), 1e-5)
    drawn = take(part.drawn, part.of[chosen])
    if searched:
        ends = _searched(evidence, drawn, fall)
    else:
        ends = thermal_at(drawn.shape, np.maximum(1 - NEAR_END_SG / fall, 0.0))
    if drawn.shape.halt is not None:
        ends = _after_halt(evidence, drawn, fall, ends)
    return day_of(evidence.warmth, ends, drawn.shape.energy), weight


def _after_halt(evidence: Evidence, drawn: Drawn, fall: Floats, ends: Floats) -> Floats:
    """Ends of draws that halt: they go on by themselves after a while, or never."""
    shape = drawn.shape
    assert shape.halt is not None
    halts = (1 - shape.halt) * fall > NEAR_END_SG
    if shape.pause is not None:
        ends = np.where(halts, ends + shape.pause, ends)
        if shape.again is not None:
            ends = np.where((1 - shape.again) * fall > NEAR_END_SG, np.inf, ends)
        return ends
    last = max([r.day for r in evidence.readings] + [0.0])
    stood = halted_for(shape, Clock(evidence.warmth, np.array([last])).thermal(shape.energy)[0])
    middle, spread = PAUSE
    gone = ndtr(np.log(np.maximum(stood, 1e-9) / middle) / spread)
    u = (np.arange(len(fall)) * 0.7548776662466927 + 0.11) % 1.0
    goes_on = RESTARTS * (1 - gone) / (1 - RESTARTS * gone)
    level = gone + (1 - gone) * np.clip(u / np.maximum(goes_on, 1e-12), 0.0, 1 - 1e-9)
    pause = np.where(u < goes_on, middle * np.exp(spread * ndtri(np.clip(level, 1e-12, 1 - 1e-12))), np.inf)
    return np.where(halts, ends + pause, ends)


def _searched(evidence: Evidence, drawn: Drawn, fall: Floats) -> Floats:
    """Thermal time read from a grid of days, where hops or later sugar add to what is left; halts are left out."""
    going = replace(drawn, shape=replace(drawn.shape, halt=None, pause=None, again=None))
    energy = going.shape.energy
    thermal = Clock(evidence.warmth, _GRID).thermal(energy)
    left = fall * (1 - progress(going.shape, thermal)[0])
    later = later_left(evidence, going, _GRID)
    high = np.log(np.maximum(left if later is None else left + later, 1e-12) / NEAR_END_SG)
    # The last day that still has more than that; what comes after a later addition counts, what came before does not.
    over = len(_GRID) - 1 - np.argmax(high[::-1] > 0, axis=0)
    draw = np.arange(len(fall))
    after = np.minimum(over + 1, len(_GRID) - 1)
    share = high[over, draw] / np.maximum(high[over, draw] - high[after, draw], 1e-12)
    found = thermal[over, draw] + share * (thermal[after, draw] - thermal[over, draw])
    found = np.where(over >= len(_GRID) - 1, np.inf, found)
    return np.where((high > 0).any(axis=0), found, 0.0)
