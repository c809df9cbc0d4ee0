"""The gas of a bottled batch: against bottles drawn one by one, exact order statistics, and the balance of mass."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from gylebook.forecast import lattice
from gylebook.forecast.gas import POINTS, Charge, Draws, Sugar, later_of_mixture, later_of_span, spread_ends
from gylebook.science import carbonation, priming
from gylebook.science.carbon_dioxide import ATMOSPHERE_BAR
from gylebook.science.interval import Span

NONE = later_of_span(Span(0.0, 0.0, 0.0))
ALMOST = later_of_span(Span(0.0, 0.1, 1.0))  # [g/L]
BATCH = Charge(Span(0.80, 0.88, 0.91), ALMOST, (Sugar(125.0, "sucrose", Span(20.0, 21.0, 22.0)),))


def one_by_one(charge, count, temp_c, batches, seed):
    """The highest pressure in each batch, every bottle drawn; nothing of the worst's own law is used."""
    chance = np.random.default_rng(seed)

    def halves(span):
        z = chance.standard_normal(batches)
        return span.best + np.where(z > 0, span.high - span.best, span.best - span.low) / 1.6449 * z

    later = charge.later.at(chance.random(batches)) * (1 + (1.05 / 0.97 - 1) * chance.random(batches))
    total = np.repeat((np.maximum(halves(charge.dissolved), 0) + later / 1.97681)[:, None], count, axis=1)
    for sugar in charge.sugars:
        grams = np.maximum(sugar.grams + sugar.weighing_sd_g * chance.standard_normal(batches), 0)
        share = np.maximum(1 + sugar.uneven * chance.standard_normal((batches, count)), 0)
        made = grams * halves(priming.PRIMING_SUGARS[sugar.sugar].co2_g_per_g) / np.maximum(halves(sugar.litres), 0.05)
        total += share * (made / 1.97681)[:, None]
    mean = halves(charge.headspace)[:, None]
    head = np.clip(mean + charge.headspace_sd * chance.standard_normal((batches, count)), 0.002, 0.3)
    off = np.clip(chance.standard_normal(batches) / 1.6449, -5, 5)[:, None]
    return carbonation.gauge_pressure_bar(np.clip(total, 0.1, 12), temp_c, head, solubility_off=off).max(axis=1)


@pytest.mark.parametrize(("count", "temp_c"), [(1, 20.0), (42, 30.0), (300, 12.0)])
def test_the_worst_bottle_is_that_of_bottles_drawn_one_by_one(count, temp_c):
    plain = one_by_one(BATCH, count, temp_c, 4_000_000 // max(count, 40), seed=count)
    found = Draws(BATCH).worst(count, temp_c).pressure_bar
    for share in (0.05, 0.5, 0.95, 0.99):
        assert np.quantile(found, share) == pytest.approx(np.quantile(plain, share), rel=0.01)


def test_the_worst_of_many_is_the_largest_of_as_many_normals():
    """With one gram of doubt and nothing else, the law is known exactly: the n-th root of the normal's."""
    certain = Sugar(126.0, "sucrose", Span(21.0, 21.0, 21.0), weighing_sd_g=0.0, uneven=0.05)
    charge = Charge(Span(0.88, 0.88, 0.88), NONE, (certain,), headspace=Span(0.04, 0.04, 0.04), headspace_sd=0.0)
    made = 6.0 * 0.514280 / 1.97681
    for count in (1, 5, 42, 1000):
        found = Draws(charge).worst(count, 20.0).total
        for share in (0.05, 0.5, 0.95):
            exact = 0.88 + made * (1 + 0.05 * norm.ppf(share ** (1 / count)))
            assert np.quantile(found, share) == pytest.approx(exact, abs=0.002)


def test_the_normal_law_is_that_of_scipy():
    levels = np.concatenate(
        [np.geomspace(1e-9, 0.4, 500), np.linspace(0.4, 0.6, 101), 1 - np.geomspace(1e-9, 0.4, 500)]
    )
    assert lattice.normal(levels) == pytest.approx(norm.ppf(levels), abs=1e-5)


def test_lots_have_worst_bottles_of_their_own():
    uneven = replace(BATCH.sugars[0], weighing_sd_g=0.0, litres=Span(21.0, 21.0, 21.0))
    charge = replace(BATCH, dissolved=Span(0.88, 0.88, 0.88), later=NONE, sugars=(uneven,))
    draws = Draws(charge)
    one, two = (draws.worst(20, 20.0, lot=lot).total for lot in (0, 1))
    assert abs(np.corrcoef(one, two)[0, 1]) < 0.05
    assert np.quantile(np.maximum(one, two), 0.5) == pytest.approx(
        np.quantile(draws.worst(40, 20.0).total, 0.5), rel=0.005
    )


def test_the_gas_of_beer_and_headspace_adds_up_to_all_there_is():
    """The headspace's gas by the reference equation of state: what the beer does not hold is over it."""
    found = Draws(BATCH).worst(42, 20.0)
    off = Draws(BATCH).solubility_off
    for place in (0, 17, 4000, 8191):
        absolute = float(found.pressure_bar[place]) + ATMOSPHERE_BAR
        held = float(carbonation.equilibrium_volumes(absolute - ATMOSPHERE_BAR, 20.0))
        held = (held + 0.003342) * (1 + 0.03 * float(off[place])) - 0.003342
        over = PropsSI("D", "T", 293.15, "P", absolute * 1e5, "CO2") * float(found.headspace[place]) / 1.97681
        assert held + over == pytest.approx(float(found.total[place]), rel=1e-3)


def test_what_is_still_to_come_keeps_the_mixture_it_was_drawn_from():
    mean, sd, weight = np.array([0.0005, 0.010]), np.array([0.0002, 0.002]), np.array([0.97, 0.03])
    later = later_of_mixture(mean.repeat(500), sd.repeat(500), (weight / 500).repeat(500), 970.0)
    levels = np.array([0.25, 0.5, 0.9, 0.985])
    grid = np.linspace(-0.005, 0.03, 200_001)
    law = weight @ norm.cdf((grid - mean[:, None]) / sd[:, None])
    assert later.at(levels) == pytest.approx(970.0 * np.maximum(np.interp(levels, law, grid), 0.0), abs=0.03)


def test_the_more_cautious_of_two_is_never_below_either():
    low, high = later_of_span(Span(0.0, 0.2, 3.0)), later_of_span(Span(0.5, 0.6, 0.7))
    levels = np.linspace(0.01, 0.99, 50)
    both = low.or_more(high).at(levels)
    assert np.all(both >= low.at(levels) - 0.01)
    assert np.all(both >= high.at(levels) - 0.01)
    assert both[-1] > 3.0
    assert both[0] == pytest.approx(float(high.at(levels)[0]), abs=0.01)


def test_gas_as_if_filled_as_usual_makes_the_worst_bottles_pressure():
    charge = replace(BATCH, headspace=Span(0.01, 0.015, 0.02))
    draws = Draws(charge)
    as_usual = draws.worst_as_usual_vol(42)
    exact = draws.worst(42, 25.0)
    by_fit = carbonation.gauge_pressure_bar(exact.total, 25.0, exact.headspace)
    assert carbonation.gauge_pressure_bar(as_usual, 25.0) == pytest.approx(by_fit, rel=1e-3)
    assert np.mean(as_usual) > np.mean(exact.total)  # little headspace is like more gas


@given(
    grams=st.floats(0.0, 300.0),
    more=st.floats(1.0, 100.0),
    bottles=st.tuples(st.integers(1, 500), st.integers(1, 500)),
    temp_c=st.floats(0.0, 45.0),
    warmer=st.floats(0.5, 5.0),
)
@settings(max_examples=40, deadline=None)
def test_more_sugar_more_bottles_and_more_warmth_never_lessen_the_worst(grams, more, bottles, temp_c, warmer):
    count, others = bottles

    def most(sugar_g, bottles, temp):
        charge = replace(BATCH, sugars=(replace(BATCH.sugars[0], grams=sugar_g),))
        return float(np.quantile(Draws(charge, 2048).worst(bottles, temp).pressure_bar, 0.95))

    here = most(grams, count, temp_c)
    assert most(grams + more, count, temp_c) >= here
    assert most(grams, count + others, temp_c) >= here - 1e-9
    assert most(grams, count, temp_c + warmer) > here


def test_sugar_becomes_gas_with_age_and_never_more_than_all_of_it():
    draws = Draws(BATCH)
    middles = [float(np.median(draws.average_vol(age))) for age in (0.0, 3.0, 7.0, 20.0, 60.0)]
    assert middles == sorted(middles)
    assert middles[0] == pytest.approx(0.88, abs=0.01)
    assert middles[-1] == pytest.approx(float(np.median(draws.average_vol())), abs=0.01)


def test_doubt_about_solubility_grows_above_the_charts_end():
    """What is extrapolated is wider: the spread of pressure that comes of solubility alone, in its own share."""
    certain = Charge(Span(2.5, 2.5, 2.5), NONE, headspace=Span(0.04, 0.04, 0.04), headspace_sd=0.0)
    shares = []
    for temp_c in (20.0, 25.0, 40.0):
        span = spread_ends(Draws(certain).average(temp_c).pressure_bar)
        shares.append((span.high - span.low) / (span.best + ATMOSPHERE_BAR))
    assert shares[0] == pytest.approx(shares[1], rel=0.02)
    assert shares[2] > 1.8 * shares[1]


def test_vents_take_away_and_never_more_than_there_is():
    assert np.median(Draws(replace(BATCH, let_out=0.5)).average_vol()) == pytest.approx(
        float(np.median(Draws(BATCH).average_vol())) - 0.5
    )
    assert np.min(Draws(replace(BATCH, let_out=9.0)).average_vol()) == 0.0


def test_the_numbers_hardly_depend_on_how_many_points_are_drawn():
    few, many = (np.quantile(Draws(BATCH, points).worst(42, 30.0).pressure_bar, 0.99) for points in (8192, 131_072))
    assert few == pytest.approx(many, rel=0.003)
    assert POINTS == 8192
