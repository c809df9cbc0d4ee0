"""The gas of a bottled batch as a distribution: of its average bottle, and of the worst of all its bottles.

What is unknown of the whole batch (gas dissolved, what is still to ferment, litres, grams, how beer holds gas) is drawn
once for the batch; what differs between its bottles (the share of the sugar, the height of the fill) for the bottle.
The worst bottle is the one with the highest pressure. It is not sought among bottles drawn one by one: near the average
bottle pressure is as good as linear in both, so the worst of n is the largest of n equal normals, whose law is known,
and from it the worst bottle's own sugar and headspace are drawn. Its pressure is then the exact one of that bottle.

The points are a lattice that depends on no seed: the same charge gives the same numbers. Thermal swelling of the beer
and the air that a bottle is capped with are left out, as they are in the ceilings that bottles are held to.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from gylebook.forecast.answers import Floats
from gylebook.forecast.lattice import largest, normal, normals, uniforms
from gylebook.science import carbonation, priming
from gylebook.science.bottle_limits import volumes_after_vent
from gylebook.science.carbon_dioxide import (
    ATMOSPHERE_BAR,
    CO2_G_PER_L_PER_VOLUME,
    CO2_G_PER_MOL,
    GAS_CONSTANT,
    KELVIN,
    second_virial_cm3_per_mol,
)
from gylebook.science.conditioning import carbonation_fraction
from gylebook.science.interval import Span

POINTS: Final = 8192
USUAL_HEADSPACE: Final = 0.04  # litres of gas over a litre of beer, two to three centimetres under a crown cap
_HEADSPACE_SPAN: Final = Span(0.03, USUAL_HEADSPACE, 0.05)
REFERENCE_C: Final = 25.0  # where the worst bottle's gas is compared with that of one filled as usual
_Z90: Final = 1.6449  # ends of the middle nine tenths of a normal, in standard deviations
_CO2_PER_POINT: Final = (0.97, 1.05)  # [g/L], in the vessel and at most in a bottle, where hardly any yeast grows
_PACE_SD: Final = (
    0.2857  # of the logarithm of the time that bottles take: 1.6 times shorter or longer nine times in ten
)
_LEAST_VOL, _MOST_VOL = 0.1, 12.0
_LEAST_HEADSPACE, _MOST_HEADSPACE = 0.002, 0.3
_OLDEST_DAYS = 3650.0
_LEVELS: Final = 4097
_VENTED_FROM: Final = np.linspace(_LEAST_VOL, _MOST_VOL, 239)
# Columns of the lattice. Each lot of bottles has two of its own from _LOTS on.
_LATER, _DISSOLVED, _GRAMS, _YIELD, _LITRES, _HEADSPACE, _SOLUBILITY, _PER_POINT, _PACE, _LOTS = range(10)


@dataclass(frozen=True)
class Later:
    """Gas still to come by fermentation, as a table of its quantiles [g/L] in the vessel at equally spaced levels."""

    co2_g_per_l: Floats

    def at(self, level: Floats) -> Floats:
        """The gas at some levels of probability [g/L]."""
        middles = (np.arange(len(self.co2_g_per_l)) + 0.5) / len(self.co2_g_per_l)
        return np.asarray(np.interp(level, middles, self.co2_g_per_l))

    def or_more(self, other: Later) -> Later:
        """The larger of two at every level: the one where it is the more cautious, the other elsewhere."""
        levels = (np.arange(_LEVELS) + 0.5) / _LEVELS
        return Later(np.maximum(self.at(levels), other.at(levels)))


def later_of_mixture(mean_sg: Floats, sd_sg: Floats, weight: Floats, g_per_l_per_sg: float) -> Later:
    """What a mixture of normals of gravity still to fall makes of gas; never less than none."""
    shift = (np.arange(len(mean_sg)) * 0.6180339887498949) % 1.0
    inside = normal((np.arange(4)[:, None] + np.clip(shift, 1e-3, 1 - 1e-3)) / 4)
    values = (mean_sg + sd_sg * inside).ravel()
    order = np.argsort(values, kind="stable")
    mass = np.broadcast_to(weight / 4, (4, len(weight))).ravel()[order]
    reached = np.cumsum(mass)
    levels = (np.arange(_LEVELS) + 0.5) / _LEVELS
    found = np.interp(levels, (reached - 0.5 * mass) / reached[-1], values[order])
    return Later(np.maximum(found, 0.0) * g_per_l_per_sg)


def later_of_span(span: Span) -> Later:
    """The same of a span [g/L] whose ends hold the middle nine tenths: a normal with two halves."""
    return Later(np.maximum(_halves(span, normal((np.arange(_LEVELS) + 0.5) / _LEVELS)), 0.0))


@dataclass(frozen=True, slots=True)
class Sugar:
    """One addition of priming sugar.

    Parameters
    ----------
    grams
        All of it, as weighed [g].
    sugar
        Name in ``PRIMING_SUGARS``.
    litres
        The beer that it is shared over [L].
    weighing_sd_g
        Standard deviation of the weighing of all of it together [g].
    uneven
        Standard deviation of one bottle's share of it, as a part of the share [1].
    """

    grams: float
    sugar: str
    litres: Span
    weighing_sd_g: float = 0.6
    uneven: float = 0.06


@dataclass(frozen=True, slots=True)
class Vent:
    """One venting of all bottles: their age, counted as if at 20 degC [d], and their temperature [degC]."""

    age_days: float
    temp_c: float


@dataclass(frozen=True, slots=True)
class Charge:
    """All that becomes pressure in the bottles of a batch.

    Parameters
    ----------
    dissolved
        Gas in the beer after fermentation [vol].
    later
        What is still to ferment.
    sugars
        Priming sugar.
    let_out
        What was let out, at the least [vol].
    vents
        What lets out more: each as much, at the least, as its own draw then has in the headspace.
    headspace
        Mean headspace of the batch, litres of gas over a litre of beer [1].
    headspace_sd
        By how much one bottle's headspace strays from that mean, standard deviation [1].
    """

    dissolved: Span
    later: Later
    sugars: tuple[Sugar, ...] = ()
    let_out: float = 0.0
    vents: tuple[Vent, ...] = ()
    headspace: Span = _HEADSPACE_SPAN
    headspace_sd: float = 0.008


@dataclass(frozen=True, slots=True)
class Bottles:
    """Bottles at a temperature, a value for each draw: gas [vol], headspace [1] and gauge pressure [bar]."""

    total: Floats
    headspace: Floats
    pressure_bar: Floats


@dataclass(frozen=True, slots=True)
class Slips:
    """What nobody wrote of the batch, a value for each point of the lattice.

    `sugar`, `uneven` and `slow` are how many times as much sugar, as uneven a share of it, and as long a time there is;
    `later_vol` is gas by fermentation beyond what the charge knows [vol].
    """

    sugar: Floats
    uneven: Floats
    slow: Floats
    later_vol: Floats


class Draws:
    """A charge drawn many times over; `points` of them, more only to see how much the answers depend on it.

    `slips` are what nobody wrote, and `kept` which points of the lattice count, as often as each is named: both come
    from opened bottles. All that is drawn counts alike.
    """

    def __init__(
        self,
        charge: Charge,
        points: int = POINTS,
        *,
        slips: Slips | None = None,
        kept: NDArray[np.intp] | None = None,
    ) -> None:
        self.charge, self._lattice, self._slips, self._kept = charge, points, slips, kept
        self.points = points if kept is None else len(kept)

    def picked(self, kept: NDArray[np.intp]) -> Draws:
        """The same of some points of the lattice, each as often as it is named."""
        return Draws(self.charge, self._lattice, slips=self._slips, kept=kept)

    def fewer(self, points: int) -> Draws:
        """The same charge with fewer draws, for dates."""
        if self._kept is None:
            return Draws(self.charge, points) if self._slips is None else self.picked(_every(self.points, points))
        return self.picked(self._kept[_every(self.points, points)])

    def normals(self, column: int) -> Floats:
        """A column of normals that belongs to the batch, not to one of its bottles."""
        found = normals(self._lattice, column)
        return found if self._kept is None else found[self._kept]

    def uniforms(self, column: int) -> Floats:
        """The same, even between 0 and 1."""
        found = uniforms(self._lattice, column)
        return found if self._kept is None else found[self._kept]

    def _slip(self, of: str) -> Floats | None:
        if self._slips is None:
            return None
        found: Floats = getattr(self._slips, of)
        return found if self._kept is None else found[self._kept]

    @cached_property
    def dissolved(self) -> Floats:
        """Gas in the beer when it was bottled [vol]."""
        return np.maximum(_halves(self.charge.dissolved, self.normals(_DISSOLVED)), 0.0)

    @cached_property
    def later(self) -> Floats:
        """Gas that fermentation still makes [vol]."""
        low, high = _CO2_PER_POINT
        more = 1.0 + (high / low - 1.0) * self.uniforms(_PER_POINT)
        found = self.charge.later.at(self.uniforms(_LATER)) * more / CO2_G_PER_L_PER_VOLUME
        beyond = self._slip("later_vol")
        return np.asarray(found if beyond is None else found + beyond)

    @cached_property
    def _sugars(self) -> tuple[Floats, ...]:
        found = []
        for each in self.charge.sugars:
            grams = np.maximum(each.grams + each.weighing_sd_g * self.normals(_GRAMS), 0.0)
            litres = np.maximum(_halves(each.litres, self.normals(_LITRES)), 0.05)
            made = _halves(priming.PRIMING_SUGARS[each.sugar].co2_g_per_g, self.normals(_YIELD))
            found.append(grams * made / litres / CO2_G_PER_L_PER_VOLUME)
        times = self._slip("sugar")
        return tuple(found) if times is None else tuple(gas * times for gas in found)

    @cached_property
    def sugar(self) -> Floats:
        """Gas from priming sugar in the average bottle [vol]."""
        return np.asarray(sum(self._sugars, np.zeros(self.points)))

    @cached_property
    def sugar_sd(self) -> Floats:
        """How far one bottle's gas from sugar strays from the average bottle's [vol]."""
        parts = zip(self.charge.sugars, self._sugars, strict=True)
        found = np.sqrt(sum(((each.uneven * gas) ** 2 for each, gas in parts), np.zeros(self.points)))
        times = self._slip("uneven")
        return np.asarray(found if times is None else found * times)

    @cached_property
    def headspace(self) -> Floats:
        """Mean headspace of the batch [1]."""
        return np.clip(_halves(self.charge.headspace, self.normals(_HEADSPACE)), _LEAST_HEADSPACE, _MOST_HEADSPACE)

    @cached_property
    def solubility_off(self) -> Floats:
        """By how many half widths of its interval beer holds more gas than the fit says [1]."""
        return np.clip(self.normals(_SOLUBILITY) / _Z90, -5.0, 5.0)

    def made(self, age_days: float) -> Floats:
        """Share of the gas still to be made that is there after so many days, counted as if at 20 degC [1]."""
        slow = self._slip("slow")
        counted = age_days if slow is None else age_days / slow
        age = np.clip(counted * np.exp(_PACE_SD * self.normals(_PACE)), 0.0, _OLDEST_DAYS)
        return np.asarray(carbonation_fraction(age, 20.0).best)

    @cached_property
    def _lost(self) -> tuple[Floats, ...]:
        """What was let out before the first vent, after it, after the second ... [vol]."""
        found = [np.full(self.points, self.charge.let_out)]
        for vent in self.charge.vents:
            here = np.maximum(self.dissolved + self.made(vent.age_days) * (self.later + self.sugar) - found[-1], 0.0)
            found.append(found[-1] + np.interp(here, _VENTED_FROM, _vented(vent.temp_c)))
        return tuple(found)

    def let_out(self, vents: int | None = None) -> Floats:
        """What the first so many vents have let out, or all of them, at the least [vol]."""
        return self._lost[len(self.charge.vents) if vents is None else vents]

    def vented(self, more: tuple[Vent, ...]) -> Draws:
        """The same after more vents."""
        charge = replace(self.charge, vents=(*self.charge.vents, *more))
        return Draws(charge, self._lattice, slips=self._slips, kept=self._kept)

    def average_vol(self, age_days: float | None = None) -> Floats:
        """Gas of the average bottle at an age, or when all of it is made [vol]."""
        share: Floats | float = 1.0 if age_days is None else self.made(age_days)
        return np.maximum(self.dissolved + share * (self.later + self.sugar) - self.let_out(), 0.0)

    def average(self, temp_c: float, age_days: float | None = None, ambient_bar: float = ATMOSPHERE_BAR) -> Bottles:
        """The average bottle at a temperature."""
        gas = self.average_vol(age_days)
        return Bottles(gas, self.headspace, self._pressure(gas, temp_c, self.headspace, ambient_bar))

    def worst(
        self,
        count: int,
        temp_c: float,
        age_days: float | None = None,
        *,
        lot: int = 0,
        ambient_bar: float = ATMOSPHERE_BAR,
    ) -> Bottles:
        """The bottle with the highest pressure of so many at a temperature; each `lot` has bottles of its own."""
        average = self.average(temp_c, age_days, ambient_bar)
        share: Floats | float = 1.0 if age_days is None else self.made(age_days)
        by_sugar = share * self.sugar_sd
        by_fill = self.charge.headspace_sd * _vol_per_headspace(average.pressure_bar + ambient_bar, temp_c)
        both = np.maximum(np.hypot(by_sugar, by_fill), 1e-12)
        top, beside = largest(self.points, max(count, 1), _LOTS + 2 * lot), normals(self.points, _LOTS + 2 * lot + 1)
        z_sugar = (by_sugar * top + by_fill * beside) / both
        z_fill = (by_fill * top - by_sugar * beside) / both
        # A share is never less than none, however uneven: the bottle then has its batch's other gas alone.
        total = average.total + np.maximum(by_sugar * z_sugar, -share * self.sugar)
        head = np.clip(self.headspace - self.charge.headspace_sd * z_fill, _LEAST_HEADSPACE, _MOST_HEADSPACE)
        return Bottles(total, head, self._pressure(total, temp_c, head, ambient_bar))

    def worst_as_usual_vol(self, count: int, *, lot: int = 0) -> Floats:
        """Gas that makes the worst bottle's pressure at 25 degC in a bottle filled as usual [vol]."""
        found = self.worst(count, REFERENCE_C, lot=lot)
        # As far as the fit goes, for whoever turns the gas back into a pressure will go by the fit.
        absolute = ATMOSPHERE_BAR + self._pressure(found.total, REFERENCE_C, found.headspace, ATMOSPHERE_BAR, 0.0)
        return found.total + (USUAL_HEADSPACE - found.headspace) * _vol_per_headspace(absolute, REFERENCE_C)

    def _pressure(
        self, gas: Floats, temp_c: float, headspace: Floats, ambient_bar: float, off: float | None = None
    ) -> Floats:
        return np.asarray(
            carbonation.gauge_pressure_bar(
                np.clip(gas, _LEAST_VOL, _MOST_VOL),
                temp_c,
                headspace,
                ambient_bar=ambient_bar,
                solubility_off=self.solubility_off if off is None else off,
            )
        )


def spread_ends(values: Floats) -> Span:
    """The 5, 50 and 95 % points."""
    low, best, high = np.quantile(values, (0.05, 0.5, 0.95))
    return Span(float(low), float(best), float(high))


@lru_cache(maxsize=32)
def _vented(temp_c: float) -> Floats:
    """What one vent lets out at the least, by the gas that is there [vol]."""
    return np.asarray(np.maximum(_VENTED_FROM - volumes_after_vent(_VENTED_FROM, temp_c, USUAL_HEADSPACE), 0.0))


def _every(count: int, fewer: int) -> NDArray[np.intp]:
    """So many places out of a row, evenly."""
    return np.asarray((np.arange(fewer) * count) // fewer, dtype=np.intp)


def _halves(span: Span, z: Floats) -> Floats:
    """A normal with two halves, whose ends hold the middle nine tenths."""
    up, down = (span.high - span.best) / _Z90, (span.best - span.low) / _Z90
    return np.asarray(span.best + np.where(z > 0.0, up, down) * z)


def _vol_per_headspace(pressure_abs_bar: Floats, temp_c: float) -> Floats:
    """Gas in a headspace as large as the beer at that pressure [vol]."""
    kelvin = temp_c + KELVIN
    attraction = float(second_virial_cm3_per_mol(temp_c)) / (GAS_CONSTANT * kelvin)
    ideal = CO2_G_PER_MOL * 1000.0 / (GAS_CONSTANT * kelvin * CO2_G_PER_L_PER_VOLUME)
    return ideal * pressure_abs_bar / (1.0 + attraction * pressure_abs_bar)
