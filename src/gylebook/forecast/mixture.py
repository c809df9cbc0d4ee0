"""The posterior as a weighted mixture of normals: one for each draw, make of the wort and set of wrong readings.

Within a component, original gravity and the whole fall are jointly normal; so is every gravity of the curve. Small
chances are therefore sums of normal tails and not counts of draws.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from scipy.special import ndtr, ndtri

from gylebook.forecast.answers import Floats, Spread, Story
from gylebook.forecast.curve import Clock, progress
from gylebook.forecast.likelihood import Curves, Sheet, Solved, later_left
from gylebook.forecast.priors import Drawn
from gylebook.forecast.sampler import Pool

_NEGLIGIBLE: Final = 1e-7
_RARE: Final = 2e-4  # makes and patterns with less are left out
_BINS: Final = 4096
_MOST_DRAWS: Final = 700
_MOST_COMPONENTS: Final = 1400
STORIES: Final = tuple(Story)
_WRONG_COSTS: Final = 7.0  # squared distance that a reading taken as grossly wrong counts for


@dataclass(frozen=True, slots=True)
class Part:
    """Components that share a family: weights, moments of original gravity (less its middle) and fall, and draws."""

    drawn: Drawn  # parameters by draw
    of: np.ndarray  # (components,): which draw each belongs to
    weight: Floats
    story: np.ndarray  # (components,): place in STORIES
    og: Floats
    fall: Floats
    var_og: Floats
    var_fall: Floats
    cov: Floats
    nearest: float  # least squared distance of readings and parameters from what the priors expect


def parts_of(pools: list[Pool], sheet: Sheet) -> tuple[list[Part], Floats]:
    """The whole mixture, its weights adding to 1, and the chance of each reading to be grossly wrong."""
    logs = [pool.log_weight - np.log(pool.z.shape[1]) for pool in pools]
    top = max(float(log.max()) for log in logs)
    whole = sum(float(np.exp(log - top).sum()) for log in logs)
    found: list[Part] = []
    wrong, looked_at = np.zeros(len(sheet.values)), 0.0
    for pool, log in zip(pools, logs, strict=True):
        curves = pool.all_curves()
        along = _left(pool, sheet, curves)
        chosen, share = thinned(np.exp(log - top) / whole, _MOST_DRAWS, along)
        if not len(chosen):
            continue
        part, gross, mass = _part(pool, sheet, curves.take(chosen), chosen, np.log(share), along[chosen])
        wrong, looked_at = wrong + gross, looked_at + mass
        if part is not None:
            found.append(part)
    total = sum(float(part.weight.sum()) for part in found)
    for part in found:
        part.weight[:] /= total
    return found, wrong[: len(sheet.days)] / looked_at


def _left(pool: Pool, sheet: Sheet, curves: Curves) -> Floats:
    """What sets the draws in order: what each still has to fall now, for a fall as it is expected (draws,) [SG]."""
    if len(sheet.days) and sheet.evidence.hops is None and not sheet.evidence.additions:
        # At the last reading: the same order, and already there.
        return np.asarray(sheet.middle_fall * (1 - curves.done[len(sheet.days) - 1]))
    drawn = pool.family.draw(pool.z)
    now = np.array([sheet.evidence.now_day])
    done, _ = progress(drawn.shape, Clock(sheet.evidence.warmth, now).thermal(drawn.shape.energy))
    later = later_left(sheet.evidence, drawn, now)
    left = sheet.middle_fall * (1 - done[0])
    return np.asarray(left if later is None else left + later[0])


def thinned(weight: Floats, count: int, along: Floats | None = None) -> tuple[np.ndarray, Floats]:
    """Keep what weighs at least 1/count as it is; of the rest keep some, in proportion to weight.

    Those kept of the rest share its weight alike. A rest of less than half of 1/count is dropped. Taken in the order of
    `along`, the rest keeps the shares of small chances: drawn at random they would be a fifth or more out.
    """
    least = 1.0 / count
    light = weight < least
    mass = float(weight[light].sum())
    kept = np.flatnonzero(~light)
    rest = np.flatnonzero(light)
    few = round(mass * count)
    if few >= len(rest):
        few = 0
        kept = np.flatnonzero(weight > _NEGLIGIBLE)
    if not few:
        return kept, weight[kept]
    if along is not None:
        rest = rest[np.argsort(along[rest], kind="stable")]
    picked = rest[resampled(weight[rest], few)]
    return np.concatenate([kept, picked]), np.concatenate([weight[kept], np.full(few, mass / few)])


def _part(  # noqa: PLR0917 - one family's draws with all that belongs to them
    pool: Pool, sheet: Sheet, curves: Curves, chosen: np.ndarray, log_share: Floats, along: Floats
) -> tuple[Part | None, Floats, float]:
    drawn = pool.family.draw(pool.z[:, chosen])
    inside = log_share - pool.log_sum[chosen]
    squared = (pool.z[:, chosen] ** 2).sum(axis=0)
    solved = sheet.solve(curves, pool.family.makes)
    wrong = np.zeros(len(sheet.values))
    gathered: list[tuple[np.ndarray, ...]] = []
    nearest, whole = np.inf, 0.0
    weights = np.exp(solved.log_patterns + inside)
    masses = weights.sum(axis=2)
    for number, pattern in enumerate(sheet.patterns):
        for place, make in enumerate(pool.family.makes):
            mass = float(masses[number, place])
            if mass < _RARE:
                continue
            whole += mass
            wrong[list(pattern)] += mass
            draws = np.flatnonzero(weights[number, place] > _NEGLIGIBLE)
            if not len(draws):
                continue
            weight = weights[number, place, draws]
            moments, distance = _moments(solved, sheet, place, draws, pattern)
            nearest = min(nearest, float((distance + squared[draws]).min()) + _WRONG_COSTS * len(pattern))
            gathered.append(
                (draws, weight * (mass / weight.sum()), np.full(len(draws), STORIES.index(make.story)), *moments)
            )
    if not gathered:
        return None, wrong, whole
    columns = [np.concatenate(column) for column in zip(*gathered, strict=True)]
    # Group by group, so that each make and pattern keeps its share, and within a group by what is left.
    group = np.repeat(np.arange(len(gathered)), [len(each[0]) for each in gathered])
    within = (along - along.min()) / (2 * np.ptp(along) + 1e-9)
    picked, weight = thinned(columns[1], _MOST_COMPONENTS, group + within[columns[0]])
    of, _, story, og, fall, var_og, var_fall, cov = (column[picked] for column in columns)
    return Part(drawn, of, weight, story, og, fall + sheet.middle_fall, var_og, var_fall, cov, nearest), wrong, whole


def _moments(
    solved: Solved, sheet: Sheet, make: int, draws: np.ndarray, pattern: tuple[int, ...]
) -> tuple[tuple[Floats, ...], Floats]:
    """Original gravity, fall, their variances and covariance; and the distance: with some readings grossly wrong."""
    og, fall = (mean[make, draws] for mean in solved.mean)
    v00, v01, v11 = (value[make, draws] for value in solved.covariance)
    distance = solved.distance[make, draws]
    if not pattern:
        return (og, fall, v00, v11, v01), distance
    i = pattern[0]
    reach = {k: [r[k, make, draws] for r in solved.reach[:2]] for k in pattern}
    miss, lever = ({k: value[k, make, draws] for k in pattern} for value in (solved.miss, solved.lever))
    if len(pattern) == 2:
        j = pattern[1]
        shared = solved.shared(sheet.glass, i, j)[make, draws]
        step = solved.widen[i, 0, draws] / (1 + solved.widen[i, 0, draws] * lever[i])
        miss[j] = miss[j] - step * shared * miss[i]
        lever[j] = lever[j] - step * shared * shared
        reach[j] = [reach[j][k] - step * shared * reach[i][k] for k in range(2)]
    for k in pattern:
        step = solved.widen[k, 0, draws] / (1 + solved.widen[k, 0, draws] * lever[k])
        distance = distance + step * miss[k] ** 2
        og, fall = og + step * miss[k] * reach[k][0], fall + step * miss[k] * reach[k][1]
        v00 = v00 - step * reach[k][0] ** 2
        v01 = v01 - step * reach[k][0] * reach[k][1]
        v11 = v11 - step * reach[k][1] ** 2
    return (og, fall, v00, v11, v01), distance


def quantiles(x: Floats, weight: Floats, at: tuple[float, ...]) -> Floats:
    """Weighted quantiles; infinite values count as above everything."""
    finite = np.isfinite(x)
    total = weight.sum()
    values, w = x[finite], weight[finite]
    found = np.full(len(at), np.inf)
    if not len(values):
        return found
    order = np.argsort(values, kind="stable")
    reached = (np.cumsum(w[order]) - 0.5 * w[order]) / total
    inside = np.array(at) <= w.sum() / total
    found[inside] = np.interp(np.array(at)[inside], reached, values[order])
    return found


AT: Final = (0.05, 0.25, 0.50, 0.75, 0.95)


@lru_cache(maxsize=1)
def _jitters() -> Floats:
    count = 8 * _MOST_COMPONENTS
    shift = np.asarray((np.arange(count) * 0.6180339887498949) % 1.0)
    return np.asarray(ndtri((np.arange(4)[:, None] + np.clip(shift, 1e-4, 1 - 1e-4)) / 4))


def _jittered(count: int) -> Floats:
    """Four stratified normals for each of `count` components, (4, count), without randomness."""
    kept = _jitters()
    return kept[:, :count] if count <= kept.shape[1] else np.tile(kept, -(-count // kept.shape[1]))[:, :count]


def spread_of(mean: Floats, sd: Floats, weight: Floats) -> Spread:
    """Moments and quantiles of a mixture of normals; weights add to 1."""
    middle = float(weight @ mean)
    variance = float(weight @ (sd * sd + (mean - middle) ** 2))
    whole_sd = max(variance, 1e-18) ** 0.5
    low, high = middle - 9 * whole_sd, middle + 9 * whole_sd
    x = mean + sd * _jittered(len(mean))
    bins = np.clip(((x - low) * (_BINS / (high - low))).astype(np.intp), 0, _BINS - 1)
    mass = np.bincount(bins.ravel(), np.broadcast_to(weight / 4, x.shape).ravel(), minlength=_BINS)
    reached = np.concatenate([[0.0], np.cumsum(mass)])
    edges = low + (high - low) / _BINS * np.arange(_BINS + 1)
    q = np.interp(AT, reached / reached[-1], edges)
    return Spread(middle, whole_sd, *(float(value) for value in q))


def chance_above(limit: float, mean: Floats, sd: Floats, weight: Floats) -> float:
    """Chance that a mixture of normals lies above a limit."""
    return min(float(weight @ ndtr((mean - limit) / np.maximum(sd, 1e-12))), 1.0)


def resampled(weight: Floats, count: int) -> np.ndarray:
    """Places of `count` components drawn in proportion to their weights, systematically."""
    reached = np.cumsum(weight)
    return np.asarray(np.searchsorted(reached, (np.arange(count) + 0.5) / count * reached[-1]))


def take(drawn: Drawn, chosen: np.ndarray) -> Drawn:
    """The parameters of some draws."""
    creep = None if drawn.creep_sg is None else drawn.creep_sg[chosen]
    pace = None if drawn.creep_pace is None else drawn.creep_pace[chosen]
    return Drawn(drawn.shape.take(chosen), creep, pace)
