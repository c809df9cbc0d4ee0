"""What opened bottles tell of a batch: against plain draws with every bottle's share drawn, and in its direction."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from gylebook.forecast import opened
from gylebook.forecast.gas import Charge, Draws, Sugar, Vent, later_of_span
from gylebook.forecast.opened import Seen, told
from gylebook.science import priming
from gylebook.science.bottle_limits import volumes_after_vent
from gylebook.science.carbonation import equilibrium_volumes
from gylebook.science.conditioning import carbonation_fraction
from gylebook.science.interval import Span

BATCH = Charge(
    Span(0.80, 0.88, 0.91), later_of_span(Span(0.0, 0.1, 1.0)), (Sugar(125.0, "sucrose", Span(20.0, 21.0, 22.0)),)
)
TAME, FLAT, GUSHER = Seen(3, False), Seen(1, False), Seen(5, True)


def worst(found) -> float:
    return float(np.quantile(found.draws.worst(40, 25.0).total, 0.95))


def average(found) -> float:
    return float(np.mean(found.draws.average_vol()))


def shares(found) -> dict[str, float]:
    return dict(found.causes)


# --- direction ----------------------------------------------------------------------------------------------------


def test_with_no_bottle_opened_the_draws_are_those_of_the_log_alone() -> None:
    for seen in ((), (Seen(None, None, "thick"),)):
        found, plain = told(BATCH, seen), Draws(BATCH)
        assert np.array_equal(found.draws.average_vol(), plain.average_vol())
        assert np.array_equal(found.draws.worst(40, 30.0).pressure_bar, plain.worst(40, 30.0).pressure_bar)
        assert found.causes == ()


def test_a_gusher_raises_the_worst_and_a_flat_or_a_tame_one_lowers_it() -> None:
    none = told(BATCH, ())
    assert worst(told(BATCH, (GUSHER,))) > worst(none) + 1.0
    assert worst(told(BATCH, (FLAT,))) < worst(none)
    assert worst(told(BATCH, (TAME,))) < worst(none)
    assert average(told(BATCH, (GUSHER,))) > average(none) > average(told(BATCH, (FLAT,)))


def test_two_bottles_say_more_than_one() -> None:
    one, two, three = (average(told(BATCH, (FLAT,) * count)) for count in (1, 2, 3))
    assert one > two > three
    assert shares(told(BATCH, (FLAT,) * 2))["seal"] < shares(told(BATCH, (FLAT,)))["seal"]


def test_a_flat_bottle_that_stood_in_the_cold_speaks_of_slow_yeast_and_leaves_the_gas_to_come() -> None:
    young, old = (told(BATCH, (replace(FLAT, age_days=age),), cold=age < 10) for age in (5.0, 60.0))
    assert young.causes[0][0] == "slow"
    assert shares(young)["slow"] > 0.6 > shares(old)["slow"]
    assert average(young) > average(old)
    plain = float(np.mean(Draws(BATCH).made(8.0)))
    assert float(np.mean(young.draws.made(8.0))) < plain - 0.05  # its pace is learned, not only its sugar


def test_a_gusher_that_was_tame_in_the_glass_is_sediment_or_hop_bits() -> None:
    found = told(BATCH, (Seen(3, True, "thick", hops=True),))
    assert found.causes[0][0] == "bits"
    assert worst(found) < worst(told(BATCH, (GUSHER,))) - 1.0


def test_some_wild_and_some_flat_make_uneven_sugar_likelier_than_either_alone() -> None:
    strong = replace(BATCH, sugars=(replace(BATCH.sugars[0], grams=190.0),))
    both = shares(told(strong, (Seen(5, False), Seen(2, False), Seen(5, False), Seen(2, False))))
    assert both["uneven"] > shares(told(strong, (Seen(5, False),)))["uneven"]


def test_thick_sediment_and_a_gravity_too_low_speak_of_something_wild() -> None:
    plain = shares(told(BATCH, (GUSHER,)))["wild"]
    thick = shares(told(BATCH, (replace(GUSHER, sediment="thick"),)))["wild"]
    fell = shares(told(BATCH, (GUSHER,), fell=True))["wild"]
    assert plain < thick < fell


def test_lively_beer_with_no_sugar_written_had_some() -> None:
    bare = replace(BATCH, sugars=(), later=later_of_span(Span(0.0, 0.0, 0.2)))
    found = told(bare, (TAME, TAME))
    assert average(found) > average(told(bare, ())) + 0.8


def test_causes_are_shares_of_a_whole_and_ranked() -> None:
    for seen in ((FLAT,), (GUSHER,), (FLAT, GUSHER), (Seen(5, None),)):
        parts = [share for _, share in told(BATCH, seen).causes]
        assert sum(parts) == pytest.approx(1.0, abs=1e-6)
        assert parts == sorted(parts, reverse=True)


def test_a_warmer_bottle_gushes_sooner() -> None:
    cold, warm = (average(told(BATCH, (Seen(None, True, temp_c=temp),))) for temp in (4.0, 20.0))
    assert warm < cold


def test_a_brewers_own_scale_moves_what_is_felt_and_not_whether_it_gushes(monkeypatch) -> None:
    gushed, felt = Seen(None, True), Seen(5, None)

    def usual(seen, scale):
        monkeypatch.setattr(opened, "HAND_SD_VOL", scale)
        return opened.likelihood(Draws(BATCH), seen)[0]

    assert np.array_equal(usual(gushed, 0.25), usual(gushed, 1.0))
    assert not np.allclose(usual(felt, 0.25), usual(felt, 1.0))


def test_a_vent_before_it_was_opened_is_gas_that_was_there() -> None:
    vented = replace(BATCH, vents=(Vent(30.0, 4.0),) * 8)
    early, late = (float(np.mean(told(vented, (Seen(3, None, vents=count),)).draws.average_vol())) for count in (0, 8))
    assert late > early  # as lively after eight vents, it had more


def test_each_draw_vents_what_it_has_itself() -> None:
    draws = Draws(BATCH).vented((Vent(60.0, 4.0),) * 2)
    before = Draws(BATCH).dissolved + Draws(BATCH).made(60.0) * (Draws(BATCH).later + Draws(BATCH).sugar)
    once = before - volumes_after_vent(before, 4.0)
    twice = once + (before - once) - volumes_after_vent(before - once, 4.0)
    assert draws.let_out(1) == pytest.approx(once, abs=1e-3)
    assert draws.let_out() == pytest.approx(twice, abs=1e-3)


# --- how exact ----------------------------------------------------------------------------------------------------


def halves(span, z):
    return span.best + np.where(z > 0, span.high - span.best, span.best - span.low) / 1.6449 * z


def plain_run(seen, count, seed=7):
    """Every cause by its own chance, every opened bottle with a share drawn for it: weights, gas, cause."""
    chance = np.random.default_rng(seed)
    slips = opened.slips_of(seen, sugared=True)
    often = [1.0 - sum(each[0] for each in slips.values()), *(each[0] for each in slips.values())]
    which = chance.choice(len(often), count, p=often)
    value = {"sugar": np.ones(count), "uneven": np.ones(count), "slow": np.ones(count), "later_vol": np.zeros(count)}
    for number, (_, what, low, high) in enumerate(slips.values(), 1):
        even = chance.random(count)
        sizes = np.exp(np.log(low) + even * np.log(high / low)) if what == "slow" else low + (high - low) * even
        value[what] = np.where(which == number, sizes, value[what])
    (sugar,) = BATCH.sugars
    later = BATCH.later.at(chance.random(count)) * (1 + (1.05 / 0.97 - 1) * chance.random(count)) / 1.97681
    later += value["later_vol"]
    grams = sugar.grams + 0.6 * chance.standard_normal(count)
    made = grams * halves(priming.PRIMING_SUGARS["sucrose"].co2_g_per_g, chance.standard_normal(count))
    made = made / halves(sugar.litres, chance.standard_normal(count)) / 1.97681 * value["sugar"]
    dissolved = halves(BATCH.dissolved, chance.standard_normal(count))
    hand = opened.HAND_SD_VOL * chance.standard_normal(count)
    pace = np.exp(0.2857 * chance.standard_normal(count)) / value["slow"]
    weight = np.ones(count)
    for each in seen:
        share = np.asarray(carbonation_fraction(np.clip(each.age_days * pace, 0, 3650), 20.0).best)
        own = np.maximum(1 + sugar.uneven * value["uneven"] * chance.standard_normal(count), 0)
        weight *= bottle_chance(dissolved + share * (later + own * made), hand, each)
    return weight / np.sum(weight), dissolved + later + made, which


def bottle_chance(gas, hand, seen):
    ends = np.array([-np.inf, *opened.FELT_FROM_VOL, np.inf])
    scale = gas + hand  # of the hand alone: a bottle gushes by its gas
    felt = norm.cdf((scale - ends[seen.fizz - 1]) / 0.3) - norm.cdf((scale - ends[seen.fizz]) / 0.3)
    middle = opened.GUSH_BEYOND_VOL + float(equilibrium_volumes(0.0, 8.0))
    gush = 0.02 + 0.98 * norm.cdf((gas - middle) / 0.45)
    usual = felt * (gush if seen.gushed else 1 - gush)
    leak = {1: 0.7, 2: 0.3}.get(seen.fizz, 0.0) * (not seen.gushed)
    dirty = {4: 0.3, 5: 0.7}.get(seen.fizz, 0.0) * 0.5
    return 0.96 * usual + 0.03 * leak + 0.01 * dirty


@pytest.mark.parametrize("seen", [(TAME,), (FLAT,), (GUSHER,), (Seen(4, False), Seen(3, False)), (FLAT, FLAT)], ids=str)
def test_it_is_what_a_plain_importance_run_of_many_draws_finds(seen) -> None:
    """Within 3 in a hundred of the chance of any gas, 0.06 volumes of the mean, 4 in a hundred of a cause's share."""
    weight, gas, which = plain_run(seen, 400_000)
    found = told(BATCH, seen)
    mine = found.draws.average_vol()
    for most in (1.5, 2.0, 2.4, 2.5, 2.7, 3.0, 4.0, 5.0):
        assert np.mean(mine <= most) == pytest.approx(float(np.sum(weight[gas <= most])), abs=0.03)
    assert np.mean(mine) == pytest.approx(float(np.sum(weight * gas)), abs=0.06)
    slips = opened.slips_of(seen, sugared=True)
    for number, name in enumerate(slips, 1):
        if name in {"little", "wild"}:  # no draw without that slip is ever told as one
            assert shares(found)[name] == pytest.approx(float(np.sum(weight[which == number])), abs=0.04)


def test_draws_that_would_collapse_are_tempered_and_say_so() -> None:
    certain = replace(BATCH, dissolved=Span(0.88, 0.88, 0.88), later=later_of_span(Span(0.0, 0.0, 0.0)))
    found = told(certain, (Seen(4, False),) * 40)
    assert found.effective >= 0.99 * opened.LEAST_EFFECTIVE
    assert 0.0 < found.believed < 1.0
    assert told(BATCH, (TAME,)).believed == 1.0


def test_what_is_drawn_counts_alike_and_the_same_twice() -> None:
    first, again = (told(BATCH, (GUSHER,)).draws for _ in range(2))
    assert len(first.average_vol()) == first.points == Draws(BATCH).points
    assert np.array_equal(first.worst(40, 25.0).pressure_bar, again.worst(40, 25.0).pressure_bar)
    few = first.fewer(2048)
    assert few.points == 2048
    assert np.quantile(few.average_vol(), 0.5) == pytest.approx(np.quantile(first.average_vol(), 0.5), abs=0.05)


def test_the_level_of_the_normal_is_that_of_scipy() -> None:
    from gylebook.forecast.lattice import normal_level

    places = np.linspace(-6, 6, 2001)
    assert normal_level(places) == pytest.approx(norm.cdf(places), abs=1e-6)
