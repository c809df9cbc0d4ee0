"""Hop creep as enzymes would do it: hops bring an enzyme that wears out, it frees sugar from dextrins, yeast takes it.

For 10 g/L of hops at 20 degC::

    e' = -w e                             the enzyme wears out; e = dose / 10 g/L when the hops go in
    D' = -f v e D / (K + D)               dextrins are cut, at most as fast as there is enzyme
    F' = +f v e D / (K + D) - u F         freed sugar, taken up by yeast
    C' = u F                              fermented

all in g/L of carbon dioxide that the sugar would give, time in days; `f` is the hops' own strength (1 for those of the
publication). Once hops are out nothing more is cut: only what is freed already still ferments.

Published (kirkpatrick_shellhammer_2018, its abstract): with 10 g/L of hops in fully attenuated beer at 20 degC real
extract falls by 1 degP in 5 days and by about 2 degP in 40, which gives +4.75 volumes of carbon dioxide (9.39 g/L);
that the enzymes' work depends on time, warmth and dose, and stops when the hops are removed.

Invented: the equations; the store of dextrins, `K`, `u`, all three energies, and how one hop differs from another.
`v` and `w` were chosen so that both published points are met. That the end goes less than in proportion with the dose
follows from `K` and the store; nobody published by how much.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from forecast.courses import Floats, amounts, left_after, warmth
from gylebook.errors import InputError

PUBLISHED_DOSE_G_PER_L: Final = 10.0
PUBLISHED_TEMP_C: Final = 20.0
PUBLISHED_CO2_G_PER_L: Final = 9.39  # 4.75 volumes, after 40 days
DEXTRINS_CO2_G_PER_L: Final = 18.0  # 39 g/L of residual extract, as gas
HALF_CO2_G_PER_L: Final = 6.0  # K
CUT_PER_DAY: Final = 2.142  # v [g/L/d]
WORN_PER_DAY: Final = 0.1547  # w
UPTAKE_PER_DAY: Final = 1.2  # u
CUT_J_PER_MOL: Final = 50e3
WORN_J_PER_MOL: Final = 40e3
UPTAKE_J_PER_MOL: Final = 60e3
GAS_J_PER_MOL_K: Final = 8.314
COLDEST_C: Final = -1.0
WARMEST_C: Final = 35.0


def _pace(temp_c: Floats, energy: float) -> Floats:
    kelvin, usual = temp_c + 273.15, PUBLISHED_TEMP_C + 273.15
    return np.asarray(np.exp(-energy / GAS_J_PER_MOL_K * (1.0 / kelvin - 1.0 / usual)), dtype=float)


def days_of(name: str, value: ArrayLike, batches: int) -> Floats:
    """Days, one a batch; infinite is never."""
    try:
        days = np.broadcast_to(np.asarray(value, dtype=float), (batches,))
    except ValueError:
        raise InputError(name, "has another number of values than there are batches", "give one, or one each") from None
    if not np.all(days >= 0):
        raise InputError(name, "is not a day from 0 on", "give days since pitching, or infinity for never")
    return days


def co2_made(
    temp_c: ArrayLike,
    *,
    dose_g_per_l: ArrayLike,
    in_day: ArrayLike,
    out_day: ArrayLike = np.inf,
    strength: ArrayLike = 1.0,
) -> tuple[Floats, Floats]:
    """Run many batches side by side.

    Parameters
    ----------
    temp_c
        The beer's temperature of each hour [degC], shape (hours, batches).
    dose_g_per_l
        Hops [g/L].
    in_day, out_day
        When they go in and come out; infinite for never.
    strength
        The hops' own [1].

    Returns
    -------
    Carbon dioxide made through the hops at each hour, shape (hours + 1, batches), and what they will have led to in
    the end, shape (batches,) [g/L]: what the enzyme could still cut at the last hour's warmth is counted in it, unless
    the hops came out.
    """
    temp = warmth(temp_c, COLDEST_C, WARMEST_C)
    hours, batches = temp.shape
    dose, power = amounts("dose_g_per_l", dose_g_per_l, batches), amounts("strength", strength, batches)
    goes_in, comes_out = days_of("in_day", in_day, batches), days_of("out_day", out_day, batches)
    if np.any(comes_out < goes_in):
        raise InputError("out_day", "lies before in_day", "take hops out after they went in")
    enzyme, dextrins = np.zeros(batches), np.full(batches, DEXTRINS_CO2_G_PER_L)
    freed, made = np.zeros(batches), np.zeros((hours + 1, batches))
    came = np.zeros(batches, dtype=bool)
    for hour in range(hours):
        day = hour / 24.0
        enters = (day >= goes_in) & ~came
        came |= enters
        enzyme = np.where(enters, dose / PUBLISHED_DOSE_G_PER_L, enzyme)
        enzyme = np.where(day >= comes_out, 0.0, enzyme)
        enzyme, dextrins, freed, taken = _hour(temp[hour], enzyme, dextrins, freed, power)
        made[hour + 1] = made[hour] + taken
    return made, made[-1] + _still(temp[-1], enzyme, dextrins, freed, power)


def _hour(
    temp: Floats, enzyme: Floats, dextrins: Floats, freed: Floats, power: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """One hour: the enzyme's mean over it, a midpoint step of the dextrins, uptake solved exactly for even supply."""
    day = 1.0 / 24.0
    worn = WORN_PER_DAY * _pace(temp, WORN_J_PER_MOL) * day
    later = enzyme * np.exp(-worn)
    most = power * CUT_PER_DAY * _pace(temp, CUT_J_PER_MOL) * day * (enzyme + later) / 2.0
    middle = dextrins - most / 2.0 * dextrins / (HALF_CO2_G_PER_L + dextrins)
    cut = most * middle / (HALF_CO2_G_PER_L + middle)
    eaten = UPTAKE_PER_DAY * _pace(temp, UPTAKE_J_PER_MOL) * day
    kept = freed * np.exp(-eaten) + cut * -np.expm1(-eaten) / eaten
    return later, dextrins - cut, kept, freed + cut - kept


def _still(temp: Floats, enzyme: Floats, dextrins: Floats, freed: Floats, power: Floats) -> Floats:
    """What is freed and not yet eaten, and what the rest of the enzyme will cut, in closed form.

    With y = D / K: ln(y0 / y) + y0 - y = total work of the enzyme / K, solved by Wright's function.
    """
    work = power * CUT_PER_DAY * _pace(temp, CUT_J_PER_MOL) * enzyme
    work = work / (WORN_PER_DAY * _pace(temp, WORN_J_PER_MOL))
    return freed + dextrins - left_after(dextrins, work, np.full(dextrins.shape, HALF_CO2_G_PER_L))
