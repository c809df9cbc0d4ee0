"""The budget of a batch's gas: how long it takes, how exact it is, and whether bottles keep to what it states.

`python benchmarks/gas_bench.py --batches 500 --each 25` bottles oracle beer ten thousand times. The gate is obeyed:
beer is bottled when the forecast opens it, with the dose that the book tells, into bottles that the book calls fit for
the warmest month of the place. What the brewer does wrong then (litres, grams, stirring, height of fill) is drawn from
laws of its own, and each bottle is drawn by itself. Beside it the rules that brewers go by, with the printed dose for
2.3 volumes and whatever bottle is at hand.
"""

from __future__ import annotations

import argparse
import statistics
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).parent))

from figures import Figure, wall
from forecast.batches import Batch
from forecast.customary import RULES
from forecast.decisions import LOOK_DAYS, READ_SEED, decide
from forecast.forecaster import GATE_UNSAFE
from forecast.mix import mixed

from gylebook.forecast.constants import CO2_G_PER_L_PER_SG
from gylebook.forecast.forecast import Forecast, forecast
from gylebook.forecast.gas import Charge, Draws, Sugar, later_of_mixture
from gylebook.journal.state import Shelf
from gylebook.science import carbonation, priming
from gylebook.science.carbon_dioxide import CO2_G_PER_L_PER_VOLUME
from gylebook.science.interval import Span
from gylebook.steps.bottle_kinds import Bottle, bottle_of
from gylebook.steps.gas_parts import UNEVEN, charge_of, residual_of, sugared, together, worst_vol
from gylebook.units import Quantity

Floats = NDArray[np.float64]

KINDS: Final = ("returnable_500", "swing_top", "heavy", "one_way", "unknown_glass")
OFTEN: Final = (0.5, 0.15, 0.1, 0.15, 0.1)
BOTTLE_L: Final = 0.5
PROOF_BAR: Final = 10.0  # what used bottles are proved to for a minute; past it a burst is to be expected
PRINTED_VOL: Final = 2.3
LEAST_VOL: Final = 1.6
BUDGET: Final = "the book's gate and budget"
EVENNESS: Final = ((0.04, 0.06, 0.10), (0.5, 0.35, 0.15))  # invented: stirred well, usually, badly


# --- how long, and how exact --------------------------------------------------------------------------------------


def usual_charge() -> Charge:
    """A finished batch with a chance in seventy of a halt that was taken for an end."""
    chance = np.random.default_rng(1)
    mean = np.concatenate([np.abs(chance.normal(0.0, 0.0003, 2955)), chance.uniform(0.002, 0.012, 45)])
    later = later_of_mixture(mean, np.full(3000, 0.0002), np.full(3000, 1 / 3000), CO2_G_PER_L_PER_SG)
    return Charge(Span(0.82, 0.88, 0.91), later, (Sugar(125.0, "sucrose", Span(20.0, 21.0, 22.0)),))


def plain(charge: Charge, count: int, temp_c: float, batches: int, chunk: int = 20_000) -> Floats:
    """The highest pressure of each batch, every bottle of it drawn; pseudo-random."""
    chance = np.random.default_rng(2)

    def halves(span: Span, size: int) -> Floats:
        z = chance.standard_normal(size)
        return np.asarray(span.best + np.where(z > 0, span.high - span.best, span.best - span.low) / 1.6449 * z)

    found = []
    for first in range(0, batches, chunk):
        size = min(chunk, batches - first)
        later = charge.later.at(chance.random(size)) * (1 + (1.05 / 0.97 - 1) * chance.random(size))
        total = (np.maximum(halves(charge.dissolved, size), 0) + later / CO2_G_PER_L_PER_VOLUME)[:, None]
        for sugar in charge.sugars:
            grams = np.maximum(sugar.grams + sugar.weighing_sd_g * chance.standard_normal(size), 0)
            share = np.maximum(1 + sugar.uneven * chance.standard_normal((size, count)), 0)
            per_g = priming.PRIMING_SUGARS[sugar.sugar].co2_g_per_g.best
            total = total + share * (grams * per_g / halves(sugar.litres, size) / CO2_G_PER_L_PER_VOLUME)[:, None]
        head = halves(charge.headspace, size)[:, None] + charge.headspace_sd * chance.standard_normal((size, count))
        off = np.clip(chance.standard_normal(size) / 1.6449, -5, 5)[:, None]
        bars = carbonation.gauge_pressure_bar(
            np.clip(total, 0.1, 12), temp_c, np.clip(head, 0.002, 0.3), solubility_off=off
        )
        found.append(bars.max(axis=1))
    return np.concatenate(found)


def sum_figures(plain_batches: int = 1_000_000) -> Iterator[Figure]:
    """A budget's time, its 99 % point against plain draws, and how many times faster it is."""
    mean, sd = np.abs(np.random.default_rng(3).normal(0, 0.0005, 3000)), np.full(3000, 0.0002)
    weight = np.full(3000, 1 / 3000)

    def one() -> float:
        later = later_of_mixture(mean, sd, weight, CO2_G_PER_L_PER_SG)
        draws = Draws(Charge(Span(0.82, 0.88, 0.91), later, (Sugar(125.0, "sucrose", Span(20.0, 21.0, 22.0)),)))
        warm = draws.worst(42, 30.0).pressure_bar
        quantiles = [np.quantile(each, (0.05, 0.5, 0.95)) for each in (draws.average_vol(), warm)]
        return float(np.mean(warm > 3.6)) + float(quantiles[0][0])

    one()
    seconds = statistics.median(wall(one) for _ in range(30))
    charge = usual_charge()
    exact: list[Floats] = []
    slow = wall(lambda: exact.append(plain(charge, 42, 30.0, plain_batches)))
    found = float(np.quantile(Draws(charge).worst(42, 30.0).pressure_bar, 0.99))
    true = float(np.quantile(exact[0], 0.99))
    yield Figure("gas.budget", 1000 * seconds, "ms", 10.0, f"{plain_batches} plain batches {slow:.1f} s")
    apart = f"{found:.3f} against {true:.3f} bar in {plain_batches} plain batches of 42 bottles"
    yield Figure("gas.worst_99", 100 * abs(found / true - 1), "%", 1.0, apart)
    yield Figure("gas.times_faster", slow / seconds, "1", None, "than the plain run")


# --- ten thousand bottlings ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Sealed:
    """One bottling: the chance that was stated for its worst bottle (NaN by a rule that states none), and what came."""

    rule: str
    stated: float
    worst_bar: float
    ceiling_bar: float

    @property
    def past(self) -> bool:
        return self.worst_bar > self.ceiling_bar


@dataclass(frozen=True, slots=True)
class _Day:
    """What chance decides of one bottling day, the same for every rule."""

    litres: float
    litres_told: float
    warmest_off_c: float
    held_up: float  # from the beer chart (0) to the table of pure water (1)
    bottle: Bottle
    store_c: float
    wanted: float
    more_per_point: float
    grams_off: float
    uneven: float
    headspace: float
    solubility_off: float
    seed: int


def _day(chance: np.random.Generator, seed: int) -> _Day:
    litres = chance.uniform(17.0, 22.5)
    kind = str(chance.choice(KINDS, p=OFTEN))
    return _Day(
        litres=litres,
        litres_told=litres + chance.normal(0.0, 0.45),
        warmest_off_c=chance.normal(0.0, 0.7),
        held_up=chance.random(),
        bottle=bottle_of(kind, Quantity("500", "mL"), int(litres / BOTTLE_L), Shelf()),
        store_c=chance.uniform(15.0, 30.0),
        wanted=chance.uniform(1.9, 2.7),
        more_per_point=chance.uniform(1.0, 1.08),
        grams_off=chance.normal(0.0, 1.0),
        uneven=float(chance.choice(EVENNESS[0], p=EVENNESS[1])),
        headspace=chance.uniform(0.03, 0.05),
        solubility_off=chance.normal(0.0, 1.0) / 1.6449,
        seed=seed,
    )


def _worst_bar(day: _Day, warmest_c: float, later_g_per_l: float, grams: float) -> float:
    """What really happens: every bottle by itself."""
    chance = np.random.default_rng((7, day.seed))
    low, high = float(carbonation.equilibrium_volumes(0.0, warmest_c)), float(carbonation.residual_volumes(warmest_c))
    held = low + day.held_up * (high - low)
    later = max(later_g_per_l, 0.0) * day.more_per_point / CO2_G_PER_L_PER_VOLUME
    made = max(grams, 0.0) * priming.PRIMING_SUGARS["sucrose"].co2_g_per_g.best / day.litres / CO2_G_PER_L_PER_VOLUME
    count = day.bottle.count
    total = held + later + made * np.maximum(1 + day.uneven * chance.standard_normal(count), 0)
    head = np.clip(day.headspace + 0.008 * chance.standard_normal(count), 0.005, 0.2)
    bars = carbonation.gauge_pressure_bar(
        np.clip(total, 0.1, 12), day.store_c, head, solubility_off=np.clip(day.solubility_off, -5, 5)
    )
    return float(np.max(bars))


def _by_book(day: _Day, seen: Forecast, warmest_c: float, left_g_per_l: float) -> Sealed | None:
    """As the book tells; None where no fizz worth the name is fit for the bottles in that place."""
    told_c = warmest_c + day.warmest_off_c
    residual = residual_of(Span(told_c - 0.8, told_c, told_c + 1.5))
    points = seen.points_left
    most = max(points.q95, 1.0)
    to_come = Span(0.0, max(points.q50, 0.0) * 0.97 / CO2_G_PER_L_PER_VOLUME, most * 1.05 / CO2_G_PER_L_PER_VOLUME)
    later = later_of_mixture(*seen.left_sg, seen.weight, CO2_G_PER_L_PER_SG)
    litres = Span(day.litres_told - 0.7, day.litres_told, day.litres_told + 0.7)
    target = day.wanted
    while target >= LEAST_VOL:
        lacking = max(0.0, target - residual.best - to_come.best)
        grams = round(4.0 * litres.best * lacking)
        gas = sugared(grams, "sucrose", litres)
        charge = charge_of(residual, gas, to_come, UNEVEN["whole batch"], later=later)
        worst = worst_vol(charge, day.bottle.count)
        if day.bottle.fit_words(together(residual, gas, to_come).best, worst, day.store_c) == "fit":
            limit = day.bottle.limit_bar.high
            bars = Draws(charge).worst(day.bottle.count, day.store_c).pressure_bar
            came = _worst_bar(day, warmest_c, left_g_per_l, grams + day.grams_off)
            return Sealed(BUDGET, float(np.mean(bars > limit)), came, limit)
        target -= 0.1
    return None


def _by_rule(day: _Day, rule: str, warmest_c: float, left_g_per_l: float) -> Sealed:
    """The printed dose for 2.3 volumes, whatever the bottle and the place."""
    told_c = min(max(warmest_c + day.warmest_off_c, 0.0), 35.0)
    lacking = PRINTED_VOL - float(carbonation.residual_volumes(told_c))
    grams = round(4.0 * day.litres_told * lacking) + day.grams_off
    return Sealed(rule, np.nan, _worst_bar(day, warmest_c, left_g_per_l, grams), day.bottle.limit_bar.high)


def _opened(batch: Batch) -> tuple[float, Forecast] | None:
    """The first look at which the gate is open, and the forecast then."""
    for count, day in enumerate(LOOK_DAYS, start=1):
        if count < 2:
            continue
        seen = forecast(batch.evidence(LOOK_DAYS[:count], day, READ_SEED))
        if seen.unsafe < GATE_UNSAFE:
            return day, seen
    return None


def _warmest(batch: Batch, day: float) -> float:
    """The warmest of the three days before, when little was still fermenting."""
    return float(np.max(batch.temp_c[max(0, round(24 * (day - 3))) : round(24 * day)]))


def bottled(batches: int, each: int, seed: int) -> tuple[list[Sealed], int]:
    """Every batch bottled so many times over by every rule; and how many bottlings the book had no fit fizz for."""
    found, declined = [], 0
    for batch in mixed(batches, seed, "both", stalls=0.12, misread=0.02):
        chance = np.random.default_rng((seed, 11, batch.number))
        days = [_day(chance, 1000 * batch.number + number) for number in range(each)]
        opened = _opened(batch)
        if opened is not None:
            at, seen = opened
            for day in days:
                sealed = _by_book(day, seen, _warmest(batch, at), batch.co2_left_g_per_l(at))
                declined += sealed is None
                found += [sealed] if sealed is not None else []
        for name, rule in RULES.items():
            out = decide(batch, rule, name)
            if out.day is not None:
                warm = _warmest(batch, out.day)
                found += [_by_rule(day, name, warm, out.co2_left_g_per_l) for day in days]
    return found, declined


def bottling_figures(batches: int, each: int, seed: int = 31) -> Iterator[Figure]:
    """Worst bottles past their ceiling against what was stated, and what the customary rules would have burst."""
    found, declined = bottled(batches, each, seed)
    book = [one for one in found if one.rule == BUDGET]
    stated, past = float(np.mean([one.stated for one in book])), float(np.mean([one.past for one in book]))
    words = f"{sum(one.past for one in book)} of {len(book)} from {batches} batches; stated {100 * stated:.2f} %"
    yield Figure(
        "gas.past_ceiling", 100 * past, "% of bottlings", 100 * stated, f"{words}; {declined} found no fit fizz"
    )
    burst = sum(one.worst_bar > PROOF_BAR for one in book)
    yield Figure("gas.past_proof", 100 * burst / len(book), "% of bottlings", None, f"{burst} past {PROOF_BAR:g} bar")
    for number, name in enumerate(RULES, start=1):
        rule = [one for one in found if one.rule == name]
        over, gone = sum(one.past for one in rule), sum(one.worst_bar > PROOF_BAR for one in rule)
        words = f"{name}: {gone} of {len(rule)} past {PROOF_BAR:g} bar"
        yield Figure(f"gas.rule_{number}_past_ceiling", 100 * over / len(rule), "% of bottlings", None, words)
        yield Figure(f"gas.rule_{number}_past_proof", 100 * gone / len(rule), "% of bottlings", None, words)


def figures(batches: int = 30, each: int = 20) -> Iterator[Figure]:
    """All of them; by default with few bottlings."""
    yield from sum_figures()
    yield from bottling_figures(batches, each)


def main(words: Sequence[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--batches", type=int, default=30)
    asked.add_argument("--each", type=int, default=20)
    given = asked.parse_args(words)
    failed = 0
    for one in figures(given.batches, given.each):
        print(one.line(), flush=True)
        failed += not one.ok
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
