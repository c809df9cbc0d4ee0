"""Who bottles when, and what becomes of it: the forecaster's gate beside the rules that brewers go by.

Oracle batches are looked at every two days from day 4 on. At each look a rule says "bottle" or "wait"; what is still to
come then is known, because the batch is simulated. `python -m forecast.decisions --count 1000 --processes 2`;
with `--own-stops` the batches that the yeast of `andres_toro` stops by itself come on top of those made to stall.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Protocol, get_args

import numpy as np
from figures import Figure

from forecast.batches import Kind
from forecast.customary import RULES, Rule
from forecast.forecaster import GATE_UNSAFE, Forecaster, shipped
from forecast.mix import mixed
from forecast.processes import in_processes
from gylebook.forecast.answers import UNSAFE_CO2_G_PER_L
from gylebook.forecast.evidence import Evidence

LOOK_DAYS: Final = tuple(float(day) for day in range(4, 21, 2))
LAST_DAY: Final = 21.0  # nobody looks any longer
FORCED_FROM_DAY: Final = 5.0  # a forced sample set up at pitching has come to rest
WORSE_CO2_G_PER_L: Final = 4.0
READ_SEED: Final = 1  # of the readings' errors; the batches have their own
BINS: Final = (0.0, 0.01, 0.05, 0.20, 0.50, 1.0)
GATE: Final = "forecast: unsafe < 1 %"
GATE_FORCED: Final = "... and a forced sample"
GATES: Final = {GATE: "gate", GATE_FORCED: "gate_forced"}
MOST_UNSAFE: Final = {GATE: 1.0, GATE_FORCED: 0.5}  # [% of bottled]
MOST_HELD: Final = {GATE: 15.0, GATE_FORCED: None}  # [% of ready]
MOST_FACTOR: Final = 1.5  # between stated and observed danger
LIMITED_BINS: Final = ((0.01, 0.05), (0.05, 0.20), (0.20, 0.50))


class Batch(Protocol):
    """The part of an oracle batch that deciding needs."""

    def evidence(self, days: tuple[float, ...], now_day: float, seed: int, *, forced: bool = False) -> Evidence: ...
    def co2_left_g_per_l(self, day: float) -> float: ...
    def ready(self, day: float) -> bool: ...


@dataclass(frozen=True, slots=True)
class Outcome:
    """One batch under one rule. `day` is None where it was held until nobody looked any longer.

    `readings` are those of beer; `stated` is, look by look until the gate opened, the chance of danger that was told
    and whether there was danger: empty for a rule that tells none.
    """

    rule: str
    day: float | None
    readings: int
    co2_left_g_per_l: float
    ready_at_last: bool
    stated: tuple[tuple[float, bool], ...] = ()


def decide(batch: Batch, rule: Rule, name: str) -> Outcome:
    """What becomes of a batch under a rule that says yes or no."""
    return _walk(batch, name, False, lambda evidence: (rule(evidence), None))


def decide_by_forecast(batch: Batch, forecaster: Forecaster, forced: bool, from_day: float = 0.0) -> Outcome:
    """What becomes of it by the forecaster's gate; nobody asks before `from_day`, though the beer is read."""

    def asked(evidence: Evidence) -> tuple[bool, float]:
        unsafe = forecaster(evidence).unsafe
        return unsafe < GATE_UNSAFE, unsafe

    return _walk(batch, GATE_FORCED if forced else GATE, forced, asked, from_day)


def _walk(
    batch: Batch,
    name: str,
    forced: bool,
    ask: Callable[[Evidence], tuple[bool, float | None]],
    from_day: float = 0.0,
) -> Outcome:
    stated: list[tuple[float, bool]] = []
    ready = batch.ready(LAST_DAY)
    for count, day in enumerate(LOOK_DAYS, start=1):
        if day < from_day:
            continue
        opens, unsafe = ask(batch.evidence(LOOK_DAYS[:count], day, READ_SEED, forced=forced and day >= FORCED_FROM_DAY))
        left = float(batch.co2_left_g_per_l(day))
        if unsafe is not None:
            stated.append((unsafe, left > UNSAFE_CO2_G_PER_L))
        if opens:
            return Outcome(name, day, count, left, ready, tuple(stated))
    return Outcome(name, None, len(LOOK_DAYS), float(batch.co2_left_g_per_l(LAST_DAY)), ready, tuple(stated))


def outcomes(batches: Iterable[Batch], forecaster: Forecaster) -> list[Outcome]:
    """Every batch under every rule, and by the gate without and with a forced sample."""
    found: list[Outcome] = []
    for batch in batches:
        found += [decide(batch, rule, name) for name, rule in RULES.items()]
        found += [decide_by_forecast(batch, forecaster, forced) for forced in (False, True)]
    return found


@dataclass(frozen=True, slots=True)
class RuleRow:
    """One line of the table; `held_ready` are batches held to the last day that were ready by then."""

    rule: str
    batches: int
    bottled: int
    mean_day: float
    readings: float
    unsafe: int
    worse: int
    worst_g_per_l: float
    held_ready: int
    ready: int

    @property
    def unsafe_share(self) -> float:
        return self.unsafe / self.bottled if self.bottled else 0.0

    @property
    def held_share(self) -> float:
        return self.held_ready / self.ready if self.ready else 0.0


def table(found: Sequence[Outcome]) -> list[RuleRow]:
    """One line for each rule, in the order of their first appearance."""
    return [_row(rule, [each for each in found if each.rule == rule]) for rule in dict.fromkeys(o.rule for o in found)]


def _row(rule: str, found: Sequence[Outcome]) -> RuleRow:
    bottled = [each for each in found if each.day is not None]
    left = [each.co2_left_g_per_l for each in bottled]
    days = [each.day for each in bottled if each.day is not None]
    ready = [each for each in found if each.ready_at_last]
    return RuleRow(
        rule,
        len(found),
        len(bottled),
        float(np.mean(days)) if days else np.nan,
        float(np.mean([each.readings for each in found])),
        sum(each > UNSAFE_CO2_G_PER_L for each in left),
        sum(each > WORSE_CO2_G_PER_L for each in left),
        max(left, default=0.0),
        sum(each.day is None for each in ready),
        len(ready),
    )


@dataclass(frozen=True, slots=True)
class Bin:
    """Looks at which the stated chance of danger lay in [low, high): its mean, and how often there was danger."""

    low: float
    high: float
    looks: int
    stated: float
    observed: float

    @property
    def factor(self) -> float:
        """Above 1 where danger is understated."""
        return self.observed / self.stated if self.looks and self.stated > 0.0 else np.nan

    @property
    def apart(self) -> float:
        """The factor, whichever way it lies; where danger was never observed, half a look with it is counted."""
        factor = max(self.observed, 0.5 / self.looks) / self.stated if self.looks and self.stated > 0.0 else np.nan
        return max(factor, 1.0 / factor)


def stated_against_observed(found: Iterable[Outcome], rule: str) -> list[Bin]:
    """In classes of the stated chance. Looks at the same batch are not independent of each other."""
    pairs = np.array([pair for each in found if each.rule == rule for pair in each.stated], dtype=float).reshape(-1, 2)
    bins: list[Bin] = []
    for low, high in pairwise(BINS):
        inside = (pairs[:, 0] >= low) & ((pairs[:, 0] < high) | (high == BINS[-1]))
        chosen = pairs[inside]
        stated, observed = chosen.mean(axis=0) if len(chosen) else (np.nan, np.nan)
        bins.append(Bin(low, high, len(chosen), float(stated), float(observed)))
    return bins


def report(found: Sequence[Outcome]) -> Iterator[str]:
    yield (
        f"{'rule':32s} bottled mean day readings   > {UNSAFE_CO2_G_PER_L:.0f} g/L        "
        f"> {WORSE_CO2_G_PER_L:.0f} g/L  worst  held at day {LAST_DAY:.0f} though ready"
    )
    for row in table(found):
        yield (
            f"{row.rule:32s} {row.bottled:7d} {row.mean_day:8.1f} {row.readings:8.1f}"
            f" {row.unsafe:5d} ({100 * row.unsafe_share:4.1f} %) {row.worse:9d} {row.worst_g_per_l:7.1f}"
            f" {row.held_ready:6d} of {row.ready} ({100 * row.held_share:.1f} %)"
        )
    for rule in (GATE, GATE_FORCED):
        yield f"stated against observed danger, {rule}"
        for each in stated_against_observed(found, rule):
            if not each.looks:
                continue
            yield (
                f"  {100 * each.low:3.0f}-{100 * each.high:3.0f} %: {each.looks:6d} looks, stated"
                f" {100 * each.stated:6.2f} %, observed {100 * each.observed:6.2f} %, factor {each.factor:.2f}"
            )


def figures(found: Sequence[Outcome], mix: str = "", *, limited: bool = True) -> Iterator[Figure]:
    """Of both gates; `mix` comes before the gate in a figure's name, and one that is only shown has no limits."""
    rows = {each.rule: each for each in table(found)}
    plain = ", ".join(f"{name}: {100 * rows[name].unsafe_share:.1f} %" for name in RULES)
    waiting = ", ".join(f"{name}: {100 * rows[name].held_share:.1f} %" for name in RULES)
    for rule, gate in GATES.items():
        row, mark = rows[rule], f"forecast.{mix}{gate}"
        most, held = (MOST_UNSAFE[rule], MOST_HELD[rule]) if limited else (None, None)
        counted = f"{row.unsafe} of {row.bottled}; {plain}"
        yield Figure(f"{mark}_unsafe", 100 * row.unsafe_share, "% of bottled", most, counted)
        counted = f"{row.held_ready} of {row.ready}; {waiting}"
        yield Figure(f"{mark}_held", 100 * row.held_share, "% of ready", held, counted)
        for each in stated_against_observed(found, rule):
            if each.looks:
                factor = MOST_FACTOR if limited and (each.low, each.high) in LIMITED_BINS else None
                yield _factor_figure(mark, each, factor)


def _factor_figure(mark: str, found: Bin, limit: float | None) -> Figure:
    name = f"{mark}_stated_{100 * found.low:.0f}_{100 * found.high:.0f}_factor"
    side = "understated" if found.factor > 1.0 else "overstated"
    told = f"{side}: stated {100 * found.stated:.2f} %, observed {100 * found.observed:.2f} % of {found.looks} looks"
    return Figure(name, found.apart, "1", limit, told)


@dataclass(frozen=True, slots=True)
class Share:
    """A part of the batches, made and judged in one process; small, so that two processes end together."""

    kind: Kind
    count: int
    seed: int
    stalls: float
    misread: float
    own_stops: bool = False


def shares(
    kind: Kind, count: int, seed: int, *, stalls: float, misread: float, own_stops: bool = False, size: int = 50
) -> list[Share]:
    """The batches in parts that depend on the seed alone, not on the number of processes."""
    return [
        Share(kind, min(size, count - first), 1000 * seed + number, stalls, misread, own_stops)
        for number, first in enumerate(range(0, count, size))
    ]


def run(parts: Sequence[Share], processes: int) -> list[Outcome]:
    return [each for found in in_processes(judge, parts, processes) for each in found]


def judge(part: Share) -> list[Outcome]:
    batches = mixed(
        part.count, part.seed, part.kind, stalls=part.stalls, misread=part.misread, own_stops=part.own_stops
    )
    return outcomes(batches, shipped())


def heading(found: Sequence[Outcome], kind: Kind, seed: int, *, stalls: float, own_stops: bool) -> str:
    one = [each for each in found if each.rule == found[0].rule]
    unready = 1.0 - sum(each.ready_at_last for each in one) / len(one)
    others = "the toro model's own stops on top" if own_stops else "no others stop"
    return (
        f"{len(one)} oracle batches ({kind}), seed {seed}: {stalls:.0%} made to stall, {others};"
        f" {unready:.1%} are not ready on day {LAST_DAY:.0f}"
    )


def main(words: Sequence[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--count", type=int, default=1000)
    asked.add_argument("--seed", type=int, default=20)
    asked.add_argument("--kind", choices=get_args(Kind), default="both")
    asked.add_argument("--stalls", type=float, default=0.12)
    asked.add_argument("--misread", type=float, default=0.02)
    asked.add_argument(
        "--own-stops", action="store_true", help="keep the batches of the toro model that stop by themselves"
    )
    asked.add_argument("--processes", type=int, default=1)
    given = asked.parse_args(words)
    mix = {"stalls": given.stalls, "own_stops": given.own_stops}
    found = run(shares(given.kind, given.count, given.seed, misread=given.misread, **mix), given.processes)
    print(heading(found, given.kind, given.seed, **mix))
    for line in report(found):
        print(line)
    for figure in figures(found, "own_stops_" if given.own_stops else "", limited=not given.own_stops):
        print(figure.line())
    return 0


if __name__ == "__main__":
    sys.exit(main())
