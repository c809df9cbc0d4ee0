"""How warm it was: the beer's temperature from readings, rooms and places, and the warmest since the end. Invented."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewing import TWO_CANS, at, brewed, q, shelf_with
from gylebook.journal import events as ev
from gylebook.steps import warmth
from gylebook.steps.answers import Basis

GARAGE = ev.PlaceKept(
    name="garage",
    low=q("5", "°C"),
    high=q("25", "°C"),
    months=(ev.MonthRange(month=11, low=q("8", "°C"), high=q("12", "°C")),),
)
KIT = ev.Kit(name="k", ingredients=TWO_CANS, volume=q("23", "L"), temp_from=q("18", "°C"), temp_to=q("22", "°C"))
PITCHED = (2.0, ev.Pitched())


def beer(hours: float, temp: str) -> tuple[float, ev.Event]:
    return (hours, ev.TempSeen(of="beer", temp=q(temp, "°C")))


def room(hours: float, low: str, high: str) -> tuple[float, ev.Event]:
    return (hours, ev.TempSeen(of="room", low=q(low, "°C"), high=q(high, "°C")))


def test_a_month_of_its_own_goes_before_the_years_range() -> None:
    shelf = shelf_with(GARAGE)
    assert warmth.place_range_c(shelf, "garage", 11) == (8.0, 12.0)
    assert warmth.place_range_c(shelf, "garage", 7) == (5.0, 25.0)
    assert warmth.place_range_c(shelf, "loft", 7) is None


def test_between_two_readings_the_beer_lies_on_a_line() -> None:
    figure = warmth.beer_temp_c(brewed(PITCHED, beer(10, "18"), beer(20, "22")), shelf_with(), at(15))
    assert figure.value == pytest.approx(20.0)


def test_a_reading_counts_less_with_each_day() -> None:
    brew = brewed(PITCHED, beer(10, "18"))
    near, far = (warmth.beer_temp_c(brew, shelf_with(), at(hours)) for hours in (10, 58))
    assert far.high - far.low > near.high - near.low


def test_a_fermenting_vessel_is_warmer_than_its_room_and_later_hardly() -> None:
    brew = brewed(PITCHED, room(20, "15", "17"), room(300, "15", "17"))
    early, late = (warmth.beer_temp_c(brew, shelf_with(), at(hours)) for hours in (21, 301))
    assert early.value == pytest.approx(18.0)
    assert late.value == pytest.approx(16.5)


def test_the_place_is_assumed_where_nothing_was_read() -> None:
    brew = brewed((1, ev.Mixed()), PITCHED, plan=ev.Planned(name="x", place="garage"))
    figure = warmth.beer_temp_c(brew, shelf_with(GARAGE), at(200))
    assert (figure.low, figure.high) == (7.5, 13.5)
    assert figure.working.inputs[0].basis is Basis.ASSUMED


def test_a_move_changes_the_place() -> None:
    brew = brewed((1, ev.Mixed()), PITCHED, (100, ev.Moved(place="garage")))
    assert warmth.place_at(brew, at(50)) == ""
    assert warmth.place_at(brew, at(150)) == "garage"
    assert [w.of for w in warmth.log(brew, shelf_with(GARAGE))] == ["place"]


def test_with_nothing_at_all_the_leaflet_or_an_ordinary_room_is_assumed() -> None:
    leaflet = warmth.beer_temp_c(brewed(plan=ev.Planned(name="x", kit=KIT)), shelf_with(), at(5))
    assert (leaflet.low, leaflet.high) == (18.0, 22.0)
    assert leaflet.working.inputs[0].basis is Basis.LEAFLET
    assert "ordinary room" in warmth.beer_temp_c(brewed(), shelf_with(), at(5)).working.inputs[0].where


def test_a_beer_chilled_for_clearing_keeps_the_gas_of_its_warmest_day() -> None:
    brew = brewed(PITCHED, beer(150, "20"), beer(260, "3"))
    figure = warmth.warmest_since_end_c(brew, shelf_with(), at(140))
    assert figure.value == 20.0
    assert figure.working.inputs[0].seq == 3


def test_warmth_before_the_end_and_after_bottling_does_not_count() -> None:
    lots = (ev.BottleLot(bottle="brown", count=40, size=q("500", "mL")),)
    brew = brewed(PITCHED, beer(30, "26"), beer(150, "19"), (300, ev.Bottled(lots=lots)), beer(400, "30"))
    assert warmth.warmest_since_end_c(brew, shelf_with(), at(140)).value == 19.0


def test_a_room_stands_for_the_beer_where_only_it_was_read() -> None:
    figure = warmth.warmest_since_end_c(brewed(PITCHED, room(150, "16", "22")), shelf_with(), None)
    assert figure.value == pytest.approx(20.5)
    assert "third day" in figure.working.steps[0]


def test_without_any_reading_the_warmest_is_assumed_with_its_range() -> None:
    brew = brewed(PITCHED, plan=ev.Planned(name="x", kit=KIT))
    figure = warmth.warmest_since_end_c(brew, shelf_with(), at(140))
    assert (figure.low, figure.high) == (18.0, 22.0)
    assert "no temperature was written" in figure.working.relation


def test_an_empty_brew_has_a_warmest_too() -> None:
    assert warmth.warmest_since_end_c(brewed().__class__("b", (), ()), shelf_with(), None).value > 0


@given(st.lists(st.tuples(st.floats(0, 500), st.floats(-5, 40)), max_size=6), st.floats(0, 600))
def test_every_moment_has_a_temperature_inside_its_interval(seen: list[tuple[float, float]], when: float) -> None:
    brew = brewed(PITCHED, *(beer(hours, f"{temp:.1f}") for hours, temp in sorted(seen)))
    for figure in (
        warmth.beer_temp_c(brew, shelf_with(), at(when)),
        warmth.warmest_since_end_c(brew, shelf_with(), None),
    ):
        assert figure.low <= figure.value <= figure.high


@given(
    st.lists(st.tuples(st.integers(3, 300), st.sampled_from(["beer", "room"]), st.integers(5, 30)), max_size=8),
    st.integers(3, 300),
)
def test_the_nearest_of_many_readings_is_found(seen: list[tuple[int, str, int]], hours: int) -> None:
    seen = sorted(seen, key=lambda one: one[0])
    log = [(float(hour), ev.TempSeen(of=of, temp=q(str(temp), "°C"))) for hour, of, temp in seen]
    value = warmth.beer_temp_c(brewed(PITCHED, *log), shelf_with(), at(hours)).value
    beers = [(hour, temp) for hour, of, temp in seen if of == "beer" and abs(hour - hours) <= 72]
    rooms = [(hour, temp) for hour, of, temp in seen if of == "room" and 0 <= hours - hour <= 72]
    near = min(beers, key=lambda one: abs(one[0] - hours), default=None)
    if near is not None and (not rooms or abs(near[0] - hours) <= 24):
        before, after = [one for one in beers if one[0] <= hours], [one for one in beers if one[0] > hours]
        if before and after:
            (one, low), (two, high) = before[-1], after[0]
            assert value == pytest.approx(low + (hours - one) / (two - one) * (high - low))
        else:
            assert value == near[1]
    elif rooms:
        assert value == pytest.approx(rooms[-1][1] + (2.0 if hours - 2 <= 4 * 24 else 0.5))
    else:
        assert value == 20.0
