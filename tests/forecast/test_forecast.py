"""What the forecast says of invented brews: each answer against a property that must hold, and against plain draws."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from gylebook.forecast.answers import NEAR_END_SG, UNSAFE_CO2_G_PER_L, Story
from gylebook.forecast.constants import CO2_G_PER_L_PER_SG
from gylebook.forecast.curve import Clock, halted_for, progress
from gylebook.forecast.ends import ends_of
from gylebook.forecast.evidence import USUAL_OFFSET_SD_SG, Addition, Evidence, Forced, Hops, Known, Reading, Warmth
from gylebook.forecast.forecast import forecast
from gylebook.forecast.likelihood import GROSS_SD_SG, TIME_SD_DAYS
from gylebook.forecast.mixture import quantiles
from gylebook.forecast.priors import families, still_halted

WORT = Reading(0.0, 1.042, 0.001)


def beer(*pairs: tuple[float, float]) -> tuple[Reading, ...]:
    return (WORT, *(Reading(day, sg, 0.001) for day, sg in pairs))


HEALTHY = Evidence(beer((4.0, 1.0160), (6.0, 1.0115), (8.0, 1.0100), (10.0, 1.0098)), 10.0)
AT_THE_END = Evidence(beer((8.0, 1.010), (9.0, 1.010), (10.0, 1.010)), 10.0)
FAR_ABOVE = Evidence(beer((8.0, 1.020), (10.0, 1.020), (12.0, 1.020)), 12.0)
HALFWAY = Evidence(beer((2.0, 1.032), (3.0, 1.024)), 3.0)
NOTHING = Evidence((), 5.0)
HOPPED = replace(AT_THE_END, hops=Hops(10.0, 5.0))
SUGARED = replace(AT_THE_END, additions=(Addition(11.0, 0.004, 0.005),))
BREWS = {
    "healthy": HEALTHY,
    "at the end": AT_THE_END,
    "far above": FAR_ABOVE,
    "halfway": HALFWAY,
    "nothing": NOTHING,
    "hopped": HOPPED,
    "sugared": SUGARED,
}


def points(spread):
    return np.array([spread.q05, spread.q25, spread.q50, spread.q75, spread.q95])


def answers(found):
    """All numbers in a row."""
    spreads = (found.final_sg, found.attenuation, found.now_sg, found.points_left, found.hop_points, found.end_day)
    numbers = [value for s in spreads for value in (s.mean, s.sd, *points(s))]
    return np.array([found.unsafe, *found.left_under, *found.stories.values(), *found.gross, *numbers])


# The whole of it against plain draws


def plain_draws(evidence: Evidence, count: int = 120_000):
    """Brews drawn from the priors and weighed by the readings: (weights, stories, final, now, left), nothing solved."""
    rng, known = np.random.default_rng(11), evidence.known
    days = np.array([*(r.day for r in evidence.readings), evidence.now_day])
    columns = []
    for family in families(evidence):
        for make in family.makes:
            shape = family.draw(rng.normal(size=(family.size, count))).shape
            thermal = Clock(evidence.warmth, days).thermal(shape.energy)
            done, slope = progress(shape, thermal)
            og = rng.normal(known.og_sg - 1, known.og_sd_sg, count)
            fall = make.attenuation * og + rng.normal(0, make.spread * (known.og_sg - 1), count)
            gravity = 1 + og - done * fall
            offset = rng.normal(0, USUAL_OFFSET_SD_SG, count)
            log_weight = np.full(count, make.log_chance)
            if shape.halt is not None:
                last = max(r.day for r in evidence.readings)
                halted = halted_for(shape, Clock(evidence.warmth, np.array([last])).thermal(shape.energy)[0])
                log_weight += still_halted(halted)
            for row, r in enumerate(evidence.readings):
                timed = TIME_SD_DAYS * (known.og_sg - 1) * known.attenuation * slope[row]
                sd = np.hypot(r.sd_sg, timed)
                right = norm.pdf(r.gravity_sg, gravity[row] + offset, sd)
                wrong = norm.pdf(r.gravity_sg, gravity[row] + offset, np.hypot(sd, GROSS_SD_SG))
                log_weight += np.log((1 - r.gross) * right + r.gross * wrong)
            final, left = 1 + og - fall, fall * (1 - done[-1])
            columns.append((log_weight, np.full(count, list(Story).index(make.story)), final, gravity[-1], left))
    log_weight, story, final, now, left = (np.concatenate(column) for column in zip(*columns, strict=True))
    weight = np.exp(log_weight - log_weight.max())
    return weight / weight.sum(), story, final, now, left


@pytest.mark.parametrize("name", ["one reading", "two readings", "long level far above"])
def test_the_forecast_is_what_plain_draws_from_the_priors_say(name):
    evidence = {
        "one reading": Evidence(beer((3.0, 1.022))[1:], 4.0),
        "two readings": Evidence(beer((8.0, 1.0125)), 9.0),
        "long level far above": Evidence(beer((8.0, 1.021), (25.0, 1.021))[1:], 25.0),
    }[name]
    found = forecast(evidence, enough=3000)
    weight, story, final, now, left = plain_draws(evidence)

    def shares_of(value):
        mean = weight @ value
        return pytest.approx(mean, abs=4 * ((weight**2) @ (value - mean) ** 2) ** 0.5 + 0.01 * abs(np.std(value)))

    limit = UNSAFE_CO2_G_PER_L / CO2_G_PER_L_PER_SG
    assert found.unsafe == shares_of((left > limit).astype(float))
    for place, each in enumerate(Story):
        assert found.stories[each] == shares_of((story == place).astype(float)), each
    assert found.final_sg.mean == shares_of(final)
    assert found.now_sg.mean == shares_of(now)
    assert found.points_left.mean == shares_of(1000 * left)
    assert points(found.final_sg) == pytest.approx(quantiles(final, weight, (0.05, 0.25, 0.5, 0.75, 0.95)), abs=4e-4)
    assert points(found.now_sg) == pytest.approx(quantiles(now, weight, (0.05, 0.25, 0.5, 0.75, 0.95)), abs=4e-4)


# The same in, the same out


@pytest.mark.parametrize("name", BREWS)
def test_the_same_evidence_gives_the_same_numbers(name):
    assert answers(forecast(BREWS[name])) == pytest.approx(answers(forecast(BREWS[name])), abs=0, rel=0)


@pytest.mark.parametrize("name", ["healthy", "halted and gone on", "two hydrometers"])
def test_the_order_of_the_readings_does_not_matter(name):
    two = replace(HEALTHY, readings=tuple(replace(r, instrument=n % 2) for n, r in enumerate(HEALTHY.readings)))
    gone_on = Evidence(beer((5.0, 1.022), (7.0, 1.022), (10.0, 1.014), (11.0, 1.012)), 11.0)
    evidence = {"healthy": HEALTHY, "halted and gone on": gone_on, "two hydrometers": two}[name]
    order = (3, 0, 4, 2, 1)
    mixed = replace(evidence, readings=tuple(evidence.readings[place] for place in order))
    found, other = forecast(evidence), forecast(mixed)
    assert [found.gross[place] for place in order] == list(other.gross)
    assert other.next_reading() == found.next_reading()
    assert (answers(replace(other, gross=())) == answers(replace(found, gross=()))).all()


def test_the_numbers_of_hydrometers_are_only_names():
    renamed = replace(HEALTHY, readings=tuple(replace(r, instrument=77) for r in HEALTHY.readings))
    assert answers(forecast(renamed)) == pytest.approx(answers(forecast(HEALTHY)), rel=1e-9)


@pytest.mark.parametrize("name", ["healthy", "at the end", "far above", "halfway", "hopped"])
def test_another_seed_says_nearly_the_same(name):
    """Within four standard errors of so many effective draws, each."""
    found = [forecast(BREWS[name], seed=seed) for seed in (0, 1, 2)]
    for other in found[1:]:
        size = min(found[0].diagnostics.ess, other.diagnostics.ess)
        assert other.unsafe == pytest.approx(found[0].unsafe, abs=4 * (2 * 0.25 / size) ** 0.5)
        assert other.final_sg.mean == pytest.approx(found[0].final_sg.mean, abs=6 * found[0].final_sg.sd / size**0.5)


# Nothing seen


def test_without_readings_the_prior_comes_back():
    found = forecast(NOTHING)
    makes = [make for family in families(NOTHING) for make in family.makes]
    chance = np.exp([make.log_chance for make in makes])
    chance /= chance.sum()
    for story in Story:
        expected = sum(c for c, make in zip(chance, makes, strict=True) if make.story is story)
        assert found.stories[story] == pytest.approx(expected, abs=0.005)
    known = NOTHING.known
    assert found.attenuation.mean == pytest.approx(chance @ [make.attenuation for make in makes], abs=0.003)
    wort = found.at(0.0)
    assert (wort.mean, wort.sd) == pytest.approx((known.og_sg, known.og_sd_sg), rel=0.02)
    assert found.gross == ()
    assert found.diagnostics.misfit == 1.0


def test_without_readings_a_surer_original_gravity_gives_a_surer_end():
    sure = forecast(Evidence((), 5.0, Known(og_sd_sg=0.001, attenuation_sd=0.02)))
    assert sure.final_sg.sd < forecast(NOTHING).final_sg.sd


# What readings do


def test_one_more_reading_that_agrees_narrows():
    before = forecast(HALFWAY)
    more = Reading(6.0, round(before.at(6.0).q50, 4), 0.001)
    after = forecast(replace(HALFWAY, readings=(*HALFWAY.readings, more), now_day=6.0))
    later = forecast(replace(HALFWAY, now_day=6.0))
    for name in ("final_sg", "now_sg", "points_left", "attenuation"):
        assert getattr(after, name).sd < getattr(later, name).sd, name


def test_a_level_run_at_the_expected_end_lowers_the_danger_day_by_day():
    level = AT_THE_END.readings
    found = [forecast(Evidence(level[:count], 10.0)).unsafe for count in (1, 2, 3, 4)]
    assert found[1] < found[0]
    assert found[2] < found[1]
    assert found[3] < 1.2 * found[2]
    longer = (*level, Reading(12.0, 1.010, 0.001), Reading(14.0, 1.010, 0.001))
    assert forecast(Evidence(longer, 14.0)).unsafe < found[3]


def test_a_level_run_far_above_the_expected_end_raises_the_danger_and_the_chance_that_it_halted():
    before, after = forecast(replace(FAR_ABOVE, readings=(WORT,))), forecast(FAR_ABOVE)
    assert after.unsafe > 3 * before.unsafe
    assert after.unsafe > 0.5
    assert after.stories[Story.HALTED] > 3 * before.stories[Story.HALTED]
    assert max(after.stories, key=lambda story: after.stories[story]) is Story.HALTED


def test_the_same_level_run_at_the_end_is_healthy():
    found = forecast(AT_THE_END)
    assert max(found.stories, key=lambda story: found.stories[story]) is Story.HEALTHY
    assert found.stories[Story.HALTED] < 0.08
    assert found.unsafe < 0.1


def test_a_forced_sample_at_the_level_lowers_the_danger_strongly():
    forced = forecast(replace(FAR_ABOVE, forced=Forced(1.020)))
    assert forced.unsafe < forecast(FAR_ABOVE).unsafe / 4
    assert forced.stories[Story.HIGH] > forecast(FAR_ABOVE).stories[Story.HIGH]
    assert forecast(replace(AT_THE_END, forced=Forced(1.010))).unsafe < forecast(AT_THE_END).unsafe


def test_a_forced_sample_well_below_the_level_raises_the_danger():
    assert forecast(replace(FAR_ABOVE, forced=Forced(1.010))).unsafe > forecast(FAR_ABOVE).unsafe
    lower = forecast(replace(AT_THE_END, forced=Forced(1.004)))
    assert lower.unsafe > forecast(AT_THE_END).unsafe


def test_a_forced_sample_tells_where_it_ends():
    found = forecast(replace(HALFWAY, forced=Forced(1.0080)))
    assert abs(found.final_sg.q50 - 1.0080) < abs(forecast(HALFWAY).final_sg.q50 - 1.0080)
    assert found.final_sg.sd < forecast(HALFWAY).final_sg.sd


def test_a_high_last_reading_after_level_ones_is_gross_and_no_halt():
    high = replace(AT_THE_END, readings=(*AT_THE_END.readings, Reading(11.0, 1.025, 0.001)), now_day=11.0)
    found, without = forecast(high), forecast(AT_THE_END)
    assert found.gross[-1] > 0.9
    assert max(found.gross[:-1]) < 0.2
    assert found.stories[Story.HALTED] < 2 * without.stories[Story.HALTED] + 0.01
    assert found.now_sg.q95 < 1.013


def test_a_reading_taken_carelessly_moves_less():
    def now(gross):
        last = Reading(11.0, 1.014, 0.001, gross=gross)
        return forecast(replace(AT_THE_END, readings=(*AT_THE_END.readings, last), now_day=11.0)).now_sg.mean

    assert now(0.5) < now(0.001)


def test_a_gravity_far_below_the_possible_is_another_yeast_or_a_wrong_entry():
    low = Evidence(beer((8.0, 1.000), (10.0, 0.996), (12.0, 0.996)), 12.0)
    found = forecast(low)
    assert found.stories[Story.BELOW] > 0.5
    assert found.stories[Story.BELOW] > 5 * forecast(AT_THE_END).stories[Story.BELOW]


def test_a_level_run_a_little_above_what_was_promised_may_be_a_wort_less_fermentable():
    high = Evidence(beer((10.0, 1.0145), (14.0, 1.0145), (18.0, 1.0145)), 18.0)
    assert forecast(high).stories[Story.HIGH] > 2 * forecast(AT_THE_END).stories[Story.HIGH]


def test_gas_in_the_sample_lets_the_beer_be_lower_than_the_reading():
    def now(lift):
        last = Reading(3.0, 1.024, 0.001, lift_sg=lift)
        return forecast(Evidence((WORT, last), 3.0)).now_sg

    assert now(0.003).mean < now(0.0).mean
    assert now(0.003).sd > now(0.0).sd


def test_a_hydrometer_that_reads_high_is_corrected_by_what_is_known_of_it():
    known = Known(offsets=((0, 0.003, 0.0002),))
    found, plain = forecast(replace(AT_THE_END, known=known)), forecast(AT_THE_END)
    assert found.now_sg.mean == pytest.approx(plain.now_sg.mean - 0.003, abs=0.001)
    assert found.now_sg.sd < plain.now_sg.sd


# Hops and later sugar


def test_hops_reopen_the_question():
    found, without = forecast(HOPPED), forecast(AT_THE_END)
    assert found.unsafe > 5 * without.unsafe
    assert found.stories[Story.WOKEN] > 0.3
    assert without.stories[Story.WOKEN] == 0
    assert found.hop_points.mean > 0
    assert points(without.hop_points) == pytest.approx(np.zeros(5))
    assert found.final_sg.mean < without.final_sg.mean


def test_the_danger_from_hops_dies_away_in_warm_days():
    warm = forecast(HOPPED)
    found = [warm.unsafe_at(day) for day in (10.0, 15.0, 20.0, 30.0, 60.0)]
    assert (np.diff(found) < 0).all()
    cold = forecast(replace(HOPPED, warmth=Warmth((0.0, 10.0), (20.0, 4.0))))
    assert cold.unsafe_at(20.0) > warm.unsafe_at(20.0)


def test_more_hops_free_more():
    little, much = (forecast(replace(AT_THE_END, hops=Hops(10.0, dose))).hop_points.mean for dose in (2.0, 12.0))
    assert much > 2 * little


def test_readings_that_go_on_falling_after_hops_tell_that_they_woke_it():
    falling = (Reading(13.0, 1.0080, 0.0006), Reading(16.0, 1.0062, 0.0006), Reading(20.0, 1.0048, 0.0006))
    level = tuple(replace(r, gravity_sg=1.010) for r in falling)
    fell, stood = (
        forecast(replace(HOPPED, readings=(*AT_THE_END.readings, *more), now_day=20.0)) for more in (falling, level)
    )
    assert fell.stories[Story.WOKEN] > forecast(HOPPED).stories[Story.WOKEN]
    assert stood.stories[Story.WOKEN] < forecast(HOPPED).stories[Story.WOKEN]
    assert stood.unsafe < fell.unsafe


def test_later_sugar_lifts_the_gravity_and_the_danger_and_then_ferments():
    found, without = forecast(SUGARED), forecast(AT_THE_END)
    assert found.at(11.01).mean == pytest.approx(without.at(11.01).mean + 0.004, abs=5e-4)
    assert found.at(40.0).mean == pytest.approx(without.at(40.0).mean - 0.001, abs=5e-4)
    assert found.unsafe_at(11.01) > 0.9
    assert found.unsafe_at(40.0) < 0.1
    assert found.final_sg.mean == pytest.approx(without.final_sg.mean - 0.001, abs=1e-6)
    assert found.end_day.q50 > 11.0


# Warmth and time


def test_a_cold_time_slows():
    warm = forecast(replace(HALFWAY, now_day=6.0))
    cold = forecast(replace(HALFWAY, now_day=6.0, warmth=Warmth((0.0, 3.0), (20.0, 8.0))))
    assert cold.now_sg.mean > warm.now_sg.mean + 0.001
    assert cold.end_day.q50 > warm.end_day.q50
    assert cold.unsafe > warm.unsafe


@pytest.mark.parametrize("name", BREWS)
def test_the_danger_never_grows_while_nothing_is_seen(name):
    found = forecast(BREWS[name])
    now = BREWS[name].now_day
    chances = [found.unsafe_at(now + wait) for wait in (0, 1, 2, 4, 8, 16, 32)]
    assert found.unsafe == pytest.approx(chances[0])
    assert (np.diff(chances) <= 1e-9).all()


def test_the_danger_of_a_healthy_brew_falls_with_time():
    found = forecast(HALFWAY)
    assert found.unsafe_at(3.0) > 0.95
    assert found.unsafe_at(8.0) < found.unsafe_at(5.0) < found.unsafe_at(3.0)
    assert found.unsafe_at(20.0) < 0.35


# Fan, quantiles and counts


@pytest.mark.parametrize("name", BREWS)
def test_quantiles_are_in_order_and_chances_of_what_is_left_grow(name):
    found = forecast(BREWS[name])
    for spread in (found.final_sg, found.now_sg, found.points_left, found.attenuation, found.end_day, found.hop_points):
        ordered = points(spread)
        assert (ordered[1:] >= ordered[:-1]).all()
    half, one, two = found.left_under
    assert 0 <= half <= one <= two <= 1
    assert 0 <= found.unsafe <= 1
    assert sum(found.stories.values()) == pytest.approx(1.0)
    assert found.weight.sum() == pytest.approx(1.0)


@pytest.mark.parametrize("name", ["healthy", "at the end", "far above", "halfway"])
def test_the_fan_brackets_the_readings(name):
    evidence = BREWS[name]
    fan = forecast(evidence).fan(np.array([r.day for r in evidence.readings]))
    for place, reading in enumerate(evidence.readings):
        assert fan.q05[place] - 0.0015 < reading.gravity_sg < fan.q95[place] + 0.0015


@pytest.mark.parametrize("name", BREWS)
def test_the_fan_is_ordered_and_its_middle_rises_only_by_later_sugar(name):
    days = np.linspace(0, 40, 81)
    fan = forecast(BREWS[name]).fan(days)
    stack = np.stack([fan.q05, fan.q25, fan.q50, fan.q75, fan.q95])
    assert (np.diff(stack, axis=0) >= 0).all()
    rises = np.diff(fan.q50) > 1e-6
    added = [np.searchsorted(days, a.day) - 1 for a in BREWS[name].additions]
    assert set(np.flatnonzero(rises)) <= set(added)
    assert bool(rises.any()) == bool(added)


@pytest.mark.parametrize("name", ["healthy", "far above", "halfway", "hopped"])
def test_the_fan_and_the_gravity_on_a_day_tell_the_same(name):
    found = forecast(BREWS[name])
    days = np.array([1.0, 5.0, 12.0, 20.0])
    fan = found.fan(days)
    for place, day in enumerate(days):
        spread = found.at(float(day))
        assert fan.q50[place] == pytest.approx(spread.q50, abs=0.35 * spread.sd)
        assert fan.q95[place] == pytest.approx(spread.q95, abs=0.7 * spread.sd)


def test_far_off_the_gravity_comes_to_the_final_one_where_it_does_not_halt():
    found = forecast(HEALTHY)
    assert found.at(300.0).q50 == pytest.approx(found.final_sg.q50, abs=3e-4)


def test_gas_to_come_is_the_points_left_times_one_constant():
    found = forecast(HALFWAY)
    assert points(found.co2_left_g_per_l) == pytest.approx(points(found.points_left) / 1000 * CO2_G_PER_L_PER_SG)
    assert found.co2_above(UNSAFE_CO2_G_PER_L) == found.unsafe
    assert found.co2_above(1.0) >= found.co2_above(2.0) >= found.co2_above(4.0)
    limit = 0.002 * CO2_G_PER_L_PER_SG
    assert found.co2_above(limit) == pytest.approx(1 - found.left_under[2], abs=1e-9)


def test_gravity_now_is_what_is_left_above_the_end():
    found = forecast(HALFWAY)
    assert found.now_sg.mean - found.final_sg.mean == pytest.approx(found.points_left.mean / 1000, abs=1e-9)


# When it ends


@pytest.mark.parametrize("name", ["healthy", "halfway"])
def test_on_the_day_of_its_end_one_point_is_left(name):
    found = forecast(BREWS[name])
    end = found.end_day
    under = 1 - found.co2_above(NEAR_END_SG * CO2_G_PER_L_PER_SG, end.q50)
    assert under == pytest.approx(0.5, abs=0.06)
    earlier = 1 - found.co2_above(NEAR_END_SG * CO2_G_PER_L_PER_SG, end.q25)
    assert earlier == pytest.approx(0.25, abs=0.06)


def share_without_end(found):
    columns = [ends_of(found.evidence, part) for part in found.parts]
    days, weight = (np.concatenate(column) for column in zip(*columns, strict=True))
    assert weight.sum() == pytest.approx(1.0)
    assert (days >= 0).all()
    return float(weight[np.isinf(days)].sum())


@pytest.mark.parametrize("name", ["healthy", "far above", "halfway", "nothing", "hopped", "sugared"])
def test_only_brews_that_halt_or_tire_have_no_end(name):
    found = forecast(BREWS[name])
    never = share_without_end(found)
    assert never <= found.stories[Story.HALTED] + found.stories[Story.FADING] + 0.01


def test_a_long_halt_has_no_end_and_a_short_one_may_go_on():
    long = replace(FAR_ABOVE, readings=(*FAR_ABOVE.readings, Reading(45.0, 1.020, 0.001)), now_day=45.0)
    found = forecast(long)
    stopped = found.stories[Story.HALTED] + found.stories[Story.FADING]
    assert share_without_end(found) > 0.8 * stopped
    assert np.isinf(found.end_day.q50)
    assert share_without_end(forecast(FAR_ABOVE)) < share_without_end(found)


# The next reading


@pytest.mark.parametrize("name", BREWS)
def test_the_next_reading_lies_ahead_and_has_a_chance(name):
    evidence = BREWS[name]
    found = forecast(evidence).next_reading()
    assert len(found.days) == len(found.chances)
    assert min(found.days) > evidence.now_day
    assert all(0 <= chance <= 1 for chance in found.chances)
    assert found.day is None or found.day in found.days
    assert found.chance in found.chances


def test_no_sample_is_worth_taking_of_a_brew_that_stands_halted():
    long = replace(FAR_ABOVE, readings=(*FAR_ABOVE.readings, Reading(30.0, 1.020, 0.001)), now_day=30.0)
    assert forecast(long).next_reading().day is None


def test_of_a_brew_halfway_a_sample_is_worth_taking_once_it_may_have_ended():
    found = forecast(HALFWAY)
    day = found.next_reading().day
    assert day is not None
    assert found.unsafe_at(day) < 0.5


# What nothing explains


UP_AND_DOWN = Evidence(beer((3.0, 1.040), (4.0, 1.010), (5.0, 1.040), (6.0, 1.010), (7.0, 1.040), (8.0, 1.010)), 8.0)


def test_readings_that_nothing_explains_have_a_small_misfit():
    assert forecast(UP_AND_DOWN).diagnostics.misfit < 1e-3
    assert forecast(replace(UP_AND_DOWN, readings=UP_AND_DOWN.readings[:5])).diagnostics.misfit < 1e-3


@pytest.mark.parametrize("name", BREWS)
def test_sensible_readings_have_a_large_misfit(name):
    assert forecast(BREWS[name]).diagnostics.misfit > 0.2


def test_one_wrong_reading_is_no_misfit():
    wrong = replace(AT_THE_END, readings=(*AT_THE_END.readings, Reading(11.0, 1.025, 0.001)), now_day=11.0)
    assert forecast(wrong).diagnostics.misfit > 0.01


def test_brews_made_by_the_model_are_seldom_called_a_misfit():
    rng, count = np.random.default_rng(8), 0
    days = np.array([0.0, 2.0, 4.0, 7.0, 10.0])
    for _ in range(40):
        family = families(NOTHING)[0]
        shape = family.draw(rng.normal(size=(family.size, 1))).shape
        og = rng.normal(0.042, 0.006)
        fall = og * 0.77 + rng.normal(0, 0.042 * 0.06)
        done = progress(shape, Clock(Warmth(), days).thermal(shape.energy))[0][:, 0]
        gravity = 1 + og - done * fall + rng.normal(0, 0.0007) + rng.normal(0, 0.001, 5)
        made = tuple(Reading(float(d), float(g), 0.001) for d, g in zip(days, gravity, strict=True))
        count += forecast(Evidence(made, 10.0)).diagnostics.misfit < 0.05
    assert count <= 4
