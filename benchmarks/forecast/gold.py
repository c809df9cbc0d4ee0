"""What an exact sum would say: plain draws from the prior, and a long run of the forecaster's own sampler.

The plain draws know nothing of what the forecaster does cleverly. Every unknown is drawn (original gravity,
attenuation, hydrometers' offsets, the curve, the story); a reading is right or grossly wrong, each by itself, so that
any number of them may be wrong; nothing is integrated out, and no set of wrong readings is left out. They are both the
check and what the forecaster's speed is measured against.

`python -m forecast.gold --seed 3` compares the two on one batch of the forecaster's own priors.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final
from unittest import mock

import numpy as np

from forecast import own_prior
from gylebook.forecast import mixture, sampling
from gylebook.forecast.answers import UNSAFE_CO2_G_PER_L, Floats, Spread, Story
from gylebook.forecast.constants import CO2_G_PER_L_PER_SG
from gylebook.forecast.curve import Clock, halted_for, progress, rates
from gylebook.forecast.evidence import USUAL_OFFSET_SD_SG, Evidence
from gylebook.forecast.forecast import Forecast, forecast
from gylebook.forecast.likelihood import (
    FORCED_GROSS,
    GROSS_SD_SG,
    LIFT_MEAN,
    LIFT_SD,
    TIME_SD_DAYS,
    later_left,
    later_shift,
)
from gylebook.forecast.priors import ENERGY, Family, Make, families, still_halted

DRAWS: Final = 2**20
LONG_ESS: Final = 40_000.0
_CHUNK: Final = 2048  # draws at once: all arrays of it stay in the cache
_EVEN: Final = 0.5  # share of the draws that is spread evenly over the strata; the rest goes by their chance
_AT: Final = (0.05, 0.25, 0.50, 0.75, 0.95)
_POINTS: Final = (0.5, 1.0, 2.0)
_NO_WEIGHT: Final = 1e-12  # of the heaviest draw: what is lighter is not sorted


@dataclass(frozen=True, slots=True)
class Gold:
    """Answers of one exact sum, and how many independent draws it is worth."""

    method: str
    ess: float
    final_sg: Spread
    now_sg: Spread
    co2_left_g_per_l: Spread
    left_under: tuple[float, float, float]
    unsafe: float
    stories: dict[Story, float]
    gross: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Strata:
    """Draws of all strata side by side, the weights adding to 1."""

    weight: Floats
    story: np.ndarray
    final: Floats
    now: Floats
    left: Floats
    gross: Floats  # (readings,)


def brute_force(evidence: Evidence, *, seed: int = 0, draws: int = DRAWS) -> Gold:
    """The posterior by plain draws from the prior, weighed by the readings.

    The draws are stratified: every family and make of the wort gets its share, and weighs by its chance.
    """
    found = drawn(evidence, seed, draws)
    weight, left = found.weight, CO2_G_PER_L_PER_SG * found.left
    places = np.bincount(found.story, weight, minlength=len(Story))
    under = [float(weight[found.left < points / 1000].sum()) for points in _POINTS]
    return Gold(
        "plain draws from the prior",
        float(1 / (weight @ weight)),
        spread(found.final, weight),
        spread(found.now, weight),
        spread(left, weight),
        (under[0], under[1], under[2]),
        float(weight[left > UNSAFE_CO2_G_PER_L].sum()),
        {story: float(places[place]) for place, story in enumerate(Story)},
        tuple(found.gross.tolist()),
    )


def drawn(evidence: Evidence, seed: int, draws: int) -> Strata:
    """So many draws from the prior with their weights."""
    rng = np.random.default_rng(seed)
    strata = [(family, make) for family in families(evidence) for make in family.makes]
    chance = np.exp([make.log_chance for _, make in strata])
    shares = (1 - _EVEN) * chance / chance.sum() + _EVEN / len(strata)
    table = _Table(evidence)
    logs, stories, finals, nows, lefts, wrongs, counts = [], [], [], [], [], [], []
    for (family, make), share in zip(strata, shares, strict=True):
        count = max(round(draws * share / _CHUNK), 1) * _CHUNK
        for _ in range(count // _CHUNK):
            log_weight, wrong, final, now, left = table.weighed(family, make, rng)
            logs.append(log_weight + make.log_chance - np.log(count))
            finals.append(final)
            nows.append(now)
            lefts.append(left)
            wrongs.append(wrong)
        stories.append(np.full(count, list(Story).index(make.story)))
        counts.append(count)
    log_weight = np.concatenate(logs)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    gross = sum(w @ part for w, part in zip(weight.reshape(len(wrongs), -1), wrongs, strict=True))
    columns = (np.concatenate(stories), np.concatenate(finals), np.concatenate(nows), np.concatenate(lefts))
    return Strata(weight, *columns, np.asarray(gross)[: len(evidence.readings)])


class _Table:
    """The evidence as columns, one row a reading; the last row is the forced sample where there is one."""

    def __init__(self, evidence: Evidence) -> None:
        self.evidence = evidence
        readings, forced, known = evidence.readings, evidence.forced, evidence.known
        self.days = np.array([r.day for r in readings])
        self.instruments = sorted({r.instrument for r in readings})
        offsets = {number: (value, sd) for number, value, sd in known.offsets}
        self.offsets = [offsets.get(number, (0.0, USUAL_OFFSET_SD_SG)) for number in self.instruments]
        self.glass = [self.instruments.index(r.instrument) for r in readings]
        value = [r.gravity_sg - LIFT_MEAN * r.lift_sg for r in readings]
        variance = [r.sd_sg**2 + (LIFT_SD * r.lift_sg) ** 2 for r in readings]
        gross = [r.gross for r in readings]
        if forced is not None:
            value, variance, gross = [*value, forced.gravity_sg], [*variance, forced.sd_sg**2], [*gross, FORCED_GROSS]
        self.value, self.variance, self.gross = (np.array(column)[:, None] for column in (value, variance, gross))
        self.added = sum(a.lifts_sg - a.falls_sg for a in evidence.additions)
        self.last = max([*self.days, 0.0])
        self.clock = Clock(evidence.warmth, np.array([*self.days, evidence.now_day, self.last]))
        warm = np.maximum(np.searchsorted(np.asarray(evidence.warmth.day), self.days, side="right") - 1, 0)
        steep = TIME_SD_DAYS * (known.og_sg - 1) * known.attenuation
        self.timed = steep * rates(evidence.warmth, np.array([ENERGY[0]]))[warm]

    def weighed(
        self, family: Family, make: Make, rng: np.random.Generator
    ) -> tuple[Floats, Floats, *tuple[Floats, ...]]:
        """One chunk: logarithm of the likelihood, chance of each reading to be wrong (draws, readings), final, now,
        left.
        """
        evidence, known, count = self.evidence, self.evidence.known, len(self.days)
        parameters = family.draw(rng.standard_normal((family.size, _CHUNK)))
        shape = parameters.shape
        fallen = known.og_sg - 1 + known.og_sd_sg * rng.standard_normal(_CHUNK)
        fall = make.attenuation * fallen + make.spread * (known.og_sg - 1) * rng.standard_normal(_CHUNK)
        offset = np.array([mean + sd * rng.standard_normal(_CHUNK) for mean, sd in self.offsets])
        thermal = self.clock.thermal(shape.energy)
        done, slope = progress(shape, thermal[:-1])
        gravity = 1 + fallen - done * fall
        shift = later_shift(evidence, parameters, np.array([*self.days, evidence.now_day]))
        if shift is not None:
            gravity += shift
        rest = 1 + fallen - fall + self.added
        expected = gravity[:count] + offset[self.glass] if count else gravity[:0]
        noise = self.variance[:count] + (self.timed * slope[:count]) ** 2
        if evidence.forced is not None:
            expected = np.vstack([expected, rest])
            noise = np.vstack([noise, np.full(_CHUNK, self.variance[-1])])
        right, wrong = self._densities(expected, noise)
        both = right + wrong
        with np.errstate(divide="ignore"):
            likelihood = np.log(both).sum(axis=0)
        if shape.halt is not None and shape.pause is None:
            likelihood += still_halted(halted_for(shape, thermal[-1]))
        later = later_left(evidence, parameters, np.array([evidence.now_day]))
        left = (1 - done[-1]) * fall + (0.0 if later is None else later[0])
        final = rest if parameters.creep_sg is None else rest - parameters.creep_sg
        return likelihood, (wrong / np.maximum(both, 1e-300)).T, final, gravity[-1], left

    def _densities(self, expected: Floats, noise: Floats) -> tuple[Floats, Floats]:
        """Density of each reading as a right one and as a wrong one, without the constant that all share."""
        squared = (self.value - expected) ** 2
        wide = noise + GROSS_SD_SG**2
        right = (1 - self.gross) / np.sqrt(noise) * np.exp(-0.5 * squared / noise)
        return right, self.gross / np.sqrt(wide) * np.exp(-0.5 * squared / wide)


def spread(x: Floats, weight: Floats) -> Spread:
    """Moments and quantiles of weighted draws."""
    kept = weight > _NO_WEIGHT * weight.max()
    x, weight = x[kept], weight[kept]
    order = np.argsort(x)
    reached = np.cumsum(weight[order])
    quantiles = np.interp(_AT, (reached - 0.5 * weight[order]) / reached[-1], x[order])
    mean = float(weight @ x / reached[-1])
    sd = float(np.sqrt(weight @ (x - mean) ** 2 / reached[-1]))
    return Spread(mean, sd, *(float(value) for value in quantiles))


def long_run(evidence: Evidence, *, seed: int = 77, enough: float = LONG_ESS) -> Gold:
    """The forecaster's own sampler, left running until it has so many effective draws, and none of them thinned out."""
    with (
        mock.patch.multiple(sampling, _LONG_ROUNDS=400, _LONG_COUNT=4000, _USUAL_ROUNDS=4),
        mock.patch.multiple(mixture, thinned=_not_thinned, _RARE=1e-7, _NEGLIGIBLE=_NO_WEIGHT),
    ):
        found = forecast(evidence, seed=seed, enough=enough)
        return told("long run", found)


def _not_thinned(weight: Floats, count: int, along: Floats | None = None) -> tuple[np.ndarray, Floats]:
    """In place of `mixture.thinned`: all that weighs anything."""
    kept = np.flatnonzero(weight > _NO_WEIGHT)
    return kept, weight[kept]


def told(method: str, found: Forecast) -> Gold:
    """A forecast's answers in the same form."""
    return Gold(
        method,
        found.diagnostics.ess,
        found.final_sg,
        found.now_sg,
        found.co2_left_g_per_l,
        found.left_under,
        found.unsafe,
        found.stories,
        found.gross,
    )


@dataclass(frozen=True, slots=True)
class Difference:
    """How far one set of answers lies from another: spreads in posterior standard deviations, chances as they are."""

    final_mean: float
    low: tuple[float, ...]  # 5 % quantile of final gravity, gravity now and gas left
    high: tuple[float, ...]  # 95 % quantile
    chances: tuple[float, ...]  # left under, unsafe, stories


def differences(one: Gold, other: Gold) -> Difference:
    """`other` sets the scale."""
    pairs = [(getattr(one, name), getattr(other, name)) for name in ("final_sg", "now_sg", "co2_left_g_per_l")]
    chances = [*zip(one.left_under, other.left_under, strict=True), (one.unsafe, other.unsafe)]
    chances += [(one.stories[story], other.stories[story]) for story in Story]
    return Difference(
        (one.final_sg.mean - other.final_sg.mean) / other.final_sg.sd,
        tuple((a.q05 - b.q05) / b.sd for a, b in pairs),
        tuple((a.q95 - b.q95) / b.sd for a, b in pairs),
        tuple(a - b for a, b in chances),
    )


def batch(seed: int, *, hops: bool = False, outlier: bool = False) -> Evidence:
    """An invented batch of the forecaster's own priors; with an outlier one reading of beer is 10 to 14 points off."""
    rng = np.random.default_rng((seed, 5))
    evidence = own_prior.simulate(own_prior.plan(rng, hops=hops), rng)[1]
    if not outlier:
        return evidence
    readings = list(evidence.readings)
    place = int(rng.integers(1, len(readings)))
    off = float(rng.uniform(0.010, 0.014)) * float(rng.choice([-1.0, 1.0]))
    readings[place] = replace(readings[place], gravity_sg=readings[place].gravity_sg + off)
    return replace(evidence, readings=tuple(readings))


def compared(evidence: Evidence, draws: int) -> Iterator[str]:
    """Both golds of one batch, side by side."""
    plain, long = brute_force(evidence, draws=draws), long_run(evidence)
    for gold in (plain, long):
        yield f"{gold.method}: {gold.ess:.0f} effective draws"
        yield f"  FG {gold.final_sg.q05:.5f} {gold.final_sg.mean:.5f} {gold.final_sg.q95:.5f}"
        yield f"  CO2 left [g/L] {gold.co2_left_g_per_l.mean:.3f}, over {UNSAFE_CO2_G_PER_L:g}: {gold.unsafe:.4f}"
        yield "  " + ", ".join(f"{story} {chance:.4f}" for story, chance in gold.stories.items())
    yield f"difference: {differences(long, plain)}"


def main(words: Sequence[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--draws", type=int, default=DRAWS)
    asked.add_argument("--hops", action="store_true")
    asked.add_argument("--outlier", action="store_true")
    given = asked.parse_args(words)
    for line in compared(batch(given.seed, hops=given.hops, outlier=given.outlier), given.draws):
        print(line)
    return 0


if __name__ == "__main__":
    sys.exit(main())
