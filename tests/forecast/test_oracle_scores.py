"""Coverage on simulated batches, of forecasters that know the truth or nothing."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest
from forecast.batches import make
from forecast.oracle_scores import READINGS, days_read, figures, oracle_coverage, own_prior_coverage, report

from gylebook.forecast.answers import Spread
from gylebook.forecast.evidence import Evidence, Reading


def narrow(value):
    return Spread(value, 0.0, *[value - 1e-9] * 2, value, *[value + 1e-9] * 2)


def answer(final, now, left, end, unsafe):
    spreads = {"final_sg": final, "now_sg": now, "co2_left_g_per_l": left, "end_day": end}
    return SimpleNamespace(stories={}, unsafe=unsafe, **{name: narrow(value) for name, value in spreads.items()})


class Knowing:
    """Is told the batches beforehand, and tells the truth, or the truth and a point more."""

    def __init__(self, count, seed, kind, more_sg=0.0):
        self.batches = iter(make(count, seed, kind, stalls=0.0))
        self.more_sg = more_sg
        self.seen = []

    def __call__(self, evidence):
        self.seen.append(evidence)
        batch, day = next(self.batches), evidence.now_day
        left = batch.co2_left_g_per_l(day)
        return answer(batch.final_sg + self.more_sg, batch.gravity(day), left, batch.done_day, 0.0)


def test_one_who_knows_the_truth_covers_everything():
    found = oracle_coverage("gee", 6, 3, misread=False, forecaster=Knowing(6, 3, "gee"))
    assert all(each.inside50 == each.inside90 == 1.0 for each in found.coverage.values())
    assert found.rmse_sg == pytest.approx(0.0, abs=1e-12)
    assert found.ratio == pytest.approx(0.0, abs=1e-9)


def test_one_who_is_a_point_off_is_found_out_beside_the_curve():
    found = oracle_coverage("gee", 6, 3, misread=False, forecaster=Knowing(6, 3, "gee", more_sg=0.001))
    assert found.coverage["final_sg"].inside90 == 0.0
    assert found.coverage["final_sg"].rmse == pytest.approx(0.001, rel=1e-5)
    assert found.rmse_sg == pytest.approx(0.001, rel=1e-5)
    assert 0 < found.fitted <= 6


def test_an_open_gate_before_the_end_is_counted_as_danger():
    found = oracle_coverage("toro", 8, 3, misread=False, forecaster=Knowing(8, 3, "toro"))
    assert found.opened == 8
    unready = [
        not batch.ready(days_read(np.random.default_rng((3, batch.number, 7)))[-1])
        for batch in make(8, 3, "toro", stalls=0.0)
    ]
    assert found.unsafe == sum(unready)


def test_a_misread_reading_is_the_only_thing_that_differs():
    clean, wrong = Knowing(5, 3, "gee"), Knowing(5, 3, "gee")
    oracle_coverage("gee", 5, 3, misread=False, forecaster=clean)
    oracle_coverage("gee", 5, 3, misread=True, forecaster=wrong)
    for one, other in zip(clean.seen, wrong.seen, strict=True):
        differ = [a.gravity_sg != b.gravity_sg for a, b in zip(one.readings, other.readings, strict=True)]
        assert sum(differ) == 1
        assert not differ[0]


def test_readings_are_three_to_eight_with_the_wort_and_rise_in_time():
    found = [days_read(np.random.default_rng(seed)) for seed in range(200)]
    assert {len(each) + 1 for each in found} == set(range(READINGS[0], READINGS[1] + 1))
    assert all(np.all(np.diff(each) >= 0.98) and each[0] >= 2.0 for each in found)


def test_draws_of_an_own_prior_are_scored_by_name():
    def simulate(chance):
        truth = SimpleNamespace(final_sg=1.010, now_sg=1.012, co2_left_g_per_l=float(chance.random()), end_day=math.inf)
        return truth, Evidence((Reading(4.0, 1.012, 0.001),), 4.0)

    found = own_prior_coverage(simulate, 20, 1, lambda _: answer(1.010, 1.013, 2.0, math.inf, 0.5))
    assert found["final_sg"].inside90 == 1.0
    assert found["now_sg"].inside90 == 0.0
    assert found["co2_left_g_per_l"].ranks[0] == 1.0
    assert found["end_day"].inside50 == 1.0


def test_the_report_and_the_figures_tell_clean_and_misread():
    clean, wrong = (
        oracle_coverage("gee", 6, 3, misread=each, forecaster=Knowing(6, 3, "gee", more_sg=0.001))
        for each in (False, True)
    )
    assert next(report(wrong)) == "gee, one reading misread"
    told = {each.name: each for each in figures(clean, wrong)}
    assert told["forecast.gee_clean_outside_90"].value == pytest.approx(100.0)
    assert not told["forecast.gee_clean_outside_90"].ok
    assert told["forecast.gee_width_growth"].value == pytest.approx(1.0, abs=1e-3)
