"""Carbon dioxide as a gas and in plain water: what beer's carbonation is measured against."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from gylebook.science._arrays import Numbers, fence, only_where, polynomial
from gylebook.science.water import density_kg_m3

# Standard atmosphere [bar].
# Source: unit_definitions
ATMOSPHERE_BAR: Final = 1.01325
# One volume: the gas that fills a litre at 0 degC and one standard atmosphere [g/L].
# Source: co2_reference_gas
CO2_G_PER_L_PER_VOLUME: Final = 1.97681
# Source: molar_masses
CO2_G_PER_MOL: Final = 44.0095
WATER_G_PER_MOL: Final = 18.01528

# Gas constant [cm3 bar/(mol K)], exact in SI.
GAS_CONSTANT: Final = 83.14462618
KELVIN: Final = 273.15

# Second virial coefficient [cm3/mol] in powers of degC: least squares on seven values from 0 to 60 degC of the
# reference equation of state, which it meets within 0.011 cm3/mol.
_VIRIAL = (-150.294, 1.2496498, -6.927641e-3, 2.442518e-5)
# Carroll 1991: ln(H/MPa) in powers of 1/T.
_CARROLL = (-6.8346, 1.2817e4, -3.7668e6, 2.997e8)


def second_virial_cm3_per_mol(temp_c: ArrayLike) -> Numbers:
    """Second virial coefficient: by how much carbon dioxide falls short of an ideal gas.

    Parameters
    ----------
    temp_c : array_like, shape (...)
        Temperature [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Second virial coefficient [cm3/mol].

    Range: 0 <= temp_c <= 60; NaN outside.
    Source: co2_reference_gas
    """
    t, inside = fence(temp_c, 0.0, 60.0)
    return only_where(inside, polynomial(_VIRIAL, t))


def gas_density_g_per_l(pressure_abs_bar: ArrayLike, temp_c: ArrayLike) -> Numbers:
    """Density of carbon dioxide gas with its second virial coefficient.

    Parameters
    ----------
    pressure_abs_bar : array_like, shape (...)
        Absolute (not gauge) partial pressure of the gas [bar].
    temp_c : array_like, shape (...)
        Temperature [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Density [g/L].

    Range: 0 <= pressure_abs_bar <= 20, 0 <= temp_c <= 60; NaN outside. Within 0.3 % to 8 bar.
    Source: co2_reference_gas, molar_masses
    """
    p, inside_p = fence(pressure_abs_bar, 0.0, 20.0)
    t, inside_t = fence(temp_c, 0.0, 60.0)
    mol_per_cm3 = p / (GAS_CONSTANT * (t + KELVIN))
    compressed = mol_per_cm3 / (1.0 + polynomial(_VIRIAL, t) * mol_per_cm3)
    return only_where(inside_p & inside_t, compressed * CO2_G_PER_MOL * 1000.0)


def gas_volume_l(co2_g: ArrayLike, temp_c: ArrayLike) -> Numbers:
    """Room that carbon dioxide takes at one standard atmosphere.

    Parameters
    ----------
    co2_g : array_like, shape (...)
        Carbon dioxide [g].
    temp_c : array_like, shape (...)
        Temperature of the gas [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Volume [L].

    Range: co2_g >= 0, 0 <= temp_c <= 60; NaN outside.
    Source: co2_reference_gas, molar_masses
    """
    mass, inside = fence(co2_g, 0.0, 1e9)
    return only_where(inside, mass / gas_density_g_per_l(ATMOSPHERE_BAR, temp_c))


def vapour_pressure_bar(temp_c: ArrayLike) -> Numbers:
    """Pressure of water vapour over water, by Magnus' form.

    Parameters
    ----------
    temp_c : array_like, shape (...)
        Temperature [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Absolute pressure [bar].

    Range: 0 <= temp_c <= 60; NaN outside. Within 0.5 % of IAPWS-IF97.
    Source: magnus_form
    """
    t, inside = fence(temp_c, 0.0, 60.0)
    return only_where(inside, 6.112e-3 * np.exp(17.62 * t / (243.12 + t)))


def henry_mpa(temp_c: ArrayLike) -> Numbers:
    """Henry's constant of carbon dioxide in water: pressure over mole fraction.

    Parameters
    ----------
    temp_c : array_like, shape (...)
        Temperature [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Henry's constant [MPa].

    Range: 0 <= temp_c <= 159, pressures below 1 MPa; NaN outside. Other measurements differ by up to 4 %.
    Source: carroll_1991
    """
    t, inside = fence(temp_c, 0.0, 159.0)
    return only_where(inside, np.exp(polynomial(_CARROLL, 1.0 / (t + KELVIN))))


def water_co2_g_per_l(pressure_bar: ArrayLike, temp_c: ArrayLike) -> Numbers:
    """Carbon dioxide that water holds in balance with the moist gas above it.

    Parameters
    ----------
    pressure_bar : array_like, shape (...)
        Gauge pressure, counted from one standard atmosphere [bar].
    temp_c : array_like, shape (...)
        Temperature [degC].

    Returns
    -------
    float or ndarray, shape (...)
        Carbon dioxide dissolved [g/L].

    Range: 0 <= pressure_bar <= 8.9, 0 <= temp_c <= 60; NaN outside. Other measurements differ by up to 4 %.
    Source: carroll_1991, co2_reference_gas, molar_masses, magnus_form
    """
    gauge, inside_p = fence(pressure_bar, 0.0, 8.9)
    t, inside_t = fence(temp_c, 0.0, 60.0)
    partial = gauge + ATMOSPHERE_BAR - vapour_pressure_bar(t)
    fugacity = partial * np.exp(polynomial(_VIRIAL, t) * partial / (GAS_CONSTANT * (t + KELVIN)))
    mole_fraction = fugacity / 10.0 / henry_mpa(t)
    per_mole_of_water = CO2_G_PER_MOL * mole_fraction / (1.0 - mole_fraction)
    return only_where(inside_p & inside_t, per_mole_of_water / WATER_G_PER_MOL * density_kg_m3(t))


def ambient_pressure_bar(altitude_m: ArrayLike) -> Numbers:
    """Pressure of the air at an altitude in the standard atmosphere; weather moves it by 0.03 bar either way.

    Parameters
    ----------
    altitude_m : array_like, shape (...)
        Height above sea level [m].

    Returns
    -------
    float or ndarray, shape (...)
        Absolute pressure [bar].

    Range: -400 <= altitude_m <= 5000; NaN outside.
    Source: standard_atmosphere
    """
    height, inside = fence(altitude_m, -400.0, 5000.0)
    return only_where(inside, ATMOSPHERE_BAR * (1.0 - 2.25577e-5 * height) ** 5.25588)
