"""Density of water, held against two general reference libraries."""

from __future__ import annotations

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from iapws import IAPWS95

from gylebook.science import water


@pytest.mark.parametrize("temp_c", [0.01, 4.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0])
def test_water_agrees_with_iapws_95_where_brewers_measure(temp_c):
    assert water.density_kg_m3(temp_c) == pytest.approx(IAPWS95(T=temp_c + 273.15, P=0.101325).rho, abs=0.0012)


@pytest.mark.parametrize("temp_c", [41.0, 60.0, 80.0, 95.0, 99.0])
def test_hot_water_agrees_with_iapws_95(temp_c):
    assert water.density_kg_m3(temp_c) == pytest.approx(IAPWS95(T=temp_c + 273.15, P=0.101325).rho, abs=0.006)


def test_water_agrees_with_a_second_library():
    temps = np.linspace(0.1, 40.0, 50)
    other = PropsSI("D", "T", temps + 273.15, "P", 101325.0, "Water")
    assert np.abs(water.density_kg_m3(temps) - other).max() < 0.0012


def test_the_step_at_40_degrees_is_as_stated_and_downward():
    step = water.density_kg_m3(40.0 + 1e-9) - water.density_kg_m3(40.0)
    assert step == pytest.approx(-0.0033, abs=1e-4)


def test_water_is_densest_at_four_degrees_and_thins_from_there():
    temps = np.arange(0.0, 100.01, 0.25)
    density = water.density_kg_m3(temps)
    assert temps[np.argmax(density)] == pytest.approx(4.0, abs=0.25)
    assert (np.diff(density[temps >= 4.0]) < 0).all()


def test_the_kell_form_has_its_maximum_at_four_degrees():
    temps = np.linspace(0.0, 10.0, 1001)
    assert temps[np.argmax(water.kell_form_density_kg_m3(temps))] == pytest.approx(3.98, abs=0.05)
