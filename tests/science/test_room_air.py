"""Carbon dioxide in a room: a numerical solution agrees, and a closed cupboard is dangerous."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from gylebook.science import carbon_dioxide, room_air


@pytest.mark.parametrize("hours", [0.5, 4.0, 24.0])
def test_the_build_up_agrees_with_a_numerical_solution(hours):
    run = solve_ivp(lambda _, y: 40.0 / 30000.0 * 1e6 - 0.2 * (y - 420.0), (0.0, hours), [420.0], rtol=1e-9)
    assert room_air.room_ppm(40.0, 30.0, 0.2, hours) == pytest.approx(run.y[0, -1], rel=1e-6)


@given(st.floats(0.0, 100.0), st.floats(1.0, 200.0), st.floats(0.05, 10.0), st.floats(0.1, 100.0))
def test_no_build_up_passes_the_value_it_settles_at(source, room, changes, hours):
    settled = room_air.room_ppm(source, room, changes)
    if np.isfinite(settled):
        assert room_air.room_ppm(source, room, changes, hours) <= settled + 1e-6


def test_one_brew_in_a_closed_box_room_passes_the_level_dangerous_to_life():
    made = room_air.co2_evolved_g(23.0, 1.048, 1.010)
    assert room_air.sealed_room_ppm(made.best, 10.0) > room_air.DANGEROUS_PPM


def test_one_brew_of_ordinary_strength_makes_about_400_litres():
    litres = carbon_dioxide.gas_volume_l(room_air.co2_evolved_g(23.0, 1.042, 1.010).best, 20.0)
    assert litres == pytest.approx(400.0, abs=10.0)


def test_more_gas_than_the_room_holds_is_no_answer():
    assert np.isnan(room_air.sealed_room_ppm(10000.0, 1.0))


def test_the_limits_stand_in_their_order():
    assert room_air.OUTDOOR_PPM < room_air.LIMIT_8H_PPM < room_air.LIMIT_15MIN_PPM < room_air.DANGEROUS_PPM
