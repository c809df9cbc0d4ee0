"""Bottlings against what was stated of them, and the laws that they come by."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from bottlings import EVENNESS, day_of, dissolved_g_per_l, pressures_bar, water_g_per_l_per_bar
from bottlings_rules import (
    BOOK,
    CUSTOMS,
    EARLY,
    STATED,
    WISHED,
    Sealed,
    airlock_still,
    by_book,
    by_custom,
    by_readings,
    custom_from,
    gate_from,
    looked,
    opened,
    still_falls,
)
from bottlings_scores import (
    CLASSES,
    Part,
    Run,
    bottle,
    class_of,
    classes,
    exact_interval,
    law_of_sum,
    most_by_chance,
    rule_figures,
    stated_figures,
)
from CoolProp.CoolProp import PT_INPUTS, AbstractState, PropsSI
from forecast.batches import Batch
from forecast.customary import RULES
from forecast.mix import mixed
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from gylebook.forecast.evidence import Evidence, Reading
from gylebook.forecast.forecast import forecast
from gylebook.science import carbonation
from gylebook.science.carbon_dioxide import CO2_G_PER_L_PER_VOLUME, henry_mpa
from gylebook.steps.outlook_gates import HEAVY_HOPS_G_PER_L, HOP_DAYS_HEAVY, HOP_DAYS_LIGHT

TWO = RULES["two equal readings"]


@pytest.fixture(scope="module")
def found() -> Run:
    """Two hundred batches, a third of them dry hopped, each bottled once by everyone."""
    return bottle(Part(200, 7))


@pytest.fixture(scope="module")
def hopped() -> list[Batch]:
    return mixed(10, 5, hops=1.0)


# --- stated against observed --------------------------------------------------------------------------------------


def test_no_worst_bottle_passes_its_ceiling_more_often_than_the_book_states(found):
    sealed = found.by(BOOK)
    assert len(sealed) > 70
    whole = class_of(sealed, 0.0, 2.0)
    assert whole.past <= whole.most, whole.words
    assert whole.stated < 0.05  # what is called fit is hardly ever past its ceiling
    for each in classes(sealed):
        assert each.past <= each.most, each.words


def test_the_chance_holds_for_any_fizz_in_any_bottle_too_class_by_class(found):
    sealed = found.by(WISHED)
    told = classes(sealed)
    assert {each.low for each in told} >= {0.001, 0.01, 0.05, 0.2, 0.5}
    for each in told:
        assert each.past <= each.most, each.words


def test_a_chance_stated_at_half_of_what_comes_would_be_seen(found):
    """The margins are not so wide that anything passes."""
    sealed = found.by(WISHED)
    observed = sum(one.past for one in sealed) / len(sealed)
    halved = class_of([replace(one, stated=observed / 2) for one in sealed], 0.0, 2.0)
    assert halved.past > halved.most


def test_what_was_called_fit_bursts_less_than_by_any_custom(found):
    book = found.by(BOOK)
    assert not any(one.burst for one in book)
    for custom in CUSTOMS:
        sealed = found.by(custom.words)
        assert len(sealed) > 100
        assert np.mean([one.past for one in sealed]) > np.mean([one.past for one in book])
        assert all(np.isnan(one.stated) for one in sealed)


def test_primed_for_the_cold_is_flat_and_bursts_less(found):
    shares = {}
    for custom in CUSTOMS:
        sealed = found.by(custom.words)
        shares[custom.words] = np.mean([(one.flat, one.past) for one in sealed], axis=0)
    flat, past = shares["two equal readings, primed for the cold"]
    plain_flat, plain_past = shares["two equal readings"]
    assert flat > plain_flat + 0.2
    assert past < plain_past


def test_hopped_beer_is_bottled_by_everyone(found):
    for rule in (*STATED, *(custom.words for custom in CUSTOMS)):
        assert any(one.hopped for one in found.by(rule)), rule


def test_every_figure_has_a_name_of_its_own_and_those_of_the_gate_a_limit(found):
    figures = [*stated_figures(found), *rule_figures(found)]
    assert max(Counter(each.name for each in figures).values()) == 1
    limited = [each for each in figures if each.limit is not None]
    assert {"gas.book_past_ceiling", "gas.wished_stated_20_to_50"} <= {each.name for each in limited}
    assert all(each.ok for each in figures)


def test_more_households_leave_the_first_one_as_it_is():
    one, more = bottle(Part(3, 8)), bottle(Part(3, 8, households=3))
    assert one.opened == more.opened > 0
    assert [(s.rule, s.worst_bar) for s in one.sealed] == [(s.rule, s.worst_bar) for s in more.sealed if s.first]
    assert len(more.all_by(WISHED)) == 3 * len(more.by(WISHED))


# --- the laws of counting -----------------------------------------------------------------------------------------


def test_exact_intervals_are_those_of_the_tables():
    """Clopper and Pearson, 95 %: 0 of 10, 5 of 10, and the rule of three."""
    assert exact_interval(0, 10) == (0.0, pytest.approx(0.3085, abs=5e-5))
    assert exact_interval(5, 10) == (pytest.approx(0.1871, abs=5e-5), pytest.approx(0.8129, abs=5e-5))
    assert exact_interval(10, 10) == (pytest.approx(0.6915, abs=5e-5), 1.0)
    assert exact_interval(0, 3000, 0.90)[1] == pytest.approx(3 / 3000, rel=0.01)


@given(of=st.integers(1, 300), chance=st.floats(0.001, 0.999))
def test_equal_chances_add_up_by_the_binomial_law(of, chance):
    assert law_of_sum([chance] * of) == pytest.approx(binom.pmf(np.arange(of + 1), of, chance), abs=1e-9)
    most = most_by_chance([chance] * of)
    assert binom.sf(most, of, chance) <= 0.001 + 1e-9
    assert most == 0 or binom.sf(most - 1, of, chance) > 0.001 - 1e-9


def test_every_bottling_is_in_one_class():
    sealed = [
        Sealed("r", stated, past=False, past_with_air=False, worst_bar=1.0, average_vol=2.0, hopped=False, first=True)
        for stated in (0.0, 0.0005, *CLASSES, 0.7, 1.0)
    ]  # fmt: skip
    assert sum(each.bottlings for each in classes(sealed)) == len(sealed)


# --- what is in the bottles ---------------------------------------------------------------------------------------


@given(vol=st.floats(1.5, 4.5), temp_c=st.floats(0.0, 25.0), head=st.floats(0.02, 0.06))
def test_the_book_is_within_3_per_cent_of_water_and_a_brewers_beer_up_to_25_degrees(vol, temp_c, head):
    """By Henry's law of the published equation and beer that holds 3 % less than water: all the pressure there is."""
    (bar,) = pressures_bar(np.array([vol * CO2_G_PER_L_PER_VOLUME]), np.array([head]), temp_c, 0.97)
    assert bar + 1.01325 == pytest.approx(carbonation.gauge_pressure_bar(vol, temp_c, head) + 1.01325, rel=0.03)


@pytest.mark.parametrize("temp_c", [4.0, 20.0, 35.0])
def test_beer_and_gas_over_it_hold_all_there_is(temp_c):
    """The headspace by the reference equation of state, the beer by Henry's law with that equation's fugacity."""
    total, head, share = 6.0, 0.04, 0.975
    (bar,) = pressures_bar(np.array([total]), np.array([head]), temp_c, share)
    partial_pa = (bar + 1.01325) * 1e5 - PropsSI("P", "T", temp_c + 273.15, "Q", 0, "Water")
    reference = AbstractState("HEOS", "CO2")
    reference.update(PT_INPUTS, partial_pa, temp_c + 273.15)
    fugacity = reference.fugacity(0)
    held = share * 44.0095 / 18.01528 * 998.0 * fugacity / 1e6 / henry_mpa(temp_c)
    over = PropsSI("D", "T", temp_c + 273.15, "P", partial_pa, "CO2") * head
    assert held + over == pytest.approx(total, rel=0.003)


def test_the_vessels_gas_is_near_the_printed_table():
    """At 20 degC the table of residual gas has 0.88 volumes; beer without more or less than its share."""
    day = replace(day_of(np.random.default_rng(1), 1), beer_to_water=1.0, over_saturated=1.0)
    assert dissolved_g_per_l(day, 20.0) / CO2_G_PER_L_PER_VOLUME == pytest.approx(0.88, abs=0.03)
    assert water_g_per_l_per_bar(20.0) < water_g_per_l_per_bar(4.0)


def test_households_differ_in_bottles_places_and_care():
    days = [day_of(np.random.default_rng(seed), seed) for seed in range(200)]
    kinds = Counter(lot.kind.key for day in days for lot in day.lots)
    assert set(kinds) >= {"returnable_500", "returnable_330", "one_way", "swing_top", "pet", "heavy", "unknown_glass"}
    assert {len(day.lots) for day in days} == {1, 2, 3, 4}
    assert {day.uneven for day in days if not day.each_bottle} == set(EVENNESS[0])
    assert any(lot.washes > 20 for day in days for lot in day.lots)
    assert any(day.each_bottle for day in days)
    assert any(day.spoon_g for day in days)
    assert all(day.each_bottle and day.sugar == "sucrose" for day in days if day.spoon_g)
    assert any(abs(day.told_litres - day.litres) > 1.0 for day in days)
    for day in days:
        held = sum(lot.size_l * lot.count for lot in day.lots)
        assert held <= day.litres + 1.0  # a last bottle of each kind may be one too many
        assert day.told_warm_c == pytest.approx(day.warm_c, abs=0.5001)
    hot, cool = (np.mean([day.warm_c for day in days if day.place == name]) for name in ("loft", "cellar"))
    assert hot > cool + 10


# --- who bottles when ---------------------------------------------------------------------------------------------


def test_the_gate_waits_for_hops_and_custom_until_they_are_out(hopped):
    for batch in hopped:
        assert batch.hops is not None
        wanted = HOP_DAYS_HEAVY if batch.hops.dose_g_per_l >= HEAVY_HOPS_G_PER_L else HOP_DAYS_LIGHT
        assert gate_from(batch) >= batch.hops.day + wanted
        assert custom_from(batch) == batch.hops.out_day
        custom = by_readings(batch, TWO)
        assert custom is None or custom >= batch.hops.out_day


def test_the_gate_opens_below_one_chance_in_a_hundred_and_not_before_its_days():
    going = mixed(6, 8, stalls=0.0, hops=1.0)
    at = [(batch, gate) for batch in going if (gate := opened(batch)) is not None]
    assert at
    assert all(seen.unsafe < 0.01 and day >= gate_from(batch) for batch, (day, seen) in at)


def test_hops_leave_more_to_come_than_the_same_beer_has_without_them(hopped):
    plain = mixed(10, 5, hops=0.0)
    more = [a.co2_left_g_per_l(a.hops.day) - b.co2_left_g_per_l(a.hops.day) for a, b in zip(hopped, plain, strict=True)]
    assert min(more) > 0.5


@pytest.mark.parametrize(("last", "falls"), [(1.0160, True), (1.0165, True), (1.0175, False), (1.0200, False)])
def test_a_plain_fall_is_no_time_to_ask(last, falls):
    readings = tuple(Reading(day, sg, 0.001) for day, sg in ((0.0, 1.050), (4.0, 1.020), (6.0, last)))
    assert still_falls(Evidence(readings, 6.0)) is falls


def test_a_lid_that_leaks_is_still_sooner():
    sooner = [(airlock_still(batch, True), airlock_still(batch, False)) for batch in mixed(10, 3)]
    assert all(leaky is not None and (tight is None or leaky <= tight) for leaky, tight in sooner)
    assert any(leaky < tight for leaky, tight in sooner if tight is not None)


def test_by_the_book_unfit_bottles_are_left_out_and_by_wish_none():
    batch = next(each for each in mixed(8, 5, stalls=0.0) if each.ready(16.0))
    at, seen = 16.0, forecast(looked(batch, 16.0))
    loft = next(
        day for seed in range(500)
        if (day := day_of(np.random.default_rng(seed), seed)).told_warm_c > 30
        and {"unknown_glass", "heavy"} <= {lot.kind.key for lot in day.lots}
    )  # fmt: skip
    book, wish = (by_book(batch, replace(loft, wanted=3.0), at, seen, rule=rule) for rule in (BOOK, WISHED))
    assert wish.stated > 0.5
    assert book is None or book.stated < 0.1
    early = by_book(batch, loft, at, seen, rule=EARLY)
    assert early.rule == EARLY
    never = replace(loft, lots=tuple(lot for lot in loft.lots if lot.kind.key == "unknown_glass"), told_warm_c=49.0)
    assert by_book(batch, never, at, seen, rule=BOOK) is None


def test_more_left_in_the_beer_or_more_sugar_is_more_pressure():
    batch = mixed(2, 5)[0]
    day = day_of(np.random.default_rng(3), 3)
    customs = {custom.words: by_custom(batch, day, custom) for custom in CUSTOMS}
    plain, cold, fixed = (
        customs[name]
        for name in (
            "two equal readings",
            "two equal readings, primed for the cold",
            "two equal readings, 6 to 7 g/L",
        )
    )
    assert cold.average_vol < plain.average_vol < fixed.average_vol
    assert cold.worst_bar < plain.worst_bar < fixed.worst_bar
