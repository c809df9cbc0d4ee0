"""How far bottles have come, as a distribution: by when so much of the gas is made, and with what chance by a day.

Three things are not known: the pace of the beer, how warm its place really is, and in the cold whether its yeast stops.
The last two are taken as an even lattice of cases; in each the age of the bottles is a sum, and the chance over all
paces is then a closed form. So nothing is drawn at random, and a warmer place is never later.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from gylebook.journal.state import Brew, Shelf
from gylebook.science.conditioning import (
    PACE_SD,
    carbonation_fraction,
    chance_carbonated,
    days_at_20c,
    stall_temp_c,
)
from gylebook.science.interval import Span
from gylebook.steps.bottle_warmth import Stood, stood
from gylebook.steps.once import once

DAY = timedelta(days=1)
CARBONATED = 0.9  # share of the gas at which bottles are called carbonated
_CASES, _CASES_COLD = 31, 64
_GOLDEN = 0.6180339887498949
_OLDEST_DAYS = 3650.0
_COLD_C = 10.0  # yeast may stop below; for lager yeast that is taken with room to spare
_WITHIN = np.linspace(0.0, 1.0, 9)
Floats = NDArray[np.float64]


class Progress:
    """The age of the bottles of one brew in every case, counted as if at 20 °C."""

    def __init__(self, warm: Stood) -> None:
        self.start, self._edges = warm.start, warm.edges
        lengths = np.diff(warm.edges)
        cold = bool(np.any(warm.temp_c - 3.0 * warm.sd_c < _COLD_C))
        z, level = _lattice(_CASES_COLD if cold else _CASES)
        temps = np.clip(warm.temp_c + z[:, None] * warm.sd_c, 0.0, 45.0)
        paces = days_at_20c(1.0, temps)
        if cold:
            paces = np.where(temps <= np.asarray(stall_temp_c(level, lager=warm.lager))[:, None], 0.0, paces)
        self._ages = _summed(lengths * paces)
        self._likely = _summed(lengths * np.atleast_1d(days_at_20c(1.0, np.clip(warm.temp_c, 0.0, 45.0))))
        self._heat = _summed(lengths * warm.temp_c)
        self._chances: dict[float, Floats] = {}

    def likely_age_days(self, moment: datetime) -> float:
        """Age at a moment where they are as warm as is likeliest and no yeast stops [d as if at 20 °C]."""
        return min(float(self._grown(self._likely, self._day(moment))), _OLDEST_DAYS)

    def mean_c(self, moment: datetime) -> float:
        """Mean temperature from the filling to a moment [°C]."""
        day = max(self._day(moment), 1e-6)
        return float(self._grown(self._heat, day)) / day

    def chance(self, moment: datetime, share: float = CARBONATED) -> float:
        """Chance that so much of the gas is made by a moment [1]."""
        return float(np.mean(_by_age(share, self._grown(self._ages, self._day(moment)))))

    def when(self, chance: float, share: float = CARBONATED) -> datetime | None:
        """By when so much of the gas is made with a chance; None where it is not within the year that is looked at."""
        on_edges = self._on_edges(share)
        number = int(np.searchsorted(on_edges, chance))
        if number >= len(on_edges):
            return None
        if number == 0:
            return self.start
        first, last = self._ages[:, number - 1], self._ages[:, number]
        chances = np.mean(_by_age(share, first + _WITHIN[:, None] * (last - first)), axis=1)
        part = float(np.interp(chance, np.maximum.accumulate(chances), _WITHIN))
        day = float(self._edges[number - 1]) + part * float(self._edges[number] - self._edges[number - 1])
        return self.start + day * DAY

    def ever(self, share: float = CARBONATED) -> float:
        """Chance that so much is made at all, left where they stand for the year that is looked at [1]."""
        return float(self._on_edges(share)[-1])

    def share(self, moment: datetime) -> Span:
        """Share of the gas that is there at a moment: its 5, 50 and 95 % points [1]."""
        age = np.log(np.clip(self._grown(self._ages, self._day(moment)), 1e-9, _OLDEST_DAYS))
        # The logarithm of age × pace is a mixture of normals; its law is looked up at even places and turned round.
        places = np.linspace(float(age.min()) - 4 * PACE_SD, float(age.max()) + 4 * PACE_SD, 257)
        z = (places - age[:, None]) / PACE_SD
        law = np.maximum.accumulate(np.mean(_normal(z), axis=0))
        ages = np.minimum(np.exp(np.interp((0.05, 0.5, 0.95), law, places)), _OLDEST_DAYS)
        low, best, high = np.asarray(carbonation_fraction(ages, 20.0).best)
        return Span(float(low), float(best), float(high))

    def _day(self, moment: datetime) -> float:
        return max((moment - self.start) / DAY, 0.0)

    def _on_edges(self, share: float) -> Floats:
        """The chance at the end of every stretch."""
        if share not in self._chances:
            self._chances[share] = np.maximum.accumulate(np.mean(_by_age(share, self._ages), axis=0))
        return self._chances[share]

    def _grown(self, sums: Floats, day: float) -> Floats:
        """What has been summed up by a day; the last stretch goes on."""
        number = min(max(int(np.searchsorted(self._edges, day, side="right")) - 1, 0), len(self._edges) - 2)
        first, last = self._edges[number : number + 2]
        part = (day - first) / (last - first)
        return np.asarray(sums[..., number] + part * (sums[..., number + 1] - sums[..., number]))


@once
def progress(brew: Brew, shelf: Shelf) -> Progress | None:
    """How far the bottles of a brew come; None before they were filled."""
    warm = stood(brew, shelf)
    return None if warm is None else Progress(warm)


def _by_age(share: float, ages: Floats) -> Floats:
    return np.asarray(chance_carbonated(share, np.minimum(ages, _OLDEST_DAYS)))


def _summed(parts: Floats) -> Floats:
    nothing = np.zeros((*parts.shape[:-1], 1))
    return np.concatenate([nothing, np.cumsum(parts, axis=-1)], axis=-1)


@lru_cache(maxsize=4)
def _lattice(cases: int) -> tuple[Floats, Floats]:
    """Even cases of how far a place strays from what is likely [sd], and of the hardiness of its yeast [level]."""
    normal = NormalDist()
    z = np.array([normal.inv_cdf((number + 0.5) / cases) for number in range(cases)])
    level: Floats = np.asarray((np.arange(cases) * _GOLDEN + 0.5) % 1.0, dtype=np.float64)
    for array in (z, level):
        array.setflags(write=False)
    return z, level


@lru_cache(maxsize=1)
def _normal_table() -> tuple[Floats, Floats]:
    normal = NormalDist()
    places = np.linspace(-6.0, 6.0, 1201)
    return places, np.array([normal.cdf(z) for z in places.tolist()])


def _normal(z: Floats) -> Floats:
    places, levels = _normal_table()
    return np.asarray(np.interp(z, places, levels))
