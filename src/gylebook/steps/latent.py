"""Unknown effects behind noisy numbers, all normal: their exact joint posterior.

Each number seen is a weighted sum of unknown effects (of a kit, of a yeast, of a hydrometer ...) plus noise of known
variance; each effect has mean nought and a known variance beforehand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # what only keeps or backs up the book does without arrays
    import numpy as np
    from numpy.typing import NDArray

Effect = tuple[str, str]  # whose sort, and its name
Sum = tuple[tuple[Effect, float], ...]  # effects, each with its weight


@dataclass(frozen=True, slots=True, order=True)
class Seen:
    """A number, the variance of its noise, and the effects that it bears."""

    value: float
    variance: float
    bears: Sum


@dataclass(frozen=True, slots=True)
class Posterior:
    """Effects after the numbers were seen; one that no number bears is as it was beforehand."""

    before: Callable[[Effect], float]
    place: dict[Effect, int]
    mean: NDArray[np.float64]
    covariance: NDArray[np.float64]

    def of(self, wanted: Sum) -> tuple[float, float]:
        """Mean and variance of a sum of effects."""
        import numpy as np

        weights = np.zeros(len(self.mean))
        fresh = 0.0
        for effect, weight in wanted:
            if effect in self.place:
                weights[self.place[effect]] += weight
            else:
                fresh += weight**2 * self.before(effect)
        if not weights.any():
            return 0.0, fresh
        return float(weights @ self.mean), fresh + float(weights @ self.covariance @ weights)


def told_by(seen: Iterable[Seen], before: Callable[[Effect], float]) -> Posterior:
    """The effects as these numbers tell them; `before` gives each effect's variance beforehand.

    The numbers are put in an order of their own first: the same ones give the same bits in whatever order they come.
    """
    import numpy as np

    rows = sorted(seen)
    effects = sorted({effect for row in rows for effect, _ in row.bears})
    place = {effect: number for number, effect in enumerate(effects)}
    loads = np.zeros((len(rows), len(effects)))
    for number, row in enumerate(rows):
        for effect, weight in row.bears:
            loads[number, place[effect]] += weight
    scaled = loads.T / np.array([row.variance for row in rows])
    precision = np.diag([1.0 / before(effect) for effect in effects]) + scaled @ loads
    covariance = np.linalg.inv(precision) if effects else np.zeros((0, 0))
    return Posterior(before, place, covariance @ (scaled @ np.array([row.value for row in rows])), covariance)
