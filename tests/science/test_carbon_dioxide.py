"""Carbon dioxide gas and its solution in water, against a reference equation of state and the steam tables."""

from __future__ import annotations

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from iapws import IAPWS97

from gylebook.science import carbon_dioxide

TEMPS_C = np.array([0.5, 4.0, 12.0, 20.0, 25.0, 33.0, 40.0, 55.0])


@pytest.mark.parametrize("temp_c", TEMPS_C)
@pytest.mark.parametrize("pressure_abs_bar", [0.2, 1.01325, 2.5, 5.0, 8.0])
def test_the_density_of_the_gas_agrees_with_the_reference_equation(temp_c, pressure_abs_bar):
    reference = PropsSI("D", "T", temp_c + 273.15, "P", pressure_abs_bar * 1e5, "CO2")
    assert carbon_dioxide.gas_density_g_per_l(pressure_abs_bar, temp_c) == pytest.approx(reference, rel=0.003)


@pytest.mark.parametrize("temp_c", TEMPS_C)
def test_the_second_virial_coefficient_agrees_with_the_reference_equation(temp_c):
    reference = PropsSI("BVIRIAL", "T", temp_c + 273.15, "Dmolar", 1e-6, "CO2") * 1e6
    assert carbon_dioxide.second_virial_cm3_per_mol(temp_c) == pytest.approx(reference, abs=0.03)


def test_one_volume_is_the_reference_density_at_freezing_and_one_atmosphere():
    reference = PropsSI("D", "T", 273.15, "P", 101325.0, "CO2")
    assert reference == pytest.approx(carbon_dioxide.CO2_G_PER_L_PER_VOLUME, abs=2e-5)


@pytest.mark.parametrize("temp_c", TEMPS_C)
def test_the_vapour_pressure_agrees_with_the_steam_tables(temp_c):
    assert carbon_dioxide.vapour_pressure_bar(temp_c) == pytest.approx(
        IAPWS97(T=temp_c + 273.15, x=0).P * 10, rel=0.005
    )


def test_colder_water_holds_more_and_more_pressure_dissolves_more():
    over_temp = carbon_dioxide.water_co2_g_per_l(1.0, np.arange(0.0, 61.0))
    over_pressure = carbon_dioxide.water_co2_g_per_l(np.arange(0.0, 8.5, 0.5), 20.0)
    assert (np.diff(over_temp) < 0).all()
    assert (np.diff(over_pressure) > 0).all()


def test_a_move_from_250_to_1900_m_takes_about_0_18_bar_off_the_air():
    low, high = carbon_dioxide.ambient_pressure_bar([250.0, 1900.0])
    assert low - high == pytest.approx(0.18, abs=0.005)
