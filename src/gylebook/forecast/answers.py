"""What the forecaster answers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

UNSAFE_CO2_G_PER_L: Final = 2.0  # more than this still to come, and primed bottles are in danger
NEAR_END_SG: Final = 0.001  # "at its end": within one point of it


class Story(StrEnum):
    """What may be going on in the vessel, side by side."""

    HEALTHY = "healthy"
    FADING = "fading"  # the yeast tires: slower and slower
    HALTED = "halted"  # it stopped with food left
    HIGH = "high"  # finished, in a wort less fermentable than thought
    BELOW = "below"  # goes lower than brewing yeast takes such a wort: another yeast, or a wrong entry
    WOKEN = "woken"  # hops freed sugar, and it ferments on


@dataclass(frozen=True, slots=True)
class Spread:
    """A distribution: mean, standard deviation, and the 5, 25, 50, 75 and 95 % points. An end may be infinite."""

    mean: float
    sd: float
    q05: float
    q25: float
    q50: float
    q75: float
    q95: float


@dataclass(frozen=True, slots=True)
class Fan:
    """Quantiles of the true gravity over days; each array has the shape of `day`."""

    day: Floats
    q05: Floats
    q25: Floats
    q50: Floats
    q75: Floats
    q95: Floats


@dataclass(frozen=True, slots=True)
class Diagnostics:
    """How well the sum was done.

    `ess` is the effective sample size of all draws together; `longer` tells that the usual run was not good enough
    and a longer one was made; `good` is False where even that one is not to be trusted. `misfit` is the chance that
    data made by this model would lie further from it than these readings do (small: nothing in it explains them).
    """

    ess: float
    draws: int
    rounds: int
    longer: bool
    good: bool
    misfit: float


@dataclass(frozen=True, slots=True)
class NextReading:
    """When a sample is worth taking.

    `day` is None where none is. `chance` is the probability that it would open the gate (or, where the gate is open
    already, change nothing), `chances` the same for every day in `days` that was looked at.
    """

    day: float | None
    chance: float
    days: tuple[float, ...]
    chances: tuple[float, ...]
