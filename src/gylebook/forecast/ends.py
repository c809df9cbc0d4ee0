"""When each draw comes within one point of its end."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from scipy.special import ndtr, ndtri

from gylebook.forecast.answers import NEAR_END_SG, Floats
from gylebook.forecast.curve import Clock, day_of, halted_for, thermal_at, thermal_on
from gylebook.forecast.evidence import Evidence
from gylebook.forecast.likelihood import left_of_each
from gylebook.forecast.mixture import Part, resampled, take
from gylebook.forecast.priors import PAUSE, RESTARTS, Drawn

_FEWER: Final = 320  # draws where the end has to be searched for
_FAR_DAYS: Final = 400.0
_HALVINGS: Final = 24


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
    """Thermal time by halving, where hops or later sugar add to what is left; halts are left out of account."""
    going = replace(drawn, shape=replace(drawn.shape, halt=None, pause=None, again=None))
    low, high = np.zeros_like(fall), np.full_like(fall, _FAR_DAYS)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        more = left_of_each(evidence, going, fall, middle) > NEAR_END_SG
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    thermal = thermal_on(evidence.warmth, high, drawn.shape.energy)
    return np.where(high >= _FAR_DAYS - 1, np.inf, thermal)
