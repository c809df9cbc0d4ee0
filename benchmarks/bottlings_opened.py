"""What opened bottles teach: the chance stated after they were felt, against how often a ceiling really is passed.

`python benchmarks/bottlings_opened.py --batches 200`. Oracle beer is bottled when the gate opens, to any fizz in any
bottle, by several households each; some slip in ways that nobody writes down. Each opens two bottles some weeks later
and tells how they felt and whether they gushed. Hands, gushes, slips and the pace of carbonation follow laws of their
own, invented, and not those by which the book reads what was felt.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import Final, cast

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from bottlings import Bottled, Day, came_of, day_of, water_g_per_l_per_bar
from bottlings_rules import opened, told_of, warmest_c
from bottlings_scores import CLASSES, exact_interval
from figures import Figure
from forecast.batches import Batch
from forecast.mix import mixed

from gylebook.forecast.gas import Draws
from gylebook.forecast.opened import Seen, told
from gylebook.science.carbon_dioxide import CO2_G_PER_L_PER_VOLUME
from gylebook.steps.fizz import Fizz
from gylebook.steps.gas_budget import Budget

FEELS_FROM: Final = (1.3, 1.9, 2.7, 3.5)  # [vol] flat, little, lively, very lively, wild
HANDS_SD: Final = 0.2
EVENING_SD: Final = 0.25
GUSHES_BEYOND: Final = (3.0, 0.35)  # [vol] above what open beer holds: even chances, and the logistic's width
GUSHES_ANYWAY: Final = 0.03
HALF_LIFE_DAYS: Final = (4.5, 0.35)  # of the gas still to be made at 20 degC, and the spread of its logarithm
OPENED: Final = 2
# How often, what, least, most. Written nowhere by the households.
SLIPS: Final = ((0.03, "later", 0.5, 2.5), (0.02, "sugar", 1.5, 2.0), (0.02, "sugar", 0.2, 0.7), (0.03, "uneven", 4, 6))


@dataclass(frozen=True, slots=True)
class Felt:
    """One household's batch: the chance stated from its log alone, and after its bottles; what was felt, what came."""

    before: float
    after: float
    past: bool
    wild: bool
    flat: bool
    slipped: bool


def _slip(chance: np.random.Generator, day: Day, left: float, grams: float) -> tuple[Day, float, float, bool]:
    """The day, gas to come and sugar as they really are."""
    often = [each[0] for each in SLIPS]
    which = int(chance.choice(len(SLIPS) + 1, p=[*often, 1.0 - sum(often)]))
    if which == len(SLIPS):
        return day, left, grams, False
    _, what, low, high = SLIPS[which]
    size = float(chance.uniform(low, high))
    if what == "later":
        return day, left + size * CO2_G_PER_L_PER_VOLUME, grams, True
    if what == "sugar":
        return day, left, size * grams, True
    return replace(day, uneven=size * day.uneven), left, grams, True


def _felt(chance: np.random.Generator, day: Day, came: Bottled, flat_g_per_l: float) -> tuple[Seen, ...]:
    """What a household finds in so many of its bottles, opened cool on one evening each."""
    hand = chance.normal(0.0, HANDS_SD)
    pace = HALF_LIFE_DAYS[0] * np.exp(chance.normal(0.0, HALF_LIFE_DAYS[1]))
    age = float(chance.uniform(10.0, 60.0))
    cool = float(chance.uniform(4.0, 12.0))
    holds = day.beer_to_water * water_g_per_l_per_bar(cool) / CO2_G_PER_L_PER_VOLUME
    found = []
    for place in chance.choice(len(came.vols), size=min(OPENED, len(came.vols)), replace=False):
        start = flat_g_per_l / CO2_G_PER_L_PER_VOLUME
        vol = start + (came.vols[place] - start) * (1.0 - 0.5 ** (age / pace))
        fizz = 1 + int(np.searchsorted(FEELS_FROM, vol + hand + chance.normal(0.0, EVENING_SD)))
        beyond = (vol - holds - GUSHES_BEYOND[0]) / GUSHES_BEYOND[1]
        gushed = chance.random() < GUSHES_ANYWAY + (1.0 - GUSHES_ANYWAY) / (1.0 + np.exp(-beyond))
        found.append(Seen(fizz, bool(gushed), age_days=age))
    return tuple(found)


def felt_of(batch: Batch, households: int) -> list[Felt]:
    """What so many households make of one batch, if the gate opens it."""
    gate = opened(batch)
    return [] if gate is None else [_one(batch, number, *gate) for number in range(households)]


def _one(batch: Batch, number: int, at: float, seen: object) -> Felt:
    chance = np.random.default_rng((batch.seed, 13, batch.number, number))
    day = day_of(chance, int(chance.integers(2**31)))
    warm = warmest_c(batch, at)
    book = told_of(day, seen, warm)  # type: ignore[arg-type]
    grams = book.grams(day.wanted)
    budget = book.budget(grams)[0]
    true_day, left, true_grams, slipped = _slip(chance, day, batch.co2_left_g_per_l(at), grams)
    came = came_of(true_day, warm, left, true_grams)
    flat = came_of(true_day, warm, 0.0, 0.0).average_vol * CO2_G_PER_L_PER_VOLUME
    bottles = _felt(chance, true_day, came, flat)
    draws: Draws = told(budget.draws.charge, bottles).draws
    after = Budget(cast(Fizz, None), draws, day.lots, day.count, day.told_warm_c, day.told_warm_c, None)
    return Felt(
        before=budget.chance_past(day.told_warm_c),
        after=after.chance_past(day.told_warm_c),
        past=any(bar > lot.limit_bar.high for bar, lot in zip(came.worst_bar, day.lots, strict=True)),
        wild=any(each.wild for each in bottles),
        flat=any(each.flat for each in bottles),
        slipped=slipped,
    )


def _figure(name: str, told_of: Sequence[tuple[float, bool]]) -> Figure:
    past, of = sum(came for _, came in told_of), len(told_of)
    low, high = exact_interval(past, of)
    stated = 100 * float(np.mean([chance for chance, _ in told_of]))
    words = f"{past} of {of}, {100 * low:.1f} to {100 * high:.1f} %; stated {stated:.2f} %"
    return Figure(f"gas.opened_{name}", 100 * past / of, "% of bottlings", None, words)


def score(pairs: Sequence[tuple[float, bool]]) -> float:
    """Mean square of chance less what came: 0 is best, lower is better."""
    return float(np.mean([(chance - came) ** 2 for chance, came in pairs]))


def opened_figures(batches: int = 60, households: int = 4, seed: int = 31) -> Iterator[Figure]:
    """Shown, not limited: how a hand feels is habit alone, in the book as well as here."""
    found = [one for batch in mixed(batches, seed, hops=0.35) for one in felt_of(batch, households)]
    before, after = ([(getattr(one, name), one.past) for one in found] for name in ("before", "after"))
    slips = f"{sum(one.slipped for one in found)} of {len(found)} slipped unwritten; from the log alone"
    yield Figure("gas.opened_score", score(after), "1", score(before), f"{score(before):.4f}, {slips}")
    yield _figure("before", before)
    for low, high in [*pairwise(CLASSES), (CLASSES[-1], 1.0 + 1e-9)]:
        inside = [pair for pair in after if low <= pair[0] < high]
        if inside:
            name = f"{100 * low:g}_to_{100 * min(high, 1.0):g}".replace(".", "_")
            yield _figure(f"after_{name}", inside)
    for name in ("wild", "flat"):
        some = [(one.after, one.past) for one in found if getattr(one, name)]
        if some:
            yield _figure(f"after_{name}", some)


def main(words: Sequence[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--batches", type=int, default=60)
    asked.add_argument("--households", type=int, default=4)
    asked.add_argument("--seed", type=int, default=31)
    given = asked.parse_args(words)
    for one in opened_figures(given.batches, given.households, given.seed):
        print(one.line(), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
