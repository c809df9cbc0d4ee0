"""Alcohol: properties of the closure and how the customary sums stand to it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.science import alcohol, attenuation, extract

ORIGINALS = st.floats(1.02, 1.11)
GONE = st.floats(0.0, 1.1)


@given(st.floats(0.0, 100.0))
def test_strength_by_volume_comes_back_from_strength_by_mass(abv):
    assert alcohol.abv_from_mass_fraction(alcohol.mass_fraction_from_abv(abv)) == pytest.approx(abv, abs=2e-4)


@given(st.floats(0.0, 0.95))
def test_strength_by_mass_comes_back_from_strength_by_volume(mass_fraction):
    abv = alcohol.abv_from_mass_fraction(mass_fraction)
    assert alcohol.mass_fraction_from_abv(abv) == pytest.approx(mass_fraction, abs=1e-10)


@given(st.floats(1.0, 1.15))
def test_no_fall_in_gravity_is_no_alcohol(original_sg):
    assert alcohol.alcohol_by_volume(original_sg, original_sg) == pytest.approx(0.0, abs=1e-9)
    assert alcohol.real_extract_plato(original_sg, original_sg) == pytest.approx(
        extract.plato_from_sg(original_sg), abs=1e-9
    )


@given(ORIGINALS, GONE, st.floats(0.0001, 0.001))
def test_a_lower_final_gravity_is_more_alcohol_and_less_extract(original_sg, gone, more):
    final_sg = original_sg - gone * (original_sg - 1.0)
    lower = final_sg - more
    assert alcohol.alcohol_by_volume(original_sg, lower) > alcohol.alcohol_by_volume(original_sg, final_sg)
    assert alcohol.real_extract_plato(original_sg, lower) < alcohol.real_extract_plato(original_sg, final_sg)


@given(ORIGINALS, GONE)
def test_the_closure_keeps_ballings_balance(original_sg, gone):
    final_sg = original_sg - gone * (original_sg - 1.0)
    made, left = alcohol.alcohol_by_mass(original_sg, final_sg), alcohol.real_extract_plato(original_sg, final_sg)
    original = 100.0 * (2.0665 * made + left) / (100.0 + 1.0665 * made)
    assert original == pytest.approx(extract.plato_from_sg(original_sg), abs=1e-9)


@given(ORIGINALS, GONE)
def test_alcohol_makes_the_apparent_extract_smaller_than_the_real_one(original_sg, gone):
    final_sg = original_sg - gone * (original_sg - 1.0)
    assert alcohol.real_extract_plato(original_sg, final_sg) >= extract.plato_from_sg(final_sg) - 1e-9


@given(st.floats(1.035, 1.06), st.floats(0.65, 0.85))
def test_the_customary_sum_is_near_for_an_ordinary_beer(original_sg, attenuated):
    final_sg = attenuation.final_gravity_sg(original_sg, attenuated)
    closure = alcohol.alcohol_by_volume(original_sg, final_sg)
    assert alcohol.abv_customary(original_sg, final_sg) == pytest.approx(closure, abs=0.08)
    assert alcohol.abv_uk_duty(original_sg, final_sg) == pytest.approx(closure, abs=0.08)
    assert 0.03 < alcohol.abv_balling_08192(original_sg, final_sg) - closure < 0.17


def test_modern_data_put_the_real_extract_factor_near_0805():
    original, final = extract.plato_from_sg(1.050), extract.plato_from_sg(1.010)
    factor = (original - alcohol.real_extract_plato(1.050, 1.010)) / (original - final)
    assert 0.802 < factor < 0.808


def test_the_interval_is_the_formulas_own_limit_when_the_readings_are_exact():
    low, best, high = alcohol.abv_interval(1.045, 1.010)
    assert high - best == pytest.approx(0.15, abs=1e-9)
    assert best - low == pytest.approx(0.15, abs=1e-9)


@given(st.floats(0.0, 0.01), st.floats(0.0, 0.01))
def test_worse_readings_widen_the_interval(original_sd_sg, final_sd_sg):
    narrow = alcohol.abv_interval(1.045, 1.010, original_sd_sg, final_sd_sg)
    wide = alcohol.abv_interval(1.045, 1.010, original_sd_sg + 0.001, final_sd_sg)
    assert wide.high > narrow.high
    assert 0.0 <= wide.low <= narrow.low <= narrow.best


def test_the_interval_agrees_with_drawing_readings_at_random():
    draw = np.random.default_rng(20)
    drawn = alcohol.alcohol_by_volume(draw.normal(1.048, 0.001, 20_000), draw.normal(1.011, 0.0015, 20_000))
    spread = np.hypot(0.15, 1.96 * drawn.std())
    assert alcohol.abv_interval(1.048, 1.011, 0.001, 0.0015).high == pytest.approx(drawn.mean() + spread, abs=0.01)


def test_the_interval_never_reaches_below_no_alcohol():
    assert alcohol.abv_interval(1.040, 1.0399, 0.001, 0.001).low == 0.0


def test_impossible_gravities_have_no_strength():
    assert np.isnan(alcohol.alcohol_by_volume([1.04, 1.2, 0.99, 1.04, 1.02], [1.05, 1.01, 0.99, 0.97, 0.982])).all()
    assert np.isnan(alcohol.abv_uk_duty(1.15, 1.0))
    assert np.isnan(alcohol.abv_interval(1.04, 1.01, -0.001, 0.0).high)


def test_gravities_broadcast():
    abv = alcohol.alcohol_by_volume(np.full((5, 1), 1.05), np.linspace(1.0, 1.05, 7))
    assert abv.shape == (5, 7)
    assert isinstance(alcohol.alcohol_by_volume(1.05, 1.01), np.float64)
