"""The curve of bottle conditioning does what its description says."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.forecast import gas
from gylebook.science import conditioning


def test_the_curve_gives_the_shares_that_it_is_described_by():
    assert conditioning.carbonation_fraction([6.0, 12.0, 20.0], 20.0).best == pytest.approx(
        [0.58, 0.90, 0.99], abs=0.01
    )


def test_fifteen_days_at_13_degrees_count_as_six_at_20():
    assert conditioning.days_at_20c(15.0, 13.0) == pytest.approx(6.0, abs=0.05)


@given(st.floats(0.01, 0.995), st.floats(10.0, 40.0))
def test_the_days_for_a_share_give_that_share(fraction, temp_c):
    days = conditioning.carbonation_days(fraction, temp_c)
    assert days.low < days.best < days.high
    assert conditioning.carbonation_fraction(days.best, temp_c).best == pytest.approx(fraction, abs=1e-9)
    assert conditioning.carbonation_fraction(days.high, temp_c).low == pytest.approx(fraction, abs=1e-9)


@given(st.floats(0.0, 300.0), st.floats(0.0, 44.0), st.floats(0.1, 1.0))
def test_more_warmth_never_slows_it(days, temp_c, warmer):
    slower = conditioning.carbonation_fraction(days, temp_c)
    faster = conditioning.carbonation_fraction(days, temp_c + warmer)
    assert (np.array(faster) >= np.array(slower)).all()


def test_in_a_cold_place_it_may_never_come():
    assert conditioning.carbonation_fraction(30.0, 6.0).low == 0.0
    assert conditioning.carbonation_days(0.9, 6.0).high == np.inf


def test_the_three_weeks_of_the_trade_suffice_at_room_warmth():
    assert conditioning.carbonation_days(0.9, [18.0, 24.0]).best == pytest.approx([15.6, 7.1], abs=0.1)


@given(st.floats(0.05, 0.995))
def test_half_of_all_beers_are_as_far_as_the_curve_says_and_nine_in_ten_lie_in_its_interval(fraction):
    days = conditioning.carbonation_days(fraction, 20.0)
    assert conditioning.chance_carbonated(fraction, days.best) == pytest.approx(0.5, abs=1e-6)
    assert conditioning.chance_carbonated(fraction, days.low) == pytest.approx(0.05, abs=1e-4)
    assert conditioning.chance_carbonated(fraction, days.high) == pytest.approx(0.95, abs=1e-4)


@given(st.floats(0.05, 0.999), st.floats(0.0, 3600.0), st.floats(0.0, 50.0))
def test_the_chance_never_falls_with_age(fraction, age, more):
    sooner, later = conditioning.chance_carbonated(fraction, [age, age + more])
    assert 0.0 <= sooner <= later <= 1.0


def test_outside_its_range_there_is_no_chance():
    assert np.isnan(conditioning.chance_carbonated([0.0, 1.0, 0.9], [5.0, 5.0, -1.0])).all()
    assert np.isnan(conditioning.stall_temp_c([-0.1, 1.1])).all()


def test_no_ale_yeast_stops_at_ten_degrees_a_third_at_eight_and_all_at_four_and_lager_yeast_colder():
    assert conditioning.stall_temp_c([0.0, 2 / 3, 1.0]) == pytest.approx([4.0, 8.0, 10.0])
    assert conditioning.stall_temp_c(1.0, lager=True) == pytest.approx(3.0)


def test_the_draws_of_the_gas_take_the_same_pace():
    # one figure in two places: the draws of the gas in a bottle, and the chance that it is there
    assert pytest.approx(conditioning.PACE_SD, abs=1e-4) == gas._PACE_SD
