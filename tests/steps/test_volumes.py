"""How much there is: read, corrected by marks, and what samples, hops, sediment and racking take. Invented brews."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewing import TWO_CANS, at, brewed, q, shelf_with
from gylebook.journal import events as ev
from gylebook.steps import volumes
from gylebook.steps.answers import Basis

BUCKET = ev.VesselKept(
    name="white bucket",
    capacity=q("30", "L"),
    marks=(ev.Mark(mark=q("20", "L"), holds=q("19.6", "L")), ev.Mark(mark=q("25", "L"), holds=q("24.4", "L"))),
    trub_loss=q("0.8", "L"),
)
KIT = ev.Kit(name="Invented", ingredients=TWO_CANS, volume=q("23", "L"))


def mixed(litres: str = "23", **more) -> tuple[float, ev.Event]:
    return (1, ev.Mixed(volume=q(litres, "L"), **more))


def sample(hours: float, sample_from: str = "") -> tuple[float, ev.Event]:
    return (hours, ev.Measured(gravity=q("1.020", "SG"), sample_from=sample_from))


def test_a_calibrated_mark_is_honoured_and_read_between_the_marks() -> None:
    brew = brewed(mixed(vessel="white bucket", volume_from="bucket mark"))
    figure = volumes.mixed_l(brew, shelf_with(BUCKET))
    assert figure is not None
    assert figure.value == pytest.approx(22.48)  # 23 less 0.52, between 0.4 at 20 and 0.6 at 25
    assert figure.high - figure.low < 0.6
    assert "the mark 23.0 of white bucket holds 22.5 L" in figure.working.inputs[0].where


def test_a_jug_is_believed_over_the_mark_and_a_guess_is_wide() -> None:
    jug = volumes.mixed_l(brewed(mixed(vessel="white bucket", volume_from="jug")), shelf_with(BUCKET))
    guess = volumes.mixed_l(brewed(mixed(volume_from="guess")), shelf_with())
    assert jug is not None
    assert guess is not None
    assert jug.value == 23.0
    assert guess.high - guess.low > 3.0


def test_beyond_the_outermost_mark_its_error_is_kept() -> None:
    assert volumes.mark_holds_l(BUCKET, 28.0) == pytest.approx(27.4)
    assert volumes.mark_holds_l(ev.VesselKept(name="plain"), 28.0) is None


def test_water_added_later_counts_and_a_new_mark_starts_over() -> None:
    added = volumes.mixed_l(brewed(mixed("20"), (2, ev.ToppedUp(water=q("3", "L")))), shelf_with())
    marked = volumes.mixed_l(brewed(mixed("20"), (2, ev.ToppedUp(new_volume=q("22.5", "L")))), shelf_with())
    assert added is not None
    assert marked is not None
    assert (added.value, marked.value) == (23.0, 22.5)


def test_before_mixing_the_plan_or_the_leaflet_is_assumed_and_said_to_be() -> None:
    leaflet = volumes.mixed_l(brewed(plan=ev.Planned(name="x", kit=KIT)), shelf_with())
    asked = volumes.mixed_l(brewed(plan=ev.Planned(name="x", kit=KIT, volume=q("18", "L"))), shelf_with())
    assert leaflet is not None
    assert asked is not None
    assert leaflet.working.inputs[0].basis is Basis.LEAFLET
    assert asked.value == 18.0


def test_nothing_known_gives_none_and_then_an_assumed_volume() -> None:
    assert volumes.mixed_l(brewed(), shelf_with()) is None
    assumed = volumes.in_vessel_l(brewed(), shelf_with())
    assert assumed.working.inputs[0].basis is Basis.ASSUMED


# 23 L plain give about 21 L; 20 L with 100 g of hops about 17 L.
def test_samples_sediment_and_hops_are_taken_off() -> None:
    plain = brewed(mixed(), sample(2), sample(100), sample(150))
    assert volumes.in_vessel_l(plain, shelf_with()).value == pytest.approx(21.15, abs=0.01)
    hopped = brewed(
        mixed("20"), sample(2), sample(100), sample(150), (110, ev.Hopped(hop="Sedgeway", mass=q("100", "g")))
    )
    assert volumes.in_vessel_l(hopped, shelf_with()).value == pytest.approx(17.4, abs=0.01)


def test_a_forced_sample_takes_more_than_a_trial_jar() -> None:
    figure = volumes.in_vessel_l(brewed(mixed(), sample(90, "forced sample")), shelf_with(), with_sediment=True)
    assert figure.value == pytest.approx(22.75)


def test_a_vessels_own_loss_goes_before_the_usual_one() -> None:
    brew = brewed(mixed("23", vessel="white bucket", volume_from="jug"))
    assert volumes.in_vessel_l(brew, shelf_with(BUCKET)).value == pytest.approx(22.2)


def test_racking_with_its_volume_starts_over() -> None:
    racked = brewed(mixed(), sample(50), (200, ev.Racked(volume=q("20.5", "L"))), sample(210))
    assert volumes.in_vessel_l(racked, shelf_with()).value == pytest.approx(20.35)
    assert volumes.in_vessel_l(racked, shelf_with(), at(100)).value == pytest.approx(21.45)


def test_racking_without_a_volume_still_leaves_the_sediment_behind() -> None:
    racked = brewed(mixed(), (200, ev.Racked(vessel="bottling bucket")))
    assert volumes.in_vessel_l(racked, shelf_with()).value == pytest.approx(21.6)
    assert volumes.vessel_name(racked) == "bottling bucket"


@given(st.lists(st.sampled_from(["sample", "hops", "water", "rack"]), max_size=12))
def test_whatever_is_done_the_volume_is_ordered_and_never_negative(acts: list[str]) -> None:
    events = {
        "sample": ev.Measured(gravity=q("1.020", "SG")),
        "hops": ev.Hopped(hop="Sedgeway", mass=q("800", "g")),
        "water": ev.ToppedUp(water=q("1", "L")),
        "rack": ev.Racked(volume=q("3", "L")),
    }
    brew = brewed(mixed("5"), *((2.0 + n, events[act]) for n, act in enumerate(acts)))
    figure = volumes.in_vessel_l(brew, shelf_with())
    assert 0 <= figure.low <= figure.value <= figure.high
