"""Attenuation: apparent, real, and of what was mixed."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.science import attenuation
from gylebook.science.constants import LACTOSE_APPARENT_ATTENUATION, SUGAR_APPARENT_ATTENUATION

ORIGINALS = st.floats(1.02, 1.099)


@given(ORIGINALS, st.floats(0.0, 1.15))
def test_attenuation_comes_back_from_the_final_gravity(original_sg, attenuated):
    final_sg = attenuation.final_gravity_sg(original_sg, attenuated)
    assert attenuation.apparent_attenuation(original_sg, final_sg) == pytest.approx(attenuated, abs=1e-9)


@given(ORIGINALS, st.floats(0.0, 1.0))
def test_real_attenuation_comes_back_from_the_apparent_one(original_sg, share):
    apparent = attenuation.apparent_from_real_attenuation(original_sg, share)
    final_sg = attenuation.final_gravity_sg(original_sg, apparent)
    assert attenuation.real_attenuation(original_sg, final_sg) == pytest.approx(share, abs=1e-8)


@given(ORIGINALS, st.floats(0.05, 1.1))
def test_real_attenuation_is_about_four_fifths_of_the_apparent_one(original_sg, attenuated):
    final_sg = attenuation.final_gravity_sg(original_sg, attenuated)
    assert 0.78 < attenuation.real_attenuation(original_sg, final_sg) / attenuated < 0.83


def test_a_sugar_that_ferments_fully_attenuates_by_a_fifth_more_than_all():
    shown = attenuation.apparent_from_real_attenuation([1.02, 1.05, 1.09], 1.0)
    assert shown == pytest.approx(SUGAR_APPARENT_ATTENUATION, abs=0.04)


@given(st.floats(1.03, 1.07), st.floats(0.0, 0.5), st.floats(0.45, 0.65))
def test_blending_apparent_attenuations_is_blending_real_ones_to_a_hundredth(original_sg, sugar_share, malt_real):
    shares = np.array([1.0 - sugar_share, sugar_share])
    real = np.array([malt_real, 1.0])
    apparent = attenuation.apparent_from_real_attenuation(original_sg, real)
    exact = attenuation.apparent_from_real_attenuation(original_sg, (shares * real).sum())
    assert attenuation.blended_apparent_attenuation(shares, apparent) == pytest.approx(exact, abs=0.01)


def test_lactose_keeps_the_final_gravity_up():
    plain = attenuation.blended_apparent_attenuation([2000.0, 0.0], [0.75, LACTOSE_APPARENT_ATTENUATION])
    sweet = attenuation.blended_apparent_attenuation([2000.0, 400.0], [0.75, LACTOSE_APPARENT_ATTENUATION])
    assert plain == pytest.approx(0.75)
    assert sweet == pytest.approx(0.625)


def test_many_make_ups_are_blended_at_once():
    blended = attenuation.blended_apparent_attenuation([[1.0, 1.0], [1.0, 0.0]], [0.7, 1.2])
    assert blended == pytest.approx([0.95, 0.7])


@pytest.mark.parametrize("weights", [[0.0, 0.0], [-1.0, 2.0], [np.nan, 1.0]])
def test_a_make_up_without_extract_has_no_attenuation(weights):
    assert np.isnan(attenuation.blended_apparent_attenuation(weights, [0.7, 1.2]))


def test_water_does_not_attenuate():
    assert np.isnan(attenuation.apparent_attenuation(1.0, 1.0))
    assert np.isnan(attenuation.real_attenuation(1.0, 1.0))
    assert np.isnan(attenuation.apparent_attenuation(1.04, 1.05))


def test_the_real_degree_of_fermentation_lies_a_little_above_the_real_attenuation():
    degree = attenuation.real_degree_of_fermentation(1.05, 1.01)
    assert 0.005 < degree - attenuation.real_attenuation(1.05, 1.01) < 0.03
