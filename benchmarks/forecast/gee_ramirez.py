"""Growth and alcohol after Gee and Ramirez: glucose, maltose and maltotriose taken up one after the other.

Source: gee_ramirez_1994 (Biotechnol. Bioeng. 31 (1988) 224; J. Inst. Brew. 100 (1994) 321-329). Standing:
PUBLISHED_SECOND_HAND; only a first page was read, the equations and values are those of public copies. They were fitted
to lager at about 10 degC; ale temperatures are an extrapolation. The model balances mass, has no lag and no death of
yeast; its flavour and amino acid parts are left out, since their values were not seen.

Amounts in mol/m3, time in hours. Each batch is one column; the temperature holds for an hour.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike
from scipy.integrate import solve_ivp

from forecast.courses import Floats, Halt, Resting, amounts, halt_of, left_after, warmth, whole_steps

GAS_KCAL: Final = 1.987e-3  # kcal/(mol K), as the published energies need
MOLAR_KG: Final = (0.18016, 0.34230, 0.50444)  # kg/mol of glucose, maltose, maltotriose
YEAST_PER_SUGAR: Final = (0.134, 0.268, 0.402)
ALCOHOL_PER_SUGAR: Final = (1.92, 3.84, 5.76)
COLDEST_C: Final = 0.0
WARMEST_C: Final = 35.0

# The published example's wort [mol/m3].
GLUCOSE: Final = 100.0
MALTOSE: Final = 220.0
MALTOTRIOSE: Final = 40.0
YEAST: Final = 180.0


@dataclass(frozen=True, slots=True)
class Course:
    """Amounts at each hour from 0 on [mol/m3], shape (hours + 1, batches)."""

    glucose: Floats
    maltose: Floats
    maltotriose: Floats
    yeast: Floats
    alcohol: Floats

    @property
    def sugar_left(self) -> Floats:
        """Share of the sugar's mass that is left."""
        mass = np.einsum("s,shb->hb", MOLAR_KG, np.stack([self.glucose, self.maltose, self.maltotriose]))
        return np.asarray(mass / mass[0], dtype=np.float64)


@dataclass(frozen=True, slots=True)
class _Speeds:
    """The eight numbers that go with the temperature."""

    vg: Floats
    vm: Floats
    vn: Floats
    kg: Floats
    km: Floats
    kn: Floats
    hold_g: Floats
    hold_m: Floats


def _speeds(temp_c: Floats) -> _Speeds:
    rt = GAS_KCAL * (temp_c + 273.15)
    return _Speeds(
        vg=np.exp(35.77 - 22.6 / rt),
        vm=np.exp(16.40 - 11.3 / rt),
        vn=np.exp(10.59 - 7.16 / rt),
        kg=np.exp(-121.3 + 68.6 / rt),
        km=np.exp(-19.15 + 14.4 / rt),
        kn=np.exp(-26.78 + 19.9 / rt),
        hold_g=np.exp(23.33 - 10.2 / rt),
        hold_m=np.exp(55.61 - 26.3 / rt),
    )


def _later_sugars(v: _Speeds, g: Floats, m: Floats, n: Floats) -> tuple[Floats, Floats]:
    """Uptake of maltose and of maltotriose by one unit of yeast, held back by the sugars before them."""
    after_glucose = v.hold_g / (v.hold_g + g)
    return (
        v.vm * m / (v.km + m) * after_glucose,
        v.vn * n / (v.kn + n) * after_glucose * v.hold_m / (v.hold_m + m),
    )


def simulate(
    temp_c: ArrayLike,
    *,
    glucose: ArrayLike = GLUCOSE,
    maltose: ArrayLike = MALTOSE,
    maltotriose: ArrayLike = MALTOTRIOSE,
    yeast: ArrayLike = YEAST,
    rate: ArrayLike = 1.0,
    halt: Halt | None = None,
    steps_per_hour: int = 4,
) -> Course:
    """Run many batches side by side.

    A midpoint step whose uptake of glucose is solved exactly, since glucose runs out within minutes. Yeast and alcohol
    follow from the sugars by the yields, so that mass balances to the last digit.

    Parameters
    ----------
    temp_c
        Temperature of each hour [degC], shape (hours, batches).
    glucose, maltose, maltotriose, yeast
        At pitching [mol/m3]; one value, or one a batch.
    rate
        Factor on all speeds [1].
    halt
        Abrupt stops, if any.
    """
    temp = warmth(temp_c, COLDEST_C, WARMEST_C)
    hours, batches = temp.shape
    start = [
        amounts(name, value, batches)
        for name, value in (("glucose", glucose), ("maltose", maltose), ("maltotriose", maltotriose))
    ]
    seed, pace = amounts("yeast", yeast, batches), amounts("rate", rate, batches) / whole_steps(steps_per_hour)
    resting, whole = Resting(halt_of(halt, batches)), sum(w * s for w, s in zip(MOLAR_KG, start, strict=True))
    g, m, n = start
    sugars = np.empty((hours + 1, 3, batches))
    sugars[0] = start
    g0, m0, n0 = start

    def grown(g: Floats, m: Floats, n: Floats) -> Floats:
        a, b, c = YEAST_PER_SUGAR
        return seed + a * (g0 - g) + b * (m0 - m) + c * (n0 - n)

    for hour in range(hours):
        v = _speeds(temp[hour])
        for step in range(steps_per_hour):
            gone = 1.0 - (MOLAR_KG[0] * g + MOLAR_KG[1] * m + MOLAR_KG[2] * n) / whole
            h = pace * resting.awake(hour + step / steps_per_hour, gone)
            cells = h * grown(g, m, n)
            of_m, of_n = _later_sugars(v, g, m, n)
            gm, mm, nm = left_after(g, v.vg * cells / 2, v.kg), m - cells / 2 * of_m, n - cells / 2 * of_n
            cells = h * grown(gm, mm, nm)
            of_m, of_n = _later_sugars(v, gm, mm, nm)
            g, m, n = left_after(g, v.vg * cells, v.kg), m - cells * of_m, n - cells * of_n
        sugars[hour + 1] = g, m, n
    used = sugars[0] - sugars
    return Course(
        glucose=sugars[:, 0],
        maltose=sugars[:, 1],
        maltotriose=sugars[:, 2],
        yeast=seed + np.einsum("s,hsb->hb", YEAST_PER_SUGAR, used),
        alcohol=np.einsum("s,hsb->hb", ALCOHOL_PER_SUGAR, used),
    )


def reference(
    temp_c: Callable[[float], float], at_hours: ArrayLike, start: tuple[float, ...] = (GLUCOSE, MALTOSE, MALTOTRIOSE)
) -> Floats:
    """One batch by SciPy's LSODA, to hold the quick run against.

    Returns
    -------
    Array, shape (5, times): glucose, maltose, maltotriose, yeast, alcohol [mol/m3].
    """

    def change(hour: float, state: Floats) -> list[float]:
        g, m, n, x, _ = np.maximum(state, 0.0)
        v = _speeds(np.asarray(temp_c(hour)))
        of_m, of_n = _later_sugars(v, g, m, n)
        taken = np.array([v.vg * g / (v.kg + g), of_m, of_n], dtype=float) * x
        return [*-taken, float(np.dot(YEAST_PER_SUGAR, taken)), float(np.dot(ALCOHOL_PER_SUGAR, taken))]

    times = np.asarray(at_hours, dtype=float)
    found = solve_ivp(
        change, (0.0, times[-1]), [*start, YEAST, 0.0], "LSODA", t_eval=times, rtol=1e-9, atol=1e-9, max_step=1.0
    )
    return np.asarray(found.y, dtype=float)
