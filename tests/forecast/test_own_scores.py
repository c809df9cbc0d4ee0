"""Scores of the own prior: ends that never come, and the sum's own account."""

from __future__ import annotations

import math

import numpy as np
import pytest
from forecast.own_scores import QUANTITIES, Scored, covered, figures, inside, scores

from gylebook.forecast.answers import Spread

ENDLESS = Spread(0.0, 1.0, 1.0, 2.0, 3.0, math.inf, math.inf)


def test_a_finite_truth_lies_inside_or_outside():
    spread = Spread(0.0, 1.0, 1.0, 2.0, 3.0, 4.0, 5.0)
    assert [inside(truth, spread, 50) for truth in (1.5, 2.0, 3.5, 4.5)] == [0.0, 1.0, 1.0, 0.0]
    assert [inside(truth, spread, 90) for truth in (0.5, 1.5, 4.5, 5.5)] == [0.0, 1.0, 1.0, 0.0]


def test_an_end_that_never_comes_lies_inside_by_the_share_that_the_interval_holds_of_it():
    assert inside(math.inf, ENDLESS, 90, never=0.4) == pytest.approx(0.35 / 0.4)
    assert inside(math.inf, ENDLESS, 50, never=0.4) == pytest.approx(0.15 / 0.4)
    assert inside(math.inf, ENDLESS, 50, never=0.2) == 0.0
    assert inside(math.inf, ENDLESS, 90, never=1.0) == pytest.approx(0.90)


def test_one_that_was_held_impossible_lies_outside():
    assert inside(math.inf, Spread(0.0, 1.0, 1.0, 2.0, 3.0, 4.0, 5.0), 90, never=0.0) == 0.0


def test_a_forecaster_that_is_right_about_never_is_covered_as_it_says():
    chance = np.random.default_rng(1)
    never = 0.3
    q = -np.log1p(-np.array([0.05, 0.25, 0.50]) / (1.0 - never))
    spread = Spread(0.0, 1.0, *q, math.inf, math.inf)
    truths = np.where(chance.random(20_000) < never, math.inf, chance.exponential(size=20_000))
    found = [Scored({"end_day": (truth, spread)}, never, 500.0, False) for truth in truths]
    assert covered(found, "end_day", 50) == pytest.approx(0.5, abs=0.01)
    assert covered(found, "end_day", 90) == pytest.approx(0.9, abs=0.01)


def invented(effective, longer):
    spread = Spread(0.0, 1.0, 1.0, 2.0, 3.0, 4.0, 5.0)
    return Scored(dict.fromkeys(QUANTITIES, (3.0, spread)), 0.0, effective, longer)


def test_figures_tell_how_far_off_and_how_few_draws():
    found = [invented(399.0, True), invented(800.0, False)]
    told = {each.name: each for each in figures(found)}
    assert told["forecast.own_prior_final_sg_90_off"].value == pytest.approx(0.1)
    assert not told["forecast.own_prior_end_day_50_off"].ok
    assert told["forecast.own_prior_below_400_effective"].value == 1
    assert not told["forecast.own_prior_below_400_effective"].ok
    assert told["forecast.own_prior_longer_runs"].value == 50.0
    assert all(each.limit is None for each in figures(found, "other", limited=False))


@pytest.mark.parametrize("hops", [False, True])
def test_a_batch_is_the_same_whatever_part_it_is_in(hops):
    whole, parted = scores(4, 5, 1, hops=hops, size=4), scores(4, 5, 1, hops=hops, size=1)
    assert [each.pairs for each in whole] == [each.pairs for each in parted]
    assert all(0.0 <= each.never <= 1.0 and each.effective > 0 for each in whole)
