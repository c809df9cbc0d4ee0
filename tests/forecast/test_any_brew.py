"""Any brew that may be written down gets chances that are chances; what cannot be one is refused with a sentence."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gylebook.errors import InputError
from gylebook.forecast.answers import Story
from gylebook.forecast.evidence import Addition, Evidence, Forced, Hops, Known, Reading, Warmth
from gylebook.forecast.forecast import forecast

ROUNDING = 1e-12


@st.composite
def warmths(draw):
    steps = draw(st.integers(1, 5))
    days = sorted(draw(st.lists(st.floats(-2, 25), min_size=steps, max_size=steps, unique=True)))
    temps = draw(st.lists(st.floats(4, 30), min_size=steps, max_size=steps))
    return Warmth(tuple(days), tuple(temps), draw(st.floats(10, 24)))


@st.composite
def knowns(draw):
    return Known(
        og_sg=draw(st.floats(1.025, 1.110)),
        og_sd_sg=draw(st.floats(0.0005, 0.012)),
        attenuation=draw(st.floats(0.60, 0.88)),
        attenuation_sd=draw(st.floats(0.01, 0.10)),
        pace=draw(st.floats(0.3, 2.5)),
        pitch=draw(st.floats(0.005, 0.3)),
        offsets=draw(st.sampled_from([(), ((1, 0.001, 0.0003),)])),
    )


@st.composite
def brews(draw):
    """Evidence as a brewer writes it: readings that fall more or less, now and then a silly one."""
    known, now = draw(knowns()), draw(st.floats(0, 40))
    at = sorted(draw(st.lists(st.floats(-0.5, 1), max_size=8)))
    readings = []
    for share in at:
        done = draw(st.floats(0, 1)) if draw(st.booleans()) else 1 - math.exp(-3 * max(share, 0))
        sg = 1 + (known.og_sg - 1) * (1 - known.attenuation * done) + draw(st.floats(-0.003, 0.003))
        sd, lift = draw(st.floats(0.0003, 0.003)), draw(st.sampled_from([0.0, 0.0, 0.002]))
        gross, glass = draw(st.sampled_from([0.03, 0.5])), draw(st.integers(0, 2))
        readings.append(Reading(share * now if share > 0 else share, sg, sd, lift, gross, glass))
    return Evidence(
        tuple(readings),
        now,
        known,
        draw(warmths()),
        draw(st.none() | st.builds(Hops, st.floats(0, 40), st.floats(0.2, 15))),
        draw(st.sampled_from([(), (), (Addition(now / 2, 0.004, 0.005),), (Addition(now + 2, 0.002, 0.002),) * 2])),
        draw(st.none() | st.builds(Forced, st.floats(1.004, 1.022))),
    )


def spread_holds(spread):
    ordered = [spread.q05, spread.q25, spread.q50, spread.q75, spread.q95]
    assert not np.isnan([spread.mean, spread.sd, *ordered]).any()
    assert ordered == sorted(ordered)
    assert spread.sd >= 0


@settings(max_examples=60)
@given(evidence=brews())
def test_nothing_is_missing_and_chances_are_chances(evidence):
    found = forecast(evidence)
    for spread in (found.final_sg, found.now_sg, found.attenuation, found.points_left, found.co2_left_g_per_l):
        spread_holds(spread)
        assert np.isfinite([spread.mean, spread.sd, spread.q05, spread.q95]).all()
    spread_holds(found.hop_points)
    spread_holds(found.end_day)
    assert found.end_day.q05 >= 0
    now = evidence.now_day
    later = [found.unsafe_at(now + wait) for wait in (0.0, 1.0, 5.0, 20.0)]
    following = found.next_reading()
    chances = [found.unsafe, *found.left_under, *found.gross, *found.stories.values(), *later, *following.chances]
    assert not np.isnan(chances).any()
    assert min(found.unsafe, *found.left_under) >= 0
    assert max(found.unsafe, *found.left_under) <= 1
    assert min(chances) >= -ROUNDING
    assert max(chances) <= 1 + ROUNDING
    assert (np.diff(later) <= 1e-9).all()
    assert set(found.stories) == set(Story)
    assert sum(found.stories.values()) == pytest.approx(1.0)
    assert len(found.gross) == len(evidence.readings)


@settings(max_examples=40)
@given(evidence=brews())
def test_the_diagnostics_are_filled_and_the_fan_is_whole(evidence):
    found = forecast(evidence)
    told = found.diagnostics
    assert 1 <= told.ess <= told.draws
    assert told.rounds > 0
    assert 0 <= told.misfit <= 1
    assert isinstance(told.good, bool)
    assert isinstance(told.longer, bool)
    days = np.linspace(0, evidence.now_day + 10, 20)
    fan = found.fan(days)
    stack = np.stack([fan.q05, fan.q25, fan.q50, fan.q75, fan.q95])
    assert stack.shape == (5, 20)
    assert np.isfinite(stack).all()
    assert (np.diff(stack, axis=0) >= 0).all()


# Refused

FINE = Evidence((Reading(0.0, 1.042, 0.001), Reading(4.0, 1.020, 0.001)), 5.0)


def with_second(**changes):
    return replace(FINE, readings=(FINE.readings[0], replace(FINE.readings[1], **changes)))


def knowing(**changes):
    return replace(FINE, known=replace(FINE.known, **changes))


def warmed(*args):
    return replace(FINE, warmth=Warmth(*args))


def sugared(**changes):
    return replace(FINE, additions=(Addition(2.0, 0.004, 0.005), replace(Addition(3.0, 0.004, 0.005), **changes)))


REFUSED = {
    "a reading after now": (with_second(day=6.0), "reading 2", "after now"),
    "a reading on no day": (with_second(day=math.nan), "reading 2", "day"),
    "a reading without gravity": (with_second(gravity_sg=math.nan), "reading 2", "gravity"),
    "an infinite gravity": (with_second(gravity_sg=math.inf), "reading 2", "gravity"),
    "a gravity in points": (with_second(gravity_sg=1020.0), "reading 2", "1020"),
    "a gravity of nought": (with_second(gravity_sg=0.0), "reading 2", "gravity"),
    "a reading without an error": (with_second(sd_sg=math.nan), "reading 2", "error"),
    "an error of nought": (with_second(sd_sg=0.0), "reading 2", "not above zero"),
    "an error below nought": (with_second(sd_sg=-0.001), "reading 2", "not above zero"),
    "an infinite error": (with_second(sd_sg=math.inf), "reading 2", "error"),
    "gas that weighs the hydrometer down": (with_second(lift_sg=-0.001), "reading 2", "gas"),
    "a chance that is none": (with_second(gross=math.nan), "reading 2", "wrong"),
    "a chance above one": (with_second(gross=1.5), "reading 2", "1.5"),
    "no now": (replace(FINE, now_day=math.nan), "now", "day"),
    "an endless now": (replace(FINE, now_day=math.inf), "now", "day"),
    "water as wort": (knowing(og_sg=1.0), "original gravity", ""),
    "an original gravity in points": (knowing(og_sg=42.0), "original gravity", "42"),
    "no original gravity": (knowing(og_sg=math.nan), "original gravity", "not a number"),
    "an original gravity beyond any error": (knowing(og_sd_sg=0.0), "original gravity", "spread"),
    "an original gravity known not at all": (knowing(og_sd_sg=math.inf), "original gravity", "spread"),
    "no attenuation": (knowing(attenuation=0.0), "attenuation", ""),
    "attenuation in per cent": (knowing(attenuation=77.0), "attenuation", "77"),
    "an unknown attenuation": (knowing(attenuation=math.nan), "attenuation", "not a number"),
    "an attenuation beyond any error": (knowing(attenuation_sd=0.0), "attenuation", "spread"),
    "yeast without a pace": (knowing(pace=0.0), "pace", "above zero"),
    "yeast with an unknown pace": (knowing(pace=math.nan), "pace", "not a number"),
    "a pace with a spread below nought": (knowing(pace_sd=-0.1), "pace", "spread"),
    "no yeast": (knowing(pitch=0.0), "yeast", "above zero"),
    "yeast known beyond any error": (knowing(pitch_sd=0.0), "yeast", "spread"),
    "a hydrometer with an unknown error": (knowing(offsets=((3, math.nan, 0.001),)), "hydrometer 3", "error"),
    "a hydrometer with a spread below nought": (knowing(offsets=((3, 0.0, -0.1),)), "hydrometer 3", "spread"),
    "more days than temperatures": (warmed((0.0, 2.0), (20.0,)), "temperature", "pairs"),
    "no temperature at all": (warmed((), ()), "temperature", "pairs"),
    "days that run back": (warmed((2.0, 0.0), (20.0, 18.0)), "temperature", "order"),
    "a temperature that is none": (warmed((0.0,), (math.nan,)), "temperature", "not a number"),
    "a temperature on no day": (warmed((math.nan,), (20.0,)), "temperature", "day"),
    "beer that boils": (warmed((0.0,), (100.0,)), "temperature", "100"),
    "yeast that works nowhere": (warmed((0.0,), (20.0,), math.nan), "temperature", "not a number"),
    "a forced sample without gravity": (replace(FINE, forced=Forced(math.nan)), "forced sample", "gravity"),
    "a forced sample beyond any error": (replace(FINE, forced=Forced(1.010, 0.0)), "forced sample", "error"),
    "hops on no day": (replace(FINE, hops=Hops(math.nan, 5.0)), "hops", "day"),
    "a dose below nought": (replace(FINE, hops=Hops(3.0, -5.0)), "hops", "dose"),
    "hops out before they were in": (replace(FINE, hops=Hops(3.0, 5.0, 2.0)), "hops", "day out"),
    "sugar on no day": (sugared(day=math.nan), "later sugar", "day"),
    "sugar that lifts by no number": (sugared(lifts_sg=math.nan), "later sugar", "rise"),
    "sugar that ferments upwards": (sugared(falls_sg=-0.01), "later sugar", "fall"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_is_refused_with_a_sentence_that_names_the_field(name):
    evidence, field, part = REFUSED[name]
    with pytest.raises(InputError) as refused:
        forecast(evidence)
    assert refused.value.field == field
    text = str(refused.value)
    assert text.startswith(f"{field}: ")
    assert part in text
    assert refused.value.problem
    assert refused.value.remedy
    assert text.endswith(".")
    assert ". " not in text  # one sentence


def test_the_fault_is_found_at_the_reading_that_has_it():
    three = (*FINE.readings, Reading(4.5, 1.018, 0.0))
    with pytest.raises(InputError, match="reading 3"):
        forecast(replace(FINE, readings=three))


def test_a_reading_of_this_very_moment_and_of_the_wort_before_pitching_are_taken():
    taken = Evidence((Reading(-0.2, 1.042, 0.001), Reading(5.0, 1.018, 0.001)), 5.0)
    assert forecast(taken).diagnostics.good
