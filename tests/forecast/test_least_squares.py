"""The spreadsheet's curve."""

from __future__ import annotations

import numpy as np
import pytest
from forecast.least_squares import curve, final_gravity

from gylebook.forecast.evidence import Reading

TRUE = np.array([1.046, 0.036, 2.4, 1.3])  # invented: ends at 1.010


def read(days, noise=0.0, seed=3):
    errors = np.random.default_rng(seed).normal(0.0, noise, len(days)) if noise else np.zeros(len(days))
    return [
        Reading(day, float(g + e), 0.001) for day, g, e in zip(days, curve(np.array(days), TRUE), errors, strict=True)
    ]


def test_it_finds_the_end_of_a_true_logistic_curve():
    assert final_gravity(read([0.0, 1.5, 2.5, 3.5, 5.0, 7.0])) == pytest.approx(1.010, abs=2e-5)


def test_it_finds_the_end_from_four_readings():
    assert final_gravity(read([0.0, 2.0, 3.0, 6.0])) == pytest.approx(1.010, abs=2e-4)


def test_it_stays_near_the_end_with_noisy_readings():
    found = [final_gravity(read([0.0, 2.0, 3.0, 4.0, 6.0, 8.0], 0.001, seed)) for seed in range(12)]
    usable = [each for each in found if each is not None]
    assert len(usable) >= 9
    assert np.median(np.abs(np.array(usable) - 1.010)) < 0.0012


def test_three_readings_are_too_few():
    assert final_gravity(read([0.0, 2.0, 4.0])) is None


def test_readings_that_do_not_fall_give_no_answer():
    flat = [Reading(day, 1.046, 0.001) for day in (0.0, 2.0, 4.0, 6.0)]
    assert final_gravity(flat) is None


def test_a_fall_that_shows_no_end_gives_no_final_gravity_below_the_lowest():
    steep = [Reading(day, 1.046 - 0.0155 * day, 0.001) for day in (0.0, 1.0, 2.0, 3.0, 4.2)]
    assert final_gravity(steep) is None
