"""Sampling the curve's parameters: adaptive multiple importance sampling from quasi-random points.

The first round is drawn from the prior. Each further round is drawn from a broad Student mixture fitted to the rounds
before (tempered, as long as few draws carry the weight), and all rounds are weighed together by the mixture of
everything they were drawn from, so that no round is wasted and the weights stay bounded. The share of draws that come
from the prior never falls to nothing: a mode that no fit proposes is still met, with a weight that shows it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import lgamma, pi
from typing import Final

import numpy as np
from scipy.special import chdtri, ndtri

from gylebook.forecast.answers import Floats
from gylebook.forecast.likelihood import Curves, Sheet
from gylebook.forecast.priors import Family

FREEDOM: Final = 6.0  # of the Student proposals
_WIDER: Final = 1.5
_SEED_STEP: Final = 100_003
_FIRST: Final = 288
ROUND: Final = 512
_LEAST_FOR_FIT: Final = 30.0
_LOG_2PI: Final = float(np.log(2 * np.pi))


@dataclass
class Pool:
    """All draws of one family with their weights."""

    family: Family
    z: Floats  # (size, draws)
    curves: list[Curves]
    log_sum: Floats  # (draws,): evidence of all makes together
    log_prior: Floats  # (draws,)
    proposals: list[tuple[int, Floats, Floats]]  # draws, mean, inverse of the lower triangle
    log_proposed: list[Floats]  # by proposal (draws,)
    log_weight: Floats  # (draws,): importance weights, whose mean is the family's evidence
    seed: int

    @property
    def rounds(self) -> int:
        """How often it was drawn from."""
        return len(self.proposals)

    def weigh(self) -> None:
        """Weigh all draws by the mixture of everything they were drawn from."""
        counts = np.array([count for count, _, _ in self.proposals], dtype=float)
        mixed = log_sum(np.stack(self.log_proposed) + np.log(counts / counts.sum())[:, None])
        self.log_weight = self.log_sum + self.log_prior - mixed

    def all_curves(self) -> Curves:
        """The curves of all rounds side by side."""
        return joined(self.curves)


def effective(log_weight: Floats) -> float:
    """Effective sample size of weights given by their logarithms."""
    w = np.exp(log_weight - log_weight.max())
    return float(w.sum() ** 2 / (w * w).sum())


@lru_cache(maxsize=64)
def _points(size: int, count: int, start: int) -> Floats:
    """Points of a quasi-random sequence in the unit cube (size, count), without a corner or an edge in it."""
    golden = 2.0
    for _ in range(60):
        golden = (1 + golden) ** (1 / (size + 1))
    step = golden ** -np.arange(1.0, size + 1)
    found = (0.5 + np.outer(step, np.arange(start + 1, start + count + 1))) % 1.0
    return np.clip(found, 1e-7, 1 - 1e-7)


@lru_cache(maxsize=64)
def _normals(size: int, count: int, start: int) -> Floats:
    return np.asarray(ndtri(_points(size, count, start)))


@lru_cache(maxsize=64)
def _students(size: int, count: int, start: int) -> Floats:
    points = _points(size + 1, count, start)
    return np.asarray(ndtri(points[:size]) * np.sqrt(FREEDOM / chdtri(FREEDOM, points[size])))


def log_normal(z: Floats) -> Floats:
    """Logarithm of the standard normal density of each draw, z of shape (size, draws), result (draws,)."""
    return np.asarray(-0.5 * ((z * z).sum(axis=0) + len(z) * _LOG_2PI))


def _log_student(z: Floats, mean: Floats, inverse: Floats) -> Floats:
    size = len(mean)
    away = inverse @ (z - mean[:, None])
    norm = lgamma((FREEDOM + size) / 2) - lgamma(FREEDOM / 2) - size / 2 * np.log(FREEDOM * pi)
    norm += np.log(np.diag(inverse)).sum()
    return np.asarray(norm - (FREEDOM + size) / 2 * np.log1p((away * away).sum(axis=0) / FREEDOM))


def log_sum(rows: Floats) -> Floats:
    """Logarithm of the sum over the first axis of numbers given by their logarithms."""
    top = rows.max(axis=0)
    return np.asarray(top + np.log(np.exp(rows - top).sum(axis=0)))


def look(family: Family, sheet: Sheet, z: Floats) -> tuple[Floats, Curves]:
    """Evidence of all makes together for each draw (draws,), patterns summed, and the curves behind it."""
    curves = sheet.curves(family.draw(z))
    found = sheet.solve(curves, family.makes).log_patterns
    return log_sum(found.reshape(-1, found.shape[-1])), curves


def begin(family: Family, sheet: Sheet, seed: int = 0, first: int = _FIRST) -> Pool:
    """The first round, from the prior."""
    z = _normals(family.size, first, _SEED_STEP * seed)
    summed, curves = look(family, sheet, z)
    proposals = [(first, np.zeros(family.size), np.eye(family.size))]
    prior = log_normal(z)
    return Pool(family, z, [curves], summed, prior, proposals, [prior], summed, seed)


def again(pool: Pool, sheet: Sheet, count: int = ROUND) -> None:
    """One more round, from a Student fitted to what is there."""
    mean, lower = _fit(pool)
    upside = np.asarray(np.linalg.inv(lower), dtype=float)
    start = pool.z.shape[1] + _SEED_STEP * pool.seed
    z = np.clip(mean[:, None] + lower @ _students(pool.family.size, count, start), -7.5, 7.5)
    summed, curves = look(pool.family, sheet, z)
    prior = log_normal(z)
    new = [prior, *(_log_student(z, m, inverse) for _, m, inverse in pool.proposals[1:])]
    pool.log_proposed = [np.concatenate(pair) for pair in zip(pool.log_proposed, new, strict=True)]
    pool.z = np.hstack([pool.z, z])
    pool.log_sum = np.concatenate([pool.log_sum, summed])
    pool.log_prior = np.concatenate([pool.log_prior, prior])
    pool.curves.append(curves)
    pool.proposals.append((count, mean, upside))
    pool.log_proposed.append(_log_student(pool.z, mean, upside))
    pool.weigh()


def _fit(pool: Pool) -> tuple[Floats, Floats]:
    """Mean and lower triangle of a Student's scale by weighted moments, tempered while few draws carry the weight."""
    log_weight = pool.log_weight
    size = pool.family.size
    wanted = max(_LEAST_FOR_FIT, 5.0 * size)
    power = 1.0
    for _ in range(40):
        if effective(power * log_weight) >= wanted:
            break
        power *= 0.8
    w = np.exp(power * (log_weight - log_weight.max()))
    w /= w.sum()
    mean = pool.z @ w
    off = pool.z - mean[:, None]
    scale = (off * w) @ off.T * _WIDER + 1e-4 * np.eye(size)
    return mean, np.linalg.cholesky(scale)


def joined(curves: list[Curves]) -> Curves:
    """The rounds' curves side by side."""
    shifts = [c.shift for c in curves if c.shift is not None]
    factors = [c.log_factor for c in curves if c.log_factor is not None]
    return Curves(
        np.hstack([c.done for c in curves]),
        np.hstack([c.slope for c in curves]),
        np.hstack(shifts) if shifts else None,
        np.concatenate(factors) if factors else None,
    )
