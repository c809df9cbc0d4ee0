"""How well curves explain the readings, with everything that enters linearly integrated out exactly.

Given a curve, gravity is linear in the original gravity, the attenuation and the hydrometers' offsets, and these have
normal priors: their part is a small normal-equation solve for each draw, which leaves only the curve's own parameters
to be sampled. A reading may be grossly wrong: sets of none, one and two wrong readings are summed over, each following
from the one before by a rank-one update.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Final

import numpy as np

from gylebook.forecast.answers import Floats
from gylebook.forecast.curve import Clock, halted_for, progress, rates, thermal_on
from gylebook.forecast.evidence import USUAL_OFFSET_SD_SG, Evidence, Warmth
from gylebook.forecast.priors import CREEP_ENERGY, ENERGY, Drawn, Make, still_halted

GROSS_SD_SG: Final = 0.008  # how far a grossly wrong reading lies off
TIME_SD_DAYS: Final = 0.08  # what the curve and the hour written are out, where the gravity is steep
LIFT_MEAN, LIFT_SD = 0.7979, 0.6028  # of a half-normal number with scale 1
FORCED_GROSS: Final = 0.03
_MOST_PAIRED = 4  # of the readings likeliest to be wrong, those whose pairs are looked at
_LEAST_SD = 1e-7


@dataclass(frozen=True, slots=True)
class Curves:
    """Many draws seen at the readings: share done and slope per day (readings, draws), known shifts [SG]."""

    done: Floats
    slope: Floats
    shift: Floats | None
    log_factor: Floats | None  # (draws,): what else speaks for or against a draw

    def take(self, chosen: np.ndarray) -> Curves:
        """The same for some of the draws."""
        return Curves(
            self.done[:, chosen],
            self.slope[:, chosen],
            None if self.shift is None else self.shift[:, chosen],
            None if self.log_factor is None else self.log_factor[chosen],
        )


@dataclass(frozen=True, slots=True)
class Solved:
    """The linear part, solved for each draw. Unknowns: original gravity less its middle, attenuation, offsets."""

    log_patterns: Floats  # (patterns, draws): chance of the pattern times density of the readings, logarithm
    mean: list[Floats]  # [unknown] (draws,)
    covariance: list[list[Floats]]  # [unknown][unknown] (draws,)
    reach: list[Floats]  # [unknown] (readings, draws): covariance times the readings' rows
    miss: Floats  # (readings, draws): reading less fit
    lever: Floats  # (readings, draws): variance of the fit
    widen: Floats  # (readings, draws): change of weight where the reading counts as grossly wrong
    rows: list[Floats]  # [unknown] (readings, draws or 1)
    distance: Floats  # (draws,): squared distance of the readings from what the priors expect, none of them wrong


class Sheet:
    """The evidence as arrays, ready for any number of draws."""

    def __init__(self, evidence: Evidence) -> None:
        self.evidence = evidence
        known, readings, forced = evidence.known, evidence.readings, evidence.forced
        instruments = sorted({r.instrument for r in readings})
        offsets = {number: (value, sd) for number, value, sd in known.offsets}
        own = [offsets.get(number, (0.0, USUAL_OFFSET_SD_SG)) for number in instruments]
        glass = [instruments.index(r.instrument) for r in readings]
        values = [r.gravity_sg - LIFT_MEAN * r.lift_sg - own[g][0] for r, g in zip(readings, glass, strict=True)]
        variances = [r.sd_sg**2 + (LIFT_SD * r.lift_sg) ** 2 for r in readings]
        gross = [r.gross for r in readings]
        if forced is not None:
            values, variances = [*values, forced.gravity_sg], [*variances, forced.sd_sg**2]
            gross, glass = [*gross, FORCED_GROSS], [*glass, -1]
        self.days = np.array([r.day for r in readings])
        self.fall = known.og_sg - 1.0
        self.spreads = [known.og_sd_sg, 1.0, *(max(sd, _LEAST_SD) for _, sd in own)]
        self.values, self.variances = np.array(values), np.array(variances)[:, None]
        self.glasses = [np.array([[float(g == one)] for g in glass]) for one in range(len(instruments))]
        chance = np.clip(np.array(gross), 1e-6, 1 - 1e-6)
        self.log_odds, self.log_right = np.log(chance) - np.log1p(-chance), float(np.log1p(-chance).sum())
        self.clock = Clock(evidence.warmth, self.days)
        self.last_clock = Clock(evidence.warmth, np.array([max([*self.days, 0.0])]))
        self._pace_then = _usual_pace(evidence.warmth, self.days)
        self.pairs: tuple[tuple[int, int], ...] = ()
        if len(values) <= _MOST_PAIRED:
            self.pairs = tuple(combinations(range(len(values)), 2))

    @property
    def patterns(self) -> tuple[tuple[int, ...], ...]:
        """The sets of readings taken as grossly wrong, in the order of `Solved.log_patterns`."""
        return ((), *((i,) for i in range(len(self.values))), *self.pairs)

    def pair_up(self, wrong: Floats) -> None:
        """From now on look at pairs of the readings likeliest to be wrong; `wrong` has a chance for each."""
        worst = sorted(np.argsort(-wrong, kind="stable")[:_MOST_PAIRED].tolist())
        self.pairs = tuple(combinations(worst, 2))

    def curves(self, drawn: Drawn) -> Curves:
        """The draws at the readings, and at the end for a forced sample."""
        shape = drawn.shape
        done, slope = progress(shape, self.clock.thermal(shape.energy))
        slope *= self._pace_then
        factor = None
        if shape.halt is not None and shape.pause is None:
            factor = still_halted(halted_for(shape, self.last_clock.thermal(shape.energy)[0]))
        shift = later_shift(self.evidence, drawn, self.days)
        if self.evidence.forced is not None:
            done = np.vstack([done, np.ones(done.shape[1])])
            slope = np.vstack([slope, np.zeros(slope.shape[1])])
            if shift is not None:
                added = sum(a.lifts_sg - a.falls_sg for a in self.evidence.additions)
                shift = np.vstack([shift, np.full(shift.shape[1], added)])
        return Curves(done, slope, shift, factor)

    def solve(self, curves: Curves, make: Make) -> Solved:
        """Solve the linear part under one make of the wort."""
        fallen = self.fall * curves.done
        rows = [1 - make.attenuation * curves.done, -make.spread * fallen, *self.glasses]
        residual = (self.values - 1 - self.fall)[:, None] + make.attenuation * fallen
        if curves.shift is not None:
            residual = residual - curves.shift
        variance = self.variances + (TIME_SD_DAYS * self.fall * make.attenuation * curves.slope) ** 2
        weight = 1 / variance
        size = len(rows)
        weighed = [weight * row for row in rows]
        normal = [[(weighed[i] * rows[j]).sum(axis=0) for j in range(i + 1)] for i in range(size)]
        for i, spread in enumerate(self.spreads):
            normal[i][i] = normal[i][i] + spread**-2
        aim = [(weighed[i] * residual).sum(axis=0) for i in range(size)]
        covariance, log_det = _invert(normal)
        mean = [sum(covariance[i][j] * aim[j] for j in range(size)) for i in range(size)]
        reach = [sum(covariance[i][j] * rows[j] for j in range(size)) for i in range(size)]
        lever = sum(reach[i] * rows[i] for i in range(size))
        miss = residual - sum(mean[i] * rows[i] for i in range(size))
        log_weight = np.log(weight)
        misfit = (weight * residual * residual).sum(axis=0) - sum(mean[i] * aim[i] for i in range(size))
        whole = 0.5 * (log_weight.sum(axis=0) - log_det - misfit) - sum(np.log(self.spreads)) + self.log_right
        whole -= 0.5 * len(self.values) * np.log(2 * np.pi)
        if curves.log_factor is not None:
            whole = whole + curves.log_factor
        wide = 1 / (variance + GROSS_SD_SG**2)
        widen = wide - weight
        patterns = self._patterns(whole, rows, reach, miss, lever, widen, np.log(wide) - log_weight)
        return Solved(patterns, mean, covariance, reach, miss, lever, widen, rows, misfit)

    def _patterns(
        self,
        whole: Floats,
        rows: list[Floats],
        reach: list[Floats],
        miss: Floats,
        lever: Floats,
        widen: Floats,
        log_ratio: Floats,
    ) -> Floats:
        firm = 1 + widen * lever
        one = self.log_odds[:, None] + 0.5 * (log_ratio - np.log(firm) - widen * miss * miss / firm)
        count, draws = one.shape
        found = np.empty((1 + count + len(self.pairs), draws))
        found[0] = whole
        found[1 : count + 1] = whole + one
        for place, (i, j) in enumerate(self.pairs, start=count + 1):
            shared = sum(reach[k][i] * np.broadcast_to(rows[k][j], (draws,)) for k in range(len(rows)))
            step = widen[i] / firm[i] * shared
            lever_j, miss_j = lever[j] - step * shared, miss[j] - step * miss[i]
            firm_j = 1 + widen[j] * lever_j
            two = log_ratio[j] - np.log(firm_j) - widen[j] * miss_j * miss_j / firm_j
            found[place] = whole + one[i] + self.log_odds[j] + 0.5 * two
        return found


def _usual_pace(warmth: Warmth, days: Floats) -> Floats:
    step = np.maximum(np.searchsorted(np.asarray(warmth.day), days, side="right") - 1, 0)
    return rates(warmth, np.array([ENERGY[0]]))[step]


def later_shift(evidence: Evidence, drawn: Drawn, days: Floats) -> Floats | None:
    """What hops and later sugar did to the gravity by each day (days, draws) [SG]; None where there were neither."""
    shift = None
    days = np.asarray(days, dtype=float)
    if drawn.creep_sg is not None and drawn.creep_pace is not None and evidence.hops is not None:
        since = _since(evidence.warmth, evidence.hops.day, days, np.array([CREEP_ENERGY]))
        shift = drawn.creep_sg * np.expm1(-since * drawn.creep_pace)
    for added in evidence.additions:
        since = _since(evidence.warmth, added.day, days, drawn.shape.energy)
        there = (days >= added.day)[:, None]
        gone = added.falls_sg * np.expm1(-since * drawn.shape.pace)
        change = np.where(there, added.lifts_sg + gone, 0.0)
        shift = change if shift is None else shift + change
    return shift


def later_left(evidence: Evidence, drawn: Drawn, days: Floats) -> Floats | None:
    """What hops and later sugar still let it fall after each day (days, draws) [SG]; None where there were neither."""
    left = None
    days = np.asarray(days, dtype=float)
    if drawn.creep_sg is not None and drawn.creep_pace is not None and evidence.hops is not None:
        since = _since(evidence.warmth, evidence.hops.day, days, np.array([CREEP_ENERGY]))
        left = drawn.creep_sg * np.exp(-since * drawn.creep_pace)
    for added in evidence.additions:
        since = _since(evidence.warmth, added.day, days, drawn.shape.energy)
        rest = added.falls_sg * np.exp(-since * drawn.shape.pace)
        left = rest if left is None else left + rest
    return left


def left_of_each(evidence: Evidence, drawn: Drawn, fall: Floats, day: Floats) -> Floats:
    """All that is still to fall of each draw on a day of its own (draws,) [SG]."""
    shape, warmth = drawn.shape, evidence.warmth
    thermal = thermal_on(warmth, day, shape.energy)
    left = fall * (1 - progress(shape, thermal[None, :])[0][0])
    if drawn.creep_sg is not None and drawn.creep_pace is not None and evidence.hops is not None:
        own = np.full_like(day, CREEP_ENERGY)
        begun = thermal_on(warmth, np.full_like(day, evidence.hops.day), own)
        left = left + drawn.creep_sg * np.exp(-drawn.creep_pace * np.maximum(thermal_on(warmth, day, own) - begun, 0))
    for added in evidence.additions:
        begun = thermal_on(warmth, np.full_like(day, added.day), shape.energy)
        left = left + added.falls_sg * np.exp(-shape.pace * np.maximum(thermal - begun, 0.0))
    return np.asarray(left)


def _since(warmth: Warmth, day: float, days: Floats, energy: Floats) -> Floats:
    """Thermal days since something went in, (days, draws)."""
    begun = Clock(warmth, np.array([day])).thermal(energy)
    return np.asarray(np.maximum(Clock(warmth, days).thermal(energy) - begun, 0.0))


def _invert(normal: list[list[Floats]]) -> tuple[list[list[Floats]], Floats]:
    """Inverse of many small symmetric matrices, given as their lower triangles, and the logarithm of their dets."""
    size = len(normal)
    lower: list[list[Floats]] = []
    for i in range(size):
        line: list[Floats] = []
        for j in range(i + 1):
            rest = normal[i][j] - sum(line[k] * lower[j][k] for k in range(j)) if i != j else normal[i][i]
            if i == j:
                rest = rest - sum(line[k] * line[k] for k in range(j))
                line.append(np.sqrt(rest))
            else:
                line.append(rest / lower[j][j])
        lower.append(line)
    log_det = 2 * sum(np.log(lower[i][i]) for i in range(size))
    columns: list[list[Floats]] = []
    for j in range(size):
        column = [np.zeros(1)] * size
        column[j] = 1 / lower[j][j]
        for i in range(j + 1, size):
            column[i] = -sum(lower[i][k] * column[k] for k in range(j, i)) / lower[i][i]
        columns.append(column)
    inverse = [
        [np.asarray(sum(columns[i][k] * columns[j][k] for k in range(max(i, j), size))) for j in range(size)]
        for i in range(size)
    ]
    return inverse, np.asarray(log_det)
