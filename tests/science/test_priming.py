"""Priming sugar: molar masses, the way back, and the slips that brewers make."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.errors import NotFound
from gylebook.science import priming

SUGARS = st.sampled_from(sorted(priming.PRIMING_SUGARS))


@given(st.floats(1.0, 60.0), st.floats(1.5, 4.0), st.floats(0.5, 1.4), SUGARS)
def test_the_sugar_for_a_carbonation_gives_that_carbonation(volume_l, target, residual, sugar):
    mass = priming.sugar_g(volume_l, target, residual, 0.0, sugar)
    assert mass.low <= mass.best <= mass.high
    assert priming.volumes_from_sugar(mass.best, volume_l, sugar).best == pytest.approx(target - residual, rel=1e-9)
    assert priming.volumes_from_sugar(mass.low, volume_l, sugar).high == pytest.approx(target - residual, rel=1e-9)


def test_what_is_still_to_come_is_taken_off_and_never_below_nothing():
    assert priming.sugar_g(20.0, 2.4, 0.9, 0.5, "sucrose").best < priming.sugar_g(20.0, 2.4, 0.9, 0.0, "sucrose").best
    assert priming.sugar_g(20.0, 2.4, 0.9, 2.5, "sucrose") == (0.0, 0.0, 0.0)
    assert priming.customary_sugar_g(20.0, 2.4, 0.9, 2.5, "sucrose") == 0.0


def test_the_printed_rule_is_four_per_cent_generous():
    ratio = (
        priming.customary_sugar_g(20.0, 2.4, 0.9, 0.0, "sucrose") / priming.sugar_g(20.0, 2.4, 0.9, 0.0, "sucrose").best
    )
    assert ratio == pytest.approx(1.04, abs=0.002)


def test_glucose_with_its_water_takes_a_sixth_more_than_table_sugar():
    ratio = (
        priming.sugar_g(20.0, 2.4, 0.9, 0.0, "glucose_monohydrate").best
        / priming.sugar_g(20.0, 2.4, 0.9, 0.0, "sucrose").best
    )
    assert ratio == pytest.approx(1.158, abs=0.001)


@pytest.mark.parametrize(
    ("sugar", "molar_mass", "molecules"),
    [("glucose_anhydrous", 180.156, 2), ("sucrose", 342.297, 4), ("glucose_monohydrate", 198.171, 2)],
)
def test_each_hexose_gives_two_molecules_of_carbon_dioxide(sugar, molar_mass, molecules):
    assert priming.co2_from_sugar_g(molar_mass, sugar).best / 44.0095 == pytest.approx(molecules, rel=1e-5)


def test_dried_malt_extract_takes_the_trades_five_and_a_half_to_seven_grams_a_volume():
    mass = priming.sugar_g(1.0, 1.0, 0.0, 0.0, "dried_malt_extract")
    assert mass.low == pytest.approx(5.5, abs=0.05)
    assert mass.best == pytest.approx(5.9, abs=0.1)


def test_half_a_level_spoon_in_a_pint_makes_a_british_ale():
    added = priming.volumes_from_sugar([2.0, 2.5], 0.568, "sucrose").best
    assert added == pytest.approx([0.9, 1.15], abs=0.03)
    found = priming.level_teaspoons(2.1, "sucrose")
    assert found.best == pytest.approx(0.5)
    assert priming.level_teaspoons(2.5, "sucrose").low == pytest.approx(0.5)  # the leaflets' heaviest half spoon
    assert found.low < found.best < found.high


def test_sugar_whose_spoon_is_not_known_gives_no_spoons():
    assert np.isnan(priming.level_teaspoons(3.0, "honey")).all()


def test_an_unknown_sugar_is_refused_with_a_sentence_that_names_the_known_ones():
    with pytest.raises(NotFound, match=r"^No priming sugar is called stevia; choose one of sucrose, .*\.$"):
        priming.sugar_g(20.0, 2.4, 0.9, 0.0, "stevia")


def test_a_bottle_larger_than_the_batch_gets_no_dose():
    assert np.isnan(priming.dose_per_bottle_g(90.0, 18.0, 20.0))
