"""The families before any reading: what they are made of and which evidence calls for them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gylebook.forecast.answers import Story
from gylebook.forecast.constants import CO2_G_PER_L_PER_SG
from gylebook.forecast.curve import ENERGY_RANGE
from gylebook.forecast.evidence import Evidence, Hops, Known, Reading
from gylebook.forecast.priors import CHANCE, HALTS_AGAIN, WOKEN_CHANCE, Family, families, went_on_after_a_halt
from gylebook.science.carbonation import co2_from_gravity_drop_g_per_l

RESTARTED = (
    Reading(0.0, 1.042, 0.001),
    Reading(5.0, 1.022, 0.001),
    Reading(7.0, 1.022, 0.001),
    Reading(10.0, 1.013, 0.001),
)
PLAIN, HOPPED = Evidence((), 5.0), Evidence((), 5.0, hops=Hops(4.0, 5.0))
WENT_ON = Evidence(RESTARTED, 10.0)
ALL = [(name, family) for name, e in (("plain", PLAIN), ("hopped", HOPPED), ("on", WENT_ON)) for family in families(e)]


def chances(evidence: Evidence) -> dict[Story, float]:
    found = dict.fromkeys(Story, 0.0)
    for family in families(evidence):
        if family.name != "went on":
            for make in family.makes:
                found[make.story] += float(np.exp(make.log_chance))
    return found


def test_the_stories_chances_add_to_one_with_hops_and_without():
    assert sum(CHANCE.values()) == pytest.approx(1.0)
    assert sum(chances(PLAIN).values()) == pytest.approx(1.0)
    assert sum(chances(HOPPED).values()) == pytest.approx(1.0)


def test_each_story_has_its_own_chance_and_hops_share_the_healthy_ones():
    for story, chance in CHANCE.items():
        assert chances(PLAIN)[story] == pytest.approx(chance)
    assert chances(PLAIN)[Story.WOKEN] == 0
    assert chances(HOPPED)[Story.WOKEN] == pytest.approx(CHANCE[Story.HEALTHY] * WOKEN_CHANCE)
    assert chances(HOPPED)[Story.HALTED] == pytest.approx(CHANCE[Story.HALTED])


@pytest.mark.parametrize(("name", "family"), ALL, ids=[f"{n}: {f.name}" for n, f in ALL])
def test_any_normal_numbers_become_parameters_that_a_curve_may_have(name: str, family: Family):
    rng = np.random.default_rng(3)
    for z in (rng.normal(size=(family.size, 500)), rng.choice([-7.5, 0.0, 7.5], (family.size, 500))):
        drawn = family.draw(z)
        shape = drawn.shape
        assert (shape.pace > 0).all()
        assert ((shape.pitch > 0) & (shape.pitch <= 1)).all()
        assert (shape.growth > 0).all()
        assert ((shape.energy >= ENERGY_RANGE[0]) & (shape.energy <= ENERGY_RANGE[1])).all()
        assert ((shape.sharp >= 0) & (shape.sharp <= 0.6)).all()
        assert (shape.slow > 0).all()
        for bend in (shape.fade, shape.pause, shape.again, drawn.creep_sg, drawn.creep_pace):
            assert bend is None or (bend > 0).all()
        assert shape.halt is None or ((shape.halt > 0) & (shape.halt < 1)).all()
        assert shape.again is None or (shape.again >= shape.halt).all()


def test_the_curves_middle_is_what_is_known():
    known = Known(pace=0.7, pitch=0.05)
    shape = families(Evidence((), 1.0, known))[0].draw(np.zeros((5, 1))).shape
    assert (shape.pace[0], shape.pitch[0]) == pytest.approx((0.7, 0.05))
    rng = np.random.default_rng(1)
    many = families(Evidence((), 1.0, known))[0].draw(rng.normal(size=(5, 20_000))).shape
    assert np.log(many.pace).std() == pytest.approx(known.pace_sd, rel=0.03)


def test_what_the_leaflet_promises_is_the_middle_of_the_healthy_and_high_and_below_lie_on_their_sides():
    known = Known(attenuation=0.73, attenuation_sd=0.03)
    makes = {make.story: make for make in families(Evidence((), 1.0, known))[0].makes}
    assert (makes[Story.HEALTHY].attenuation, makes[Story.HEALTHY].spread) == (0.73, 0.03)
    assert makes[Story.HIGH].attenuation < 0.73 < makes[Story.BELOW].attenuation
    wide = replace(known, attenuation_sd=0.2)
    assert all(m.spread >= 0.2 for f in families(Evidence((), 1.0, wide)) for m in f.makes)


def test_only_hops_call_for_sugar_that_they_free():
    assert not any(f.draw(np.zeros((f.size, 1))).creep_sg is not None for f in families(PLAIN))
    found = {f.name: f.draw(np.zeros((f.size, 1))).creep_sg for f in families(HOPPED)}
    assert found["running out"] is None
    assert found["woken"] is not None
    assert found["halted"] is not None


def test_a_larger_dose_of_hops_frees_more_but_not_in_proportion():
    def middle(dose):
        woken = families(Evidence((), 5.0, hops=Hops(4.0, dose)))[-1]
        return float(woken.draw(np.zeros((woken.size, 1))).creep_sg[0])

    assert middle(5.0) < middle(10.0) < 2 * middle(5.0)


# Halts that went on


def test_a_level_stretch_with_a_clear_fall_after_it_is_a_halt_that_went_on():
    assert went_on_after_a_halt(WENT_ON)
    assert [f.name for f in families(WENT_ON)].count("went on") == 1


@pytest.mark.parametrize(
    "readings",
    [
        (),
        RESTARTED[:3],
        (*RESTARTED[:3], Reading(10.0, 1.0215, 0.001)),
        (RESTARTED[0], RESTARTED[1], Reading(5.5, 1.022, 0.001), RESTARTED[3]),
        (Reading(-3.0, 1.042, 0.001), Reading(-0.1, 1.042, 0.001), Reading(5.0, 1.020, 0.001)),
        (
            Reading(0.0, 1.042, 0.001),
            Reading(3.0, 1.025, 0.001),
            Reading(6.0, 1.012, 0.001),
            Reading(9.0, 1.010, 0.001),
        ),
    ],
    ids=["none", "still level", "within the error", "level for an hour", "wort before pitching", "falling all along"],
)
def test_without_one_there_is_no_such_family(readings):
    evidence = Evidence(readings, 12.0)
    assert not went_on_after_a_halt(evidence)
    assert "went on" not in [f.name for f in families(evidence)]


def test_the_gas_of_a_points_fall_is_that_of_the_sums():
    one_point = co2_from_gravity_drop_g_per_l(1.0105, 1.0095)
    assert one_point.low <= 0.001 * CO2_G_PER_L_PER_SG <= one_point.high


def test_hops_taken_out_early_free_less():
    def middle(out_day):
        woken = families(Evidence((), 9.0, hops=Hops(4.0, 5.0, out_day)))[-1]
        return float(woken.draw(np.zeros((woken.size, 1))).creep_sg[0])

    assert middle(4.5) < middle(6.0) < middle(None)
    assert middle(400.0) == pytest.approx(middle(None), rel=0.01)


def test_of_halts_that_went_on_some_halt_again_anywhere_beyond_the_first():
    family = next(f for f in families(WENT_ON) if f.name == "went on")
    shape = family.draw(np.random.default_rng(6).normal(size=(family.size, 20_000))).shape
    assert shape.halt is not None
    assert shape.again is not None
    stops = shape.again < 1
    assert stops.mean() == pytest.approx(HALTS_AGAIN, abs=0.02)
    between = (shape.again[stops] - shape.halt[stops]) / (1 - shape.halt[stops])
    assert np.histogram(between, 4, (0, 1))[0] / stops.sum() == pytest.approx(np.full(4, 0.25), abs=0.03)
