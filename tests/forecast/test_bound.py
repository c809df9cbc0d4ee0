"""What an ideal forecaster could reach: its chances, its gate, and the mix that its batches stand for."""

from __future__ import annotations

import numpy as np
import pytest
from forecast.bound import MADE_TO_HALT, Bound, Seen, at_gate, bounds, chances, figures, holding, seen
from forecast.mix import mixed


def stood(attenuation, unsafe, weight=None):
    """Batches of one original gravity; whatever is not unsafe is ready."""
    unsafe = np.asarray(unsafe, dtype=float)
    weight = np.ones(len(unsafe)) if weight is None else np.asarray(weight, dtype=float)
    return Seen(np.asarray(attenuation, dtype=float), np.full(len(unsafe), 1.05), unsafe, 1.0 - unsafe, weight)


def two_heaps(count=400):
    """Half stand low and are all unsafe, half stand high and are not."""
    chance = np.random.default_rng(1)
    low, high = chance.normal(0.60, 0.01, count), chance.normal(0.76, 0.01, count)
    return stood(np.concatenate([low, high]), np.repeat([1.0, 0.0], count))


def test_who_stands_among_the_unsafe_has_their_chance():
    found = chances(two_heaps())
    assert np.all(found[:400] > 0.99)
    assert np.all(found[400:] < 0.01)


def test_a_batch_does_not_tell_of_itself():
    one_unsafe = stood(np.linspace(0.75, 0.77, 41), np.arange(41) == 20)
    found = chances(one_unsafe)
    assert found[20] == 0.0
    assert found[19] > 0.0


def test_chances_go_by_what_a_batch_stands_for():
    chance = np.random.default_rng(2)
    unsafe = np.arange(1000) % 2
    even = stood(chance.normal(0.75, 0.005, 1000), unsafe)
    rare = stood(even.attenuation, unsafe, np.where(unsafe, 0.1, 1.9))
    assert np.mean(chances(even)) == pytest.approx(0.5, abs=0.05)
    assert np.mean(chances(rare)) == pytest.approx(0.05, abs=0.02)


def test_chances_are_calibrated_where_danger_rises_smoothly():
    chance = np.random.default_rng(3)
    attenuation = chance.uniform(0.65, 0.80, 3000)
    of = stood(attenuation, chance.random(3000) < np.clip((0.80 - attenuation) / 0.15, 0.0, 1.0))
    found = chances(of)
    for low, high in ((0.1, 0.3), (0.4, 0.6), (0.7, 0.9)):
        inside = (found >= low) & (found < high)
        assert of.unsafe[inside].mean() == pytest.approx(found[inside].mean(), abs=0.06)


def test_a_gate_counts_the_held_and_the_unsafe_by_weight():
    of = stood([0.1, 0.2, 0.3, 0.4], [0, 0, 1, 0], [3.0, 1.0, 2.0, 4.0])
    assert at_gate(of, np.array([0.001, 0.2, 0.005, 0.5]), 0.01) == Bound(0.01, held=5.0 / 8.0, unsafe=2.0 / 5.0)


def test_a_gate_that_lets_nothing_through_has_nothing_unsafe():
    of = stood([0.1, 0.2], [0, 1])
    assert at_gate(of, np.array([0.5, 0.5]), 0.01) == Bound(0.01, held=1.0, unsafe=0.0)


def test_a_wider_gate_holds_fewer_and_no_more_than_asked():
    chance = np.random.default_rng(4)
    attenuation = chance.uniform(0.65, 0.80, 1000)
    of = stood(attenuation, chance.random(1000) < 0.5 * np.clip((0.78 - attenuation) / 0.1, 0.0, 1.0))
    told = chances(of)
    found = [holding(of, told, share) for share in (0.5, 0.3, 0.1)]
    for share, each in zip((0.5, 0.3, 0.1), found, strict=True):
        assert share - 0.02 < each.held <= share
    assert [each.gate for each in found] == sorted(each.gate for each in found)
    assert [each.unsafe for each in found] == sorted(each.unsafe for each in found)


def test_batches_made_to_halt_stand_for_their_share_of_the_mix():
    batches = mixed(60, 5, stalls=MADE_TO_HALT)
    of = seen(batches, MADE_TO_HALT, 0.12, 5)
    halted = np.array([batch.stalled for batch in batches])
    assert np.all(of.weight[halted] == pytest.approx(0.24))
    assert np.all(of.weight[~halted] == pytest.approx(1.76))


def test_what_is_seen_lies_near_what_is_so():
    batches = mixed(60, 5, stalls=0.0)
    of = seen(batches, MADE_TO_HALT, 0.0, 5)
    true = np.array([(batch.og_sg - batch.gravity(20.0)) / (batch.og_sg - 1.0) for batch in batches])
    assert np.abs(of.attenuation - true).max() < 0.15
    assert 0.005 < np.sqrt(np.mean((of.attenuation - true) ** 2)) < 0.05
    assert not np.any(of.unsafe.astype(bool) & of.ready.astype(bool) & (true > 0.85))


def test_a_bound_is_the_same_in_any_number_of_processes_and_is_told_without_limits():
    alone, again = bounds(12, 6, 1, size=6), bounds(12, 6, 2, size=6)
    assert alone == again
    told = list(figures(*alone))
    assert [each.name for each in told] == [
        "forecast.bound_held",
        "forecast.bound_unsafe",
        "forecast.bound_unsafe_holding_few",
    ]
    assert all(each.limit is None for each in told)
