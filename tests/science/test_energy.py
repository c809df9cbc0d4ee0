"""Food energy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.science import energy


@given(st.floats(1.02, 1.1), st.floats(0.0, 1.0))
def test_fermenting_takes_little_energy_out_of_the_wort(original_sg, gone):
    wort = energy.energy_kcal_per_100ml(original_sg, original_sg)
    beer = energy.energy_kcal_per_100ml(original_sg, original_sg - gone * (original_sg - 1.0))
    assert 0.85 < beer / wort < 1.02


def test_an_ordinary_beer_has_about_forty_kilocalories_in_a_hundred_millilitres():
    assert 38.0 < energy.energy_kcal_per_100ml(1.045, 1.010) < 44.0
    ratio = energy.energy_kj_per_100ml(1.045, 1.010) / energy.energy_kcal_per_100ml(1.045, 1.010)
    assert ratio == pytest.approx(4.184)


def test_water_has_no_energy_and_nonsense_none_to_tell():
    assert energy.energy_kcal_per_100ml(1.0, 1.0) == 0.0
    assert np.isnan(energy.energy_kcal_per_100ml(1.04, 1.05))
    assert np.isnan(energy.energy_kcal_per_100g(-1.0, 3.0))
