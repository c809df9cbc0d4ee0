"""What holding beer back costs at the least: a forecaster that knew the simulator itself, and went by the level.

On the last day of looking it sees where a batch stands: its attenuation by the mean of several readings and the
original gravity as the brewer knows it, all with their errors and the hydrometer's own. Of thousands of other batches
of the same mix it knows how many of those that stood there had more gas to come than primed bottles can take; that
share is the chance it states. A halt with food left and a wort that ends high look the same to it. How the level was
come to it does not see: that, and a forced sample, is what a real forecaster can be ahead of it by.

Half of the batches are made to halt, and weighed so that they are the share they should be: halts are what is rare.
`python -m forecast.bound --count 4000`.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from figures import Figure

from forecast.batches import OG_READING_SD_SG, READING_SD_SG, TOLD_OG_SD_SG, Batch
from forecast.courses import Floats
from forecast.decisions import GATE, LAST_DAY, LOOK_DAYS, MOST_HELD
from forecast.forecaster import GATE_UNSAFE
from forecast.mix import mixed
from forecast.processes import in_processes

READINGS: Final = 4  # of the level, put together
MADE_TO_HALT: Final = 0.5  # share of the batches that are made for this
NEIGHBOUR: Final = 200  # whose distance is the kernel's width
OG_WIDTH_SG: Final = 0.012  # of the kernel; left are (OG - 1) × attenuation, so that it matters little
NARROWEST: Final = 0.002  # kernel over attenuation
WIDEST: Final = 0.02


@dataclass(frozen=True, slots=True)
class Seen:
    """What is seen of each batch on the last day of looking, and what is so; arrays of one length.

    `weight` is how much of the mix a batch stands for, `unsafe` whether too much was to come then, and `ready` whether
    it was ready when nobody looked any longer.
    """

    attenuation: Floats
    og_sg: Floats
    unsafe: Floats
    ready: Floats
    weight: Floats


def seen(batches: Sequence[Batch], made_to_halt: float, stalls: float, seed: int) -> Seen:
    """Look at batches of which one share was made to halt, to stand for a mix where that share is `stalls`."""
    rows = [_row(batch, np.random.default_rng((seed, batch.seed, batch.number, 9))) for batch in batches]
    halted = np.array([batch.stalled for batch in batches])
    weight = np.where(halted, stalls / made_to_halt, (1.0 - stalls) / (1.0 - made_to_halt))
    attenuation, og, unsafe, ready = np.array(rows, dtype=float).T
    return Seen(attenuation, og, unsafe, ready, weight)


def _row(batch: Batch, chance: np.random.Generator) -> tuple[float, float, bool, bool]:
    day = LOOK_DAYS[-1]
    level = batch.gravity(day) + batch.offset_sg + chance.normal(0.0, READING_SD_SG / np.sqrt(READINGS))
    # The wort's reading shares the hydrometer's error; the two kinds of knowing are weighed by their errors.
    read = batch.og_sg + batch.offset_sg + chance.normal(0.0, OG_READING_SD_SG)
    trust = TOLD_OG_SD_SG**2 / (TOLD_OG_SD_SG**2 + OG_READING_SD_SG**2)
    og = trust * read + (1.0 - trust) * batch.known.og_sg
    return (og - level) / (og - 1.0), og, not batch.ready(day), batch.ready(LAST_DAY)


def chances(of: Seen) -> Floats:
    """The chance of too much still to come for each batch, from all the others that stood near it.

    The kernel over attenuation is as wide as one of its neighbours is far, so that it is narrow where many stand.
    """
    found = np.empty(len(of.weight))
    last = min(NEIGHBOUR, len(found) - 1)
    for place in range(len(found)):
        far = np.abs(of.attenuation - of.attenuation[place])
        width = float(np.clip(np.partition(far, last)[last], NARROWEST, WIDEST))
        near = of.weight * np.exp(-0.5 * (far / width) ** 2 - 0.5 * ((of.og_sg - of.og_sg[place]) / OG_WIDTH_SG) ** 2)
        near[place] = 0.0
        total = float(near.sum())
        # Nothing like it was ever seen: what is so of the mix as a whole.
        found[place] = near @ of.unsafe / total if total > 0.0 else of.weight @ of.unsafe / of.weight.sum()
    return found


@dataclass(frozen=True, slots=True)
class Bound:
    """Shares [1]: of the ready that are held, and of the bottled that are unsafe, when less than `gate` opens it."""

    gate: float
    held: float
    unsafe: float


def at_gate(of: Seen, chance: Floats, gate: float) -> Bound:
    """What comes of bottling whatever has a chance below the gate."""
    opens = chance < gate
    ready, bottled = of.weight * of.ready, of.weight * opens
    unsafe = float((bottled * of.unsafe).sum() / bottled.sum()) if bottled.any() else 0.0
    return Bound(gate, float((ready * ~opens).sum() / ready.sum()), unsafe)


def holding(of: Seen, chance: Floats, share: float) -> Bound:
    """The gate at which just this share of the ready is held."""
    order = np.argsort(chance, kind="stable")
    passed = np.cumsum((of.weight * of.ready)[order]) / (of.weight * of.ready).sum()
    last = order[min(int(np.searchsorted(passed, 1.0 - share)), len(order) - 1)]
    return at_gate(of, chance, float(np.nextafter(chance[last], 2.0)))


@dataclass(frozen=True, slots=True)
class Part:
    """Batches that are made and looked at in one process."""

    count: int
    seed: int
    stalls: float
    own_stops: bool


def look(part: Part) -> Seen:
    # One that stopped by itself before it could be halted is not told apart: these mixes are made as they are.
    made_to_halt = part.stalls if part.own_stops else MADE_TO_HALT
    batches = mixed(part.count, part.seed, stalls=made_to_halt, own_stops=part.own_stops)
    return seen(batches, made_to_halt, part.stalls, part.seed)


def bounds(
    count: int, seed: int, processes: int, *, stalls: float = 0.12, own_stops: bool = False, size: int = 250
) -> tuple[Bound, Bound]:
    """At the gate as it is, and holding as many as may be held."""
    firsts = range(0, count, size)
    parts = [Part(min(size, count - first), 1000 * seed + n, stalls, own_stops) for n, first in enumerate(firsts)]
    found = list(in_processes(look, parts, processes))
    names = Seen.__dataclass_fields__
    of = Seen(*(np.concatenate([getattr(each, name) for each in found]) for name in names))
    chance = chances(of)
    return at_gate(of, chance, GATE_UNSAFE), holding(of, chance, MOST_HELD[GATE] / 100)


def figures(gated: Bound, holding_few: Bound, mix: str = "") -> Iterator[Figure]:
    told = f"by who knows the simulator and sees the level, at a chance under {100 * gated.gate:.0f} %"
    yield Figure(f"forecast.{mix}bound_held", 100 * gated.held, "% of ready", None, told)
    yield Figure(f"forecast.{mix}bound_unsafe", 100 * gated.unsafe, "% of bottled", None, told)
    told = f"the same, holding {100 * holding_few.held:.1f} %: at a chance under {100 * holding_few.gate:.1f} %"
    yield Figure(f"forecast.{mix}bound_unsafe_holding_few", 100 * holding_few.unsafe, "% of bottled", None, told)


def main(words: Sequence[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--count", type=int, default=4000)
    asked.add_argument("--seed", type=int, default=20)
    asked.add_argument("--stalls", type=float, default=0.12)
    asked.add_argument("--own-stops", action="store_true")
    asked.add_argument("--processes", type=int, default=1)
    given = asked.parse_args(words)
    found = bounds(given.count, given.seed, given.processes, stalls=given.stalls, own_stops=given.own_stops)
    for figure in figures(*found, "own_stops_" if given.own_stops else ""):
        print(figure.line())
    return 0


if __name__ == "__main__":
    sys.exit(main())
