"""Bottles: what they are fit for and how many fill up."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.errors import NotFound
from gylebook.science import glass
from gylebook.science.carbonation import gauge_pressure_bar

FILLABLE = [kind.key for kind in glass.BOTTLES.values() if not kind.never]
NEVER = [kind.key for kind in glass.BOTTLES.values() if kind.never]


@pytest.mark.parametrize("key", FILLABLE)
def test_no_glass_is_let_above_the_published_ceiling(key):
    low, best, high = glass.pressure_limit_bar(key)
    assert 0.0 < low <= best <= high
    if glass.BOTTLES[key].glass:
        assert high <= glass.GLASS_CEILING_BAR
    assert high < glass.PLASTIC_RUPTURE_BAR / 2


@pytest.mark.parametrize("key", NEVER)
def test_bottles_that_must_never_be_filled_have_no_pressure_and_no_size(key):
    assert glass.pressure_limit_bar(key) == (0.0, 0.0, 0.0)
    assert not glass.size_is_fit(key, [0.33, 0.5, 0.75]).any()


def test_wine_and_spirit_and_decorative_and_large_glass_are_among_them():
    assert {"wine", "spirit", "decorative", "oversize_glass", "chipped"} <= set(NEVER)


def test_the_weakest_is_the_one_that_nobody_knows():
    limits = {key: glass.pressure_limit_bar(key).low for key in FILLABLE}
    assert min(limits, key=limits.get) == "unknown_glass"
    assert limits["one_way"] < limits["returnable_500"] < limits["heavy"]


def test_the_trades_ceiling_in_volumes_is_met_at_25_degrees():
    assert glass.pressure_limit_bar("one_way").best == pytest.approx(float(gauge_pressure_bar(2.5, 25.0)))


@given(st.floats(0.0, 190.0), st.floats(0.1, 5.0))
def test_each_wash_takes_something(washes, more):
    before, after = glass.wash_factor(washes), glass.wash_factor(washes + more)
    assert all(later < sooner <= 1.0 for later, sooner in zip(after, before, strict=True))
    assert glass.pressure_limit_bar("heavy", washes + more).high < glass.pressure_limit_bar("heavy", washes).high


def test_plastic_is_not_derated_by_washes():
    assert glass.pressure_limit_bar("pet", 20.0) == glass.pressure_limit_bar("pet", 0.0)


def test_washes_of_several_bottles_come_at_once():
    assert glass.pressure_limit_bar("returnable_330", [0.0, 10.0, 20.0]).low.shape == (3,)
    assert glass.pressure_limit_bar("pet", [0.0, 10.0]).low.shape == (2,)
    assert np.isnan(glass.pressure_limit_bar("pet", np.nan)).all()


def test_plastic_may_be_larger_than_glass():
    assert glass.size_is_fit("pet", 2.0)
    assert not glass.size_is_fit("returnable_500", 2.0)
    assert not glass.size_is_fit("pet", np.nan)


def test_an_unknown_kind_is_refused_with_a_sentence_that_names_the_known_ones():
    for ask in (lambda: glass.pressure_limit_bar("amphora"), lambda: glass.size_is_fit("amphora", 0.5)):
        with pytest.raises(NotFound, match=r"^No kind of bottle is called amphora; choose one of .*\.$"):
            ask()


@given(
    st.floats(0.0, 100.0),
    st.lists(st.tuples(st.sampled_from([0.33, 0.5, 0.568, 0.75, 1.0]), st.integers(0, 60)), max_size=5),
)
def test_beer_is_neither_made_nor_lost_and_no_bottle_is_filled_twice(volume_l, stock):
    sizes, counts = [size for size, _ in stock], [count for _, count in stock]
    filled = glass.bottles_filled(volume_l, sizes, counts)
    in_bottles = sum(size * full for size, full in zip(sizes, filled.full, strict=True))
    assert in_bottles + filled.left_l == pytest.approx(volume_l, abs=1e-6)
    assert all(full <= count for full, count in zip(filled.full, counts, strict=True))
    if stock and filled.full[-1] < counts[-1]:
        assert filled.left_l < sizes[-1]


@pytest.mark.parametrize(
    "wrong", [(-1.0, [0.5], [10]), (np.nan, [0.5], [10]), (10.0, [0.0], [10]), (10.0, [0.5], [-1])]
)
def test_nonsense_fills_no_bottle(wrong):
    assert glass.bottles_filled(*wrong).full == (0,)


def test_an_overfilled_bottle_becomes_full_of_liquid_in_a_hot_place():
    assert glass.headspace_when_warm(0.005, 40.0) < 0.0 < glass.headspace_when_warm(0.04, 40.0)


def test_a_deeper_gap_is_more_headspace_and_a_gap_larger_than_the_bottle_is_none():
    gaps = glass.headspace_fraction([2.0, 3.0, 5.0], 2.0, 515.0)
    assert (np.diff(gaps) > 0).all()
    assert np.isnan(glass.headspace_fraction(15.0, 5.0, 200.0))
