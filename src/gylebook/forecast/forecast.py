"""The door: evidence in, forecast out. Deterministic: the same evidence gives the same numbers."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np
from scipy.special import ndtri

from gylebook.forecast.answers import UNSAFE_CO2_G_PER_L, Diagnostics, Fan, Floats, NextReading, Spread, Story
from gylebook.forecast.checking import check
from gylebook.forecast.constants import CO2_G_PER_L_PER_SG
from gylebook.forecast.curve import Clock, progress
from gylebook.forecast.ends import ends_of
from gylebook.forecast.evidence import Evidence, Reading
from gylebook.forecast.likelihood import later_left, later_shift
from gylebook.forecast.mixture import (
    AT,
    STORIES,
    Part,
    chance_above,
    quantiles,
    resampled,
    spread_of,
    take,
)
from gylebook.forecast.next_reading import SHOTS, WAITS_DAYS, best
from gylebook.forecast.sampling import sample

_FAN: Final = 200


@dataclass(frozen=True)
class Forecast:
    """What the readings say, as a weighted mixture; every answer is of `evidence.now_day`.

    `evidence` has its readings by day; `gross` is the chance of each to be grossly wrong, in the order they were given.
    """

    evidence: Evidence
    parts: tuple[Part, ...]
    gross: tuple[float, ...]
    diagnostics: Diagnostics

    @cached_property
    def weight(self) -> Floats:
        """Weights of all components, adding to 1."""
        return np.concatenate([part.weight for part in self.parts])

    @cached_property
    def stories(self) -> dict[Story, float]:
        """Chance of each story; they add to 1."""
        places = np.concatenate([part.story for part in self.parts])
        mass = np.bincount(places, self.weight, minlength=len(STORIES))
        return {story: float(mass[place]) for place, story in enumerate(STORIES)}

    @cached_property
    def final_sg(self) -> Spread:
        """Where the sugar is gone: final gravity, hops and later sugar included."""
        means, sds = [], []
        added = sum(a.lifts_sg - a.falls_sg for a in self.evidence.additions)
        for part in self.parts:
            creep = 0.0 if part.drawn.creep_sg is None else part.drawn.creep_sg[part.of]
            means.append(self._og + part.og - part.fall + added - creep)
            sds.append(np.sqrt(np.maximum(part.var_og - 2 * part.cov + part.var_fall, 0.0)))
        return spread_of(np.concatenate(means), np.concatenate(sds), self.weight)

    @cached_property
    def attenuation(self) -> Spread:
        """Apparent attenuation at the end, by gravity: (OG - FG)/(OG - 1)."""
        means, sds = [], []
        for part in self.parts:
            og = self._og - 1 + part.og
            means.append(part.fall / og)
            rate = part.fall / og
            sds.append(np.sqrt(np.maximum(part.var_fall - 2 * rate * part.cov + rate**2 * part.var_og, 0.0)) / og)
        return spread_of(np.concatenate(means), np.concatenate(sds), self.weight)

    @property
    def now_sg(self) -> Spread:
        """True gravity now."""
        return self.at(self.evidence.now_day)

    @cached_property
    def _left(self) -> tuple[Floats, Floats]:
        return self._left_at(self.evidence.now_day)

    @property
    def left_sg(self) -> tuple[Floats, Floats]:
        """Gravity still to fall, mean and standard deviation of each component; see `weight`."""
        return self._left

    @cached_property
    def points_left(self) -> Spread:
        """Points of gravity still to fall."""
        mean, sd = self._left
        return spread_of(1000 * mean, 1000 * sd, self.weight)

    @property
    def co2_left_g_per_l(self) -> Spread:
        """Carbon dioxide still to come [g/L]."""
        scale = CO2_G_PER_L_PER_SG / 1000
        left = self.points_left
        return Spread(*(scale * getattr(left, name) for name in left.__dataclass_fields__))

    @cached_property
    def left_under(self) -> tuple[float, float, float]:
        """Chance of less than 0.5, 1 and 2 points left."""
        mean, sd = self._left
        half, one, two = (1 - chance_above(points / 1000, mean, sd, self.weight) for points in (0.5, 1.0, 2.0))
        return half, one, two

    @cached_property
    def unsafe(self) -> float:
        """Chance of more carbon dioxide still to come than primed bottles may be left with."""
        return self.co2_above(UNSAFE_CO2_G_PER_L)

    def co2_above(self, g_per_l: float, day: float | None = None) -> float:
        """Chance of more than so much carbon dioxide still to come [g/L], now or on a later day."""
        mean, sd = self._left if day is None else self._left_at(day)
        return chance_above(g_per_l / CO2_G_PER_L_PER_SG, mean, sd, self.weight)

    def unsafe_at(self, day: float) -> float:
        """What `unsafe` will be on a later day if nothing more is seen."""
        return self.co2_above(UNSAFE_CO2_G_PER_L, day)

    @cached_property
    def hop_points(self) -> Spread:
        """Points that hops may still free."""
        hops = self.evidence.hops
        if hops is None:
            return Spread(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
        left = []
        bare = replace(self.evidence, additions=())
        for part in self.parts:
            rest = later_left(bare, part.drawn, np.array([self.evidence.now_day]))
            left.append(np.zeros(len(part.weight)) if rest is None else 1000 * rest[0][part.of])
        values = np.concatenate(left)
        return spread_of(values, np.zeros_like(values), self.weight)

    def at(self, day: float) -> Spread:
        """True gravity on a day."""
        mean, sd = self._gravity_at(day)
        return spread_of(mean, sd, self.weight)

    @property
    def _og(self) -> float:
        return self.evidence.known.og_sg

    def _done(self, part: Part, day: float) -> tuple[Floats, Floats | None, Floats | None]:
        days = np.array([day])
        shape = part.drawn.shape
        done, _ = progress(shape, Clock(self.evidence.warmth, days).thermal(shape.energy))
        return done[0], later_shift(self.evidence, part.drawn, days), later_left(self.evidence, part.drawn, days)

    def _gravity_at(self, day: float) -> tuple[Floats, Floats]:
        means, sds = [], []
        for part in self.parts:
            done, shift, _ = self._done(part, day)
            s = done[part.of]
            means.append(self._og + part.og - s * part.fall + (0.0 if shift is None else shift[0][part.of]))
            sds.append(np.sqrt(np.maximum(part.var_og - 2 * s * part.cov + s * s * part.var_fall, 0.0)))
        return np.concatenate(means), np.concatenate(sds)

    def _left_at(self, day: float) -> tuple[Floats, Floats]:
        means, sds = [], []
        for part in self.parts:
            done, _, later = self._done(part, day)
            rest = 1 - done[part.of]
            means.append(rest * part.fall + (0.0 if later is None else later[0][part.of]))
            sds.append(rest * np.sqrt(np.maximum(part.var_fall, 0.0)))
        return np.concatenate(means), np.concatenate(sds)

    @cached_property
    def end_day(self) -> Spread:
        """Day since pitching when it comes within one point of its end; infinite where it never does by itself."""
        found = [ends_of(self.evidence, part) for part in self.parts]
        days, weight = (np.concatenate(column) for column in zip(*found, strict=True))
        finite = np.isfinite(days)
        mass = float(weight[finite].sum())
        mean = float(weight[finite] @ days[finite] / mass) if mass > 0 else np.inf
        sd = float(np.sqrt(weight[finite] @ (days[finite] - mean) ** 2 / mass)) if mass > 0 else np.inf
        return Spread(mean, sd, *(float(q) for q in quantiles(days, weight, AT)))

    def next_reading(self) -> NextReading:
        """When the next sample would most probably change the decision."""
        return self._next_reading

    @cached_property
    def _next_reading(self) -> NextReading:
        now = self.evidence.now_day
        days = now + np.array(WAITS_DAYS)
        gravity: list[Floats] = []
        left: list[Floats] = []
        for part in self.parts:
            count = round(SHOTS * float(part.weight.sum()))
            if not count:
                continue
            chosen = resampled(part.weight, count)
            drawn = take(part.drawn, part.of[chosen])
            done, _ = progress(drawn.shape, Clock(self.evidence.warmth, days).thermal(drawn.shape.energy))
            shift, later = later_shift(self.evidence, drawn, days), later_left(self.evidence, drawn, days)
            z = ndtri((np.arange(count) * 0.7548776662466927 + 0.5) % 1.0 * 0.998 + 0.001)
            fall_sd = np.sqrt(np.maximum(part.var_fall[chosen], 1e-18))
            slope = part.cov[chosen] / fall_sd
            og = self._og + part.og[chosen] + slope * z
            fall = part.fall[chosen] + fall_sd * z
            gravity.append(og - done * fall + (0.0 if shift is None else shift))
            left.append((1 - done) * fall + (0.0 if later is None else later))
        return best(now, np.hstack(gravity), np.hstack(left))

    def fan(self, days: Floats) -> Fan:
        """Quantiles of the true gravity over days, in increasing order."""
        days = np.asarray(days, dtype=float)
        columns = []
        for part in self.parts:
            count = round(_FAN * float(part.weight.sum())) or 1
            chosen = resampled(part.weight, count)
            drawn = take(part.drawn, part.of[chosen])
            done, _ = progress(drawn.shape, Clock(self.evidence.warmth, days).thermal(drawn.shape.energy))
            shift = later_shift(self.evidence, drawn, days)
            mean = self._og + part.og[chosen] - done * part.fall[chosen] + (0.0 if shift is None else shift)
            variance = part.var_og[chosen] - 2 * done * part.cov[chosen] + done**2 * part.var_fall[chosen]
            z = ndtri((np.arange(4) + 0.5) / 4)
            columns += [mean + z_one * np.sqrt(np.maximum(variance, 0.0)) for z_one in z]
        q = np.quantile(np.hstack(columns), AT, axis=1)
        return Fan(days, *q)


def forecast(evidence: Evidence, *, seed: int = 0, enough: float | None = None) -> Forecast:
    """Work out what the readings say.

    Parameters
    ----------
    evidence
        What is known; see `Evidence`.
    seed
        Shifts the quasi-random points; only to see how much the answer depends on them.
    enough
        Effective draws to stop at; None for the usual number. More take longer.

    Returns
    -------
    Forecast

    Raises
    ------
    InputError
        For a reading after `now_day`, a number that is none, or one that no beer, yeast or hydrometer has.
    """
    check(evidence)
    # Sums must not depend on the order in which readings were written down.
    order = sorted(range(len(evidence.readings)), key=lambda n: _sorting(evidence.readings[n]))
    ordered = replace(evidence, readings=tuple(evidence.readings[n] for n in order))
    parts, gross, diagnostics = sample(ordered, seed, enough)
    chances = tuple(float(gross[order.index(n)]) for n in range(len(order)))
    return Forecast(ordered, tuple(parts), chances, diagnostics)


def _sorting(reading: Reading) -> tuple[float, ...]:
    return reading.day, reading.instrument, reading.gravity_sg, reading.sd_sg, reading.lift_sg, reading.gross
