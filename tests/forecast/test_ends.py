"""The day on which each draw comes within one point of its end, against a root found on the curve itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.stats import lognorm

from gylebook.forecast.answers import NEAR_END_SG
from gylebook.forecast.curve import Clock, Shape, progress, thermal_at
from gylebook.forecast.ends import ends_of
from gylebook.forecast.evidence import Addition, Evidence, Hops, Reading, Warmth
from gylebook.forecast.likelihood import later_left
from gylebook.forecast.mixture import Part
from gylebook.forecast.priors import PAUSE, RESTARTS, Drawn

WARMTH = Warmth((0.0, 3.0, 6.0), (20.0, 14.0, 21.0), 20.0)
COUNT = 30


def part(count: int = COUNT, *, creeps: bool = False, **bends: np.ndarray) -> Part:
    """Draws without error in their fall, so that each has one end."""
    rng = np.random.default_rng(7)
    shape = Shape(
        rng.uniform(0.5, 2.0, count),
        rng.uniform(0.01, 0.3, count),
        rng.uniform(1.0, 4.0, count),
        rng.uniform(30.0, 90.0, count),
        rng.uniform(0.0, 0.2, count),
        rng.uniform(1e-6, 0.1, count),
    )
    fall, none = rng.uniform(0.025, 0.045, count), np.zeros(count)
    drawn = Drawn(replace(shape, **bends), None, None)
    if creeps:
        drawn = Drawn(drawn.shape, rng.uniform(0.002, 0.006, count), rng.uniform(0.08, 0.25, count))
    places = np.arange(count)
    return Part(drawn, places, np.full(count, 1 / count), 0 * places, none, fall, none, none, none, 0.0)


def left_on(evidence: Evidence, found: Part, number: int, day: float) -> float:
    """What is still to fall of one draw, less one point; halts that last for good included."""
    shape = found.drawn.shape.take(np.array([number]))
    days = np.array([day])
    done = progress(shape, Clock(evidence.warmth, days).thermal(shape.energy))[0][0, 0]
    later = later_left(evidence, found.drawn, days)
    return found.fall[number] * (1 - done) + (0.0 if later is None else later[0, number]) - NEAR_END_SG


def roots(evidence: Evidence, found: Part, begin: float = 0.0) -> list[float]:
    return [brentq(lambda day, n=n: left_on(evidence, found, n, day), begin, 395.0) for n in range(len(found.weight))]


def test_the_end_is_where_one_point_is_left():
    evidence, found = Evidence((), 0.0, warmth=WARMTH), part()
    days, weight = ends_of(evidence, found)
    assert days == pytest.approx(roots(evidence, found), rel=2e-3)
    assert weight == pytest.approx(found.weight)


def test_tiring_yeast_ends_where_one_point_is_left_or_never():
    evidence = Evidence((), 0.0, warmth=WARMTH)
    found = part(fade=np.linspace(0.01, 0.6, COUNT))
    days, _ = ends_of(evidence, found)
    never = np.array([left_on(evidence, found, n, 3000.0) > 0 for n in range(COUNT)])
    assert (np.isinf(days) == never).all()
    assert 0 < never.sum() < COUNT
    expected = [brentq(lambda d, n=n: left_on(evidence, found, n, d), 0, 3000.0) for n in np.flatnonzero(~never)]
    assert days[~never] == pytest.approx(expected, rel=1e-2)


def test_a_pause_puts_the_end_off_by_its_length():
    evidence = Evidence((), 0.0, warmth=WARMTH)
    found = part(halt=np.full(COUNT, 0.7), pause=np.linspace(2.0, 12.0, COUNT))
    days, _ = ends_of(evidence, found)
    assert days == pytest.approx(roots(evidence, found), rel=5e-3)


def test_a_second_halt_has_no_end_unless_it_lies_within_a_point_of_it():
    evidence = Evidence((), 0.0, warmth=WARMTH)
    again = np.where(np.arange(COUNT) % 2 == 0, 0.85, 2.0)
    found = part(halt=np.full(COUNT, 0.7), pause=np.full(COUNT, 5.0), again=again)
    days, _ = ends_of(evidence, found)
    assert (np.isinf(days) == (again < 1)).all()
    near = part(halt=np.full(COUNT, 0.7), pause=np.full(COUNT, 5.0), again=np.full(COUNT, 0.999))
    assert np.isfinite(ends_of(evidence, near)[0]).all()


@pytest.mark.parametrize("last", [4.0, 12.0, 40.0])
def test_of_halts_the_share_that_may_still_go_on_ends_and_each_only_after_it_has_stood_so_long(last):
    count = 2000
    evidence = Evidence((Reading(last, 1.020, 0.001),), last)
    found = part(count, halt=np.full(count, 0.7))
    days, _ = ends_of(evidence, found)
    begins = thermal_at(replace(found.drawn.shape, halt=None), np.full(count, 0.7))
    gone = lognorm(PAUSE[1], scale=PAUSE[0]).cdf(np.maximum(last - begins, 0))
    expected = RESTARTS * (1 - gone) / (1 - RESTARTS * gone)
    goes_on = np.isfinite(days)
    assert goes_on.mean() == pytest.approx(expected.mean(), abs=0.02)
    assert (days[goes_on] >= last - 1e-6).all()


def test_a_halt_within_a_point_of_the_end_is_none():
    evidence = Evidence((), 0.0, warmth=WARMTH)
    found = part(halt=np.full(COUNT, 0.999))
    bare = part()
    assert ends_of(evidence, found)[0] == pytest.approx(ends_of(evidence, bare)[0])


@pytest.mark.parametrize(
    "later",
    [
        {"hops": Hops(5.0, 5.0)},
        {"hops": Hops(15.0, 5.0)},
        {"additions": (Addition(9.0, 0.004, 0.005),)},
        {"hops": Hops(5.0, 5.0), "additions": (Addition(9.0, 0.004, 0.005),)},
    ],
    ids=["hops", "late hops", "later sugar", "both"],
)
def test_with_hops_or_later_sugar_the_end_is_where_all_together_have_one_point_left(later):
    evidence = Evidence((), 0.0, warmth=WARMTH, **later)
    found = part(creeps="hops" in later)
    days, weight = ends_of(evidence, found)
    begin = max([h.day for h in [evidence.hops] if h] + [a.day for a in evidence.additions])
    assert days == pytest.approx(roots(evidence, found, begin), rel=0.02)
    assert weight.sum() == pytest.approx(1.0)


def test_an_error_of_the_fall_spreads_the_ends():
    evidence, found = Evidence((), 0.0), part()
    alike = replace(
        found, fall=np.full(COUNT, 0.035), drawn=Drawn(found.drawn.shape.take(np.zeros(COUNT, int)), None, None)
    )
    unsure = replace(alike, var_fall=np.full(COUNT, 0.01**2))
    assert np.ptp(ends_of(evidence, alike)[0]) == pytest.approx(0.0)
    assert np.ptp(ends_of(evidence, unsure)[0]) > 0.1


def test_many_draws_keep_their_weight_where_the_end_is_searched_for():
    evidence = Evidence((), 0.0, additions=(Addition(2.0, 0.002, 0.0025),))
    found = part(400)
    days, weight = ends_of(evidence, found)
    assert weight.sum() == pytest.approx(found.weight.sum())
    assert len(days) == len(weight)
    exact = roots(evidence, found, 2.0)
    assert np.quantile(days, [0.25, 0.5, 0.75]) == pytest.approx(np.quantile(exact, [0.25, 0.5, 0.75]), rel=0.06)
