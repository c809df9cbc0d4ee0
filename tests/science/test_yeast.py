"""Dry yeast: sachets, age and lag."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.errors import NotFound
from gylebook.science import yeast


@given(st.floats(0.1, 100.0), st.floats(1.0, 20.0), st.floats(0.05, 1.0))
def test_the_sachets_hold_enough_and_one_less_would_not(wanted_g, sachet_g, alive):
    sachets = yeast.sachets_needed(wanted_g, sachet_g, alive)
    assert sachets * sachet_g * alive >= wanted_g - 1e-6
    assert (sachets - 1) * sachet_g * alive < wanted_g


def test_an_unknown_kind_of_yeast_is_refused_with_a_sentence():
    with pytest.raises(NotFound, match=r"^No pitching rate is known for wine yeast; choose ale or lager\.$"):
        yeast.yeast_needed_g(20.0, "wine")


@given(st.floats(0.0, 100.0), st.floats(-10.0, 39.0), st.floats(0.1, 1.0))
def test_older_and_warmer_is_never_better(age_months, temp_c, more):
    fresh = np.array(yeast.viability(age_months, temp_c))
    assert (np.array(yeast.viability(age_months + more, temp_c)) <= fresh).all()
    assert (np.array(yeast.viability(age_months, temp_c + more)) <= fresh).all()


def test_fresh_yeast_is_all_alive():
    assert yeast.viability(0.0, 25.0) == (1.0, 1.0, 1.0)


def test_a_kit_sachet_starts_later_than_a_full_dose_and_warmth_hastens_it():
    assert yeast.lag_h(19.0, 0.25).best > yeast.lag_h(19.0, 0.5).best == pytest.approx(12.0)
    assert yeast.lag_h(22.0, 0.5).best < yeast.lag_h(16.0, 0.5).best


def test_the_usual_wait_of_6_to_24_hours_lies_inside_the_interval():
    low, _, high = yeast.lag_h(20.0, 0.5)
    assert low < 6.0
    assert high > 24.0


def test_sheet_rates_bracket_the_brewing_rule_of_a_million_cells():
    dose = yeast.yeast_needed_g(1.0, "ale")
    cells = yeast.cells_million_per_ml_plato(dose.high, 11.0)
    assert cells.low < 1.0 < cells.high
