"""The bottlings of the benchmark: the book's own, the rules' own, and what each bottle comes to."""

from __future__ import annotations

from dataclasses import replace

import gas_bench
import numpy as np
import pytest
from forecast.customary import RULES


@pytest.fixture(scope="module")
def sealed():
    return gas_bench.bottled(batches=4, each=4, seed=5)


def test_by_the_book_a_chance_is_stated_and_by_a_rule_of_thumb_none(sealed):
    found, declined = sealed
    book = [one for one in found if one.rule == gas_bench.BUDGET]
    assert len(book) + declined <= 16
    assert book
    assert all(0.0 <= one.stated <= 1.0 for one in book)
    thumbs = [one for one in found if one.rule != gas_bench.BUDGET]
    assert {one.rule for one in thumbs} <= set(RULES)
    assert all(np.isnan(one.stated) for one in thumbs)


def test_the_same_seed_bottles_the_same(sealed):
    again, _ = gas_bench.bottled(batches=4, each=4, seed=5)
    assert [one.worst_bar for one in again] == [one.worst_bar for one in sealed[0]]


def test_more_left_in_the_beer_is_more_pressure_and_a_bottle_is_past_only_above_its_ceiling():
    day = gas_bench._day(np.random.default_rng(1), 1)
    less, more = (gas_bench._worst_bar(day, 20.0, left, 120.0) for left in (0.0, 8.0))
    assert more > less + 1.5
    one = gas_bench.Sealed("rule", np.nan, 3.0, 2.9)
    assert one.past
    assert not replace(one, worst_bar=2.9).past


def test_without_doubt_the_worst_bottle_is_the_fits_own():
    """Certain litres, grams and fill: 0.88 volumes and 126 g in 21 L make what the published grid's sum makes."""
    day = replace(
        gas_bench._day(np.random.default_rng(1), 1),
        litres=21.0, held_up=1.0, uneven=0.0, solubility_off=0.0, more_per_point=1.0, store_c=20.0, headspace=0.04,
    )  # fmt: skip
    gas = 0.88 + 6.0 * 0.51428 / 1.97681
    bar = float(gas_bench.carbonation.gauge_pressure_bar(gas, 20.0, 0.04))
    assert gas_bench._worst_bar(day, 20.0, 0.0, 126.0) == pytest.approx(bar, abs=0.12)  # the fill still varies
