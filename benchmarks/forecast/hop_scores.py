"""Hops: what is made of batches whose sugar an enzyme frees, and where the published end point lies in the prior.

`python -m forecast.hop_scores --count 200 --processes 2`.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from figures import Figure

from forecast.batches import DAYS, Batch
from forecast.calibration import coverage
from forecast.decisions import Outcome, decide_by_forecast, table
from forecast.forecaster import Forecaster, shipped, spreads
from forecast.hop_creep_truth import PUBLISHED_CO2_G_PER_L, PUBLISHED_DOSE_G_PER_L, PUBLISHED_TEMP_C
from forecast.mix import mixed
from forecast.oracle_scores import days_read
from forecast.processes import in_processes
from gylebook.forecast import priors
from gylebook.forecast.answers import Spread, Story
from gylebook.forecast.constants import CO2_G_PER_L_PER_SG
from gylebook.forecast.curve import Clock
from gylebook.forecast.evidence import Evidence, Hops, Reading, Warmth

ONE_FOR_ALL: Final = Hops(6.0, 10.0, None)
PUBLISHED_AFTER_DAYS: Final = 40.0
AFTER_HOPS_DAYS: Final = (1.0, 10.0)  # the look that is scored
MOST_FROM_MIDDLE: Final = 45.0  # [percentage points]: between the 5 and the 95 % point
QUANTITIES: Final = ("final_sg", "co2_left_g_per_l")


@dataclass(frozen=True, slots=True)
class Part:
    """Batches with hops, made and judged in one process; `hops` None lets each have its own."""

    count: int
    seed: int
    hops: Hops | None


@dataclass(frozen=True, slots=True)
class Found:
    """One batch: by quantity the truth and the spread at one look after the hops, and what became of it by the gate."""

    pairs: dict[str, tuple[float, Spread]]
    outcome: Outcome


def judge(part: Part) -> list[Found]:
    hops = 1.0 if part.hops is None else part.hops
    batches = mixed(part.count, part.seed, misread=0.02, hops=hops)
    return [_judged(batch, shipped()) for batch in batches]


def _judged(batch: Batch, forecaster: Forecaster) -> Found:
    """Nobody asks before the hops are in: what is planned is not known to the forecaster."""
    assert batch.hops is not None
    chance = np.random.default_rng((batch.seed, batch.number, 11))
    day = min(round(batch.hops.day + float(chance.uniform(*AFTER_HOPS_DAYS)), 2), float(DAYS))
    days = (*(each for each in days_read(chance) if each < day), day)
    told = spreads(forecaster(batch.evidence(days, day, batch.seed)))
    truths = {"final_sg": batch.final_sg, "co2_left_g_per_l": batch.co2_left_g_per_l(day)}
    pairs = {name: (truth, told[name]) for name, truth in truths.items()}
    return Found(pairs, decide_by_forecast(batch, forecaster, forced=False, from_day=batch.hops.day))


def scores(count: int, seed: int, processes: int, hops: Hops | None, size: int = 25) -> list[Found]:
    firsts = range(0, count, size)
    parts = [Part(min(size, count - first), 1000 * seed + n, hops) for n, first in enumerate(firsts)]
    return [each for found in in_processes(judge, parts, processes) for each in found]


def published_rank(draws: int = 20_000) -> float:
    """Share of the forecaster's own prior for woken hops that lies below the published end point [1]."""
    warmth = Warmth((0.0,), (PUBLISHED_TEMP_C,), PUBLISHED_TEMP_C)
    hopped = Evidence((Reading(0.0, 1.045, 0.001),), 0.0, warmth=warmth, hops=Hops(0.0, PUBLISHED_DOSE_G_PER_L, None))
    woken = next(f for f in priors.families(hopped) if any(make.story is Story.WOKEN for make in f.makes))
    drawn = woken.draw(np.random.default_rng(1).standard_normal((woken.size, draws)))
    assert drawn.creep_sg is not None
    assert drawn.creep_pace is not None
    warm_days = Clock(warmth, np.array([PUBLISHED_AFTER_DAYS])).thermal(np.full(draws, priors.CREEP_ENERGY))[0]
    co2 = CO2_G_PER_L_PER_SG * drawn.creep_sg * -np.expm1(-drawn.creep_pace * warm_days)
    return float(np.mean(co2 < PUBLISHED_CO2_G_PER_L))


def figures(found: Sequence[Found], mark: str) -> Iterator[Figure]:
    for name in QUANTITIES:
        scored = coverage([each.pairs[name] for each in found])
        over = 100 * scored.ranks[-1]
        plain = f"{scored.count} looks; 50 % interval {100 * scored.inside50:.1f} %, above the 95 % point {over:.1f} %"
        yield Figure(f"forecast.{mark}_{name}_outside_90", 100 * (1 - scored.inside90), "%", None, plain)
    (row,) = table([each.outcome for each in found])
    plain = f"{row.unsafe} of {row.bottled}, worst {row.worst_g_per_l:.1f} g/L; asked from when the hops are in"
    yield Figure(f"forecast.{mark}_gate_unsafe", 100 * row.unsafe_share, "% of bottled", None, plain)
    plain = f"{row.held_ready} of {row.ready}"
    yield Figure(f"forecast.{mark}_gate_held", 100 * row.held_share, "% of ready", None, plain)


def rank_figure() -> Figure:
    rank = 100 * published_rank()
    plain = f"{PUBLISHED_CO2_G_PER_L:g} g/L in 40 days is the {rank:.0f} % point of the prior, given that hops wake it"
    return Figure("forecast.published_creep_from_middle", abs(rank - 50.0), "% points", MOST_FROM_MIDDLE, plain)


def main(words: Sequence[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--count", type=int, default=200)
    asked.add_argument("--seed", type=int, default=41)
    asked.add_argument("--processes", type=int, default=1)
    given = asked.parse_args(words)
    for mark, hops in (("hops_10", ONE_FOR_ALL), ("hops_any", None)):
        for figure in figures(scores(given.count, given.seed, given.processes, hops), mark):
            print(figure.line())
    print(rank_figure().line())
    return 0


if __name__ == "__main__":
    sys.exit(main())
