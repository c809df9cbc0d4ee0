"""Standing and fermenting: Newton's law both ways, and a numerical solution of the heat balance."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from gylebook.science import cooling

TEMPS = st.floats(-5.0, 60.0)


@given(TEMPS, TEMPS, st.floats(0.5, 60.0), st.floats(0.1, 50.0))
def test_the_time_and_the_constant_come_back(start, room, tau, elapsed):
    later = cooling.temp_after_c(start, room, tau, elapsed)
    if abs(start - room) > 0.5 and abs(later - room) > 1e-3 and elapsed / tau > 0.01:
        assert cooling.cooling_time_h(start, later, room, tau) == pytest.approx(elapsed, rel=1e-6, abs=1e-6)
        assert cooling.time_constant_h(start, later, room, elapsed) == pytest.approx(tau, rel=1e-6)


def test_a_temperature_beyond_the_room_is_never_reached():
    assert np.isnan(cooling.cooling_time_h(28.0, 18.0, 18.0, 8.0))
    assert np.isnan(cooling.cooling_time_h(28.0, 15.0, 18.0, 8.0))
    assert np.isnan(cooling.cooling_time_h(28.0, 30.0, 18.0, 8.0))


def test_warming_up_goes_by_the_same_law():
    assert cooling.cooling_time_h(5.0, 12.5, 20.0, 10.0) == pytest.approx(10.0 * np.log(2.0))


def test_two_equal_readings_tell_nothing_about_the_vessel():
    assert np.isnan(cooling.time_constant_h(28.0, 28.0, 18.0, 4.0))


@given(st.floats(1.0, 99.0), st.floats(0.1, 1.0))
def test_a_larger_bucket_cools_more_slowly(volume_l, more_l):
    assert cooling.time_constant_estimate_h(volume_l + more_l).best > cooling.time_constant_estimate_h(volume_l).best


def test_the_rise_above_the_room_agrees_with_a_numerical_solution():
    rate, tau, litre_j_per_k = 1.6, 8.0, 1.01 * 4050.0
    run = solve_ivp(lambda _, y: rate * 586.0 / litre_j_per_k - y / tau, (0.0, 200.0), [0.0], rtol=1e-9)
    assert cooling.rise_above_room_k(rate, tau).best == pytest.approx(run.y[0, -1], rel=1e-6)


def test_the_rise_of_an_ordinary_brew_is_the_few_degrees_that_brewers_see():
    # 78 g/L of extract, half of it in a day, in a bucket of eight hours.
    rise = cooling.rise_above_room_k(78.0 / 2.0 / 24.0, 8.0)
    assert 1.5 < rise.low < rise.high < 4.0
