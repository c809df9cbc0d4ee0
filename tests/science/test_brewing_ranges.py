"""What every sum of mixing, heat, gas, hops, yeast and bottles promises: arrays broadcast, nonsense gives NaN quietly."""

from __future__ import annotations

import inspect

import numpy as np
import pytest

from gylebook.science import (
    bitterness,
    bottle_limits,
    carbon_dioxide,
    carbonation,
    colour,
    conditioning,
    cooling,
    dilution,
    glass,
    heat,
    hops,
    priming,
    room_air,
    sanitising,
    yeast,
)

MODULES = (
    bitterness,
    bottle_limits,
    carbon_dioxide,
    carbonation,
    colour,
    conditioning,
    cooling,
    dilution,
    glass,
    heat,
    hops,
    priming,
    room_air,
    sanitising,
    yeast,
)
# One ordinary set of arguments for each function, by name.
ORDINARY = {
    bitterness.scaled_bitterness_ibu: {"leaflet_ibu": 30.0, "leaflet_volume_l": 23.0, "volume_l": 20.0},
    bottle_limits.most_volumes: {"limit_bar": 4.0, "temp_c": 25.0, "headspace_fraction": 0.04, "trapped_air_bar": 0.4},
    bottle_limits.warmest_temp_c: {
        "total_volumes": 3.2,
        "limit_bar": 4.0,
        "headspace_fraction": 0.04,
        "trapped_air_bar": 0.1,
    },
    bottle_limits.volumes_after_vent: {"total_volumes": 3.2, "temp_c": 5.0, "headspace_fraction": 0.04},
    carbon_dioxide.second_virial_cm3_per_mol: {"temp_c": 18.0},
    carbon_dioxide.gas_density_g_per_l: {"pressure_abs_bar": 3.0, "temp_c": 18.0},
    carbon_dioxide.gas_volume_l: {"co2_g": 700.0, "temp_c": 18.0},
    carbon_dioxide.vapour_pressure_bar: {"temp_c": 18.0},
    carbon_dioxide.henry_mpa: {"temp_c": 18.0},
    carbon_dioxide.water_co2_g_per_l: {"pressure_bar": 1.0, "temp_c": 18.0},
    carbon_dioxide.ambient_pressure_bar: {"altitude_m": 500.0},
    carbonation.volumes_from_g_per_l: {"co2_g_per_l": 5.0},
    carbonation.g_per_l_from_volumes: {"volumes": 2.4},
    carbonation.equilibrium_volumes: {"pressure_bar": 1.0, "temp_c": 18.0},
    carbonation.equilibrium_volumes_interval: {"pressure_bar": 1.0, "temp_c": 18.0},
    carbonation.residual_volumes: {"highest_temp_c": 20.0},
    carbonation.residual_volumes_interval: {"highest_temp_c": 20.0},
    carbonation.co2_from_gravity_drop_g_per_l: {"sg_from": 1.04, "sg_to": 1.01},
    carbonation.gauge_pressure_bar: {
        "total_volumes": 2.4,
        "temp_c": 20.0,
        "headspace_fraction": 0.04,
        "ambient_bar": 1.0,
        "trapped_air_bar": 0.1,
    },
    carbonation.gauge_pressure_interval_bar: {
        "total_volumes": 2.4,
        "temp_c": 20.0,
        "headspace_fraction": 0.04,
        "ambient_bar": 1.0,
        "trapped_air_bar": 0.1,
    },
    colour.ebc_from_srm: {"colour_srm": 10.0},
    colour.srm_from_ebc: {"colour_ebc": 20.0},
    colour.scaled_colour_ebc: {"leaflet_ebc": 20.0, "leaflet_volume_l": 23.0, "volume_l": 20.0},
    colour.malt_colour_units: {"grain_kg": 0.2, "grain_lovibond": 60.0, "volume_l": 20.0},
    colour.morey_srm: {"malt_colour": 10.0},
    conditioning.days_at_20c: {"days": 10.0, "temp_c": 18.0},
    conditioning.carbonation_fraction: {"days": 10.0, "temp_c": 18.0},
    conditioning.carbonation_days: {"fraction": 0.9, "temp_c": 18.0},
    conditioning.chance_carbonated: {"fraction": 0.9, "age_days": 14.0},
    conditioning.stall_temp_c: {"level": 0.5},
    cooling.temp_after_c: {"start_temp_c": 28.0, "surroundings_temp_c": 18.0, "time_constant_h": 8.0, "elapsed_h": 4.0},
    cooling.cooling_time_h: {
        "start_temp_c": 28.0,
        "target_temp_c": 20.0,
        "surroundings_temp_c": 18.0,
        "time_constant_h": 8.0,
    },
    cooling.time_constant_h: {"start_temp_c": 28.0, "end_temp_c": 22.0, "surroundings_temp_c": 18.0, "elapsed_h": 8.0},
    cooling.time_constant_estimate_h: {"volume_l": 23.0},
    cooling.adiabatic_rise_k: {"extract_plato": 10.0, "real_attenuation": 0.65},
    cooling.rise_above_room_k: {"extract_rate_g_per_l_h": 1.5, "time_constant_h": 8.0},
    dilution.original_gravity_sg: {"solids_g": 2360.0, "volume_l": 23.0},
    dilution.solids_for_gravity_g: {"gravity_sg": 1.04, "volume_l": 23.0},
    dilution.volume_for_gravity_l: {"gravity_sg": 1.04, "solids_g": 2360.0},
    dilution.dilute_gravity_sg: {"gravity_sg": 1.04, "volume_l": 23.0, "added_water_l": 2.0},
    dilution.diluted_volume_l: {"gravity_sg": 1.04, "volume_l": 23.0, "added_water_l": 2.0},
    dilution.water_to_reach_l: {"gravity_sg": 1.045, "volume_l": 20.0, "target_sg": 1.04},
    dilution.extract_to_reach_g: {"gravity_sg": 1.037, "volume_l": 25.0, "target_sg": 1.04, "solids_fraction": 0.96},
    dilution.points_left_in_can: {"left_g": 75.0, "solids_fraction": 0.8, "solids_g": 2360.0, "volume_l": 23.0},
    dilution.water_needed_l: {"mass_g": 3000.0, "solids_fraction": 0.8, "volume_l": 23.0},
    dilution.made_up_volume_l: {"mass_g": 3000.0, "solids_fraction": 0.8, "water_l": 21.0},
    dilution.extract_solids_g: {"mass_g": 3000.0, "solids_fraction": 0.8},
    dilution.gravity_interval_sg: {
        "mass_g": 3000.0,
        "solids_low": 0.78,
        "solids_best": 0.8,
        "solids_high": 0.82,
        "volume_l": 23.0,
        "volume_error_l": 0.5,
    },
    glass.wash_factor: {"washes": 10.0},
    glass.pressure_limit_bar: {"kind": "returnable_500", "washes": 10.0},
    glass.headspace_fraction: {"gap_cm": 4.0, "neck_inside_cm": 2.0, "brimful_ml": 520.0},
    glass.headspace_when_warm: {"headspace_at_20c": 0.04, "temp_c": 30.0},
    heat.solution_specific_heat_j_per_kg_k: {"mass_fraction": 0.1, "temp_c": 20.0, "purity": 1.0},
    heat.mixed_temp_c: {
        "mass_kg": 20.0,
        "specific_heat_j_per_kg_k": 4184.0,
        "temp_c": 25.0,
        "ice_kg": 1.0,
        "vessel_heat_j_per_k": 2000.0,
        "vessel_temp_c": 18.0,
    },
    heat.water_temp_needed_c: {
        "mass_kg": 5.0,
        "specific_heat_j_per_kg_k": 4184.0,
        "temp_c": 60.0,
        "water_l": 17.0,
        "target_temp_c": 20.0,
    },
    hops.dose_g_per_l: {"hops_g": 100.0, "volume_l": 20.0},
    hops.beer_lost_l: {"hops_g": 100.0},
    hops.hop_creep_plato: {"hop_dose_g_per_l": 5.0, "days": 5.0, "temp_c": 18.0},
    hops.hop_creep_co2_g_per_l: {"hop_dose_g_per_l": 5.0, "days": 5.0, "temp_c": 18.0},
    hops.hop_creep_points: {"hop_dose_g_per_l": 5.0, "days": 5.0, "temp_c": 18.0},
    hops.isomerisation_rate_per_min: {"temp_c": 100.0},
    hops.iso_alpha_loss_rate_per_min: {"temp_c": 100.0},
    hops.isomerised_fraction: {"boil_min": 30.0, "temp_c": 100.0},
    priming.co2_from_sugar_g: {"sugar_mass_g": 120.0, "sugar": "sucrose"},
    priming.volumes_from_sugar: {"sugar_mass_g": 120.0, "volume_l": 20.0, "sugar": "honey"},
    priming.sugar_g: {
        "volume_l": 20.0,
        "target_volumes": 2.4,
        "residual_volumes": 0.9,
        "still_to_come_volumes": 0.1,
        "sugar": "glucose_monohydrate",
    },
    priming.customary_sugar_g: {
        "volume_l": 20.0,
        "target_volumes": 2.4,
        "residual_volumes": 0.9,
        "still_to_come_volumes": 0.1,
        "sugar": "sucrose",
    },
    priming.dose_per_bottle_g: {"sugar_mass_g": 120.0, "volume_l": 20.0, "bottle_l": 0.5},
    priming.batch_from_doses_g: {"dose_g": 2.5, "bottles": 36.0},
    priming.level_teaspoons: {"sugar_mass_g": 3.0, "sugar": "sucrose"},
    room_air.co2_evolved_g: {"volume_l": 23.0, "sg_from": 1.04, "sg_to": 1.01},
    room_air.sealed_room_ppm: {"co2_g": 700.0, "room_m3": 30.0},
    room_air.room_ppm: {"co2_l_per_h": 10.0, "room_m3": 30.0, "air_changes_per_h": 0.2, "elapsed_h": 5.0},
    sanitising.dose_ml: {"strength_ppm": 50.0, "water_l": 10.0, "product_percent": 5.0},
    sanitising.strength_ppm: {"product_ml": 10.0, "water_l": 10.0, "product_percent": 5.0},
    sanitising.sulphur_dioxide_ppm: {"sulphite_g": 1.0, "water_l": 10.0, "salt": "potassium_metabisulphite"},
    yeast.dose_g_per_l: {"yeast_g": 11.5, "volume_l": 23.0},
    yeast.yeast_needed_g: {"volume_l": 23.0, "kind": "ale"},
    yeast.sachets_needed: {"yeast_g": 11.5, "sachet_g": 7.0, "viability": 0.9},
    yeast.viability: {"age_months": 12.0, "storage_temp_c": 20.0},
    yeast.cells_million_per_ml_plato: {"live_g_per_l": 0.5, "extract_plato": 10.0},
    yeast.lag_h: {"temp_c": 19.0, "live_g_per_l": 0.5},
}
# These answer otherwise than with numbers for numbers, and have tests of their own.
APART = {
    colour.colour_word,
    glass.size_is_fit,
    glass.bottles_filled,
    heat.boiling_water_for_target,
    sanitising.never_mix,
}
ENDLESS = {(room_air.room_ppm, "elapsed_h")}  # forever is an answer there
LARGE = {  # a million is credible there
    (carbon_dioxide.gas_volume_l, "co2_g"),
    (carbonation.g_per_l_from_volumes, "volumes"),
    (dilution.extract_solids_g, "mass_g"),
    (dilution.volume_for_gravity_l, "solids_g"),
    (hops.beer_lost_l, "hops_g"),
    (hops.dose_g_per_l, "hops_g"),
    (heat.mixed_temp_c, "vessel_heat_j_per_k"),
    (priming.batch_from_doses_g, "bottles"),
    (priming.co2_from_sugar_g, "sugar_mass_g"),
    (priming.dose_per_bottle_g, "sugar_mass_g"),
    (priming.level_teaspoons, "sugar_mass_g"),
    (priming.volumes_from_sugar, "sugar_mass_g"),
    (room_air.room_ppm, "elapsed_h"),
    (room_air.room_ppm, "room_m3"),
    (room_air.sealed_room_ppm, "room_m3"),
    (sanitising.strength_ppm, "product_ml"),
    (sanitising.sulphur_dioxide_ppm, "sulphite_g"),
    (yeast.dose_g_per_l, "yeast_g"),
    (yeast.sachets_needed, "yeast_g"),
}
# Their last axis runs over ingredients, so columns would be added up.
OVER_INGREDIENTS = {
    dilution.extract_solids_g,
    dilution.gravity_interval_sg,
    dilution.made_up_volume_l,
    dilution.water_needed_l,
    heat.mixed_temp_c,
    heat.water_temp_needed_c,
}
NONSENSE = (np.nan, np.inf, -np.inf, -1e6, 1e6)


def name(function):
    return f"{function.__module__.rpartition('.')[2]}.{function.__name__}"


def numbers(answer):
    """The answer as a tuple of numbers: one, or the three of an interval."""
    return tuple(answer) if isinstance(answer, tuple) else (answer,)


def test_no_function_is_forgotten():
    own = {
        function
        for module in MODULES
        for word, function in vars(module).items()
        if inspect.isfunction(function) and function.__module__ == module.__name__ and not word.startswith("_")
    }
    assert own == set(ORDINARY) | APART


@pytest.mark.parametrize("function", ORDINARY, ids=name)
def test_a_scalar_gives_a_float(function):
    for number in numbers(function(**ORDINARY[function])):
        assert isinstance(number, np.float64)
        assert np.isfinite(number)


@pytest.mark.parametrize("function", ORDINARY, ids=name)
def test_an_interval_is_in_order(function):
    answer = numbers(function(**ORDINARY[function]))
    assert list(answer) == sorted(answer)


@pytest.mark.parametrize("function", [each for each in ORDINARY if each not in OVER_INGREDIENTS], ids=name)
def test_arrays_broadcast_and_give_what_scalars_give(function):
    arguments = ORDINARY[function]
    first = next(word for word, value in arguments.items() if not isinstance(value, str))
    columns = {
        word: value if isinstance(value, str) else np.full((3, 1) if word == first else (1, 4), value)
        for word, value in arguments.items()
    }
    shape = (3, 4) if sum(not isinstance(value, str) for value in arguments.values()) > 1 else (3, 1)
    for wide, single in zip(numbers(function(**columns)), numbers(function(**arguments)), strict=True):
        assert wide.shape == shape
        assert wide == pytest.approx(single, rel=1e-12)


@pytest.mark.parametrize("function", ORDINARY, ids=name)
@pytest.mark.parametrize("nonsense", NONSENSE)
def test_nonsense_in_any_place_gives_nan_and_no_warning(function, nonsense):
    for word, value in ORDINARY[function].items():
        place = (function, word)
        if isinstance(value, str) or (nonsense == np.inf and place in ENDLESS) or (nonsense == 1e6 and place in LARGE):
            continue
        answer = numbers(function(**{**ORDINARY[function], word: nonsense}))
        assert np.isnan(answer).all(), f"{word} as {nonsense} gives {answer}"
