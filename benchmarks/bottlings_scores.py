"""Bottlings by the thousand: how often a worst bottle passed its ceiling, against how often that was stated.

`python benchmarks/bottlings_scores.py --bottlings 10000 --processes 2` takes about an hour of a processor. Each batch
of beer is bottled by one household in every way: these bottlings are independent, and the intervals exact. With more
`--households` others bottle the same beer by the book. They are counted beside it without an interval: where a halt
was taken for an end, all of them have too much gas together. A class holds the bottlings whose stated chance lies in
it. Its limit is what chance alone surpasses once in a thousand runs where every chance is as stated, by the exact law
of a sum of unequal chances.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import count, pairwise
from pathlib import Path
from typing import Final

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from bottlings import Day, day_of
from bottlings_rules import (
    BOOK,
    CUSTOMS,
    EARLY,
    FLAT_VOL,
    PROOF_BAR,
    STATED,
    WISHED,
    Sealed,
    by_book,
    by_custom,
    by_readings,
    looked,
    opened,
)
from figures import Figure
from forecast.batches import Batch
from forecast.customary import RULES
from forecast.mix import mixed
from forecast.processes import in_processes

from gylebook.forecast.forecast import forecast

CLASSES: Final = (0.0, 0.001, 0.01, 0.05, 0.20, 0.50)
BY_CHANCE: Final = 0.001
HOPPED: Final = 0.35
STALLED: Final = 0.12
MISREAD: Final = 0.02
PART: Final = 50
MARKS: Final = {BOOK: "book", WISHED: "wished", EARLY: "early"}


@dataclass(frozen=True, slots=True)
class Part:
    """Batches made and bottled in one process."""

    count: int
    seed: int
    households: int = 1


@dataclass(frozen=True, slots=True)
class Run:
    """What came of some batches: every bottling, and how many batches there were, opened and found no fit fizz."""

    sealed: tuple[Sealed, ...]
    batches: int
    opened: int
    declined: int

    def __add__(self, other: Run) -> Run:
        return Run(
            self.sealed + other.sealed,
            self.batches + other.batches,
            self.opened + other.opened,
            self.declined + other.declined,
        )

    def by(self, rule: str) -> list[Sealed]:
        """The bottlings of first households, which are independent of each other."""
        return [one for one in self.all_by(rule) if one.first]

    def all_by(self, rule: str) -> list[Sealed]:
        return [one for one in self.sealed if one.rule == rule]


NOTHING: Final = Run((), 0, 0, 0)


def bottle(part: Part) -> Run:
    """Every batch of a part, bottled by its households."""
    batches = mixed(part.count, part.seed, stalls=STALLED, misread=MISREAD, hops=HOPPED)
    return sum((_bottled(batch, part.households) for batch in batches), NOTHING)


def _bottled(batch: Batch, households: int) -> Run:
    found: list[Sealed | None] = []
    declined, gate = 0, opened(batch)
    for number in range(households if gate is not None else 1):
        chance = np.random.default_rng((batch.seed, 11, batch.number, number))
        day = day_of(chance, int(chance.integers(2**31)), first=number == 0)
        if gate is not None:
            fit = by_book(batch, day, *gate, rule=BOOK)
            declined += fit is None
            found += [fit, by_book(batch, day, *gate, rule=WISHED)]
        if number == 0:
            found += _by_custom(batch, day)
    return Run(tuple(one for one in found if one is not None), 1, int(gate is not None), declined)


def _by_custom(batch: Batch, day: Day) -> list[Sealed | None]:
    early = by_readings(batch, RULES["two equal readings"])
    asked = None if early is None else by_book(batch, day, early, forecast(looked(batch, early)), rule=EARLY)
    return [asked, *(by_custom(batch, day, custom) for custom in CUSTOMS)]


def run(bottlings: int, seed: int, processes: int = 1, households: int = 1) -> Run:
    """Batches until so many bottlings are by the book."""
    found = NOTHING
    numbers = count()
    while (have := len(found.all_by(BOOK))) < bottlings:
        parts = max(processes, (bottlings - have) // (PART * households))  # about half of all come to be bottled
        todo = [Part(PART, 1000 * seed + next(numbers), households) for _ in range(parts)]
        found = sum(in_processes(bottle, todo, processes), found)
    return found


# --- stated against observed --------------------------------------------------------------------------------------


def exact_interval(past: int, of: int, level: float = 0.95) -> tuple[float, float]:
    """The shares that so many of so many do not contradict, by the binomial law itself (Clopper and Pearson)."""
    from scipy.stats import beta

    tail = (1.0 - level) / 2.0
    low = float(beta.ppf(tail, past, of - past + 1)) if past else 0.0
    high = float(beta.ppf(1.0 - tail, past + 1, of - past)) if past < of else 1.0
    return low, high


def law_of_sum(chances: Sequence[float]) -> np.ndarray:
    """Probabilities of 0, 1, 2 ... of independent events with these chances."""
    law = np.ones(1)
    for chance in chances:
        law = np.convolve(law, (1.0 - chance, chance))
    return law


def most_by_chance(chances: Sequence[float], once_in: float = BY_CHANCE) -> int:
    """The number of them that is surpassed with no more than that probability."""
    reached = np.cumsum(law_of_sum(chances))
    return int(np.argmax(reached >= 1.0 - once_in))


@dataclass(frozen=True, slots=True)
class Class:
    """Bottlings whose stated chance lies from `low` to below `high`."""

    low: float
    high: float
    bottlings: int
    stated: float
    past: int
    most: int

    @property
    def observed(self) -> float:
        return self.past / self.bottlings

    @property
    def count_words(self) -> str:
        return f"{self.past} of {self.bottlings}, stated {100 * self.stated:.2f} %"

    @property
    def words(self) -> str:
        low, high = exact_interval(self.past, self.bottlings)
        return f"{self.count_words}; exact 95 % interval {100 * low:.2f} to {100 * high:.2f} %"


def class_of(sealed: Sequence[Sealed], low: float, high: float) -> Class | None:
    """One class; None where it is empty."""
    inside = [one for one in sealed if low <= one.stated < high]
    if not inside:
        return None
    chances = [one.stated for one in inside]
    past = sum(one.past for one in inside)
    return Class(low, high, len(inside), float(np.mean(chances)), past, most_by_chance(chances))


def classes(sealed: Sequence[Sealed]) -> list[Class]:
    """Every class that is not empty, and above the last bound the rest."""
    return [found for low, high in _bounds() if (found := class_of(sealed, low, high)) is not None]


def _bounds() -> list[tuple[float, float]]:
    return [*pairwise(CLASSES), (CLASSES[-1], 1.0 + 1e-9)]


def _per_cent(share: float) -> str:
    return f"{100 * min(share, 1.0):g}".replace(".", "_")


def stated_figures(found: Run) -> Iterator[Figure]:
    """By whom a chance was stated: in all, and class by class. Beer bottled too early is only shown."""
    for rule in STATED:
        bounds = {"past_ceiling": (0.0, 2.0)}
        bounds |= {f"stated_{_per_cent(low)}_to_{_per_cent(high)}": (low, high) for low, high in _bounds()}
        for name, (low, high) in bounds.items():
            part, every = (class_of(sealed, low, high) for sealed in (found.by(rule), found.all_by(rule)))
            if part is None or every is None:
                continue
            limit = None if rule == EARLY else 100 * part.most / part.bottlings
            more = "" if every.bottlings == part.bottlings else f"; by all households {every.count_words}"
            yield Figure(f"gas.{MARKS[rule]}_{name}", 100 * part.observed, "% of bottlings", limit, part.words + more)
    yield from _shown_figures(found)


def _shown_figures(found: Run) -> Iterator[Figure]:
    book = found.by(BOOK)
    words = f"{found.batches} batches, {found.opened} opened; {found.declined} bottlings with no bottle fit for it"
    yield Figure("gas.book_bottled", 100 * len(book) / found.batches, "% of batches", None, words)
    aired = sum(one.past_with_air for one in book)
    words = f"{aired} of {len(book)}; with the air they were capped with, which the ceilings leave out"
    yield Figure("gas.book_past_ceiling_with_air", 100 * aired / len(book), "% of bottlings", None, words)
    hopped = class_of([one for one in book if one.hopped], 0.0, 2.0)
    if hopped is not None:
        limit = 100 * hopped.most / hopped.bottlings
        yield Figure("gas.book_hopped_past_ceiling", 100 * hopped.observed, "% of bottlings", limit, hopped.words)


def rule_figures(found: Run) -> Iterator[Figure]:
    """What everyone's bottles came to: past their ceiling, past the proof pressure, and flat."""
    for name in (BOOK, *(custom.words for custom in CUSTOMS)):
        sealed = found.by(name)
        if not sealed:
            continue
        mark = "book" if name == BOOK else f"custom_{[custom.words for custom in CUSTOMS].index(name) + 1}"
        over, burst, flat = (sum(each) for each in zip(*((s.past, s.burst, s.flat) for s in sealed), strict=True))
        hopped = sum(s.burst for s in sealed if s.hopped)
        if name != BOOK:
            words = f"{name}: {over} of {len(sealed)}"
            yield Figure(f"gas.{mark}_past_ceiling", 100 * over / len(sealed), "% of bottlings", None, words)
        words = f"{name}: {burst} of {len(sealed)} past {PROOF_BAR:g} bar, {hopped} of them hopped"
        yield Figure(f"gas.{mark}_past_proof", 100 * burst / len(sealed), "% of bottlings", None, words)
        words = f"{name}: {flat} of {len(sealed)} under {FLAT_VOL:g} vol"
        yield Figure(f"gas.{mark}_flat", 100 * flat / len(sealed), "% of bottlings", None, words)


def figures(bottlings: int = 150, seed: int = 31, processes: int = 1, households: int = 1) -> Iterator[Figure]:
    """All of them; by default of few bottlings."""
    found = run(bottlings, seed, processes, households)
    yield from stated_figures(found)
    yield from rule_figures(found)


def main(words: Sequence[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--bottlings", type=int, default=150)
    asked.add_argument("--seed", type=int, default=31)
    asked.add_argument("--households", type=int, default=1, help="how many bottle the same beer")
    asked.add_argument("--processes", type=int, default=1)
    given = asked.parse_args(words)
    failed = 0
    for one in figures(given.bottlings, given.seed, given.processes, given.households):
        print(one.line(), flush=True)
        failed += not one.ok
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
