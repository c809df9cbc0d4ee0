"""How exact the forecaster's sums are, and how long they take: against plain draws from the prior and a long run.

`python -m forecast.accuracy` measures all of it in about four minutes; `--quick` in less than one.
The batches are the forecaster's own priors' with two to eight readings; in every fourth a reading is 10 to 14 points
off, and every eighth has hops. For each the gold is whichever of the two exact sums has more effective draws.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from statistics import median
from typing import Final

import numpy as np
from figures import Figure, percentile

from forecast.gold import DRAWS, Difference, Gold, batch, brute_force, differences, long_run, told
from forecast.processes import in_processes
from gylebook.forecast.evidence import Evidence
from gylebook.forecast.forecast import Forecast, forecast

FIRST: Final = 700_001  # the first batch's number; used nowhere else
SETS, SEEDS, RANDOM = 40, 3, 1000
QUICK: Final = (9, 2, 150)
FAN_DAYS: Final = 40
LEAST_EFFECTIVE: Final = 400.0
AGREE_FROM: Final = 4000.0  # effective draws of both golds from which they are compared
NAMES: Final = ("final_sg", "now_sg", "co2_left")
_PATIENCE: Final = 1.0 / 300


@dataclass(frozen=True, slots=True)
class Judged:
    """One batch: what the forecaster's seeds are off, what the golds differ, and seconds of processor time."""

    number: int
    readings: int
    kind: str
    plain: Gold
    long: Gold
    off: tuple[Difference, ...]
    golds_differ: Difference
    told: tuple[Gold, ...]
    update: tuple[float, ...]
    brute: float

    @property
    def gold(self) -> Gold:
        return self.long if self.long.ess >= self.plain.ess else self.plain


def evidence_of(number: int) -> tuple[Evidence, str]:
    """The batch of a number, and what is special about it."""
    hops, outlier = number % 8 == 0, number % 4 == 2
    return batch(number, hops=hops, outlier=outlier), "hops" if hops else "outlier" if outlier else ""


def answer_all(found: Forecast, evidence: Evidence) -> None:
    """Everything that a page may ask for."""
    _ = (found.final_sg, found.now_sg, found.points_left, found.co2_left_g_per_l, found.end_day)
    _ = (found.stories, found.left_under, found.unsafe, found.gross)
    found.fan(np.linspace(0.0, evidence.now_day + 10.0, FAN_DAYS))
    found.next_reading()


def seconds(work: Callable[[], object]) -> float:
    """Processor time of one call, which does not depend on what else the machine does."""
    begun = time.process_time()
    work()
    return time.process_time() - begun


def update(evidence: Evidence) -> None:
    answer_all(forecast(evidence), evidence)


def judge(task: tuple[int, int]) -> Judged:
    """One batch by number, with so many of the forecaster's seeds."""
    number, seeds = task
    evidence, kind = evidence_of(number)
    begun = time.process_time()
    plain = brute_force(evidence, seed=number)
    brute = time.process_time() - begun
    long = long_run(evidence)
    gold = long if long.ess >= plain.ess else plain
    answers = tuple(told("forecast", forecast(evidence, seed=seed)) for seed in range(seeds))
    return Judged(
        number,
        len(evidence.readings),
        kind,
        plain,
        long,
        tuple(differences(each, gold) for each in answers),
        differences(long, plain),
        answers,
        tuple(seconds(lambda: update(evidence)) for _ in range(3)),
        brute,
    )


def judged(sets: int, seeds: int, processes: int, first: int = FIRST) -> Iterator[Judged]:
    yield from in_processes(judge, [(number, seeds) for number in range(first, first + sets)], processes)


def accuracy_figures(found: Sequence[Judged]) -> Iterator[Figure]:
    off = [each for one in found for each in one.off]
    plain = f"{len(off)} answers on {len(found)} batches, gold of {_least(found):.0f} to {_most(found):.0f} draws"
    yield Figure("forecast.accuracy_final_mean", _rms([d.final_mean for d in off]), "posterior sd, rms", 0.03, plain)
    for place, name in enumerate(NAMES):
        for share, side in (("5", "low"), ("95", "high")):
            rms = _rms([getattr(d, side)[place] for d in off])
            worst = max(found, key=lambda one: _worst(one, side, place))
            plain = f"the {share} % point; worst {_worst(worst, side, place):.3f}, batch {worst.number}"
            yield Figure(f"forecast.accuracy_{name}_{share}", rms, "posterior sd, rms", 0.06, plain)
    chances = [chance for d in off for chance in d.chances]
    yield Figure("forecast.accuracy_chances", _rms(chances), "1, rms", 0.005, "left under, unsafe, stories")
    yield Figure("forecast.accuracy_chances_worst", max(map(abs, chances)), "1", 0.02, f"largest of {len(chances)}")
    yield from _agreement(found)


def _agreement(found: Sequence[Judged]) -> Iterator[Figure]:
    """The two golds against each other: each has an error of its own, and the limits are four of them."""
    both = [one for one in found if min(one.plain.ess, one.long.ess) > AGREE_FROM]
    if not both:
        return
    plain = f"plain draws against the long run on {len(both)} batches where both have over {AGREE_FROM:.0f} draws"
    off = [one.golds_differ for one in both]
    yield Figure("forecast.golds_final_mean", _rms([d.final_mean for d in off]), "posterior sd, rms", 0.03, plain)
    points = [value for d in off for value in (*d.low, *d.high)]
    apart = {one.number: max(map(abs, (*one.golds_differ.low, *one.golds_differ.high))) for one in both}
    worst = max(apart, key=lambda number: apart[number])
    told_worst = f"{plain}; worst {apart[worst]:.3f}, batch {worst}"
    yield Figure("forecast.golds_quantiles", _rms(points), "posterior sd, rms", 0.06, told_worst)
    yield Figure("forecast.golds_chances", _rms([c for d in off for c in d.chances]), "1, rms", 0.005, plain)


def time_figures(found: Sequence[Judged]) -> Iterator[Figure]:
    updates = [second for one in found for second in one.update]
    brute = median(one.brute for one in found)
    plain = f"update {1000 * median(updates):.1f} ms, {DRAWS} plain draws {brute:.2f} s, medians of processor time"
    yield Figure("forecast.update_over_plain_draws", median(updates) / brute, "1", _PATIENCE, plain)
    yield Figure("forecast.update_p95", 1000 * percentile(updates, 0.95), "ms of one core", 25.0, "all answers")


def effective_figures(count: int, first: int = FIRST + 100_000) -> Iterator[Figure]:
    """Effective draws and time of updates of many batches, without a gold."""
    least, longer, times = [], 0, []
    for number in range(first, first + count):
        evidence, _ = evidence_of(number)
        begun = time.process_time()
        found = forecast(evidence)
        answer_all(found, evidence)
        times.append(time.process_time() - begun)
        least.append(found.diagnostics.ess)
        longer += found.diagnostics.longer
    few = sum(ess < LEAST_EFFECTIVE for ess in least)
    plain = f"lowest of {count}: {min(least):.0f}; longer runs {100 * longer / count:.1f} %"
    yield Figure("forecast.accuracy_below_400_effective", few, "batches", 0.0, plain)
    plain = f"{count} batches, median {1000 * median(times):.1f} ms"
    yield Figure("forecast.update_p95_of_many", 1000 * percentile(times, 0.95), "ms of one core", 25.0, plain)


def table(found: Sequence[Judged]) -> Iterator[str]:
    """One line a batch: effective draws of both golds and the forecast, and the worst of its seeds by quantity."""
    yield "batch    n kind     plain    long  ours |  FG mean  FG 5%  FG 95%  now 95% gas 95% | chances: rms, worst of"
    for one in found:
        worst = [max(abs(d.final_mean) for d in one.off), *(_worst(one, side, place) for side, place in _SHOWN)]
        chances = [(abs(c), name) for d in one.off for c, name in zip(d.chances, _CHANCES, strict=True)]
        largest, name = max(chances)
        spread = " ".join(f"{value:7.3f}" for value in worst)
        ours = min(each.ess for each in one.told)
        sizes = f"{one.plain.ess:6.0f} {one.long.ess:7.0f} {ours:5.0f}"
        rms = _rms([c for c, _ in chances])
        yield f"{one.number} {one.readings:2d} {one.kind:8s}{sizes} | {spread} | {rms:.4f} {largest:.4f} {name}"


_SHOWN: Final = (("low", 0), ("high", 0), ("high", 1), ("high", 2))
_CHANCES: Final = (
    "under 0.5", "under 1", "under 2", "unsafe", "healthy", "fading", "halted", "high", "below", "woken",
)  # fmt: skip


def _worst(one: Judged, side: str, place: int) -> float:
    return max(abs(getattr(d, side)[place]) for d in one.off)


def _rms(values: Sequence[float]) -> float:
    return float(np.sqrt(np.mean(np.square(values))))


def _least(found: Sequence[Judged]) -> float:
    return min(one.gold.ess for one in found)


def _most(found: Sequence[Judged]) -> float:
    return max(one.gold.ess for one in found)


def figures(sets: int = SETS, seeds: int = SEEDS, count: int = RANDOM, processes: int = 1) -> Iterator[Figure]:
    """All figures; the table goes to the side."""
    found = list(judged(sets, seeds, processes))
    for line in table(found):
        print(line, file=sys.stderr)
    yield from accuracy_figures(found)
    yield from time_figures(found)
    yield from effective_figures(count)


def main(words: Sequence[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--sets", type=int, default=SETS)
    asked.add_argument("--seeds", type=int, default=SEEDS)
    asked.add_argument("--random", type=int, default=RANDOM)
    asked.add_argument("--processes", type=int, default=1)
    asked.add_argument("--quick", action="store_true", help=f"{QUICK[0]} batches, {QUICK[1]} seeds, {QUICK[2]} random")
    given = asked.parse_args(words)
    counts = QUICK if given.quick else (given.sets, given.seeds, given.random)
    failed = 0
    for figure in figures(*counts, given.processes):
        print(figure.line(), flush=True)
        failed += not figure.ok
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
