"""The curve of bottle conditioning does what its description says."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

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
