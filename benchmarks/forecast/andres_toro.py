"""Yeast and sugar after de Andrés-Toro and others (1998).

Source: andres_toro_1998 (doi 10.1016/S1474-6670(17)44433-8, as one copy cites it). Standing: PUBLISHED_SECOND_HAND; the
paper was not read, the equations and values are those that six public copies agree on, with the uptake in its Monod
form S / (ks + S). (One copy has ks + E, with which fermentation sticks.)

Defects, known and left as they are:

* Alcohol and sugar are not linked by a balance of mass: the yield goes from 0.30 g/g at 8 degC to 1.24 g/g at 20 degC.
  Only the sugar is used here.
* It is a lager model and means something between about 11 and 15 degC only. At 20 degC the yeast dies and leaves two
  thirds of the sugar. For ale it is run `SHIFT_K` colder than the beer: an adaptation made here, published nowhere.
* Even so the yeast of some warm batches dies before the sugar is gone: a stall that nobody put there.

The by-products (diacetyl, ethyl acetate) feed back on nothing and are left out. Amounts in g/L, time in hours. Each
batch is one column; the temperature holds for an hour.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike
from scipy.integrate import solve_ivp

from forecast.courses import Floats, Halt, Resting, amounts, halt_of, left_after, warmth, whole_steps

SHIFT_K: Final = 8.0
SUGAR_G_PER_L: Final = 130.0  # at pitching, in the published case
YEAST_G_PER_L: Final = 4.0
RESTING: Final = 0.5  # share of the yeast pitched that lags; the rest is dead
COLDEST_C: Final = -1.0  # of the model's own temperature
WARMEST_C: Final = 25.0


@dataclass(frozen=True, slots=True)
class Course:
    """Amounts at each hour from 0 on [g/L], shape (hours + 1, batches)."""

    active: Floats
    resting: Floats
    dead: Floats
    sugar: Floats
    alcohol: Floats

    @property
    def sugar_left(self) -> Floats:
        """Share of the sugar that is left."""
        return np.asarray(self.sugar / self.sugar[0], dtype=np.float64)


@dataclass(frozen=True, slots=True)
class _Speeds:
    """The seven numbers that go with the temperature."""

    growth: Floats
    uptake: Floats
    waking: Floats
    death: Floats
    settling: Floats
    alcohol: Floats
    half: Floats


def _speeds(temp_c: Floats) -> _Speeds:
    t = temp_c + 273.15
    return _Speeds(
        growth=np.exp(108.31 - 31934.09 / t),
        uptake=np.exp(-41.92 + 11654.64 / t),
        waking=np.exp(30.72 - 9501.54 / t),
        death=np.exp(130.16 - 38313.0 / t),
        settling=np.exp(33.82 - 10033.28 / t),
        alcohol=np.exp(3.27 - 1267.24 / t),
        half=np.exp(-119.63 + 34203.95 / t),
    )


def _slow_change(v: _Speeds, state: Floats, sugar: Floats, sugar0: Floats) -> Floats:
    """Change in an hour of active, resting and dead yeast and of alcohol; shape as `state`, (4, ...)."""
    active, resting, dead, alcohol = state
    room = 0.5 * sugar0 / (0.5 * sugar0 + alcohol)
    growth = v.growth * sugar / (0.5 * sugar0 + alcohol)
    made = v.alcohol * sugar / (v.half + sugar) * (1.0 - alcohol / (0.5 * sugar0))
    return np.stack([
        (growth - v.death) * active + v.waking * resting,
        -v.waking * resting,
        v.death * active - v.settling * room * dead,
        made * active,
    ])  # fmt: skip


def simulate(
    temp_c: ArrayLike,
    *,
    sugar: ArrayLike = SUGAR_G_PER_L,
    yeast: ArrayLike = YEAST_G_PER_L,
    rate: ArrayLike = 1.0,
    halt: Halt | None = None,
    steps_per_hour: int = 4,
    resting: float = RESTING,
) -> Course:
    """Run many batches side by side.

    A midpoint step whose uptake of sugar is solved exactly, since the sugar's end is steep.

    Parameters
    ----------
    temp_c
        The model's temperature of each hour [degC], shape (hours, batches): an ale's own less `SHIFT_K`.
    sugar, yeast
        At pitching [g/L]; one value, or one a batch.
    rate
        Factor on all speeds [1].
    halt
        Abrupt stops, if any.
    """
    temp = warmth(temp_c, COLDEST_C, WARMEST_C)
    hours, batches = temp.shape
    sugar0, pitched = amounts("sugar", sugar, batches), amounts("yeast", yeast, batches)
    pace = amounts("rate", rate, batches) / whole_steps(steps_per_hour)
    sleepers = Resting(halt_of(halt, batches))
    nothing = np.zeros(batches)
    state, s = np.stack([nothing, resting * pitched, (1.0 - resting) * pitched, nothing]), sugar0.copy()
    courses = np.empty((hours + 1, 5, batches))
    courses[0] = *state[:3], s, state[3]
    for hour in range(hours):
        v = _speeds(temp[hour])
        for step in range(steps_per_hour):
            h = pace * sleepers.awake(hour + step / steps_per_hour, 1.0 - s / sugar0)
            middle = state + h / 2 * _slow_change(v, state, s, sugar0)
            s_middle = left_after(s, v.uptake * state[0] * h / 2, v.half)
            state = state + h * _slow_change(v, middle, s_middle, sugar0)
            s = left_after(s, v.uptake * middle[0] * h, v.half)
        courses[hour + 1] = *state[:3], s, state[3]
    return Course(*np.moveaxis(courses, 1, 0))


def reference(temp_c: Callable[[float], float], at_hours: ArrayLike) -> Floats:
    """The published batch by SciPy's LSODA, to hold the quick run against.

    Returns
    -------
    Array, shape (5, times): active, resting, dead yeast, sugar, alcohol [g/L].
    """
    sugar0 = np.asarray(SUGAR_G_PER_L)

    def change(hour: float, state: Floats) -> list[float]:
        v = _speeds(np.asarray(temp_c(hour)))
        sugar = np.maximum(state[3], 0.0)
        slow = _slow_change(v, np.delete(state, 3), sugar, sugar0)
        return [*slow[:3], float(-v.uptake * sugar / (v.half + sugar) * state[0]), slow[3]]

    times = np.asarray(at_hours, dtype=float)
    start = [0.0, RESTING * YEAST_G_PER_L, (1.0 - RESTING) * YEAST_G_PER_L, SUGAR_G_PER_L, 0.0]
    found = solve_ivp(change, (0.0, times[-1]), start, "LSODA", t_eval=times, rtol=1e-9, atol=1e-9, max_step=1.0)
    return np.asarray(found.y, dtype=float)
