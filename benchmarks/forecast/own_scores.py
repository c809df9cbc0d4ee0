"""Do the sums hold what they promise? Batches from the forecaster's own priors, and what it makes of them.

`python -m forecast.own_scores --count 2000 --processes 2`; with `--hops` hops go into each.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from figures import Figure

from forecast import own_prior
from forecast.calibration import coverage
from forecast.forecaster import spreads
from forecast.processes import in_processes
from gylebook.forecast.answers import Spread
from gylebook.forecast.ends import ends_of
from gylebook.forecast.forecast import Forecast, forecast

INSIDE: Final = {50: 0.025, 90: 0.015}  # the interval, and how far its coverage may be off
QUANTITIES: Final = ("final_sg", "co2_left_g_per_l", "end_day")
LEAST_EFFECTIVE: Final = 400.0


@dataclass(frozen=True, slots=True)
class Scored:
    """One batch: by quantity the truth and the spread, the chance stated that it never ends by itself, and the sum's
    own account of how well it was done.
    """

    pairs: Mapping[str, tuple[float, Spread]]
    never: float
    effective: float
    longer: bool


@dataclass(frozen=True, slots=True)
class Part:
    """Batches from one place on."""

    first: int
    count: int
    seed: int
    hops: bool


def score(part: Part) -> list[Scored]:
    found = []
    for number in range(part.first, part.first + part.count):
        chance = np.random.default_rng((part.seed, number))
        truth, evidence = own_prior.simulate(own_prior.plan(chance, hops=part.hops), chance)
        told = forecast(evidence)
        pairs = {name: (getattr(truth, name), each) for name, each in spreads(told).items()}
        found.append(Scored(pairs, _never(told), told.diagnostics.ess, told.diagnostics.longer))
    return found


def _never(told: Forecast) -> float:
    ends = [ends_of(told.evidence, part) for part in told.parts]
    return float(sum(weight[np.isinf(days)].sum() for days, weight in ends))


def scores(count: int, seed: int, processes: int, *, hops: bool = False, size: int = 50) -> list[Scored]:
    parts = [Part(first, min(size, count - first), seed, hops) for first in range(0, count, size)]
    return [each for found in in_processes(score, parts, processes) for each in found]


def inside(truth: float, told: Spread, percent: int, never: float = 0.0) -> float:
    """Whether a truth lies within the 50 or the 90 % interval.

    One that never comes, where a forecaster gives that the chance `never`, lies in it by the share of that chance that
    the interval holds: an interval that ends at "never" would else hold more than it should.
    """
    low, high, from_share, to_share = (
        (told.q25, told.q75, 0.25, 0.75) if percent == 50 else (told.q05, told.q95, 0.05, 0.95)
    )
    if np.isfinite(truth):
        return float(low <= truth <= high)
    return max(to_share - max(from_share, 1.0 - never), 0.0) / never if never > 0.0 else 0.0


def covered(found: Sequence[Scored], name: str, percent: int) -> float:
    """Share of the truths that lie within the interval."""
    return float(np.mean([inside(*each.pairs[name], percent, each.never) for each in found]))


def report(found: Sequence[Scored]) -> Iterator[str]:
    for name in found[0].pairs:
        yield f"  {name:17s}{coverage([each.pairs[name] for each in found]).row()}"


def figures(found: Sequence[Scored], mark: str = "own_prior", *, limited: bool = True) -> Iterator[Figure]:
    for name in QUANTITIES:
        for percent, limit in INSIDE.items():
            share = covered(found, name, percent)
            plain = f"{100 * share:.1f} % of {len(found)} truths inside the {percent} % interval"
            off = abs(share - percent / 100)
            yield Figure(f"forecast.{mark}_{name}_{percent}_off", off, "1", limit if limited else None, plain)
    few = sum(each.effective < LEAST_EFFECTIVE for each in found)
    plain = f"lowest of {len(found)}: {min(each.effective for each in found):.0f} effective draws"
    yield Figure(f"forecast.{mark}_below_400_effective", few, "batches", 0.0 if limited else None, plain)
    longer = 100 * float(np.mean([each.longer for each in found]))
    yield Figure(f"forecast.{mark}_longer_runs", longer, "% of batches", None, "the usual run did not do")


def main(words: Sequence[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--count", type=int, default=2000)
    asked.add_argument("--seed", type=int, default=31)
    asked.add_argument("--hops", action="store_true")
    asked.add_argument("--processes", type=int, default=1)
    given = asked.parse_args(words)
    found = scores(given.count, given.seed, given.processes, hops=given.hops)
    for line in report(found):
        print(line)
    for figure in figures(found, "own_prior_hops" if given.hops else "own_prior", limited=not given.hops):
        print(figure.line())
    return 0


if __name__ == "__main__":
    sys.exit(main())
