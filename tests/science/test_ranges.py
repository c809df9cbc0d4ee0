"""What every sum on gravities promises: arrays broadcast, scalars give a float, nonsense gives NaN without a warning."""

from __future__ import annotations

import inspect

import numpy as np
import pytest

from gylebook.science import alcohol, attenuation, energy, extract, hydrometer, label, water

# One ordinary set of arguments for each function.
ORDINARY = {
    water.density_kg_m3: (18.0,),
    water.kell_form_density_kg_m3: (18.0,),
    extract.sucrose_density_kg_m3: (0.1, 18.0),
    extract.sg_from_plato: (10.0,),
    extract.plato_from_sg: (1.04,),
    extract.true_density_kg_m3: (1.04,),
    extract.extract_g_per_l: (1.04,),
    extract.sg_from_extract_g_per_l: (100.0,),
    extract.points: (1.04,),
    hydrometer.reading_sg: (1.04, 18.0, 20.0, 0.001),
    hydrometer.true_sg: (1.04, 18.0, 20.0, 0.001),
    hydrometer.reading_sg_beer: (1.01, 18.0, 1.04, 20.0, 0.001),
    hydrometer.true_sg_beer: (1.01, 18.0, 1.04, 20.0, 0.001),
    alcohol.ethanol_water_density_kg_m3: (0.05, 18.0),
    alcohol.abv_from_mass_fraction: (0.05,),
    alcohol.mass_fraction_from_abv: (5.0,),
    alcohol.alcohol_by_mass: (1.04, 1.01),
    alcohol.alcohol_by_volume: (1.04, 1.01),
    alcohol.real_extract_plato: (1.04, 1.01),
    alcohol.abv_customary: (1.04, 1.01),
    alcohol.abv_balling_08192: (1.04, 1.01),
    alcohol.abv_uk_duty: (1.04, 1.01),
    alcohol.abv_added_by_priming: (6.0,),
    attenuation.apparent_attenuation: (1.04, 1.01),
    attenuation.real_attenuation: (1.04, 1.01),
    attenuation.real_degree_of_fermentation: (1.04, 1.01),
    attenuation.apparent_from_real_attenuation: (1.04, 0.6),
    attenuation.final_gravity_sg: (1.04, 0.75),
    energy.energy_kcal_per_100g: (4.0, 4.0),
    energy.energy_kcal_per_100ml: (1.04, 1.01),
    energy.energy_kj_per_100ml: (1.04, 1.01),
    label.alcohol_units_uk: (4.0, 0.5),
    label.round_down_one_decimal: (4.56,),
    label.tolerance_eu: (4.5,),
    label.tolerance_us: (4.5,),
}
# These answer otherwise than with one number for one set of arguments, and have tests of their own.
APART = {alcohol.abv_interval, attenuation.blended_apparent_attenuation}
NONSENSE = (np.nan, np.inf, -np.inf, -1e6, 1e6)


def name(function):
    return function.__name__


def test_no_function_is_forgotten():
    own = {
        function
        for module in (alcohol, attenuation, energy, extract, hydrometer, label, water)
        for word, function in vars(module).items()
        if inspect.isfunction(function) and function.__module__ == module.__name__ and not word.startswith("_")
    }
    assert own == set(ORDINARY) | APART


@pytest.mark.parametrize("function", ORDINARY, ids=name)
def test_a_scalar_gives_a_float(function):
    answer = function(*ORDINARY[function])
    assert isinstance(answer, np.float64)
    assert np.isfinite(answer)


@pytest.mark.parametrize("function", ORDINARY, ids=name)
def test_arrays_broadcast_and_give_what_scalars_give(function):
    arguments = ORDINARY[function]
    columns = [np.full((3, 1), arguments[0]), *(np.full((1, 4), argument) for argument in arguments[1:])]
    answer = function(*columns)
    assert answer.shape == ((3, 4) if len(arguments) > 1 else (3, 1))
    assert answer == pytest.approx(function(*arguments), rel=1e-12)


@pytest.mark.parametrize("function", ORDINARY, ids=name)
@pytest.mark.parametrize("nonsense", NONSENSE)
def test_nonsense_in_any_place_gives_nan_and_no_warning(function, nonsense):
    arguments = ORDINARY[function]
    for place in range(len(arguments)):
        spoilt = [*arguments[:place], nonsense, *arguments[place + 1 :]]
        assert np.isnan(function(*spoilt)), f"argument {place + 1} as {nonsense}"


@pytest.mark.parametrize("nonsense", NONSENSE)
def test_nonsense_spoils_an_interval_whole(nonsense):
    for spoilt in ((nonsense, 1.01), (1.04, nonsense), (1.04, 1.01, nonsense), (1.04, 1.01, 0.001, nonsense)):
        assert np.isnan(alcohol.abv_interval(*spoilt)).all()
