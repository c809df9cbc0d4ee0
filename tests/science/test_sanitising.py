"""Sanitisers: dose and strength are one another's inverse, and what must never meet is known in either order."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook import sources
from gylebook.errors import NotFound
from gylebook.science import sanitising


@given(st.floats(1.0, 1000.0), st.floats(0.5, 100.0), st.floats(1.0, 15.0))
def test_the_dose_gives_the_strength(ppm, water_l, percent):
    dose = sanitising.dose_ml(ppm, water_l, percent)
    assert sanitising.strength_ppm(dose, water_l, percent) == pytest.approx(ppm)


@pytest.mark.parametrize("pair", sanitising.NEVER_MIX)
def test_what_must_never_meet_must_not_in_either_order(pair):
    assert sanitising.never_mix(*pair)
    assert sanitising.never_mix(*reversed(pair))


def test_an_unknown_pair_is_not_said_to_be_forbidden():
    assert not sanitising.never_mix("chlorine", "water")


@pytest.mark.parametrize("condition", sanitising.CONDITIONS)
def test_every_condition_has_a_source_a_time_and_a_strength_in_order(condition):
    sources.get(condition.source)
    assert condition.seconds > 0
    if condition.ppm:
        assert 0 < condition.ppm[0] <= condition.ppm[1] <= sanitising.CHLORINE_CEILING_PPM


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"), [(55, 12.8), (68, 20.0), (75, 23.9), (100, 37.8), (120, 48.9), (171, 77.2)]
)
def test_printed_fahrenheit_is_turned_rightly(fahrenheit, celsius):
    assert (fahrenheit - 32) / 1.8 == pytest.approx(celsius, abs=0.05)
    assert celsius in {condition.least_temp_c for condition in sanitising.CONDITIONS}


def test_strong_bleach_by_the_spoon_passes_the_ceiling_for_draining_without_a_rinse():
    assert sanitising.strength_ppm(15.0, 3.785, 9.0) > sanitising.CHLORINE_CEILING_PPM


def test_an_unknown_sulphite_is_refused_with_a_sentence():
    with pytest.raises(NotFound, match=r"^No sulphite is called lithium_sulphite; choose one of .*\.$"):
        sanitising.sulphur_dioxide_ppm(1.0, 1.0, "lithium_sulphite")
