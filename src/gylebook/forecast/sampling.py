"""How long to sample which family, and whether the result is to be trusted."""

from __future__ import annotations

from itertools import combinations
from typing import Final

import numpy as np
from scipy.special import chdtrc

from gylebook.forecast.answers import Diagnostics, Floats
from gylebook.forecast.evidence import Evidence
from gylebook.forecast.likelihood import Sheet
from gylebook.forecast.mixture import Part, parts_of
from gylebook.forecast.priors import families
from gylebook.forecast.sampler import ROUND, Pool, again, begin, effective

ENOUGH: Final = 700.0  # effective draws that the usual run ends at
LEAST: Final = 450.0  # and below which a longer run is made
_USUAL_ROUNDS: Final = 14  # over all families, after each had its first two
_LONG_ROUNDS: Final = 40
_LONG_COUNT: Final = 1200
_OF_USE: Final = 0.002  # share below which a family is not refined
_MOST_IN_PAIRS: Final = 14  # readings, up to which all pairs are looked at once
_SUSPECT: Final = 0.05  # chance of being grossly wrong at which pairs of readings are looked at


def sample(evidence: Evidence, seed: int = 0, enough: float | None = None) -> tuple[list[Part], Floats, Diagnostics]:
    """The posterior's parts, the chance of each reading to be grossly wrong, and how well it was done."""
    sheet = Sheet(evidence)
    kinds = families(evidence)
    pools = [begin(kind, sheet, seed) for kind in kinds]
    if len(sheet.values) > 4:
        _pair_suspects(pools[0], sheet)
        if sheet.pairs:
            pools = [begin(kind, sheet, seed) for kind in kinds]
    wanted = ENOUGH if enough is None else enough
    rounds = _refine(pools, sheet, wanted, _USUAL_ROUNDS, None)
    longer = together(pools) < LEAST
    if longer or wanted > ENOUGH:
        rounds += _refine(pools, sheet, max(wanted, ENOUGH), _LONG_ROUNDS, _LONG_COUNT)
    parts, wrong = parts_of(pools, sheet)
    ess = together(pools)
    nearest = min(part.nearest for part in parts)
    misfit = float(chdtrc(max(len(sheet.values), 1), nearest)) if len(sheet.values) else 1.0
    draws = sum(pool.z.shape[1] for pool in pools)
    return parts, wrong, Diagnostics(ess, draws, rounds, longer, ess >= LEAST / 2, misfit)


def _pair_suspects(pool: Pool, sheet: Sheet) -> None:
    """Look at pairs only where a first look makes some reading suspect.

    Where two readings are wrong, hardly a draw of the first round explains the rest with only one of them out: all
    pairs are looked at once, and each reading's chance counts its pairs.
    """
    count = len(sheet.values)
    sheet.pairs = tuple(combinations(range(count), 2)) if count <= _MOST_IN_PAIRS else ()
    found = sheet.solve(pool.curves[0], pool.family.makes).log_patterns + (pool.log_weight - pool.log_sum)
    mass = np.exp(found - found.max()).sum(axis=(1, 2))
    wrong = mass[1 : count + 1].copy()
    for pair, chance in zip(sheet.pairs, mass[count + 1 :], strict=True):
        wrong[list(pair)] += chance
    sheet.pairs = ()
    if float(wrong.max(initial=0.0)) > _SUSPECT * mass.sum():
        sheet.pair_up(wrong)


def _refine(pools: list[Pool], sheet: Sheet, wanted: float, most: int, count: int | None) -> int:
    rounds = 0
    if count is None:
        for pool in pools:
            again(pool, sheet)
            rounds += 1
        shares = _shares(pools)
        for pool, share in zip(pools, shares, strict=True):
            if share > _OF_USE:
                again(pool, sheet)
                rounds += 1
    for _ in range(most):
        if together(pools) >= wanted:
            break
        pool = _worst(pools)
        again(pool, sheet, count or ROUND)
        rounds += 1
    return rounds


def _totals(pools: list[Pool]) -> tuple[list[Floats], float]:
    logs = [pool.log_weight - np.log(pool.z.shape[1]) for pool in pools]
    return logs, max(float(log.max()) for log in logs)


def _shares(pools: list[Pool]) -> list[float]:
    logs, top = _totals(pools)
    masses = [float(np.exp(log - top).sum()) for log in logs]
    return [mass / sum(masses) for mass in masses]


def together(pools: list[Pool]) -> float:
    """Effective sample size of all families' draws together."""
    logs, _ = _totals(pools)
    return effective(np.concatenate(logs))


def _worst(pools: list[Pool]) -> Pool:
    """The family whose weights vary most, against all."""
    logs, top = _totals(pools)
    return max(zip(pools, logs, strict=True), key=lambda pair: float(np.exp(2 * (pair[1] - top)).sum()))[0]
