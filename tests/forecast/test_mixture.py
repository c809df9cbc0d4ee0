"""Mixtures of normals: quantiles, tails, thinning, and the posterior's parts."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.stats import norm

from gylebook.forecast.evidence import Evidence, Hops, Reading
from gylebook.forecast.likelihood import Sheet
from gylebook.forecast.mixture import (
    AT,
    STORIES,
    chance_above,
    parts_of,
    quantiles,
    resampled,
    spread_of,
    take,
    thinned,
)
from gylebook.forecast.priors import families
from gylebook.forecast.sampler import again, begin


def points(spread):
    return np.array([spread.q05, spread.q25, spread.q50, spread.q75, spread.q95])


def exact_points(mean, sd, weight):
    return [brentq(lambda x, p=p: weight @ norm.cdf(x, mean, sd) - p, -50, 50) for p in AT]


def random_mixture(count, seed=1):
    rng = np.random.default_rng(seed)
    weight = rng.exponential(size=count)
    return rng.normal(0, 2, count), rng.uniform(0.1, 1.5, count), weight / weight.sum()


def test_one_normal_in_many_pieces_has_its_own_moments_and_quantiles():
    found = spread_of(np.full(2000, 1.5), np.full(2000, 0.7), np.full(2000, 1 / 2000))
    assert (found.mean, found.sd) == (pytest.approx(1.5), pytest.approx(0.7))
    assert points(found) == pytest.approx(norm.ppf(AT, 1.5, 0.7), abs=0.01)


def test_moments_of_a_mixture_are_exact():
    mean, sd, weight = random_mixture(50)
    found = spread_of(mean, sd, weight)
    middle = weight @ mean
    assert found.mean == pytest.approx(middle)
    assert found.sd**2 == pytest.approx(weight @ (sd**2 + mean**2) - middle**2)


def test_quantiles_of_a_mixture_are_those_of_its_distribution():
    mean, sd, weight = random_mixture(3000, seed=4)
    assert points(spread_of(mean, sd, weight)) == pytest.approx(exact_points(mean, sd, weight), abs=0.05)


def test_two_heaps_far_apart_keep_their_quantiles_in_the_heaps():
    mean = np.repeat([0.0, 10.0], 1000)
    found = spread_of(mean, np.full(2000, 0.1), np.repeat([0.7, 0.3], 1000) / 1000)
    assert points(found) == pytest.approx(exact_points(np.array([0.0, 10.0]), 0.1, np.array([0.7, 0.3])), abs=0.02)


def test_a_spread_without_width_is_a_point():
    found = spread_of(np.full(10, 3.0), np.zeros(10), np.full(10, 0.1))
    assert points(found) == pytest.approx(np.full(5, 3.0), abs=1e-7)
    assert found.sd < 1e-8


def test_quantiles_of_equal_weights_are_those_of_a_count():
    x = np.random.default_rng(2).permutation(np.arange(1000.0))
    assert quantiles(x, np.full(1000, 0.001), AT) == pytest.approx(1000 * np.array(AT), abs=1.0)


def test_quantiles_beyond_the_finite_mass_are_infinite():
    x = np.concatenate([np.arange(60.0), np.full(40, np.inf)])
    found = quantiles(x, np.full(100, 0.01), AT)
    assert found[:3] == pytest.approx([5.0, 25.0, 50.0], abs=1.0)
    assert np.isinf(found[3:]).all()


def test_quantiles_of_nothing_but_infinity_are_infinite():
    assert np.isinf(quantiles(np.full(3, np.inf), np.full(3, 1 / 3), AT)).all()


def test_heavier_values_draw_the_quantiles_to_them():
    x = np.array([0.0, 1.0, 2.0])
    assert quantiles(x, np.array([0.01, 0.01, 0.98]), (0.5,))[0] > quantiles(x, np.array([0.98, 0.01, 0.01]), (0.5,))[0]


@given(
    limit=st.floats(-5, 5),
    parts=st.lists(st.tuples(st.floats(-3, 3), st.floats(0.05, 2), st.floats(0.01, 1)), min_size=1, max_size=8),
)
def test_the_chance_above_a_limit_is_the_sum_of_normal_tails(limit, parts):
    mean, sd, weight = (np.array(column) for column in zip(*parts, strict=True))
    weight /= weight.sum()
    assert chance_above(limit, mean, sd, weight) == pytest.approx(weight @ norm.sf(limit, mean, sd), abs=1e-12)


def test_a_small_chance_is_a_tail_and_not_a_count():
    found = chance_above(5.0, np.zeros(4), np.ones(4), np.full(4, 0.25))
    assert found == pytest.approx(norm.sf(5), rel=1e-9)


def test_without_width_the_chance_above_is_a_share():
    assert chance_above(0.5, np.array([0.0, 1.0]), np.zeros(2), np.array([0.3, 0.7])) == pytest.approx(0.7)


@given(seed=st.integers(0, 10_000), count=st.integers(1, 400), kept=st.integers(5, 300), heavy=st.floats(0, 6))
def test_thinning_keeps_the_total_but_for_less_than_half_a_place(seed, count, kept, heavy):
    weight = np.exp(heavy * np.random.default_rng(seed).normal(size=count))
    weight /= weight.sum()
    places, found = thinned(weight, kept)
    # What is lost weighs less than one ten-millionth a piece, or all together less than half a place.
    assert 1 - 0.5 / kept - 1e-7 * count <= found.sum() <= 1 + 1e-9
    assert len(places) == len(found)
    assert (found > 0).all()
    assert len(places) <= max(2 * kept, 1)


def test_thinning_leaves_heavy_draws_as_they_are_and_the_rest_alike():
    rng = np.random.default_rng(6)
    weight = np.exp(3 * rng.normal(size=3000))
    weight /= weight.sum()
    places, found = thinned(weight, 400)
    heavy = weight[places] >= 1 / 400
    assert found[heavy] == pytest.approx(weight[places[heavy]])
    assert set(np.flatnonzero(weight >= 1 / 400)) <= set(places)
    assert np.ptp(found[~heavy]) < 1e-12
    assert len(places) < len(weight)


def test_thinning_favours_no_side():
    """Over many scatterings of the same weights the mean of any value stays what it was."""
    off, spread = [], []
    for seed in range(80):
        rng = np.random.default_rng(seed)
        weight = np.exp(2 * rng.normal(size=1500))
        weight /= weight.sum()
        value = rng.normal(size=1500)
        places, found = thinned(weight, 200)
        off.append(found @ value[places] - weight @ value)
        spread.append((found**2).sum())
    assert abs(np.mean(off)) < 4 * np.std(off) / len(off) ** 0.5
    assert np.std(off) < np.mean(spread) ** 0.5  # no more noise than drawing afresh makes


def test_thinning_drops_what_weighs_less_than_half_a_place_together():
    weight = np.append(0.999, np.full(10, 1e-4))
    assert list(thinned(weight, 400)[0]) == [0]
    assert thinned(weight, 2000)[1].sum() == pytest.approx(1.0)


def test_few_weights_are_all_kept():
    weight = np.array([0.5, 0.3, 0.2])
    places, found = thinned(weight, 1000)
    assert list(places) == [0, 1, 2]
    assert found == pytest.approx(weight)


def test_places_are_drawn_in_proportion_to_weight():
    weight = np.array([0.1, 0.0, 0.6, 0.3])
    assert np.bincount(resampled(weight, 1000), minlength=4) == pytest.approx(1000 * weight, abs=1)
    assert np.bincount(resampled(5 * weight, 10), minlength=4) == pytest.approx(10 * weight, abs=1)


# Of a brew

BEER = tuple(Reading(day, sg, 0.001) for day, sg in ((0.0, 1.042), (3.0, 1.021), (6.0, 1.012), (9.0, 1.0105)))


def parts(evidence):
    sheet = Sheet(evidence)
    pools = [begin(family, sheet) for family in families(evidence)]
    for pool in pools:
        again(pool, sheet)
    return (pools, sheet, *parts_of(pools, sheet))


EVIDENCES = {
    "nothing": Evidence((), 3.0),
    "beer": Evidence(BEER, 9.0),
    "hops": Evidence(BEER, 9.0, hops=Hops(8.0, 4.0)),
    "one reading that is off": Evidence((*BEER, Reading(10.0, 1.030, 0.001)), 10.0),
}


@pytest.mark.parametrize("name", EVIDENCES)
def test_the_weights_of_all_parts_add_to_one_and_each_component_is_a_normal(name):
    _, sheet, found, wrong = parts(EVIDENCES[name])
    assert sum(part.weight.sum() for part in found) == pytest.approx(1.0, abs=1e-12)
    for part in found:
        assert (part.weight > 0).all()
        assert (part.var_og > 0).all()
        assert (part.var_fall > 0).all()
        assert (part.cov**2 <= part.var_og * part.var_fall * (1 + 1e-9)).all()
        assert part.nearest >= 0
        assert set(part.story) <= set(range(len(STORIES)))
        assert part.of.max() < len(part.drawn.shape.pace)
    assert len(wrong) == len(sheet.days)
    assert ((wrong >= 0) & (wrong <= 1 + 1e-9)).all()


def test_the_parts_hold_the_families_shares():
    """What is thinned away and left out as rare is a small share of the whole."""
    pools, _, found, _ = parts(EVIDENCES["beer"])
    evidence = [np.exp(pool.log_weight).mean() for pool in pools]
    shares = np.array(evidence) / sum(evidence)
    assert [part.weight.sum() for part in found] == pytest.approx(shares, abs=0.005)


def test_the_reading_that_is_off_is_the_one_that_is_doubted():
    _, _, _, wrong = parts(EVIDENCES["one reading that is off"])
    assert wrong[-1] > 0.9
    assert (wrong[:-1] < 0.3).all()


def test_taking_draws_takes_what_hops_free_too():
    _, _, found, _ = parts(EVIDENCES["hops"])
    woken = next(part for part in found if part.drawn.creep_sg is not None)
    chosen = np.array([2, 0])
    some = take(woken.drawn, chosen)
    assert some.creep_sg == pytest.approx(woken.drawn.creep_sg[chosen])
    assert some.creep_pace == pytest.approx(woken.drawn.creep_pace[chosen])
    assert some.shape.pace == pytest.approx(woken.drawn.shape.pace[chosen])
    bare = next(part for part in found if part.drawn.creep_sg is None)
    assert take(bare.drawn, chosen).creep_sg is None
