"""Hydrometer readings: there and back, and where alcohol, glass and offset come in."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.science import hydrometer

WORT = st.floats(0.985, 1.145)
REFERENCES = st.sampled_from([15.0, 15.5556, 20.0, 27.0])
OFFSETS = st.floats(-0.005, 0.005)


@given(WORT, st.floats(0.0, 60.0), REFERENCES, OFFSETS)
def test_wort_comes_back_from_its_reading(gravity_sg, temp_c, ref_temp_c, offset_sg):
    shown = hydrometer.reading_sg(gravity_sg, temp_c, ref_temp_c, offset_sg)
    assert hydrometer.true_sg(shown, temp_c, ref_temp_c, offset_sg) == pytest.approx(gravity_sg, abs=1e-10)


@given(st.floats(1.02, 1.11), st.floats(0.0, 1.05), st.floats(0.0, 40.0), REFERENCES, OFFSETS)
def test_beer_comes_back_from_its_reading(original_sg, gone, temp_c, ref_temp_c, offset_sg):
    gravity_sg = original_sg - gone * (original_sg - 1.0)
    shown = hydrometer.reading_sg_beer(gravity_sg, temp_c, original_sg, ref_temp_c, offset_sg)
    back = hydrometer.true_sg_beer(shown, temp_c, original_sg, ref_temp_c, offset_sg)
    assert back == pytest.approx(gravity_sg, abs=1e-10)


@given(WORT, st.floats(0.0, 59.0))
def test_a_warmer_sample_never_shows_more_above_ten_degrees(gravity_sg, temp_c):
    warm = max(temp_c, 10.0)
    assert hydrometer.reading_sg(gravity_sg, warm + 1.0) < hydrometer.reading_sg(gravity_sg, warm)


@given(WORT)
def test_at_its_own_temperature_a_true_hydrometer_shows_the_gravity(gravity_sg):
    assert hydrometer.reading_sg(gravity_sg, 20.0) == pytest.approx(gravity_sg, abs=1e-12)


def test_an_offset_is_taken_off_the_reading():
    assert hydrometer.true_sg(1.052, 20.0, offset_sg=0.002) == pytest.approx(1.050, abs=1e-12)


def test_water_shows_one_at_the_scales_temperature_on_any_scale():
    assert hydrometer.reading_sg(1.0, [15.0, 15.5556, 27.0], [15.0, 15.5556, 27.0]) == pytest.approx(1.0, abs=1e-12)


def test_beer_that_has_not_fermented_is_read_as_wort():
    temps = np.linspace(0.0, 40.0, 9)
    as_wort = hydrometer.reading_sg(1.045, temps)
    assert hydrometer.reading_sg_beer(1.045, temps, 1.045) == pytest.approx(as_wort, abs=2e-6)
    assert hydrometer.reading_sg_beer(1.045, temps, 1.0445) == pytest.approx(as_wort, abs=2e-6)


def test_beer_needs_a_little_more_correction_than_sugar_water():
    wort, beer = hydrometer.true_sg(1.010, 30.0), hydrometer.true_sg_beer(1.010, 30.0, 1.048)
    assert 0.0001 < beer - wort < 0.0003


@given(st.floats(1.0, 1.02), st.floats(0.0, 40.0), st.floats(1.03, 1.10))
def test_a_wrong_original_gravity_hardly_matters(reading_sg, temp_c, original_sg):
    one, other = hydrometer.true_sg_beer(reading_sg, temp_c, [original_sg, original_sg + 0.010])
    assert abs(one - other) < 0.0005


def test_outside_its_range_a_reading_means_nothing():
    assert np.isnan(
        hydrometer.true_sg([1.3, 1.05, 1.05, 1.05, 0.90], [20.0, 61.0, 20.0, np.nan, 20.0], [20, 20, 5, 20, 20])
    ).all()
    assert np.isnan(hydrometer.true_sg_beer(1.01, [41.0, 20.0], [1.05, 1.2])).all()
    assert np.isnan(hydrometer.true_sg(1.05, 20.0, offset_sg=0.5))


def test_readings_broadcast():
    shape = hydrometer.true_sg(np.full((3, 1), 1.04), np.array([10.0, 20.0, 30.0, 40.0])).shape
    assert shape == (3, 4)
    assert isinstance(hydrometer.true_sg(1.04, 20), np.float64)


@given(st.lists(st.tuples(st.floats(0.99, 1.12), st.floats(0.0, 40.0)), min_size=2, max_size=6))
def test_what_a_reading_means_does_not_hang_on_those_asked_for_beside_it(pairs):
    shown, temps = np.array(pairs).T
    together = hydrometer.true_sg_beer(shown, temps, 1.05)
    alone = [float(hydrometer.true_sg_beer(reading, temp, 1.05)) for reading, temp in pairs]
    assert together == pytest.approx(alone, abs=1e-15, nan_ok=True)
