"""By when bottles are carbonated: the closed form against plain draws, cold places, and the trade's own weeks."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brewing import at, q, shelf_with
from finished import COLD, DAY, GARAGE, LEVEL, ROOM, bottled, by_days, primed
from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.steps.bottle_progress import CARBONATED, Progress, progress
from gylebook.steps.bottle_warmth import Stood, stood

FILLED = 15.1
FRIDGE = ev.PlaceKept(name="fridge", low=q("2", "°C"), high=q("6", "°C"))
CELLAR = ev.PlaceKept(name="cellar", low=q("7", "°C"), high=q("11", "°C"))
LOW_C = (0, 1, 3, 6, 10, 13, 15, 15, 12, 8, 4, 1)
OUTHOUSE = ev.PlaceKept(
    name="outhouse",
    months=tuple(
        ev.MonthRange(month=month, low=q(str(low), "°C"), high=q(str(low + 6), "°C"))
        for month, low in enumerate(LOW_C, 1)
    ),
)


def brew_at(place: str, *later: tuple[float, ev.Event]) -> Brew:
    return by_days(*LEVEL, primed(), bottled(place), *later)


def found(place: ev.PlaceKept, *later: tuple[float, ev.Event], more: tuple[ev.Event, ...] = ()) -> Progress:
    made = progress(brew_at(place.name, *later), shelf_with(place, *more))
    assert made is not None
    return made


def between(low: float, high: float) -> ev.PlaceKept:
    return ev.PlaceKept(name="place", low=q(f"{low:.2f}", "°C"), high=q(f"{high:.2f}", "°C"))


def days(made: Progress, chance: float, share: float = CARBONATED) -> float:
    when = made.when(chance, share)
    return np.inf if when is None else (when - made.start) / timedelta(days=1)


def drawn(warm: Stood, count: int = 100_000) -> np.ndarray:
    """Days until nine tenths of the gas are there, drawn beer by beer from the laws as they are described."""
    rng = np.random.default_rng(7)
    z, pace, stops = rng.standard_normal(count), rng.standard_normal(count), rng.uniform(4.0, 10.0, count)
    wanted = 6.61 * np.log(10.0) ** (1.0 / 1.4) * np.exp(np.log(1.6) / 1.6449 * pace)
    age, done = np.zeros(count), np.full(count, np.inf)
    for first, last, temp, sd in zip(warm.edges[:-1], warm.edges[1:], warm.temp_c, warm.sd_c, strict=True):
        here = np.clip(temp + sd * z, 0.0, 45.0)
        speed = np.where(here <= stops, 0.0, 3.7 ** ((np.minimum(here, 30.0) - 20.0) / 10.0))
        after = age + (last - first) * speed
        reached = (age < wanted) & (after >= wanted)
        done[reached] = first + (wanted[reached] - age[reached]) / speed[reached]
        age = after
    return done


READ_COLD = (20.0, ev.TempSeen(of="room", temp=q("14", "°C")))
CASES: list[Any] = [
    pytest.param(ROOM, (), id="a room"),
    pytest.param(COLD, (), id="a cold room"),
    pytest.param(GARAGE, (), id="a garage of 10 to 34 °C"),
    pytest.param(CELLAR, (), id="a cellar where some yeast stops"),
    pytest.param(FRIDGE, (), id="a fridge"),
    pytest.param(OUTHOUSE, (), id="an outhouse through the winter"),
    pytest.param(ROOM, (READ_COLD,), id="a room that was read colder"),
    pytest.param(ROOM, ((19.0, ev.Moved(place="fridge")), (40.0, ev.Moved(place="room"))), id="chilled too soon"),
]


@pytest.mark.parametrize(("place", "later"), CASES)
def test_dates_and_chances_agree_with_a_hundred_thousand_plain_draws(
    place: ev.PlaceKept, later: tuple[tuple[float, ev.Event], ...]
) -> None:
    shelf = shelf_with(place, FRIDGE)
    brew = brew_at(place.name, *later)
    warm, made = stood(brew, shelf), progress(brew, shelf)
    assert warm is not None
    assert made is not None
    done = drawn(warm)
    # chances within two hundredths, dates to where the drawn chance is within two hundredths of the one asked for
    for day in (0.0, 3.0, 7.0, 12.0, 14.0, 28.0, 60.0, 120.0, 200.0, 300.0):
        chance = made.chance(made.start + timedelta(days=day))
        assert chance == pytest.approx(float(np.mean(done <= day)), abs=0.02), day
    for asked in (0.05, 0.5, 0.7, 0.9, 0.95):
        day = days(made, asked)
        if np.isinf(day):
            assert np.mean(np.isfinite(done)) < asked + 0.02
        else:
            assert float(np.mean(done <= day)) == pytest.approx(asked, abs=0.02), asked
    assert made.ever() == pytest.approx(float(np.mean(np.isfinite(done))), abs=0.02)


@pytest.mark.parametrize("place", [ROOM, COLD, GARAGE, CELLAR, OUTHOUSE])
def test_the_share_that_is_there_agrees_with_the_dates(place: ev.PlaceKept) -> None:
    # at the date of evens for nine tenths the middle share is nine tenths; so at both ends
    made = found(place)
    for asked, end in ((0.05, "high"), (0.5, "best"), (0.95, "low")):
        when = made.when(asked)
        if when is not None:
            assert getattr(made.share(when), end) == pytest.approx(0.9, abs=0.012)


@pytest.mark.parametrize("place", [ROOM, COLD, GARAGE, CELLAR, FRIDGE, OUTHOUSE])
def test_the_chance_never_falls_with_time_and_agrees_with_the_dates(place: ev.PlaceKept) -> None:
    made = found(place)
    chances = [made.chance(made.start + timedelta(days=day)) for day in np.linspace(0.0, 700.0, 141)]
    assert chances == sorted(chances)
    dates = [days(made, chance) for chance in (0.05, 0.3, 0.5, 0.7, 0.9, 0.95)]
    assert dates == sorted(dates)
    for asked in (0.05, 0.5, 0.9):
        when = made.when(asked)
        if when is not None:
            assert made.chance(when) == pytest.approx(asked, abs=0.01)


@settings(max_examples=60, deadline=None)
@given(low=st.floats(0.0, 28.0), span=st.floats(0.0, 14.0), warmer=st.floats(0.1, 10.0), chance=st.floats(0.03, 0.97))
def test_a_warmer_place_is_never_later(low: float, span: float, warmer: float, chance: float) -> None:
    cool, warm = found(between(low, low + span)), found(between(low + warmer, low + span + warmer))
    assert days(warm, chance) <= days(cool, chance) + 1e-9
    assert warm.ever() >= cool.ever() - 1e-12


def test_moved_to_the_warmth_they_are_sooner_and_moved_to_a_fridge_later() -> None:
    stays = found(COLD)
    assert days(found(COLD, (20.0, ev.Moved(place="room")), more=(ROOM,)), 0.5) < days(stays, 0.5)
    assert days(found(COLD, (20.0, ev.Moved(place="fridge")), more=(FRIDGE,)), 0.5) == np.inf


# --- what the trade says: common practice, no measurement -----------------------------------------------------------


@pytest.mark.parametrize(
    ("low", "high", "from_weeks", "to_weeks"),
    [(18, 24, 2.0, 3.0), (20, 21, 2.0, 3.0), (12, 14, 4.0, 8.0)],
)
def test_the_weeks_that_the_trade_says_are_those_when_it_is_likely_to_sure(
    low: float, high: float, from_weeks: float, to_weeks: float
) -> None:
    # COMMON_PRACTICE: two to three weeks at 18 to 24 °C, four to eight at 12 to 14
    made = found(between(low, high))
    assert made.chance(made.start + timedelta(weeks=from_weeks)) > 0.4
    assert days(made, 0.95) <= to_weeks * 7 * 1.05
    assert days(made, 0.9) >= from_weeks * 7 * 0.95


def test_after_four_days_in_a_room_nothing_is_carbonated() -> None:
    # COMMON_PRACTICE: into the fridge after four days makes flat beer
    made = found(ROOM)
    assert made.chance(made.start + timedelta(days=4)) < 0.01


def test_below_eight_to_ten_degrees_it_may_stall_and_ten_degrees_warmer_it_does_not() -> None:
    # COMMON_PRACTICE: below 8 to 10 °C ale may stall
    assert 0.5 < found(CELLAR).ever() < 0.95
    assert found(FRIDGE).ever() < 0.1
    assert found(COLD).ever() > 0.999


def test_what_stalls_in_winter_goes_on_in_spring() -> None:
    # COMMON_PRACTICE: flat in the winter's garage, and it starts again in spring. Filled on 17 November.
    made = found(OUTHOUSE)
    evens = made.when(0.5)
    assert evens is not None
    assert evens.month in {4, 5, 6}
    assert made.chance(at(FILLED * DAY + 24 * 60)) < 0.1


def test_lager_yeast_goes_on_where_ale_yeast_stops() -> None:
    place = between(6, 7)
    lager = ev.Pitched(yeast="house lager", mass=q("11", "g"), temp=q("12", "°C"), kind="lager")
    brew = by_days((1.1, lager), *LEVEL, primed(), bottled("place"))
    made = progress(brew, shelf_with(place))
    assert made is not None
    assert made.ever() > 0.99 > found(place).ever()


# --- how warm they stood --------------------------------------------------------------------------------------------


def warm_of(brew: Brew, shelf: Shelf) -> Stood:
    made = stood(brew, shelf)
    assert made is not None
    return made


def on(warm: Stood, day: float) -> tuple[float, float]:
    number = int(np.searchsorted(warm.edges, day, side="right")) - 1
    return float(warm.temp_c[number]), float(warm.sd_c[number])


def test_a_reading_holds_at_first_and_fades_into_the_places_own_warmth() -> None:
    warm = warm_of(brew_at("room", READ_COLD), shelf_with(ROOM))
    read = READ_COLD[0] - FILLED
    assert on(warm, read - 1.0)[0] == pytest.approx(20.0)
    assert on(warm, read + 0.1)[0] == pytest.approx(14.0, abs=0.5)
    assert on(warm, read + 100.0)[0] == pytest.approx(20.0, abs=0.1)
    assert on(warm, read + 0.1)[1] < on(warm, read + 20.0)[1] <= on(warm, read + 100.0)[1]


def test_each_month_is_as_warm_as_its_place_is_in_it() -> None:
    warm = warm_of(brew_at("outhouse"), shelf_with(OUTHOUSE))
    start = at(FILLED * DAY)
    for month in (1, 4, 7):
        day = next(d for d in range(400) if (start + timedelta(days=d)).month == month) + 10
        assert on(warm, day)[0] == pytest.approx(LOW_C[month - 1] + 3.0)


def test_where_nothing_is_known_the_doubt_is_that_of_an_ordinary_room() -> None:
    warm = warm_of(brew_at("behind the curtain"), shelf_with())
    # 16 to 24 °C, nine times in ten
    assert on(warm, 30.0)[1] == pytest.approx(4.0 / 1.645)
    assert 18.0 <= on(warm, 30.0)[0] <= 21.0


def test_before_bottling_there_is_nothing() -> None:
    assert stood(by_days(*LEVEL), shelf_with()) is None
    assert progress(by_days(*LEVEL), shelf_with()) is None
