"""Coverage and ranks, on spreads whose coverage is known."""

from __future__ import annotations

import math

import numpy as np
import pytest
from forecast.calibration import EXPECTED, coverage, coverages

from gylebook.forecast.answers import Spread

Z05, Z25 = 1.6448536, 0.6744898  # of the bell curve


def bell(mean=0.0, sd=1.0):
    return Spread(mean, sd, mean - Z05 * sd, mean - Z25 * sd, mean, mean + Z25 * sd, mean + Z05 * sd)


def drawn(count, told_sd=1.0, seed=5):
    """Truths of a bell curve of width 1, and a spread that claims another."""
    return [(float(each), bell(sd=told_sd)) for each in np.random.default_rng(seed).normal(size=count)]


def test_honest_spreads_cover_what_they_promise():
    found = coverage(drawn(4000))
    assert found.inside50 == pytest.approx(0.50, abs=3 * found.se50)
    assert found.inside90 == pytest.approx(0.90, abs=3 * found.se90)
    assert found.ranks == pytest.approx(EXPECTED, abs=0.025)
    assert found.chi2 < 11.1


def test_spreads_half_as_wide_as_they_should_be_are_found_out():
    found = coverage(drawn(4000, told_sd=0.5))
    # Bell curve: within 0.337 and 0.822 standard deviations lie 26.4 and 58.9 %.
    assert found.inside50 == pytest.approx(0.264, abs=0.025)
    assert found.inside90 == pytest.approx(0.589, abs=0.025)
    assert found.chi2 > 100


def test_spreads_twice_as_wide_are_found_out():
    found = coverage(drawn(4000, told_sd=2.0))
    assert found.inside50 == pytest.approx(0.823, abs=0.02)
    assert found.inside90 == pytest.approx(0.999, abs=0.002)


def test_the_standard_errors_are_those_of_a_count():
    found = coverage(drawn(100))
    assert (found.se50, found.se90) == (pytest.approx(0.05), pytest.approx(0.03))


def test_ranks_tell_on_which_side_the_truth_lies():
    found = coverage([(9.0, bell())] * 3 + [(-9.0, bell())])
    assert found.ranks == (0.25, 0.0, 0.0, 0.0, 0.0, 0.75)
    assert found.inside90 == 0.0


def test_width_and_errors_are_told():
    found = coverage([(1.0, bell()), (-3.0, bell())])
    assert found.half_width == pytest.approx(Z05)
    assert found.rmse == pytest.approx(math.sqrt(5.0))
    assert found.median_error == pytest.approx(2.0)


def test_an_endless_end_holds_every_truth_above_the_rest():
    endless = Spread(math.inf, math.inf, 3.0, 4.0, 6.0, math.inf, math.inf)
    found = coverage([(5.0, endless), (math.inf, endless), (2.0, endless)])
    assert found.inside50 == pytest.approx(2 / 3)
    assert found.inside90 == pytest.approx(2 / 3)
    # Infinity ties with the two highest points: its rank is shared among the three classes above the median.
    assert found.ranks == pytest.approx((1 / 3, 0, 1 / 3, 0.25 / 0.5 / 3, 0.20 / 0.5 / 3, 0.05 / 0.5 / 3))
    assert found.half_width == math.inf


def test_a_truth_that_never_comes_lies_above_a_spread_that_ends():
    found = coverage([(math.inf, bell())])
    assert found.inside90 == 0.0
    assert found.ranks[-1] == 1.0
    assert math.isnan(found.rmse)


def test_a_truth_and_a_spread_that_both_never_come_agree():
    never = Spread(math.inf, math.nan, *[math.inf] * 5)
    found = coverage([(math.inf, never)])
    assert (found.inside50, found.inside90) == (1.0, 1.0)
    assert found.ranks == pytest.approx(EXPECTED)


@pytest.mark.parametrize(
    ("pairs", "words"),
    [
        ([], "at least one"),
        ([(math.nan, bell())], "not a number"),
        ([(0.0, Spread(0.0, 1.0, -1.0, math.nan, 0.0, 1.0, 2.0))], "not a number"),
        ([(0.0, Spread(0.0, 1.0, -1.0, 0.5, 0.0, 1.0, 2.0))], "do not rise"),
    ],
)
def test_what_cannot_be_scored_is_refused(pairs, words):
    with pytest.raises(ValueError, match=words):
        coverage(pairs)


def test_every_quantity_is_scored_by_its_name():
    found = coverages([({"a": 0.0}, {"a": bell(), "b": bell()}), ({"a": 9.0, "b": 0.0}, {"a": bell(), "b": bell()})])
    assert found["a"].count == 2
    assert found["a"].inside90 == 0.5
    assert found["b"].count == 1
