"""Which bottles for this beer: exact, held against looking at every way. All stocks are invented.

Expectations are DERIVED: from looking through every way, or by adding up sizes.
"""

from __future__ import annotations

from random import Random

import pytest

from every_bottle import check, small_stock
from gylebook.steps.bottle_choice import WASTE_ML, Choice, Part, Sort, choose, ready_beside

HALVES = Sort(500, 60, 30)
SMALL = Sort(330, 60, 30)


@pytest.mark.parametrize("seed", range(5))
def test_no_other_way_to_fill_a_small_stock_is_better(seed: int) -> None:
    dice, parted = Random(seed), 0
    for _ in range(30):
        stock, beer_ml, wanted, least = small_stock(dice)
        found = choose(stock, beer_ml, wanted, least)
        assert check(stock, beer_ml, wanted, least, found) == "", (stock, beer_ml, wanted, least, found)
        parted += len(found.parts) == 2
    assert parted > 0  # else the sample shows nothing of parting


def test_the_check_would_see_a_choice_that_is_not_the_best() -> None:
    worse = Choice((Part(24, (0, 30)),), 100, 0)
    assert "not the best" in check((Sort(500, 10, 30), Sort(330, 30, 30)), 10_000, 24, 9, worse)


def test_the_fewest_bottles_that_leave_no_more_than_a_glass() -> None:
    found = choose((HALVES, SMALL), 20_000, 24, 9)
    assert found == Choice((Part(24, (40, 0)),), 0, 0)
    # 40 halves and 200 mL: a small one in place of a half would leave more in the bucket, not less
    assert choose((HALVES, SMALL), 20_200, 24, 9).parts == (Part(24, (40, 0)),)
    assert choose((HALVES, SMALL), 20_330, 24, 9).parts == (Part(24, (40, 1)),)


def test_the_fizz_is_as_high_as_the_weakest_chosen_bottle_bears_and_never_beyond_the_wanted() -> None:
    thin = Sort(500, 60, 22)
    assert choose((HALVES,), 20_000, 24, 9).parts[0].fizz == 24
    assert choose((thin,), 20_000, 24, 9).parts[0].fizz == 22
    assert choose((Sort(500, 60, 24),), 20_000, 24, 9).parts[0].fizz == 24


def test_weak_bottles_are_left_alone_where_the_strong_suffice() -> None:
    found = choose((Sort(1000, 60, 22), HALVES), 20_000, 24, 9)
    assert found.parts == (Part(24, (0, 40)),)  # twice as many, for two tenths of fizz


def test_nobody_primes_twice_for_the_last_glasses() -> None:
    """Forty good halves hold all but 300 mL of it; two thin bottles would take that, and part or weaken 19 L."""
    stock = (Sort(500, 40, 24), Sort(1000, 4, 24, plastic=True), Sort(330, 24, 20))
    found = choose(stock, 18_800, 24, 9)
    assert found.parts == (Part(24, (29, 4, 0)),)
    assert (found.left_ml, found.over_ml) == (300, 50)
    assert check(stock[:1], 18_800, 24, 9, choose(stock[:1], 18_800, 24, 9)) == ""
    few = choose((Sort(500, 36, 24), Sort(330, 24, 20)), 18_800, 24, 9)  # a whole bottle more is worth a thin one
    assert few.parts[-1].fizz == 20


def test_beer_is_parted_where_each_part_is_worth_its_own_sugar() -> None:
    strong, weak = Sort(500, 16, 30), Sort(500, 40, 22)
    found = choose((strong, weak), 20_000, 28, 9)
    assert found.parts == (Part(28, (16, 0)), Part(22, (0, 24)))
    near = choose((Sort(500, 16, 24), weak), 20_000, 28, 9)
    assert near.parts == (Part(22, (16, 24)),) or near.parts == (Part(22, (0, 40)),)
    few = choose((Sort(500, 7, 30), weak), 20_000, 28, 9)
    assert [part.fizz for part in few.parts] == [22]  # three and a half litres are too few to prime alone


def test_one_plastic_bottle_is_kept_to_squeeze_though_one_bottle_more_is_filled() -> None:
    plastic = Sort(500, 3, 40, plastic=True)
    litre = Sort(1000, 30, 30)
    found = choose((litre, plastic), 20_000, 24, 9)
    assert found.parts == (Part(24, (19, 2)),)
    assert choose((litre, Sort(500, 3, 20, plastic=True)), 20_000, 24, 9).parts == (Part(24, (20, 0)),)


def test_what_no_bottle_holds_is_told_beyond_the_glass() -> None:
    found = choose((Sort(500, 10, 30),), 20_000, 24, 9)
    assert (found.left_ml, found.over_ml) == (15_000, 15_000 - WASTE_ML)


@pytest.mark.parametrize("stock", [(), (Sort(500, 0, 30),), (Sort(500, 40, 0),), (Sort(500, 40, 8),)])
def test_without_a_fit_bottle_nothing_is_filled(stock: tuple[Sort, ...]) -> None:
    assert choose(stock, 20_000, 24, 9) == Choice((), 20_000, 19_750)


def test_no_beer_fills_no_bottle() -> None:
    assert choose((HALVES,), 0, 24, 9).parts == ()
    assert choose((HALVES,), 249, 24, 9).parts == ()


def test_further_bottles_are_the_fewest_that_hold_what_may_come_besides() -> None:
    stock = (Sort(500, 41, 30), SMALL)
    found = choose(stock, 20_000, 24, 9)
    assert ready_beside(stock, found, 800) == (1, 1)
    assert ready_beside(stock, found, 0) == (0, 0)
    only = (Sort(500, 41, 30),)
    assert ready_beside(only, choose(only, 20_000, 24, 9), 800) == (1,)
