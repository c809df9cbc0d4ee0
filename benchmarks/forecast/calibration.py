"""Do the spreads hold what they promise? Coverage and ranks, on draws of the model's own and on oracle batches."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from gylebook.forecast.answers import Spread

# What a rank histogram holds where all is well: below the 5 % point, between the points, above the 95 % point.
EXPECTED: Final = (0.05, 0.20, 0.25, 0.25, 0.20, 0.05)


@dataclass(frozen=True, slots=True)
class Coverage:
    """How often the truth lay within the 50 and the 90 % interval, and where it lay.

    `ranks` are shares of the truths in the six classes that the five points cut; `chi2` is their distance from
    `EXPECTED` (5 degrees of freedom: above 11.1 in one case of twenty). `half_width` is the median of half the 90 %
    interval; an endless one counts as endless.
    """

    count: int
    inside50: float
    inside90: float
    se50: float
    se90: float
    ranks: tuple[float, ...]
    chi2: float
    half_width: float
    rmse: float
    median_error: float

    def row(self) -> str:
        ranks = " ".join(f"{100.0 * each:4.1f}" for each in self.ranks)
        return (
            f"{self.count:6d}  50 %: {self.inside50:.3f} ± {self.se50:.3f}  90 %: {self.inside90:.3f} ± {self.se90:.3f}"
            f"  ranks % {ranks}  chi2 {self.chi2:5.1f}  half-width {self.half_width:.4g}"
            f"  rmse {self.rmse:.4g}  median error {self.median_error:.4g}"
        )


def coverage(pairs: Sequence[tuple[float, Spread]]) -> Coverage:
    """Score pairs of a truth and its spread.

    A truth that equals a point of the spread (both may be infinite) lies inside both intervals that the point bounds,
    and its rank is shared among the classes that meet there. Error is truth against median; a pair with an infinite
    one on either side has no error, unless both agree.
    """
    if not pairs:
        raise ValueError("coverage needs at least one truth with its spread")
    truth = np.array([each for each, _ in pairs])
    points = np.array([(each.q05, each.q25, each.q50, each.q75, each.q95) for _, each in pairs])
    if np.isnan(truth).any() or np.isnan(points).any():
        raise ValueError("coverage was given a truth or a spread that is not a number")
    if (points[:, 1:] < points[:, :-1]).any():
        raise ValueError("coverage was given a spread whose points do not rise")
    count = len(pairs)
    within50 = float(np.mean((points[:, 1] <= truth) & (truth <= points[:, 3])))
    within90 = float(np.mean((points[:, 0] <= truth) & (truth <= points[:, 4])))
    ranks = _ranks(truth, points)
    chi2 = count * sum((found - due) ** 2 / due for found, due in zip(ranks, EXPECTED, strict=True))
    with np.errstate(invalid="ignore"):
        errors = np.abs(points[:, 2] - truth)
        width = (points[:, 4] - points[:, 0]) / 2.0
    errors = errors[np.isfinite(errors)]
    return Coverage(
        count,
        within50,
        within90,
        math.sqrt(0.25 / count),
        math.sqrt(0.09 / count),
        ranks,
        float(chi2),
        float(np.median(np.where(np.isnan(width), 0.0, width))),
        float(np.sqrt(np.mean(errors**2))) if errors.size else math.nan,
        float(np.median(errors)) if errors.size else math.nan,
    )


def _ranks(truth: np.ndarray, points: np.ndarray) -> tuple[float, ...]:
    """Shares in the six classes; a tie is shared in proportion to what its classes should hold."""
    lowest = np.sum(points < truth[:, None], axis=1)
    highest = np.sum(points <= truth[:, None], axis=1)
    cells = np.arange(len(EXPECTED))
    open_to = (cells >= lowest[:, None]) & (cells <= highest[:, None])
    weight = open_to * np.asarray(EXPECTED)
    weight = weight / weight.sum(axis=1, keepdims=True)
    return tuple(float(each) for each in weight.mean(axis=0))


def coverages(scored: Iterable[tuple[Mapping[str, float], Mapping[str, Spread]]]) -> dict[str, Coverage]:
    """Coverage of every quantity, from pairs of truths and spreads by the same names."""
    pairs: dict[str, list[tuple[float, Spread]]] = {}
    for truths, spreads in scored:
        for name, truth in truths.items():
            pairs.setdefault(name, []).append((truth, spreads[name]))
    return {name: coverage(each) for name, each in pairs.items()}
