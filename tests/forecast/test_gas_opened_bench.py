"""Households that open a bottle or two: what they feel, and what the book then states."""

from __future__ import annotations

from dataclasses import replace

import bottlings_opened
import numpy as np
import pytest
from bottlings import came_of, day_of
from bottlings_opened import Felt, felt_of, score
from bottlings_scores import most_by_chance
from forecast.mix import mixed


@pytest.fixture(scope="module")
def felt() -> list[Felt]:
    return [one for batch in mixed(16, 6, hops=0.35, stalls=0.0) for one in felt_of(batch, 8)]


def test_after_opened_bottles_no_ceiling_is_passed_more_often_than_stated(felt):
    assert len(felt) > 40
    assert sum(one.past for one in felt) <= most_by_chance([one.after for one in felt])
    for low, high in ((0.0, 0.05), (0.05, 0.5), (0.5, 1.01)):
        inside = [one for one in felt if low <= one.after < high]
        assert sum(one.past for one in inside) <= most_by_chance([one.after for one in inside])


def test_what_was_felt_moves_the_chance_towards_what_came(felt):
    before, after = ([(getattr(one, name), one.past) for one in felt] for name in ("before", "after"))
    assert score(after) < score(before)
    past = [one for one in felt if one.past and one.before < 0.9]
    kept = [one for one in felt if not one.past and one.before > 0.1]
    assert np.mean([one.after - one.before for one in past]) > np.mean([one.after - one.before for one in kept])


def test_a_hand_feels_more_gas_as_more_and_only_that_gushes():
    day = replace(day_of(np.random.default_rng(2), 2), sugar="sucrose", each_bottle=False, spoon_g=0.0)
    told = {}
    for grams in (0.0, 120.0, 400.0):
        came = came_of(day, 20.0, 0.0, grams)
        flat = came_of(day, 20.0, 0.0, 0.0).average_vol * 1.97681
        seen = [
            each for seed in range(200) for each in bottlings_opened._felt(np.random.default_rng(seed), day, came, flat)
        ]
        told[grams] = (
            float(np.mean([each.fizz for each in seen])),
            float(np.mean([bool(each.gushed) for each in seen])),
        )
    fizz, gushes = zip(*told.values(), strict=True)
    assert fizz[0] < 1.2
    assert 2.0 < fizz[1] < 3.8
    assert fizz[2] > 4.5
    assert max(gushes[:2]) < 0.08
    assert gushes[2] > 0.7


def test_slips_happen_as_often_as_they_are_said_to():
    day = day_of(np.random.default_rng(2), 2)
    chance = np.random.default_rng(4)
    slipped = [bottlings_opened._slip(chance, day, 1.0, 100.0) for _ in range(4000)]
    share = np.mean([each[3] for each in slipped])
    assert share == pytest.approx(sum(each[0] for each in bottlings_opened.SLIPS), abs=0.015)
    assert all(each[:3] == (day, 1.0, 100.0) for each in slipped if not each[3])
    assert all(each[:3] != (day, 1.0, 100.0) for each in slipped if each[3])
