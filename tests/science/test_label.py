"""Strength on a label."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.science import label


@given(st.integers(0, 1000))
def test_a_strength_with_one_decimal_stays_as_it_is(tenths):
    assert label.round_down_one_decimal(tenths / 10) == pytest.approx(tenths / 10, abs=1e-12)


@given(st.floats(0.0, 100.0))
def test_rounding_down_never_rounds_up_and_loses_less_than_a_tenth(abv):
    rounded = label.round_down_one_decimal(abv)
    assert rounded <= abv + 1e-6
    assert abv - rounded < 0.1


def test_figures_that_no_label_bears_have_no_tolerance():
    assert np.isnan(label.tolerance_eu([1.2, -1.0, 101.0])).all()
    assert np.isnan(label.tolerance_us([0.4, 101.0])).all()
    assert np.isnan(label.alcohol_units_uk(5.0, -1.0))
    assert np.isnan(label.round_down_one_decimal(-0.1))
