"""Days counted by their warmth, and the beer's temperature as the log tells it. Every brew is invented."""

from __future__ import annotations

from datetime import timedelta
from itertools import accumulate, pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from brewing import at, brewed, q, shelf_with
from gylebook.journal import events as ev
from gylebook.steps.warm_days import Track, track

DAY = 24.0
AIRING_CUPBOARD = ev.PlaceKept(name="airing cupboard", low=q("19", "°C"), high=q("20", "°C"))


def seen(temp: str, of: str = "beer") -> ev.TempSeen:
    return ev.TempSeen(of=of, temp=q(temp, "°C"))


def test_a_day_at_twenty_degrees_is_a_warm_day_and_one_at_fifteen_little_more_than_half() -> None:
    warmth = track(brewed((0, ev.Pitched(temp=q("20", "°C")))), shelf_with())
    assert warmth.pace(20.0) == pytest.approx(1.0)
    assert warmth.pace(15.0) == pytest.approx(0.58, abs=0.01)
    assert warmth.pace(3.0) == 0.0


def test_more_than_twenty_five_degrees_gain_nothing_more() -> None:
    warmth = track(brewed((0, ev.Pitched())), shelf_with())
    assert warmth.pace(35.0) == warmth.pace(25.0)


def test_lager_yeast_works_seven_degrees_colder() -> None:
    warmth = track(brewed((0, ev.Pitched(kind="lager"))), shelf_with())
    assert warmth.pace(13.0) == pytest.approx(1.0)
    assert warmth.too_cold_c == 8.0


def test_without_any_temperature_an_ordinary_room_is_assumed_and_known_as_assumed() -> None:
    warmth = track(brewed((0, ev.Pitched())), shelf_with())
    assert not warmth.known
    assert warmth.at_moment(at(100)) == 19.0


def test_the_leaflets_range_is_assumed_before_an_ordinary_room() -> None:
    kit = ev.Kit(
        name="Invented kit", ingredients=(), volume=q("23", "L"), temp_from=q("20", "°C"), temp_to=q("24", "°C")
    )
    warmth = track(brewed((0, ev.Pitched()), plan=ev.Planned(name="x", kit=kit)), shelf_with())
    assert warmth.at_moment(at(100)) == 22.0


def test_a_hot_pitch_is_not_taken_to_last_for_days() -> None:
    plan = ev.Planned(name="x", place="airing cupboard")
    warmth = track(brewed((0, ev.Pitched(temp=q("30", "°C"))), plan=plan), shelf_with(AIRING_CUPBOARD))
    assert warmth.at_moment(at(2)) == 30.0
    assert warmth.at_moment(at(30)) == pytest.approx(20.0)


def test_the_beers_own_reading_outweighs_the_rooms_within_a_day() -> None:
    brew = brewed((0, ev.Pitched()), (48, seen("21")), (50, seen("16", "room")), (100, seen("16", "room")))
    warmth = track(brew, shelf_with())
    assert warmth.at_moment(at(60)) == 21.0
    assert warmth.at_moment(at(110)) == 16.5


def test_warm_days_add_up_over_stretches_and_can_be_asked_backward() -> None:
    brew = brewed((0, ev.Pitched(temp=q("20", "°C"))), (24, seen("20")), (72, seen("10")), (96, seen("20")))
    warmth = track(brew, shelf_with())
    days = warmth.warm_days(at(24), at(96))
    assert days == pytest.approx(2 + 3 ** (-1))
    assert warmth.after_warm_days(at(24), days) - at(96) == pytest.approx(timedelta(0), abs=timedelta(seconds=1))


def test_a_wait_in_the_cold_has_an_end() -> None:
    brew = brewed((0, ev.Pitched(temp=q("20", "°C"))), (24, ev.Moved(place="fridge", temp=q("2", "°C"))))
    assert track(brew, shelf_with()).after_warm_days(at(24), 3.0) < at(24 * 40)


SHARES = st.floats(0, 1)


@given(st.lists(st.tuples(st.floats(0.01, 30.0), st.floats(-2.0, 35.0)), min_size=30, max_size=60), SHARES, SHARES)
def test_the_mean_over_many_steps_is_that_of_its_pieces(
    steps: list[tuple[float, float]], one: float, two: float
) -> None:
    moments = [at(hours) for hours in accumulate(gap for gap, _ in steps)]
    whole = Track(tuple(moments), tuple(temp for _, temp in steps), known=True, yeast="ale")
    span = moments[-1] - moments[0]
    start, end = (moments[0] + share * span for share in sorted((one, two)))
    assume(end > start)
    cuts = [start, *(m for m in moments if start < m < end), end]
    parts = [((b - a) / (end - start), whole.at_moment(a)) for a, b in pairwise(cuts)]
    assert whole.mean_c(start, end) == pytest.approx(sum(share * temp for share, temp in parts), abs=1e-9)
