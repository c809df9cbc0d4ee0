"""Mixing extract and water: what goes one way comes back the other, and nothing is lost on the way."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from gylebook.science import dilution, extract

GRAVITIES = st.floats(1.002, 1.149)
VOLUMES = st.floats(1.0, 200.0)


@given(GRAVITIES, VOLUMES)
def test_the_extract_for_a_gravity_gives_that_gravity(gravity_sg, volume_l):
    solids_g = dilution.solids_for_gravity_g(gravity_sg, volume_l)
    assert dilution.original_gravity_sg(solids_g, volume_l) == pytest.approx(gravity_sg, abs=1e-10)
    assert dilution.volume_for_gravity_l(gravity_sg, solids_g) == pytest.approx(volume_l, rel=1e-10)


@given(GRAVITIES, VOLUMES, st.floats(0.0, 50.0))
def test_dilution_keeps_the_extract(gravity_sg, volume_l, added_water_l):
    after_sg = dilution.dilute_gravity_sg(gravity_sg, volume_l, added_water_l)
    after_l = dilution.diluted_volume_l(gravity_sg, volume_l, added_water_l)
    before_g = dilution.solids_for_gravity_g(gravity_sg, volume_l)
    assert dilution.solids_for_gravity_g(after_sg, after_l) == pytest.approx(before_g, rel=1e-9)
    assert after_l == pytest.approx(volume_l + added_water_l, rel=3e-3)


@given(st.floats(1.03, 1.149), st.floats(1.0, 60.0), st.floats(1.002, 1.03))
def test_the_water_to_reach_a_gravity_reaches_it(gravity_sg, volume_l, target_sg):
    water_l = dilution.water_to_reach_l(gravity_sg, volume_l, target_sg)
    assert dilution.dilute_gravity_sg(gravity_sg, volume_l, water_l) == pytest.approx(target_sg, abs=1e-9)


@given(st.floats(1.0, 1.04), VOLUMES, st.floats(1.04, 1.1), st.floats(0.75, 1.0))
def test_the_extract_to_reach_a_gravity_reaches_it(gravity_sg, volume_l, target_sg, solids_fraction):
    added_g = dilution.extract_to_reach_g(gravity_sg, volume_l, target_sg, solids_fraction)
    mass_g = 1000.0 * volume_l * extract.true_density_kg_m3(gravity_sg) / 1000.0 + added_g
    solids_g = dilution.solids_for_gravity_g(gravity_sg, volume_l) + added_g * solids_fraction
    assert extract.sg_from_plato(100.0 * solids_g / mass_g) == pytest.approx(target_sg, abs=1e-9)


@given(st.floats(100.0, 5000.0), st.floats(0.7, 1.0), st.floats(12.0, 60.0))
def test_the_water_needed_makes_the_volume(mass_g, solids_fraction, volume_l):
    water_l = dilution.water_needed_l([mass_g], [solids_fraction], volume_l)
    assert dilution.made_up_volume_l([mass_g], [solids_fraction], water_l) == pytest.approx(volume_l, rel=1e-9)


def test_the_gravity_agrees_with_a_root_found_apart_by_scipy():
    for solids_g, volume_l in ((2360.0, 23.0), (2880.0, 20.0), (7000.0, 20.0)):
        plato = brentq(
            lambda p, c=solids_g / volume_l: p / 100 * extract.sucrose_density_kg_m3(p / 100, 20.0) - c, 0.0, 40.0
        )
        assert dilution.original_gravity_sg(solids_g, volume_l) == pytest.approx(
            float(extract.sg_from_plato(plato)), abs=6e-5
        )


def test_adding_23_litres_where_making_up_to_23_was_meant_thins_the_wort():
    volume_l = dilution.made_up_volume_l([1700.0, 1000.0], [0.8, 1.0], 23.0)
    assert volume_l == pytest.approx(24.8, abs=0.05)
    assert dilution.original_gravity_sg(2360.0, volume_l) < dilution.original_gravity_sg(2360.0, 23.0) - 0.0025


def test_water_alone_has_gravity_one():
    assert dilution.original_gravity_sg(0.0, 23.0) == pytest.approx(1.0, abs=1e-12)
    assert dilution.water_needed_l([0.0], [0.8], 23.0) == pytest.approx(23.0, rel=1e-12)


def test_the_wrong_way_round_is_refused_with_nan():
    assert np.isnan(dilution.water_to_reach_l(1.040, 20.0, 1.045))
    assert np.isnan(dilution.extract_to_reach_g(1.045, 20.0, 1.040, 0.95))
    assert np.isnan(dilution.original_gravity_sg(20000.0, 20.0))
    assert np.isnan(dilution.water_needed_l([3000.0], [0.8], 2.0))


def test_ingredients_are_added_along_the_last_axis_and_batches_kept_apart():
    masses = [[1700.0, 1000.0], [3000.0, 0.0]]
    assert dilution.extract_solids_g(masses, [0.8, 1.0]) == pytest.approx([2360.0, 2400.0])
    assert dilution.water_needed_l(masses, [0.8, 1.0], [23.0, 23.0]).shape == (2,)


def test_the_interval_of_gravity_widens_with_each_doubt_and_holds_both_ends():
    known = {"mass_g": [1700.0, 1000.0], "solids_best": [0.8, 1.0], "volume_l": 23.0}
    sure = dilution.gravity_interval_sg(**known, solids_low=[0.8, 1.0], solids_high=[0.8, 1.0], volume_error_l=0.0)
    doubt = dilution.gravity_interval_sg(**known, solids_low=[0.78, 1.0], solids_high=[0.82, 1.0], volume_error_l=0.0)
    more = dilution.gravity_interval_sg(**known, solids_low=[0.78, 1.0], solids_high=[0.82, 1.0], volume_error_l=0.5)
    assert sure.low == sure.best == sure.high
    assert more.low < doubt.low < doubt.best < doubt.high < more.high
    worst = dilution.original_gravity_sg(1700.0 * 0.82 + 1000.0, 23.0)
    assert doubt.high == pytest.approx(float(worst), abs=2e-6)


def test_an_interval_whose_solids_are_out_of_order_is_nan():
    answer = dilution.gravity_interval_sg([3000.0], [0.9], [0.8], [0.82], volume_l=23.0, volume_error_l=0.5)
    assert np.isnan(answer).all()
