"""When a sample is worth taking: on heaps of draws whose future is known."""

from __future__ import annotations

import numpy as np
import pytest

from gylebook.forecast.next_reading import SHOTS, WAITS_DAYS, best

COUNT = len(WAITS_DAYS)


def flat(value):
    return np.full((COUNT, SHOTS), value)


def stepping(before, after, at_wait):
    """One value until a wait, and another from it on."""
    return np.where(np.array(WAITS_DAYS)[:, None] >= at_wait, after, before) * np.ones(SHOTS)


def test_of_beer_that_certainly_has_ended_the_first_sample_opens_the_gate():
    found = best(10.0, flat(1.010), flat(0.0))
    assert found.day == 10.0 + WAITS_DAYS[0]
    assert found.chances == (1.0,) * COUNT


def test_of_beer_that_certainly_never_ends_no_sample_is_worth_it():
    found = best(10.0, flat(1.020), flat(0.010))
    assert found.day is None
    assert found.chance == 0.0


@pytest.mark.parametrize("wait", [2.0, 5.0])
def test_of_beer_that_ends_on_a_known_day_the_sample_is_that_day(wait):
    found = best(3.0, stepping(1.020, 1.010, wait), stepping(0.010, 0.0, wait))
    assert found.day == 3.0 + wait
    assert found.chance == 1.0
    assert found.chances[0] == 0.0


def test_a_sample_tells_two_stories_apart_only_where_their_gravities_differ():
    halted = np.arange(SHOTS) % 2 == 0
    left = np.where(halted, 0.010, 0.0) * np.ones((COUNT, 1))
    apart = best(5.0, np.where(halted, 1.020, 1.010) * np.ones((COUNT, 1)), left)
    alike = best(5.0, flat(1.012), left)
    assert apart.chance == pytest.approx(0.5, abs=0.05)
    assert apart.day == 5.0 + WAITS_DAYS[0]
    assert (alike.day, alike.chance) == (None, 0.0)


def test_days_looked_at_follow_now_in_order_and_have_a_chance_each():
    found = best(7.5, flat(1.010), flat(0.0))
    assert found.days == tuple(7.5 + wait for wait in WAITS_DAYS)
    assert list(found.days) == sorted(found.days)
    assert len(found.chances) == COUNT


def test_waiting_costs_so_of_two_days_alike_the_earlier_is_chosen():
    found = best(0.0, stepping(1.030, 1.010, WAITS_DAYS[3]), stepping(0.020, 0.0, WAITS_DAYS[3]))
    assert found.chances[3] == found.chances[-1] == 1.0
    assert found.day == WAITS_DAYS[3]


def test_few_draws_will_do():
    assert best(0.0, np.full((COUNT, 3), 1.010), np.zeros((COUNT, 3))).day == WAITS_DAYS[0]
