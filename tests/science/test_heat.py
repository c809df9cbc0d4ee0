"""Heat of mixing: against the laws it rests on, a root finder and the steam tables."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS97
from iapws._iapws import _Ice
from scipy.optimize import brentq

from gylebook.science import heat

WATER = heat.WATER_SPECIFIC_HEAT_J_PER_KG_K
CAN = {"mass_kg": [3.0], "specific_heat_j_per_kg_k": [2420.0], "temp_c": [35.0]}


def test_the_specific_heat_of_water_is_near_the_steam_tables_mean():
    mean = (IAPWS97(T=373.0, P=0.101325).h - IAPWS97(T=283.0, P=0.101325).h) / 90.0 * 1000
    assert mean == pytest.approx(WATER, rel=0.005)


def test_the_heat_of_melting_is_near_the_formulation_for_ice():
    melting = IAPWS97(T=273.16, P=0.101325).h - _Ice(273.15, 0.101325)["h"]
    assert melting * 1000 == pytest.approx(heat.ICE_LATENT_HEAT_J_PER_KG, rel=0.002)


@given(st.lists(st.tuples(st.floats(0.1, 50), st.floats(1500, 4200), st.floats(0, 100)), min_size=1, max_size=6))
def test_a_mixture_lies_between_its_parts(parts):
    mass, specific, temp = zip(*parts, strict=True)
    assert min(temp) - 1e-9 <= heat.mixed_temp_c(mass, specific, temp) <= max(temp) + 1e-9


@given(st.floats(0.0, 3.9), st.floats(0.01, 1.0))
def test_more_ice_is_never_warmer(ice_kg, more_kg):
    water = ([20.0], [WATER], [15.0])
    assert heat.mixed_temp_c(*water, ice_kg=ice_kg + more_kg) <= heat.mixed_temp_c(*water, ice_kg=ice_kg)


def test_ice_left_over_keeps_the_mixture_at_freezing():
    assert heat.mixed_temp_c([1.0], [WATER], [10.0], ice_kg=5.0) == 0.0


def test_nothing_has_no_temperature():
    assert np.isnan(heat.mixed_temp_c([0.0], [WATER], [10.0]))


def test_a_vessel_counts_as_a_part():
    with_part = heat.mixed_temp_c([20.0, 1.0], [WATER, 1900.0], [30.0, 18.0])
    assert heat.mixed_temp_c([20.0], [WATER], [30.0], vessel_heat_j_per_k=1900.0, vessel_temp_c=18.0) == pytest.approx(
        with_part
    )


@given(st.floats(5.0, 60.0), st.floats(5.0, 30.0), st.floats(15.0, 25.0))
def test_the_water_temperature_needed_gives_the_target(can_temp_c, water_l, target_temp_c):
    needed = heat.water_temp_needed_c([3.0], [2420.0], [can_temp_c], water_l, target_temp_c)
    if np.isfinite(needed):
        parts = ([3.0, water_l * 0.998207], [2420.0, WATER], [can_temp_c, needed])
        assert heat.mixed_temp_c(*parts) == pytest.approx(target_temp_c, abs=1e-5)


PLAN = {
    "water_l": st.floats(8.0, 40.0),
    "target_temp_c": st.floats(12.0, 30.0),
    "tap_temp_c": st.floats(6.0, 28.0),
    "least_boiling_l": st.floats(0.0, 4.0),
    "most_boiling_l": st.floats(0.0, 6.0),
    "chilled_l": st.floats(0.0, 12.0),
    "ice_kg": st.floats(0.0, 3.0),
    "vessel_heat_j_per_k": st.floats(0.0, 4000.0),
}


@given(st.fixed_dictionaries(PLAN))
def test_a_plan_uses_all_the_water_within_what_is_at_hand_and_mixes_to_the_temperature_it_says(wish):
    plan = heat.boiling_water_for_target(**CAN, **wish)
    litres = plan.boiling_l + plan.tap_l + plan.chilled_l + plan.ice_kg / 0.998207
    assert litres == pytest.approx(wish["water_l"], rel=1e-5)
    assert min(plan.boiling_l, plan.tap_l, plan.chilled_l, plan.ice_kg) >= -1e-9
    assert plan.chilled_l <= wish["chilled_l"] + 1e-9
    assert plan.ice_kg <= wish["ice_kg"] + 1e-9
    mass = [*CAN["mass_kg"], *(0.998207 * each for each in (plan.boiling_l, plan.tap_l, plan.chilled_l))]
    mixed = (
        heat.mixed_temp_c(
            mass,
            [2420.0, WATER, WATER, WATER],
            [35.0, 100.0, wish["tap_temp_c"], 4.0],
            ice_kg=plan.ice_kg,
            vessel_heat_j_per_k=wish["vessel_heat_j_per_k"],
            vessel_temp_c=20.0,
        )
        if wish["tap_temp_c"] >= 4.0
        else plan.temp_c
    )
    assert mixed == pytest.approx(plan.temp_c, abs=1e-3)


@given(st.fixed_dictionaries(PLAN))
def test_a_plan_reaches_the_target_exactly_when_it_lies_within_reach(wish):
    plan = heat.boiling_water_for_target(**CAN, **wish)
    nearest = np.clip(wish["target_temp_c"], plan.lowest_temp_c, plan.highest_temp_c)
    assert plan.temp_c == pytest.approx(nearest, abs=1e-6)
    expected = "reached" if abs(nearest - wish["target_temp_c"]) < 1e-6 else None
    expected = expected or ("too warm" if nearest > wish["target_temp_c"] else "too cold")
    assert str(plan.verdict) == expected


def test_the_boiling_water_agrees_with_a_root_found_by_scipy():
    def miss(boiling_l):
        kg = [3.0, boiling_l * 0.99820675, (20.5 - boiling_l) * 0.99820675]
        return float(heat.mixed_temp_c(kg, [2420.0, WATER, WATER], [35.0, 100.0, 10.0])) - 20.0

    plan = heat.boiling_water_for_target(**CAN, water_l=20.5, target_temp_c=20.0, tap_temp_c=10.0)
    assert plan.boiling_l == pytest.approx(brentq(miss, 0.0, 20.0), abs=1e-6)


def test_summer_tap_water_alone_is_too_warm_and_the_plan_says_how_near_it_comes():
    plan = heat.boiling_water_for_target(**CAN, water_l=20.5, target_temp_c=20.0, tap_temp_c=24.0, least_boiling_l=2.0)
    assert str(plan.verdict) == "too warm"
    assert plan.temp_c == pytest.approx(plan.lowest_temp_c)
    assert plan.boiling_l == pytest.approx(2.0)
    cooled = heat.boiling_water_for_target(
        **CAN, water_l=20.5, target_temp_c=20.0, tap_temp_c=24.0, least_boiling_l=2.0, chilled_l=12.0
    )
    assert cooled.temp_c < plan.temp_c


def test_plans_for_several_tap_temperatures_come_at_once():
    plan = heat.boiling_water_for_target(**CAN, water_l=20.5, target_temp_c=20.0, tap_temp_c=[8.0, 12.0, 24.0])
    assert plan.boiling_l.shape == (3,)
    assert list(plan.verdict) == ["reached", "reached", "too warm"]


@pytest.mark.parametrize(
    "wrong", [{"tap_temp_c": np.nan}, {"water_l": -1.0}, {"target_temp_c": 200.0}, {"chilled_temp_c": 30.0}]
)
def test_a_plan_from_nonsense_is_nan_without_a_verdict(wrong):
    wish = {"water_l": 20.5, "target_temp_c": 20.0, "tap_temp_c": 12.0, **wrong}
    plan = heat.boiling_water_for_target(**CAN, **wish)
    assert np.isnan(plan[:-1]).all()
    assert str(plan.verdict) == ""
