"""Carbon dioxide in beer and in closed bottles: mass is kept, a root finder agrees, more is never less."""

from __future__ import annotations

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from gylebook.science import carbon_dioxide, carbonation

TOTALS = st.floats(0.5, 10.0)
TEMPS = st.floats(0.0, 50.0)
HEADSPACES = st.floats(0.0, 0.5)


@given(TOTALS, TEMPS, HEADSPACES)
def test_beer_and_headspace_together_hold_all_the_carbon_dioxide(total_volumes, temp_c, headspace_fraction):
    gauge = float(carbonation.gauge_pressure_bar(total_volumes, temp_c, headspace_fraction))
    absolute = gauge + carbon_dioxide.ATMOSPHERE_BAR
    dissolved = 14.5037738 * absolute * (0.01821 + 0.090115 * np.exp(-1.8 * temp_c / 43.11)) - 0.003342
    gas = headspace_fraction * carbon_dioxide.gas_density_g_per_l(min(absolute, 20.0), temp_c) / 1.97681
    if absolute <= 20.0:
        assert dissolved + gas == pytest.approx(total_volumes, rel=1e-9)


@pytest.mark.parametrize(("total_volumes", "temp_c"), [(1.8, 4.0), (2.4, 20.0), (3.0, 25.0), (4.5, 30.0), (5.0, 40.0)])
def test_the_pressure_agrees_with_scipy_and_the_reference_gas(total_volumes, temp_c):
    def surplus(gauge_bar):
        dissolved = float(carbonation.equilibrium_volumes(gauge_bar, temp_c))
        pressure_pa = (gauge_bar + 1.01325) * 1e5
        return dissolved + 0.04 * PropsSI("D", "T", temp_c + 273.15, "P", pressure_pa, "CO2") / 1.97681 - total_volumes

    assert carbonation.gauge_pressure_bar(total_volumes, temp_c, 0.04) == pytest.approx(
        brentq(surplus, 0.0, 10.0), abs=0.006
    )


@given(st.floats(0.5, 9.9), TEMPS, HEADSPACES, st.floats(0.001, 0.1))
def test_more_carbon_dioxide_presses_more(total_volumes, temp_c, headspace_fraction, more):
    less = carbonation.gauge_pressure_bar(total_volumes, temp_c, headspace_fraction)
    assert carbonation.gauge_pressure_bar(total_volumes + more, temp_c, headspace_fraction) > less


@given(TOTALS, st.floats(0.0, 49.0), HEADSPACES, st.floats(0.01, 1.0))
def test_a_warmer_bottle_presses_more(total_volumes, temp_c, headspace_fraction, warmer):
    cold = carbonation.gauge_pressure_bar(total_volumes, temp_c, headspace_fraction)
    assert carbonation.gauge_pressure_bar(total_volumes, temp_c + warmer, headspace_fraction) > cold


@given(TOTALS, TEMPS, st.floats(0.0, 0.4), st.floats(0.001, 0.1))
def test_more_headspace_presses_less(total_volumes, temp_c, headspace_fraction, more):
    small = carbonation.gauge_pressure_bar(total_volumes, temp_c, headspace_fraction)
    assert carbonation.gauge_pressure_bar(total_volumes, temp_c, headspace_fraction + more) < small


def test_bottles_moved_up_a_mountain_press_as_much_more_as_the_air_presses_less():
    low, high = carbonation.gauge_pressure_bar(
        2.4, 20.0, ambient_bar=carbon_dioxide.ambient_pressure_bar([250.0, 1900.0])
    )
    assert high - low == pytest.approx(0.18, abs=0.005)


def test_trapped_air_adds_its_own_pressure_and_grows_with_warmth():
    for temp_c in (5.0, 20.0, 35.0):
        gained = carbonation.gauge_pressure_bar(2.4, temp_c, trapped_air_bar=0.8) - carbonation.gauge_pressure_bar(
            2.4, temp_c
        )
        assert gained == pytest.approx(0.8 * (temp_c + 273.15) / 293.15)


@given(TOTALS, TEMPS)
def test_the_interval_of_pressure_holds_the_best_and_widens_above_the_chart(total_volumes, temp_c):
    low, best, high = carbonation.gauge_pressure_interval_bar(total_volumes, temp_c)
    assert low < best < high
    assert best == carbonation.gauge_pressure_bar(total_volumes, temp_c)
    share = (high - low) / (best + 1.01325)
    assert share > (0.05 if temp_c <= 25.0 else 0.05 + 0.003 * (temp_c - 25.0))


def test_below_25_degrees_the_beer_chart_stays_under_pure_water():
    temps, pressures = np.meshgrid(np.arange(0.0, 26.0), np.arange(0.0, 8.1, 0.5))
    beer = carbonation.g_per_l_from_volumes(carbonation.equilibrium_volumes(pressures, temps))
    assert (beer < carbon_dioxide.water_co2_g_per_l(pressures, temps)).all()


def test_at_50_degrees_the_extrapolated_chart_passes_pure_water_and_the_interval_reaches_back_under_it():
    water = carbonation.volumes_from_g_per_l(carbon_dioxide.water_co2_g_per_l(3.0, 50.0))
    interval = carbonation.equilibrium_volumes_interval(3.0, 50.0)
    assert interval.low < 0.96 * water < water < interval.best


def test_warmer_beer_keeps_less_and_the_table_goes_on_without_a_step():
    temps = np.arange(0.0, 35.01, 0.1)
    assert (np.diff(carbonation.residual_volumes(temps)) < 0).all()
    assert carbonation.residual_volumes(22.01) == pytest.approx(0.83, abs=0.001)


def test_cooling_before_priming_does_not_put_carbon_dioxide_back():
    # 21 L warmed to 20 degC: reckoning with 3 degC instead would leave out more than 50 g of sugar.
    missing = 21.0 * (carbonation.residual_volumes(3.0) - carbonation.residual_volumes(20.0)) * 4.0
    assert 50.0 < missing < 60.0


def test_a_rise_of_gravity_makes_no_carbon_dioxide_but_nan():
    assert np.isnan(carbonation.co2_from_gravity_drop_g_per_l(1.010, 1.012)).all()
    assert carbonation.co2_from_gravity_drop_g_per_l(1.010, 1.010) == (0.0, 0.0, 0.0)


def test_one_point_left_is_half_a_volume():
    one = carbonation.co2_from_gravity_drop_g_per_l(1.012, 1.011)
    assert carbonation.volumes_from_g_per_l(one.best) == pytest.approx(0.5, abs=0.005)
