"""The sampler against brute quadrature and plain draws, and against itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import logsumexp
from scipy.stats import multivariate_t, norm

from gylebook.forecast.evidence import Evidence, Hops, Known, Reading
from gylebook.forecast.likelihood import Curves, Sheet
from gylebook.forecast.priors import Family, families
from gylebook.forecast.sampler import (
    FREEDOM,
    _log_student,
    _normals,
    _points,
    _students,
    again,
    begin,
    effective,
    joined,
    log_normal,
    log_sum,
    look,
)
from gylebook.forecast.sampling import ENOUGH, LEAST, sample, together

BEER = tuple(Reading(day, sg, 0.001) for day, sg in ((0.0, 1.042), (2.0, 1.030), (5.0, 1.013), (9.0, 1.0105)))
EVIDENCE = Evidence(BEER, 9.0)


def of_one_number(evidence: Evidence, row: int) -> Family:
    """The plain family with all but one of its numbers at their middle."""
    whole = families(evidence)[0]

    def draw(z):
        full = np.zeros((whole.size, z.shape[1]))
        full[row] = z[0]
        return whole.draw(full)

    return Family("one number", 1, draw, whole.makes)


def evidence_of(pool) -> float:
    """Logarithm of the family's evidence."""
    return float(logsumexp(pool.log_weight) - np.log(len(pool.log_weight)))


def error_of(pool) -> float:
    """Standard error of that logarithm, by the spread of the weights."""
    return (1 / effective(pool.log_weight)) ** 0.5


@pytest.mark.parametrize("row", [0, 1, 2])
def test_the_evidence_of_one_number_is_that_of_quadrature(row):
    family, sheet = of_one_number(EVIDENCE, row), Sheet(EVIDENCE)
    z = np.linspace(-7, 7, 4001)
    found, _ = look(family, sheet, z[None])
    brute = logsumexp(found + norm.logpdf(z)) + np.log(z[1] - z[0])
    pool = begin(family, sheet)
    for _ in range(3):
        again(pool, sheet)
    assert evidence_of(pool) == pytest.approx(brute, abs=0.01)
    # And the number's own middle and width.
    share, grid = np.exp(pool.log_weight - pool.log_weight.max()), np.exp(found + norm.logpdf(z) - brute)
    grid /= grid.sum()
    mean, exact = share @ pool.z[0] / share.sum(), grid @ z
    width = (grid @ (z - exact) ** 2) ** 0.5
    assert mean == pytest.approx(exact, abs=0.05 * width)
    assert (share @ (pool.z[0] - mean) ** 2 / share.sum()) ** 0.5 == pytest.approx(width, rel=0.05)


@pytest.mark.parametrize("number", range(3))
def test_the_evidence_of_a_whole_family_is_that_of_many_plain_draws(number):
    few = Evidence(BEER[:2], 9.0)
    family, sheet = families(few)[number], Sheet(few)
    plain, _ = look(family, sheet, np.random.default_rng(number).normal(size=(family.size, 20_000)))
    brute = logsumexp(plain) - np.log(len(plain))
    noise = np.exp(plain - plain.max())
    brute_error = noise.std() / noise.mean() / len(noise) ** 0.5
    pool = begin(family, sheet)
    for _ in range(3):
        again(pool, sheet)
    assert evidence_of(pool) == pytest.approx(brute, abs=4 * (brute_error**2 + error_of(pool) ** 2) ** 0.5)


def test_more_rounds_raise_the_effective_sample_size():
    sheet = Sheet(EVIDENCE)
    pool = begin(families(EVIDENCE)[0], sheet)
    found = [effective(pool.log_weight)]
    for _ in range(6):
        again(pool, sheet)
        found.append(effective(pool.log_weight))
    assert found[-1] > 5 * found[0]
    assert found[-1] > found[3]
    assert pool.rounds == 7
    assert pool.z.shape[1] == len(pool.log_weight) == pool.all_curves().done.shape[1]


def test_the_first_round_is_weighed_by_the_likelihood_alone():
    pool = begin(families(EVIDENCE)[0], Sheet(EVIDENCE))
    assert pool.log_weight == pytest.approx(pool.log_sum)


def test_no_weight_exceeds_what_the_share_of_prior_draws_allows():
    sheet = Sheet(EVIDENCE)
    pool = begin(families(EVIDENCE)[0], sheet)
    for _ in range(4):
        again(pool, sheet)
    share = pool.proposals[0][0] / pool.z.shape[1]
    assert (pool.log_weight <= pool.log_sum - np.log(share) + 1e-9).all()


def test_the_same_seed_draws_the_same_and_another_seed_others():
    first, second, other = (begin(families(EVIDENCE)[0], Sheet(EVIDENCE), seed) for seed in (0, 0, 1))
    assert (first.z == second.z).all()
    assert (first.log_weight == second.log_weight).all()
    assert (first.z != other.z).any()


@pytest.mark.parametrize("evidence", [EVIDENCE, replace(EVIDENCE, hops=Hops(8.0, 4.0))], ids=["beer", "hops"])
def test_another_seed_agrees_within_its_error(evidence):
    sheet = Sheet(evidence)
    for family in families(evidence):
        pools = [begin(family, sheet, seed) for seed in (0, 1, 2)]
        for pool in pools:
            for _ in range(4):
                again(pool, sheet)
        first, *others = pools
        for pool in others:
            bound = 4 * (error_of(first) ** 2 + error_of(pool) ** 2) ** 0.5
            assert evidence_of(pool) == pytest.approx(evidence_of(first), abs=bound)


def test_effective_size_counts_equal_weights_and_sees_one_that_outweighs_all():
    assert effective(np.full(50, -700.0)) == pytest.approx(50)
    assert effective(np.array([0.0, -800.0, -900.0])) == pytest.approx(1)


def test_sums_of_logarithms_do_not_run_over():
    rows = np.random.default_rng(1).normal(scale=300, size=(6, 9)) - 800
    assert log_sum(rows) == pytest.approx(logsumexp(rows, axis=0))


def test_the_points_fill_the_cube_evenly():
    points = _points(5, 2000, 0)
    assert ((points > 0) & (points < 1)).all()
    for line in points:
        assert np.abs(np.histogram(line, 20, (0, 1))[0] - 100).max() <= 10  # drawn at random: about 20
    assert np.corrcoef(points) == pytest.approx(np.eye(5), abs=0.1)


def test_normals_and_students_have_their_moments():
    z, t = _normals(4, 4000, 0), _students(4, 4000, 0)
    assert z.mean(axis=1) == pytest.approx(0.0, abs=0.02)
    assert z.std(axis=1) == pytest.approx(1.0, abs=0.02)
    assert t.mean(axis=1) == pytest.approx(0.0, abs=0.05)
    assert t.var(axis=1) == pytest.approx(FREEDOM / (FREEDOM - 2), rel=0.08)


def test_densities_are_those_of_the_normal_and_the_student():
    rng = np.random.default_rng(4)
    z, mean = rng.normal(size=(3, 20)), rng.normal(size=3)
    lower = np.tril(rng.normal(size=(3, 3))) + 2 * np.eye(3)
    assert log_normal(z) == pytest.approx(norm.logpdf(z).sum(axis=0))
    expected = multivariate_t(mean, lower @ lower.T, df=FREEDOM).logpdf(z.T)
    assert _log_student(z, mean, np.linalg.inv(lower)) == pytest.approx(expected)


def test_rounds_side_by_side_keep_their_order():
    one = Curves(np.zeros((2, 3)), np.ones((2, 3)), np.full((2, 3), 0.1), np.zeros(3))
    two = Curves(np.full((2, 4), 0.5), np.ones((2, 4)), np.full((2, 4), 0.2), np.ones(4))
    both = joined([one, two])
    assert both.done.shape == both.slope.shape == (2, 7)
    assert both.shift is not None
    assert both.log_factor is not None
    assert list(both.shift[0]) == [0.1] * 3 + [0.2] * 4
    assert list(both.log_factor) == [0.0] * 3 + [1.0] * 4
    bare = joined([replace(one, shift=None, log_factor=None)])
    assert (bare.shift, bare.log_factor) == (None, None)


# How long


def test_the_usual_run_ends_with_enough_effective_draws():
    _, _, done = sample(EVIDENCE)
    assert done.ess >= ENOUGH
    assert done.good
    assert not done.longer
    assert done.draws >= done.ess
    assert done.rounds > 0


def test_more_are_drawn_where_more_are_asked_for():
    usual, asked = sample(EVIDENCE)[2], sample(EVIDENCE, enough=4 * ENOUGH)[2]
    assert asked.ess >= 4 * ENOUGH
    assert asked.draws > usual.draws


def test_readings_that_pin_every_parameter_are_sampled_longer_or_well_enough():
    rng = np.random.default_rng(1)
    days = np.linspace(0, 12, 60)
    gravity = 1.010 + 0.032 * np.exp(-np.maximum(days - 1, 0) / 1.8) + rng.normal(0, 2e-4, 60)
    close = Evidence(
        tuple(Reading(float(d), float(g), 0.0002) for d, g in zip(days, gravity, strict=True)),
        12.0,
        Known(og_sd_sg=1e-3),
    )
    _, _, done = sample(close)
    assert done.ess >= LEAST or done.longer
    assert done.good == (done.ess >= LEAST / 2)


def test_all_families_count_together_by_their_weights():
    sheet = Sheet(EVIDENCE)
    pools = [begin(family, sheet) for family in families(EVIDENCE)[:2]]
    logs = np.concatenate([pool.log_weight - np.log(pool.z.shape[1]) for pool in pools])
    assert together(pools) == pytest.approx(effective(logs))


def test_pairs_of_wrong_readings_are_looked_at_where_two_of_many_are_off():
    days = (0.0, 3.0, 5.0, 7.0, 8.0, 9.0, 10.0)
    good = [
        Reading(day, sg, 0.0008)
        for day, sg in zip(days, (1.042, 1.020, 1.013, 1.0105, 1.010, 1.010, 1.010), strict=True)
    ]
    bad = [*good]
    bad[2], bad[4] = replace(bad[2], gravity_sg=1.034), replace(bad[4], gravity_sg=1.034)
    _, wrong, _ = sample(Evidence(tuple(bad), 10.0))
    assert wrong[2] > 0.9
    assert wrong[4] > 0.9
    assert np.delete(wrong, [2, 4]).max() < 0.3
    assert sample(Evidence(tuple(good), 10.0))[1].max() < 0.2
