"""What a place usually is by its name, and what thermometers taught of it. All of it is common practice."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import msgspec
import pytest

from brewing import at, q, setting, shelf_with
from finished import DAY, LEVEL, bottled, by_days, primed
from gylebook.journal import events as ev
from gylebook.steps.answers import Basis
from gylebook.steps.bottle_store import store_c
from gylebook.steps.cards import card
from gylebook.steps.learned import NOTHING_LEARNED, PLACE, Taught, learned
from gylebook.steps.lessons import taught
from gylebook.steps.place_lesson import FEW_DAYS_C, PlaceTold, place_line, place_months, places_told
from gylebook.steps.place_months import KINDS, ROOM, half_words, is_southern, usual_of
from gylebook.steps.shelf_lessons import KEEP_LESSONS
from gylebook.steps.warmth import place_range_c

CLOSED = (60.0, ev.Closed())
SHELF = shelf_with()


def room(temp: str = "", **more: str) -> ev.TempSeen:
    ends = {name: q(text, "°C") for name, text in more.items()}
    return ev.TempSeen(of="room", temp=q(temp, "°C") if temp else None, **ends)


# --- by its name ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("place", "word"),
    [
        ("garage", "garage"),
        ("the old Garage", "garage"),
        ("fridge in the garage", "garage"),
        ("loft", "loft"),
        ("airing cupboard", "airing cupboard"),
        ("cupboard under the stairs", "under the stairs"),
        ("carport", ""),
        ("Aunt May's", ""),
        ("", ""),
    ],
)
def test_the_warmest_word_of_a_name_counts_and_only_whole_words(place: str, word: str) -> None:
    assert usual_of(place).word == word


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.word)
def test_a_kind_is_coldest_in_january_and_warmest_in_july_in_the_north_and_the_other_way_in_the_south(kind) -> None:
    assert kind.in_month(1) == kind.cold == kind.in_month(7, southern=True)
    assert kind.in_month(7) == pytest.approx(kind.warm)
    for month in range(1, 13):
        low, high = kind.in_month(month)
        assert low < high
        assert kind.cold[0] <= low <= kind.warm[0]
    assert kind.in_month(4) == pytest.approx(kind.in_month(10))


def test_no_place_is_taken_to_be_cooler_in_summer_than_a_room_by_its_name() -> None:
    assert all(kind.warm[1] >= ROOM.warm[1] for kind in KINDS)


def test_the_half_of_the_world_is_that_of_the_time_zone_and_else_assumed_north() -> None:
    assert is_southern("Australia/Perth")
    assert not is_southern("Europe/London")
    assert half_words("") == "months of the northern half, assumed: no time zone is chosen"
    assert "Pacific/Auckland" in half_words("Pacific/Auckland")


def test_months_that_nobody_wrote_are_taken_as_usual_for_such_a_place() -> None:
    """A place of which only November was written does not stay as cool in July."""
    november = ev.PlaceKept(
        name="garage", months=(ev.MonthRange(month=11, low=q("4", "°C"), high=q("9", "°C")),)
    )  # fmt: skip
    found = store_c(by_days(*LEVEL, primed(), bottled("garage")), shelf_with(november))
    assert found.value == 30.0
    assert "northern half, assumed" in found.working.inputs[0].where


# --- from thermometers ----------------------------------------------------------------------------------------------


def told(*later: tuple[float, ev.Event], place: str = "garage") -> tuple[PlaceTold, ...]:
    return places_told(by_days((1.0, ev.Moved(place=place)), *later), SHELF)


def test_readings_of_the_room_teach_the_month_of_the_place() -> None:
    found = told((2.0, room("12", low="8", high="14")), (3.0, room("13")), (3.1, room("13")), (32.0, room("3")))
    assert found == (PlaceTold("garage", 11, 8.0, 14.0, 2.0), PlaceTold("garage", 12, 3.0, 3.0, 1.0))


def test_a_temperature_written_with_a_move_is_the_rooms() -> None:
    found = places_told(by_days((2.0, ev.Moved(place="loft", temp=q("15", "°C")))), SHELF)
    assert found == (PlaceTold("loft", 11, 15.0, 15.0, 1.0),)


def test_quiet_beer_teaches_less_and_a_lively_one_nothing() -> None:
    beer = ev.TempSeen(of="beer", temp=q("18", "°C"))
    assert told((2.0, beer)) == ()
    (found,) = told((12.0, beer))
    assert (found.low_c, found.high_c, found.days) == (17.0, 18.0, 0.3)
    (found,) = told((12.0, beer), (13.0, room("15")))
    assert (found.low_c, found.high_c, found.days) == (15.0, 15.0, 1.0)


def test_where_no_place_is_written_nothing_is_taught() -> None:
    assert places_told(by_days((2.0, room("12"))), SHELF) == ()


def lesson(number: int, *places: PlaceTold) -> Taught:
    return Taught(str(number), at(DAY * number), places=places)


JULY = PlaceTold("Garage", 7, 14.0, 30.0, 1.0)


def test_the_fewer_the_days_the_wider_the_range() -> None:
    (one,) = place_months([JULY])
    (nine,) = place_months([replace(JULY, days=3.0)] * 3)
    assert one.taken_c == (14.0 - FEW_DAYS_C, 30.0 + FEW_DAYS_C)
    assert nine.taken_c == (13.0, 31.0)
    assert nine.brews == 3


def test_all_brews_together_in_whatever_order() -> None:
    cool = PlaceTold("garage", 7, 11.0, 20.0, 3.0)
    assert place_months([JULY, cool]) == place_months([cool, JULY])
    (found,) = place_months([JULY, cool])
    assert (found.low_c, found.high_c, found.days) == (11.0, 30.0, 4.0)


def test_a_place_without_months_is_known_from_what_was_read_and_a_written_one_is_kept() -> None:
    all_of_it = learned([lesson(1, JULY)])
    plain = replace(setting(), learned=all_of_it)
    assert place_range_c(plain.shelf, "garage", 7) == (11.0, 33.0)
    assert place_range_c(plain.shelf, "garage", 1) is None
    kept = ev.PlaceKept(name="garage", low=q("5", "°C"), high=q("24", "°C"))
    assert place_range_c(replace(setting(kept), learned=all_of_it).shelf, "garage", 7) == (5.0, 24.0)


def test_the_setting_keeps_one_and_the_same_shelf_so_that_nothing_is_worked_out_twice() -> None:
    one = replace(setting(), learned=learned([lesson(1, JULY)]))
    assert replace(one, confirmed=frozenset({"x"})).shelf is one.shelf
    assert replace(setting(), learned=NOTHING_LEARNED).shelf.read_c == {}


def test_bottles_are_reckoned_with_the_warmth_that_was_read_there() -> None:
    hot = PlaceTold("larder", 7, 20.0, 33.0, 9.0)
    brew = by_days(*LEVEL, primed(), bottled("larder"))
    known = replace(setting(), learned=learned([lesson(1, hot)]))
    found = store_c(brew, known.shelf)
    assert found.value == 34.0
    assert found.working.inputs[0].basis is Basis.LEARNED
    assert card(brew, SHELF, learned=known.learned).bottles.warmest_c == 34.0
    assert card(brew, SHELF).bottles.warmest_c == 25.0


def test_a_contradiction_is_said_and_a_thermometers_own_error_is_none() -> None:
    kept = shelf_with(ev.PlaceKept(name="garage", low=q("5", "°C"), high=q("24", "°C")))
    months = place_months([replace(JULY, place="garage", high_c=31.0)])
    assert place_line(months, "garage", kept) == "The garage was read at 31 °C in July; the book holds 24"
    near = place_months([replace(JULY, place="garage", high_c=24.9)])
    assert place_line(near, "garage", kept) == ""
    cold = place_months([replace(JULY, place="garage", low_c=-4.0, high_c=20.0)])
    assert place_line(cold, "garage", kept) == "The garage was read at −4 °C in July; the book holds 5"


def test_what_was_learned_of_a_place_is_told_with_all_that_was_learned() -> None:
    found = learned([lesson(1, JULY), lesson(2, JULY)])
    (line,) = found.lines(SHELF)
    assert line == "Garage: learned from 2 of your brews, taken as 12 to 32 °C in July"


def test_a_brew_that_burst_still_teaches_how_warm_its_place_was() -> None:
    run = ((1.0, ev.Moved(place="garage")), *LEVEL, primed(), bottled("garage"), (20.0, room("29")))
    burst = taught(by_days(*run, (21.0, ev.Burst()), CLOSED), SHELF)
    assert burst is not None
    assert burst.attenuation is None
    assert PlaceTold("garage", 11, 29.0, 29.0, 1.0) in burst.places
    assert msgspec.json.decode(msgspec.json.encode(burst), type=Taught) == burst


def test_what_a_place_taught_is_forgotten_by_its_name() -> None:
    both = [lesson(1, JULY, PlaceTold("loft", 7, 10.0, 20.0, 1.0))]
    told_all = learned(both)
    where = replace(setting(), learned=told_all, now=at(DAY * 5))
    values = {"what": "forget", "thing": "place", "name": "garage"}
    ((_, event),) = KEEP_LESSONS.decide(where.shelf, values, where.now, where).events
    assert event == ev.LessonsKept(count=False, thing="place", name="Garage")
    left = learned(both, forgotten={(PLACE, "Garage"): where.now})
    assert [month.place for month in left.place_months] == ["loft"]
    later = learned([*both, lesson(9, JULY)], forgotten={(PLACE, "Garage"): where.now + timedelta(days=1)})
    assert {month.place for month in later.place_months} == {"loft", "Garage"}
