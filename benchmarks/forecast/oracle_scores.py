"""How the spreads hold on oracle batches and on draws of the forecaster's own prior.

`python -m forecast.oracle_scores --count 300` scores each oracle, without and with a misread reading; `--own 1600`
scores draws of the forecaster's own prior instead.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Protocol, get_args

import numpy as np
from figures import Figure

from forecast.batches import Batch, Kind, make
from forecast.calibration import Coverage, coverages
from forecast.forecaster import GATE_UNSAFE, Forecaster, shipped, spreads
from forecast.least_squares import final_gravity
from forecast.processes import in_processes
from gylebook.forecast.evidence import Evidence

READINGS: Final = (3, 8)  # the wort's among them
FIRST_DAY: Final = (2.0, 5.0)
EVERY_DAYS: Final = (1.0, 2.5)
MOST_OUTSIDE: Final = 12.0  # [%] of the 90 % interval of the final gravity, over both kinds


class Truth(Protocol):
    """What a simulated batch is in truth, by the names of `spreads`."""

    @property
    def final_sg(self) -> float: ...
    @property
    def now_sg(self) -> float: ...
    @property
    def co2_left_g_per_l(self) -> float: ...
    @property
    def end_day(self) -> float: ...


Simulator = Callable[[np.random.Generator], tuple[Truth, Evidence]]


@dataclass(frozen=True, slots=True)
class OracleScore:
    """One kind of batch: coverage by quantity, and the final gravity beside least squares.

    `fitted` looks had a usable curve; both rmse are over these alone. In `opened` looks the stated danger was below the
    gate, and in `unsafe` of these there was danger.
    """

    kind: Kind
    misread: bool
    coverage: Mapping[str, Coverage]
    fitted: int
    rmse_sg: float
    fitted_rmse_sg: float
    opened: int
    unsafe: int

    @property
    def ratio(self) -> float:
        return self.rmse_sg / self.fitted_rmse_sg


def days_read(chance: np.random.Generator) -> tuple[float, ...]:
    """The days on which somebody read the beer: 2 to 7 times, from day 2 to 5 on, every 1 to 2.5 days."""
    count = int(chance.integers(READINGS[0] - 1, READINGS[1]))
    first, every = chance.uniform(*FIRST_DAY), chance.uniform(*EVERY_DAYS)
    return tuple(float(each) for each in np.round(first + every * np.arange(count), 2))


def oracle_coverage(
    kind: Kind, count: int, seed: int, *, misread: bool, stalls: float = 0.0, forecaster: Forecaster
) -> OracleScore:
    """Each batch is looked at once, after its last reading; where asked, one of its readings is misread."""
    errors: list[tuple[float, float]] = []
    opened: list[bool] = []
    pairs = []
    for batch in make(count, seed, kind, stalls=stalls):
        chance = np.random.default_rng((seed, batch.number, 7))
        days = days_read(chance)
        wrong = float(chance.choice(days)) if misread else None
        evidence = batch.evidence(days, days[-1], seed, misread_day=wrong)
        answer = forecaster(evidence)
        pairs.append((_truths(batch, days[-1]), spreads(answer)))
        fitted = final_gravity(evidence.readings)
        if fitted is not None:
            errors.append((answer.final_sg.q50 - batch.final_sg, fitted - batch.final_sg))
        if answer.unsafe < GATE_UNSAFE:
            opened.append(not batch.ready(days[-1]))
    own, curve = np.sqrt(np.mean(np.square(errors), axis=0)) if errors else (np.nan, np.nan)
    return OracleScore(kind, misread, coverages(pairs), len(errors), float(own), float(curve), len(opened), sum(opened))


def _truths(batch: Batch, day: float) -> dict[str, float]:
    return {
        "final_sg": batch.final_sg,
        "now_sg": batch.gravity(day),
        "co2_left_g_per_l": batch.co2_left_g_per_l(day),
        "end_day": batch.done_day,
    }


def own_prior_coverage(simulate: Simulator, count: int, seed: int, forecaster: Forecaster) -> dict[str, Coverage]:
    """Simulation-based calibration: truths drawn as the forecaster believes them, against what it makes of them."""
    scored = []
    for number in range(count):
        truth, evidence = simulate(np.random.default_rng((seed, number)))
        told = spreads(forecaster(evidence))
        scored.append(({name: getattr(truth, name) for name in told}, told))
    return coverages(scored)


def drawn(chance: np.random.Generator) -> tuple[Truth, Evidence]:
    """A batch and its readings from the priors of the project's own forecaster."""
    from forecast.own_prior import plan, simulate

    return simulate(plan(chance), chance)


def report(score: OracleScore) -> Iterator[str]:
    yield f"{score.kind}, {'one reading misread' if score.misread else 'clean'}"
    for name, covered in score.coverage.items():
        yield f"  {name:17s}{covered.row()}"
    yield (
        f"  final gravity where the curve is usable ({score.fitted}): rmse {1000 * score.rmse_sg:.2f} points, least"
        f" squares {1000 * score.fitted_rmse_sg:.2f}, ratio {score.ratio:.2f};"
        f" danger in {score.unsafe} of {score.opened} looks with less than 1 % stated"
    )


def figures(clean: OracleScore, misread: OracleScore) -> Iterator[Figure]:
    for score in (clean, misread):
        mark = f"forecast.{score.kind}_{'misread' if score.misread else 'clean'}"
        covered = score.coverage["final_sg"]
        plain = f"{covered.count} batches; 50 % interval {100 * covered.inside50:.1f} %"
        yield Figure(f"{mark}_outside_90", 100 * (1 - covered.inside90), "%", 15.0, plain)
    plain = f"least squares {1000 * clean.fitted_rmse_sg:.2f} points on {clean.fitted} batches"
    yield Figure(f"forecast.{clean.kind}_rmse_ratio", clean.ratio, "1", 0.6, plain)
    widths = [each.coverage["final_sg"].half_width for each in (clean, misread)]
    plain = f"half-width {1000 * widths[0]:.2f} points clean"
    yield Figure(f"forecast.{clean.kind}_width_growth", widths[1] / widths[0], "1", 1.25, plain)


@dataclass(frozen=True, slots=True)
class Part:
    """Batches of one kind, made and judged in one process."""

    kind: Kind
    count: int
    seed: int
    misread: bool


def judge(part: Part) -> OracleScore:
    return oracle_coverage(part.kind, part.count, part.seed, misread=part.misread, forecaster=shipped())


def scores(count: int, seed: int, processes: int, size: int = 100) -> list[OracleScore]:
    """So many batches of each kind, without and with a misread reading, in parts."""
    parts = [
        Part(kind, min(size, count - first), 1000 * seed + number, misread)
        for misread in (False, True)
        for kind in get_args(Kind)
        if kind != "both"
        for number, first in enumerate(range(0, count, size))
    ]
    return list(in_processes(judge, parts, processes))


def together_figures(found: Sequence[OracleScore]) -> Iterator[Figure]:
    """Of all kinds together; each kind's own coverage stands beside."""
    for misread in (False, True):
        mark = f"forecast.oracle_{'misread' if misread else 'clean'}"
        some = [each for each in found if each.misread == misread]
        by_kind = {kind: [each for each in some if each.kind == kind] for kind in dict.fromkeys(e.kind for e in some)}
        plain = ", ".join(f"{kind} {100 * _outside(each):.1f} %" for kind, each in by_kind.items())
        batches = sum(each.coverage["final_sg"].count for each in some)
        yield Figure(f"{mark}_outside_90", 100 * _outside(some), "%", MOST_OUTSIDE, f"{batches} batches: {plain}")
        own, curve = (
            float(np.sqrt(sum(e.fitted * rmse(e) ** 2 for e in some if e.fitted) / sum(e.fitted for e in some)))
            for rmse in (lambda e: e.rmse_sg, lambda e: e.fitted_rmse_sg)
        )
        plain = f"least squares {1000 * curve:.2f} points on {sum(each.fitted for each in some)} batches"
        yield Figure(f"{mark}_rmse_ratio", own / curve, "1", None, plain)
        opened = sum(each.opened for each in some)
        unsafe = 100 * sum(each.unsafe for each in some) / max(opened, 1)
        plain = f"{opened} looks with less than 1 % stated"
        yield Figure(f"{mark}_unsafe", unsafe, "% of opened", None, plain)


def _outside(found: Sequence[OracleScore]) -> float:
    """Share of the final gravities outside the 90 % interval."""
    scored = [each.coverage["final_sg"] for each in found]
    return sum((1.0 - each.inside90) * each.count for each in scored) / sum(each.count for each in scored)


def main(words: Sequence[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--count", type=int, default=300)
    asked.add_argument("--seed", type=int, default=31)
    asked.add_argument("--own", type=int, default=0, help="score so many draws of its own prior, and no oracle")
    given = asked.parse_args(words)
    forecaster = shipped()
    if given.own:
        print(f"own prior, {given.own} draws")
        for name, covered in own_prior_coverage(drawn, given.own, given.seed, forecaster).items():
            print(f"  {name:17s}{covered.row()}")
        return 0
    for kind in get_args(Kind):
        if kind == "both":
            continue
        clean, wrong = (
            oracle_coverage(kind, given.count, given.seed, misread=each, forecaster=forecaster)
            for each in (False, True)
        )
        for line in (*report(clean), *report(wrong)):
            print(line)
        for figure in figures(clean, wrong):
            print(figure.line())
    return 0


if __name__ == "__main__":
    sys.exit(main())
