"""Heat in the mixing bucket: the temperature of a mixture, and how much boiling water lands on a temperature.

Heat given to the air while pouring and stirring is not modelled: a mixture ends a little nearer to the room than the
sums say. Water counts in litres measured cold (20 degC), also the water that is boiled afterwards.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gylebook.science._arrays import Numbers, fence, only_where
from gylebook.science.water import density_kg_m3

# The sugar-solution relation at no sugar [J/(kg K)].
# Source: llano_2005
WATER_SPECIFIC_HEAT_J_PER_KG_K: Final = 4184.0
# Melting of ice [J/kg].
# Source: ice_heat
ICE_LATENT_HEAT_J_PER_KG: Final = 333_550.0

_WATER_KG_PER_L = float(density_kg_m3(20.0)) / 1000.0
_MELT_K = ICE_LATENT_HEAT_J_PER_KG / WATER_SPECIFIC_HEAT_J_PER_KG_K  # melting, as degrees of the water it makes


class MixingPlan(NamedTuple):
    """How to share out the water so that the mixture lands on its temperature, and whether it can."""

    boiling_l: Numbers
    tap_l: Numbers
    chilled_l: Numbers
    ice_kg: Numbers
    temp_c: Numbers
    lowest_temp_c: Numbers
    highest_temp_c: Numbers
    verdict: NDArray[np.str_]


def solution_specific_heat_j_per_kg_k(mass_fraction: ArrayLike, temp_c: ArrayLike, purity: ArrayLike = 1.0) -> Numbers:
    """Specific heat of a sugar solution or syrup.

    Parameters
    ----------
    mass_fraction : array_like, shape (...)
        Solids by mass [1].
    temp_c : array_like, shape (...)
        Temperature [degC].
    purity : array_like, shape (...)
        Sugar in the solids by mass [1].

    Returns
    -------
    float or ndarray, shape (...)
        Specific heat [J/(kg K)].

    Range: 0 <= mass_fraction <= 0.85, 0 <= temp_c <= 100, 0 <= purity <= 1; NaN outside. No range was stated with it.
    Source: llano_2005
    """
    b, inside_b = fence(mass_fraction, 0.0, 0.85)
    t, inside_t = fence(temp_c, 0.0, 100.0)
    p, inside_p = fence(purity, 0.0, 1.0)
    heat = WATER_SPECIFIC_HEAT_J_PER_KG_K - 2971.0 * b + 460.0 * b * p + 7.5 * b * t
    return only_where(inside_b & inside_t & inside_p, heat)


def _parts(mass_kg: ArrayLike, specific_heat: ArrayLike, temp_c: ArrayLike) -> tuple[Numbers, Numbers]:
    """Heat above 0 degC [J] and heat capacity [J/K] of the parts, added along the last axis; NaN out of range."""
    mass, inside_m = fence(mass_kg, 0.0, 1e5)
    heat, inside_h = fence(specific_heat, 0.0, 5000.0)
    temp, inside_t = fence(temp_c, 0.0, 100.0)
    capacity = np.where(inside_m & inside_h & inside_t, mass * heat, np.nan)
    energy = capacity * temp
    if energy.ndim == 0:
        return energy, capacity
    return energy.sum(axis=-1), np.broadcast_to(capacity, energy.shape).sum(axis=-1)


def mixed_temp_c(
    mass_kg: ArrayLike,
    specific_heat_j_per_kg_k: ArrayLike,
    temp_c: ArrayLike,
    *,
    ice_kg: ArrayLike = 0.0,
    vessel_heat_j_per_k: ArrayLike = 0.0,
    vessel_temp_c: ArrayLike = 20.0,
) -> Numbers:
    """Temperature that several parts reach together, ice melted into them.

    Parameters
    ----------
    mass_kg : array_like, shape (..., n)
        Mass of each of n parts [kg].
    specific_heat_j_per_kg_k : array_like, shape (..., n)
        Specific heat of each [J/(kg K)].
    temp_c : array_like, shape (..., n)
        Temperature of each [degC].
    ice_kg : array_like, shape (...)
        Ice at 0 degC thrown in [kg].
    vessel_heat_j_per_k : array_like, shape (...)
        Heat capacity of the vessel, mass x specific heat [J/K].
    vessel_temp_c : array_like, shape (...)
        Temperature of the vessel before [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Temperature; exactly 0 where some ice is left over [degC].

    Range: masses >= 0 and not all 0, 0 <= temperatures <= 100; NaN outside, and where ice would freeze the mixture.
    Source: mixing_heat_balance, ice_heat
    """
    energy, capacity = _parts(mass_kg, specific_heat_j_per_kg_k, temp_c)
    ice, inside_i = fence(ice_kg, 0.0, 1e5)
    vessel, inside_v = fence(vessel_heat_j_per_k, 0.0, 1e8)
    vessel_temp, inside_vt = fence(vessel_temp_c, 0.0, 100.0)
    energy = energy + vessel * vessel_temp
    net = energy - ice * ICE_LATENT_HEAT_J_PER_KG
    whole = capacity + vessel + ice * WATER_SPECIFIC_HEAT_J_PER_KG_K
    inside = inside_i & inside_v & inside_vt & (whole > 0.0) & (energy >= 0.0)
    return only_where(inside, np.maximum(net, 0.0) / np.where(whole > 0.0, whole, 1.0))


def water_temp_needed_c(
    mass_kg: ArrayLike,
    specific_heat_j_per_kg_k: ArrayLike,
    temp_c: ArrayLike,
    water_l: ArrayLike,
    target_temp_c: ArrayLike,
) -> Numbers:
    """Temperature that the rest of the water must have so that the whole lands on target.

    Parameters
    ----------
    mass_kg : array_like, shape (..., n)
        Mass of each of n parts already decided [kg].
    specific_heat_j_per_kg_k : array_like, shape (..., n)
        Specific heat of each [J/(kg K)].
    temp_c : array_like, shape (..., n)
        Temperature of each [degC].
    water_l : array_like, shape (...)
        Water still to be added [L].
    target_temp_c : array_like, shape (...)
        Temperature wanted [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Temperature of that water [degC].

    Range: water_l > 0 and an answer from 0 to 100 degC; NaN outside.
    Source: mixing_heat_balance
    """
    energy, capacity = _parts(mass_kg, specific_heat_j_per_kg_k, temp_c)
    litres, inside_l = fence(water_l, 1e-3, 1e5)
    target, inside_t = fence(target_temp_c, 0.0, 100.0)
    water_heat = litres * _WATER_KG_PER_L * WATER_SPECIFIC_HEAT_J_PER_KG_K
    needed = target + (capacity * target - energy) / water_heat
    return only_where(inside_l & inside_t & (needed >= 0.0) & (needed <= 100.0), needed)


def boiling_water_for_target(
    mass_kg: ArrayLike,
    specific_heat_j_per_kg_k: ArrayLike,
    temp_c: ArrayLike,
    *,
    water_l: ArrayLike,
    target_temp_c: ArrayLike,
    tap_temp_c: ArrayLike,
    boiling_temp_c: ArrayLike = 100.0,
    least_boiling_l: ArrayLike = 0.0,
    most_boiling_l: ArrayLike = np.inf,
    chilled_l: ArrayLike = 0.0,
    chilled_temp_c: ArrayLike = 4.0,
    ice_kg: ArrayLike = 0.0,
    vessel_heat_j_per_k: ArrayLike = 0.0,
    vessel_temp_c: ArrayLike = 20.0,
) -> MixingPlan:
    """Share of boiling, tap, chilled water and ice that gives all the water and the pitching temperature at once.

    All the water is given (see ``dilution.water_needed_l`` for the amount that makes a volume), so the volume is
    always met; the temperature is met where it can be. Boiling water is used first as far as needed; when even the
    least boiling water is too warm, chilled water replaces tap water, then ice does.

    Parameters
    ----------
    mass_kg : array_like, shape (..., n)
        Mass of each of n ingredients [kg].
    specific_heat_j_per_kg_k : array_like, shape (..., n)
        Specific heat of each [J/(kg K)].
    temp_c : array_like, shape (..., n)
        Temperature of each [degC].
    water_l : array_like, shape (...)
        All the water, ice counted as the water it melts to [L].
    target_temp_c : array_like, shape (...)
        Temperature wanted [degC].
    tap_temp_c : array_like, shape (...)
        Temperature of the tap water [degC].
    boiling_temp_c : array_like, shape (...)
        Temperature of the boiling water as it goes in [degC].
    least_boiling_l : array_like, shape (...)
        Least boiling water that dissolves the extract and rinses the can [L].
    most_boiling_l : array_like, shape (...)
        Most that the kettle gives [L].
    chilled_l : array_like, shape (...)
        Chilled water at hand [L].
    chilled_temp_c : array_like, shape (...)
        Its temperature [degC].
    ice_kg : array_like, shape (...)
        Ice at hand, at 0 degC, made of drinking water [kg].
    vessel_heat_j_per_k : array_like, shape (...)
        Heat capacity of the vessel [J/K].
    vessel_temp_c : array_like, shape (...)
        Temperature of the vessel before [degC].

    Returns
    -------
    MixingPlan of float or ndarray, shape (...)
        Litres [L], ice [kg], the temperature reached with the lowest and highest within reach [degC], and the verdict:
        reached, too warm (all the cold at hand is not enough) or too cold (all the boiling water is not enough) [text].

    Range: water_l > 0, all temperatures from 0 to 100, chilled_temp_c <= tap_temp_c <= boiling_temp_c; NaN outside.
    Source: mixing_heat_balance, ice_heat
    """
    energy, capacity = _parts(mass_kg, specific_heat_j_per_kg_k, temp_c)
    water, inside = fence(water_l, 1e-3, 1e5)
    temps = (target_temp_c, tap_temp_c, boiling_temp_c, chilled_temp_c, vessel_temp_c)
    target, tap, boiling, chilled, vessel_temp = (fence(temp, 0.0, 100.0)[0] for temp in temps)
    for given in temps:
        inside = inside & fence(given, 0.0, 100.0)[1]
    vessel, inside_v = fence(vessel_heat_j_per_k, 0.0, 1e8)
    inside = inside & inside_v & (chilled <= tap) & (tap <= boiling) & ~np.isnan(energy)
    least = np.clip(least_boiling_l, 0.0, water)
    most = np.clip(most_boiling_l, least, water)
    chilled_most = np.clip(chilled_l, 0.0, water - least)
    ice_most = np.clip(np.asarray(ice_kg) / _WATER_KG_PER_L, 0.0, water - least)  # as litres of the water it becomes

    litre_heat = _WATER_KG_PER_L * WATER_SPECIFIC_HEAT_J_PER_KG_K
    size = water + (capacity + vessel) / litre_heat
    base = (energy + vessel * vessel_temp) / litre_heat + water * tap
    amounts = _shares(
        base, size, target, (boiling - tap, tap - chilled, tap), (water, least, most, chilled_most, ice_most)
    )
    gap = amounts[4] - target
    inside = inside & ~np.isnan(gap)
    verdict = np.select([~inside, gap > 1e-6, gap < -1e-6], ["", "too warm", "too cold"], "reached")
    hot, cold, cool, ice, temp, lowest, highest = (only_where(inside, amount) for amount in amounts)
    return MixingPlan(hot, cold, cool, ice, temp, lowest, highest, verdict[()])


def _shares(
    base: Numbers, size: Numbers, target: Numbers, temps: tuple[Numbers, ...], limits: tuple[Numbers, ...]
) -> tuple[Numbers, ...]:
    """The amounts of a plan, in the order of ``MixingPlan``.

    Heat is counted in litre-degrees: what warms one litre of water by one degree. ``base`` is the heat with nothing
    but tap water, ``size`` what the whole takes per degree. Boiling water comes in until the target is met; heat
    still too much afterwards is taken out by chilled water, then by ice in place of tap water, then of chilled water.
    """
    gain, drop, tap = temps
    water, least, most, chilled_most, ice_most = limits
    chilled = tap - drop
    boiling = np.clip(_over(target * size - base, gain), least, most)
    rest = base + boiling * gain - target * size
    cool = np.clip(_over(rest, drop), 0.0, np.where(rest > 0.0, np.minimum(chilled_most, water - boiling), 0.0))
    rest = rest - cool * drop
    ice_for_tap = np.clip(_over(rest, tap + _MELT_K), 0.0, np.minimum(ice_most, water - boiling - cool))
    rest = rest - ice_for_tap * (tap + _MELT_K)
    ice_for_chilled = np.clip(_over(rest, chilled + _MELT_K), 0.0, np.minimum(ice_most - ice_for_tap, cool))
    reached = target + (rest - ice_for_chilled * (chilled + _MELT_K)) / size
    coldest = (
        base + least * gain - ice_most * (tap + _MELT_K) - np.minimum(chilled_most, water - least - ice_most) * drop
    )
    return (
        boiling,
        water - boiling - cool - ice_for_tap,
        cool - ice_for_chilled,
        (ice_for_tap + ice_for_chilled) * _WATER_KG_PER_L,
        np.maximum(reached, 0.0),
        np.maximum(coldest / size, 0.0),
        (base + most * gain) / size,
    )


def _over(amount: Numbers, per: Numbers) -> Numbers:
    """Quotient, infinite with the amount's sign where nothing is gained per unit."""
    return np.where(per > 0.0, amount / np.where(per > 0.0, per, 1.0), np.where(amount > 0.0, np.inf, 0.0))
