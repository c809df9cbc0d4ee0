"""The budget of a batch's gas: how long it takes, and how exact it is.

Against plain draws of every bottle of a million batches. Whether bottles keep to what it states: `bottlings_scores.py`.
"""

from __future__ import annotations

import statistics
from collections.abc import Iterator

import numpy as np
from figures import Figure, wall
from numpy.typing import NDArray

from gylebook.forecast.constants import CO2_G_PER_L_PER_SG
from gylebook.forecast.gas import Charge, Draws, Sugar, later_of_mixture
from gylebook.science import carbonation, priming
from gylebook.science.carbon_dioxide import CO2_G_PER_L_PER_VOLUME
from gylebook.science.interval import Span

Floats = NDArray[np.float64]


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
