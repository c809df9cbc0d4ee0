"""The fermentation curve in closed form: thermal time, share of the fall that is done, its slope, and its inverse.

Sugar is taken up at first order by yeast whose activity rises from its level at pitching to its full one; the exact
solution of dq/dx = -q (1 - (1 - p) q^a) over thermal time x is q = (1 + p (exp(a x) - 1))^(-1/a). A slow last sugar, a
sharp finish, tiring yeast and a halt bend that curve. Every step is monotone and can be inverted, so no differential
equation is solved.
All functions work on whole arrays of draws: parameters have shape (draws,), results (moments, draws).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from gylebook.forecast.answers import Floats
from gylebook.forecast.evidence import Warmth

GAS_CONSTANT_KJ: Final = 0.0083145  # [kJ/(mol K)]
ENERGY_RANGE: Final = (5.0, 135.0)  # activation energies that thermal time is worked out for [kJ/mol]
_ORDER: Final = 8  # Chebyshev terms over that range: relative error of thermal time below 1e-3 for any record
_WARMEST_ABOVE_WORKS: Final = 8.0  # above this no yeast works faster [K]
_SOFT: Final = 0.02  # rounding of the corners, in shares of the fall
_MOST_EXPONENT: Final = 300.0


@dataclass(frozen=True, slots=True)
class Shape:
    """Parameters of the curve, each of shape (draws,).

    Parameters
    ----------
    pace
        Rate of the tail where the yeast works at its usual pace [1/d].
    pitch
        Activity at pitching, as a share of the full one, 0 < pitch <= 1.
    growth
        Growth rate over tail rate.
    energy
        Activation energy [kJ/mol].
    sharp
        How sharply it ends, 0 (running out exponentially) to 0.6.
    slow
        How much slower the last sugars go: the tail runs out as time to the power -1/slow; near 0 for none.
    fade
        Loss of activity in thermal time; None for yeast that does not tire.
    halt
        Share of the fall at which it halts; None where it does not.
    pause
        For how long it halts [thermal days]; None: for good.
    again
        Share of the fall at which it halts for good after a pause; above 1 where it does not.
    """

    pace: Floats
    pitch: Floats
    growth: Floats
    energy: Floats
    sharp: Floats
    slow: Floats
    fade: Floats | None = None
    halt: Floats | None = None
    pause: Floats | None = None
    again: Floats | None = None

    def take(self, chosen: np.ndarray) -> Shape:
        """The same for some of the draws."""
        fields = {name: getattr(self, name) for name in self.__dataclass_fields__}
        return replace(self, **{name: value[chosen] for name, value in fields.items() if value is not None})


class Clock:
    """Thermal time at given days, for any activation energy at once.

    Parameters
    ----------
    warmth
        The beer's temperature.
    days
        Moments, shape (moments,) [d]; moments before pitching count as pitching.

    Thermal time is the integral of exp(-E/R (1/T - 1/works)) from pitching on, in days at the working temperature.
    """

    def __init__(self, warmth: Warmth, days: Floats) -> None:
        self.days = np.maximum(np.asarray(days, dtype=float), 0.0)
        low, high = ENERGY_RANGE
        nodes = np.cos(np.pi * (np.arange(_ORDER) + 0.5) / _ORDER)
        energies = (low + high) / 2 + (high - low) / 2 * nodes
        at_nodes = np.log(np.maximum(_thermal_days(warmth, self.days, energies), 1e-300))
        self._begun = self.days > 0
        # The logarithm is smooth in the energy; before pitching there is none, and the time is zero.
        at_nodes[~self._begun] = 0.0
        self._powers = np.linalg.solve(np.vander(nodes, increasing=True), at_nodes.T).T

    def thermal(self, energy: Floats) -> Floats:
        """Thermal time [thermal days], shape (moments, draws)."""
        low, high = ENERGY_RANGE
        x = (energy - (low + high) / 2) / ((high - low) / 2)
        powers = np.vander(x, _ORDER, increasing=True)
        found: Floats = np.exp(self._powers @ powers.T)
        found[~self._begun] = 0.0
        return found


def rates(warmth: Warmth, energies: Floats) -> Floats:
    """Pace at each temperature of the record against the working one, shape (steps, energies)."""
    works = warmth.works_c + 273.15
    temps = np.minimum(np.asarray(warmth.temp_c, dtype=float), warmth.works_c + _WARMEST_ABOVE_WORKS) + 273.15
    return np.asarray(np.exp(-np.multiply.outer(1 / temps - 1 / works, energies) / GAS_CONSTANT_KJ))


def _thermal_days(warmth: Warmth, days: Floats, energies: Floats) -> Floats:
    begins = np.maximum(np.asarray(warmth.day, dtype=float), 0.0)
    begins[0] = 0.0
    ends = np.append(begins[1:], np.inf)
    inside = np.clip(days[:, None], begins, ends) - begins
    return np.asarray(inside @ rates(warmth, energies))


def day_of(warmth: Warmth, thermal: Floats, energy: Floats) -> Floats:
    """The day on which each draw's thermal time reaches a value, shape (draws,); infinite stays infinite."""
    pace = rates(warmth, energy)
    begins = np.maximum(np.asarray(warmth.day, dtype=float), 0.0)
    begins[0] = 0.0
    lengths = np.diff(begins)
    reached = np.vstack([np.zeros((1, len(energy))), np.cumsum(lengths[:, None] * pace[:-1], axis=0)])
    step = np.clip((reached <= thermal).sum(axis=0) - 1, 0, len(begins) - 1)
    draw = np.arange(len(energy))
    return np.asarray(begins[step] + (thermal - reached[step, draw]) / pace[step, draw])


def _soft_above(x: Floats) -> Floats:
    return np.asarray(0.5 * (x + np.sqrt(x * x + _SOFT * _SOFT)))


def progress(shape: Shape, thermal: Floats) -> tuple[Floats, Floats]:
    """Share of the fall that is done, and its slope per thermal day; both of the shape of `thermal`."""
    if shape.pause is not None and shape.halt is not None:
        begins = thermal_at(shape, shape.halt)
        paused = (thermal > begins) & (thermal < begins + shape.pause)
        worked = np.where(thermal < begins, thermal, np.maximum(thermal - shape.pause, begins))
        done, slope = progress(replace(shape, halt=None, pause=None, again=None), worked)
        slope = np.where(paused, 0.0, slope)
        return (done, slope) if shape.again is None else _halted(done, slope, shape.again)
    tau = shape.pace * thermal
    if shape.fade is not None:
        living = np.exp(-shape.fade * tau)
        tau = (1 - living) / shape.fade
    grown = 1.0 + shape.pitch * np.expm1(np.minimum(shape.growth * tau, _MOST_EXPONENT))
    whole_rate = np.log(grown) / shape.growth
    slowed = shape.slow * whole_rate
    left = np.exp(-np.log1p(slowed) / shape.slow)
    fall = left / (1 + slowed) * (1 - (1 - shape.pitch) / grown) * shape.pace
    if shape.fade is not None:
        fall *= living
    x = left - shape.sharp
    root = np.sqrt(x * x + _SOFT * _SOFT)
    none_left = _soft_above(-shape.sharp)
    whole = _soft_above(1 - shape.sharp) - none_left
    done = 1 - (0.5 * (x + root) - none_left) / whole
    slope = fall * 0.5 * (1 + x / root) / whole
    return (done, slope) if shape.halt is None else _halted(done, slope, shape.halt)


def _halted(done: Floats, slope: Floats, halt: Floats) -> tuple[Floats, Floats]:
    over = done - halt
    root = np.sqrt(over * over + _SOFT * _SOFT)
    nothing = 0.5 * (halt - np.sqrt(halt * halt + _SOFT * _SOFT))
    return 0.5 * (done + halt - root) - nothing, slope * 0.5 * (1 - over / root)


def thermal_at(shape: Shape, done: Floats) -> Floats:
    """Thermal time at which that share of the fall is done, shape (draws,); infinite where it never is.

    A halt is left out of account: the caller knows whether the share lies beyond it.
    """
    none_left = _soft_above(-shape.sharp)
    whole = _soft_above(1 - shape.sharp) - none_left
    v = (1 - done) * whole + none_left
    left = np.clip(v - _SOFT * _SOFT / (4 * v) + shape.sharp, 1e-12, 1.0)
    whole_rate = np.expm1(-shape.slow * np.log(left)) / shape.slow
    grown = np.expm1(np.minimum(shape.growth * whole_rate, 2 * _MOST_EXPONENT))
    tau = np.log1p(grown / shape.pitch) / shape.growth
    if shape.fade is not None:
        with np.errstate(divide="ignore", invalid="ignore"):
            tau = np.where(shape.fade * tau < 1, -np.log1p(-np.minimum(shape.fade * tau, 1.0)) / shape.fade, np.inf)
    return np.asarray(tau / shape.pace)


def halted_for(shape: Shape, thermal: Floats) -> Floats:
    """For how long each draw has stood halted by then [thermal days], shape (draws,); 0 where it has not halted."""
    if shape.halt is None:
        return np.zeros_like(shape.pace)
    return np.maximum(thermal - thermal_at(shape, shape.halt), 0.0)
