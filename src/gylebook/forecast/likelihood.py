"""How well curves explain the readings, with everything that enters linearly integrated out exactly.

Given a curve, gravity is linear in the original gravity, the attenuation and the hydrometers' offsets, and these have
normal priors: their part is a small normal-equation solve for each draw, which leaves only the curve's own parameters
to be sampled. A reading may be grossly wrong: sets of none, one and two wrong readings are summed over, each following
from the one before by a rank-one update.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import Final

import numpy as np

from gylebook.forecast.answers import Floats
from gylebook.forecast.curve import Clock, halted_for, progress, rates
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
    """The linear part, solved for every make and draw.

    Unknowns: original gravity less its middle, the whole fall less its middle, and an offset for each hydrometer.
    """

    log_patterns: (
        Floats  # (patterns, makes, draws): chance of make and pattern times density of the readings, logarithm
    )
    mean: list[Floats]  # original gravity and fall, each (makes, draws)
    covariance: tuple[Floats, Floats, Floats]  # of original gravity, of both, of the fall (makes, draws)
    reach: list[Floats]  # [unknown] (readings, makes, draws): covariance times the readings' rows
    miss: Floats  # (readings, makes, draws): reading less fit
    lever: Floats  # (readings, makes, draws): variance of the fit
    widen: Floats  # (readings, 1, draws): change of weight where the reading counts as grossly wrong
    done: Floats  # (readings, 1, draws)
    distance: Floats  # (makes, draws): squared distance of the readings from what is expected, none of them wrong

    def shared(self, glass: list[int], i: int, j: int) -> Floats:
        """Covariance of the fits at two readings (makes, draws)."""
        found = self.reach[0][i] - self.done[j] * self.reach[1][i]
        return np.asarray(found + self.reach[glass[j]][i] if glass[j] >= 0 else found)


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
        self.middle_fall = self.fall * known.attenuation
        self.og_sd = known.og_sd_sg
        self.offset_sds = [max(sd, _LEAST_SD) for _, sd in own]
        self.values, self.variances = np.array(values), np.array(variances)[:, None]
        self.glass = [g + 2 if g >= 0 else -1 for g in glass]  # which unknown is each reading's offset; -1: none
        self._of_glass = [[i for i, g in enumerate(glass) if g == one] for one in range(len(instruments))]
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

    def solve(self, curves: Curves, makes: tuple[Make, ...]) -> Solved:
        """Solve the linear part under all makes of the wort at once."""
        done = curves.done
        residual = (self.values - 1 - self.fall)[:, None] + self.middle_fall * done
        if curves.shift is not None:
            residual -= curves.shift
        variance = self.variances + (TIME_SD_DAYS * self.middle_fall * curves.slope) ** 2
        weight = 1 / variance
        normal, aim, prior_log_det, prior_square = self._normal(weight, done, residual, makes)
        covariance, log_det = _invert(normal)
        size = len(aim)
        mean = [_total([covariance[i][j] * aim[j] for j in range(size)]) for i in range(size)]
        known = (weight * residual * residual).sum(axis=0)
        distance = known + prior_square - _total([mean[i] * aim[i] for i in range(size)])
        log_weight = np.log(weight)
        whole = 0.5 * (log_weight.sum(axis=0) + prior_log_det - log_det - distance)
        chances = np.array([make.log_chance for make in makes])[:, None]
        whole = whole + chances + (self.log_right - 0.5 * len(self.values) * _LOG_2PI)
        if curves.log_factor is not None:
            whole = whole + curves.log_factor
        wide = 1 / (variance + GROSS_SD_SG**2)
        done = done[:, None, :]
        reach = [self._at_rows(covariance[k], done) for k in range(size)]
        lever = self._at_rows(reach, done, by_reading=True)
        miss = residual[:, None, :] - self._at_rows(mean, done)
        widen, ratio = (wide - weight)[:, None, :], (np.log(wide) - log_weight)[:, None, :]
        solved = Solved(
            np.empty((1 + len(self.values) + len(self.pairs), *whole.shape)),
            mean[:2],
            (covariance[0][0], covariance[0][1], covariance[1][1]),
            reach,
            miss,
            lever,
            widen,
            done,
            distance,
        )
        self._fill_patterns(solved, whole, ratio)
        return solved

    def _normal(
        self, weight: Floats, done: Floats, residual: Floats, makes: tuple[Make, ...]
    ) -> tuple[list[list[Floats]], list[Floats], Floats, Floats]:
        """Normal equations (lower triangle) and right side, the prior's log det and square; (makes, draws) each."""
        weighed = weight * done
        aimed = weight * residual
        og_precision = self.og_sd**-2
        a = np.array([[make.attenuation] for make in makes])
        precision = np.array([[(self.fall * make.spread) ** -2.0] for make in makes])
        off = self.fall * a - self.middle_fall
        normal = [
            [weight.sum(axis=0) + og_precision + a * a * precision],
            [-weighed.sum(axis=0) - a * precision, (weighed * done).sum(axis=0) + precision],
        ]
        aim = [aimed.sum(axis=0) - a * precision * off, precision * off - (aimed * done).sum(axis=0)]
        for number, (rows, sd) in enumerate(zip(self._of_glass, self.offset_sds, strict=True)):
            alone = len(rows) == len(weight)
            w, d, r = (weight, weighed, aimed) if alone else (weight[rows], weighed[rows], aimed[rows])
            own = w.sum(axis=0)
            normal.append([own, -d.sum(axis=0), *(np.zeros(1) for _ in range(number)), own + sd**-2])
            aim.append(r.sum(axis=0))
        log_det = np.log(precision) + np.log(og_precision) - 2 * sum(np.log(self.offset_sds))
        return normal, aim, log_det, precision * off * off

    def _at_rows(self, unknowns: list[Floats], done: Floats, *, by_reading: bool = False) -> Floats:
        """What a value for each unknown comes to at each reading (readings, makes, draws)."""
        found = unknowns[0] - done * unknowns[1]
        for number, rows in enumerate(self._of_glass, start=2):
            if len(rows) == len(done):
                found = found + unknowns[number]
            elif rows:
                found[rows] += unknowns[number][rows] if by_reading else unknowns[number]
        return np.asarray(found)

    def _fill_patterns(self, solved: Solved, whole: Floats, log_ratio: Floats) -> None:
        """The readings' density with none, each, and each pair of them grossly wrong."""
        widen, lever, miss, found = solved.widen, solved.lever, solved.miss, solved.log_patterns
        firm = 1 + widen * lever
        one = self.log_odds[:, None, None] + 0.5 * (log_ratio - np.log(firm) - widen * miss * miss / firm)
        count = len(one)
        found[0] = whole
        np.add(whole, one, out=found[1 : count + 1])
        for place, (i, j) in enumerate(self.pairs, start=count + 1):
            shared = solved.shared(self.glass, i, j)
            step = widen[i] / firm[i] * shared
            lever_j, miss_j = lever[j] - step * shared, miss[j] - step * miss[i]
            firm_j = 1 + widen[j] * lever_j
            two = log_ratio[j] - np.log(firm_j) - widen[j] * miss_j * miss_j / firm_j
            found[place] = whole + one[i] + self.log_odds[j] + 0.5 * two


_LOG_2PI: Final = float(np.log(2 * np.pi))


def _total(terms: list[Floats]) -> Floats:
    found = terms[0]
    for term in terms[1:]:
        found = found + term
    return found


def _usual_pace(warmth: Warmth, days: Floats) -> Floats:
    step = np.maximum(np.searchsorted(np.asarray(warmth.day), days, side="right") - 1, 0)
    return rates(warmth, np.array([ENERGY[0]]))[step]


def later_shift(evidence: Evidence, drawn: Drawn, days: Floats) -> Floats | None:
    """What hops and later sugar did to the gravity by each day (days, draws) [SG]; None where there were neither."""
    parts = [lifts + falls * np.expm1(-spent) for lifts, falls, spent in _later(evidence, drawn, days)]
    return _total(parts) if parts else None


def later_left(evidence: Evidence, drawn: Drawn, days: Floats) -> Floats | None:
    """What hops and later sugar still let it fall after each day (days, draws) [SG]; None where there were neither."""
    parts = [falls * np.exp(-spent) for _, falls, spent in _later(evidence, drawn, days)]
    return _total(parts) if parts else None


def _later(evidence: Evidence, drawn: Drawn, days: Floats) -> Iterator[tuple[Floats, Floats | float, Floats]]:
    """By what came later: the lift at each day (days, 1), how far that falls in all, and the exponent of what is left.

    Before it came the exponent is 0: nothing of it has fallen.
    """
    days = np.asarray(days, dtype=float)
    if drawn.creep_sg is not None and drawn.creep_pace is not None and evidence.hops is not None:
        since = _since(evidence.warmth, evidence.hops.day, days, np.array([CREEP_ENERGY]))
        yield np.zeros((len(days), 1)), drawn.creep_sg, since * drawn.creep_pace
    for added in evidence.additions:
        since = _since(evidence.warmth, added.day, days, drawn.shape.energy)
        lifts = np.where(days >= added.day, added.lifts_sg, 0.0)[:, None]
        yield lifts, added.falls_sg, since * drawn.shape.pace


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
        for j in range(i):
            rest = normal[i][j]
            for k in range(j):
                rest = rest - line[k] * lower[j][k]
            line.append(rest / lower[j][j])
        rest = normal[i][i]
        for k in range(i):
            rest = rest - line[k] * line[k]
        line.append(np.sqrt(rest))
        lower.append(line)
    log_det = 2 * np.log(_product([lower[i][i] for i in range(size)]))
    columns: list[list[Floats]] = []
    for j in range(size):
        column = [np.zeros(1)] * j + [1 / lower[j][j]]
        for i in range(j + 1, size):
            column.append(-_total([lower[i][k] * column[k] for k in range(j, i)]) / lower[i][i])
        columns.append(column)
    inverse = [[np.zeros(1)] * size for _ in range(size)]
    for i in range(size):
        for j in range(i + 1):
            inverse[i][j] = inverse[j][i] = _total([columns[i][k] * columns[j][k] for k in range(i, size)])
    return inverse, log_det


def _product(terms: list[Floats]) -> Floats:
    found = terms[0]
    for term in terms[1:]:
        found = found * term
    return found
