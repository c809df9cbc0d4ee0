"""What the simulated courses of fermentation have in common: uptake of one sugar, halts, and checks of the input."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import wrightomega

from gylebook.errors import InputError

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Halt:
    """An abrupt stop of the yeast, one a batch.

    Parameters
    ----------
    at : array, shape (batches,)
        Share of the sugar's mass that is gone when everything stops; infinite for batches that do not stop.
    hours : array, shape (batches,)
        How long it rests; infinite when it does not go on.
    """

    at: Floats
    hours: Floats

    @classmethod
    def never(cls, batches: int) -> Halt:
        return cls(np.full(batches, np.inf), np.full(batches, np.inf))


class Resting:
    """Keeps account of who rests while the hours pass."""

    def __init__(self, halt: Halt) -> None:
        self._halt = halt
        self._wakes = np.full(halt.at.shape, -np.inf)
        self._halted = np.zeros(halt.at.shape, dtype=bool)

    def awake(self, hour: float, gone: Floats) -> Floats:
        """1 for the batches that work at this hour, given the share of sugar gone; 0 for those that rest."""
        stops = (gone >= self._halt.at) & ~self._halted
        self._wakes[stops] = hour + self._halt.hours[stops]
        self._halted |= stops
        return (hour >= self._wakes).astype(float)


def left_after(sugar: Floats, most: Floats, half: Floats) -> Floats:
    """What an uptake of Michaelis-Menten form leaves of a sugar, exactly.

    ``sugar' = -v sugar / (half + sugar)`` with ``most`` = v × time has the solution
    ``sugar = half ω(ln(sugar0 / half) + (sugar0 - most) / half)``, where ω is Wright's function. Small ``half`` makes
    the equation stiff; an explicit step would overshoot below nothing, this one cannot.
    """
    with np.errstate(divide="ignore", under="ignore"):
        return np.asarray(half * wrightomega(np.log(sugar / half) + (sugar - most) / half), dtype=float)


def warmth(temp_c: ArrayLike, low: float, high: float) -> Floats:
    """Temperatures, shape (hours, batches), each within the range in which the model is run at all."""
    temp = np.asarray(temp_c, dtype=float)
    if temp.ndim != 2 or 0 in temp.shape:
        raise InputError("temp_c", "must have the shape (hours, batches)", "give one value an hour for each batch")
    if not np.all((temp >= low) & (temp <= high)):
        raise InputError("temp_c", f"lies outside {low:g} to {high:g} °C", "keep the temperatures in that range")
    return temp


def amounts(name: str, value: ArrayLike, batches: int) -> Floats:
    """Positive amounts, one a batch; a single one serves all."""
    try:
        array = np.broadcast_to(np.asarray(value, dtype=float), (batches,)).copy()
    except ValueError:
        raise InputError(name, "has another number of values than there are batches", "give one, or one each") from None
    if not np.all(np.isfinite(array) & (array > 0)):
        raise InputError(name, "is not a positive number", "give an amount above 0")
    return array


def whole_steps(steps_per_hour: int) -> int:
    if steps_per_hour < 1:
        raise InputError("steps_per_hour", f"is {steps_per_hour}", "give 1 or more")
    return steps_per_hour


def halt_of(halt: Halt | None, batches: int) -> Halt:
    if halt is None:
        return Halt.never(batches)
    if halt.at.shape != (batches,) or halt.hours.shape != (batches,):
        raise InputError("halt", "has another number of values than there are batches", "give one for each batch")
    if not (np.all(halt.at > 0) and np.all(halt.hours >= 0)):
        raise InputError("halt", "has a share not above 0 or hours below 0", "give shares above 0 and hours from 0")
    return halt
