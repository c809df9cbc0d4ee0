"""Colour scales and words."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.science import colour


@given(st.floats(0.0, 200.0))
def test_one_scale_comes_back_from_the_other(colour_srm):
    assert colour.srm_from_ebc(colour.ebc_from_srm(colour_srm)) == pytest.approx(colour_srm)


def test_the_rule_for_grain_ends_at_fifty():
    assert colour.morey_srm(167.0) == pytest.approx(50.0, abs=0.1)
    assert np.isnan(colour.morey_srm(170.0))


def test_words_run_from_straw_to_black():
    assert list(colour.colour_word([0.0, 8.0, 15.0, 25.0, 45.0, 120.0])) == [
        "straw",
        "gold",
        "amber",
        "copper",
        "brown",
        "black",
    ]


def test_no_colour_has_no_word():
    assert str(colour.colour_word(np.nan)) == ""
    assert str(colour.colour_word(-1.0)) == ""
