"""Hop creep and isomerisation: monotone, bounded, and right against a numerical solution."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from gylebook.science import carbonation, hops

DOSES = st.floats(0.0, 29.0)
DAYS = st.floats(0.0, 200.0)
TEMPS = st.floats(0.0, 34.0)


@given(DOSES, DAYS, TEMPS, st.floats(0.0, 1.0))
def test_more_hops_more_days_and_more_warmth_never_make_less(dose, days, temp_c, more):
    least = np.array(hops.hop_creep_plato(dose, days, temp_c))
    for moved in ((dose + more, days, temp_c), (dose, days + more, temp_c), (dose, days, temp_c + more)):
        assert (np.array(hops.hop_creep_plato(*moved)) >= least - 1e-12).all()


@given(DOSES, DAYS, TEMPS)
def test_the_intervals_are_in_order(dose, days, temp_c):
    for relation in (hops.hop_creep_plato, hops.hop_creep_co2_g_per_l, hops.hop_creep_points):
        low, best, high = relation(dose, days, temp_c)
        assert 0.0 <= low <= best <= high


def test_no_hops_no_creep():
    assert hops.hop_creep_points(0.0, 40.0, 20.0) == (0.0, 0.0, 0.0)


@given(st.floats(0.5, 10.0), st.floats(1.0, 40.0), st.floats(5.0, 30.0))
def test_the_points_and_the_carbon_dioxide_of_creep_belong_together(dose, days, temp_c):
    points = hops.hop_creep_points(dose, days, temp_c).best
    from_points = carbonation.co2_from_gravity_drop_g_per_l(1.02, 1.02 - points / 1000.0)
    co2 = hops.hop_creep_co2_g_per_l(dose, days, temp_c)
    assert from_points.low * 0.98 <= co2.best <= from_points.high * 1.02
    assert co2.best == pytest.approx(from_points.best, rel=0.03)


def test_a_hoppy_beer_bottled_too_soon_passes_a_volume_in_three_weeks():
    creep = hops.hop_creep_co2_g_per_l(10.0, 21.0, 20.0)
    assert carbonation.volumes_from_g_per_l(creep.best) > 1.5


@pytest.mark.parametrize("temp_c", [92.0, 100.0, 120.0])
def test_the_isomerised_share_agrees_with_a_numerical_solution(temp_c):
    gain, loss = float(hops.isomerisation_rate_per_min(temp_c)), float(hops.iso_alpha_loss_rate_per_min(temp_c))
    times = np.array([5.0, 30.0, 90.0])
    run = solve_ivp(
        lambda _, y: [-gain * y[0], gain * y[0] - loss * y[1]],
        (0.0, 90.0),
        [1.0, 0.0],
        t_eval=times,
        rtol=1e-9,
        atol=1e-12,
    )
    assert hops.isomerised_fraction(times, temp_c) == pytest.approx(run.y[1], abs=1e-7)


def test_below_the_measured_range_there_is_no_rate():
    assert np.isnan(hops.isomerisation_rate_per_min(80.0))
