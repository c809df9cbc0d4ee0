"""The day's work over all brews: its order, its words and its collisions. Every brew here is invented."""

from __future__ import annotations

from datetime import UTC, date, timedelta

import msgspec
from hypothesis import given, settings
from hypothesis import strategies as st

from brewing import TWO_CANS, at, brewed, q, shelf_with
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.steps.cards import Card, card, says
from gylebook.steps.day import Day, day

DAY = 24.0
NOW = at(1 + 14 * DAY)  # Monday 16 November


def read(gravity: str) -> ev.Measured:
    return ev.Measured(gravity=q(gravity, "SG"), temp=q("20", "°C"), fizz="flat")


def begun(*later: tuple[float, ev.Event], vessel: str = "") -> Brew:
    start = (
        (0.2, ev.Mixed(ingredients=TWO_CANS, volume=q("23", "L"), temp=q("20", "°C"), stirred="well", vessel=vessel)),
        (1.0, ev.Pitched(temp=q("20", "°C"))),
    )
    return brewed(*start, *((1.0 + d * DAY, event) for d, event in later))


LEVEL = ((8, read("1.012")), (12, read("1.012")))
LOTS = (ev.BottleLot(bottle="returnable_500", count=40, size=q("500", "mL")),)
READING = begun((5, read("1.013")))
READY = begun(*LEVEL)
HOPS_OUT = begun(*LEVEL, (12.1, ev.Hopped(hop="Invented hop", mass=q("60", "g"), planned_days=1)))
HALT = begun(
    *[(d, ev.TempSeen(of="beer", temp=q("14", "°C"))) for d in (5.0, 7.5, 10.0, 12.5)],
    (9, read("1.022")),
    (13, read("1.022")),
)
BURST = begun(*LEVEL, (12.6, ev.Bottled(lots=LOTS)), (13, ev.Burst()))
UNPITCHED = brewed((1 + 13.8 * DAY, ev.Mixed(ingredients=TWO_CANS, volume=q("23", "L"))))
TO_MIX = brewed(plan=ev.Planned(name="Invented ale", start_on=date(2026, 11, 16)))
PRIMED = begun(*LEVEL, (13.9, ev.Primed(sugar="sucrose", mass=q("120", "g"))))


def named(brew: Brew, number: int, **more: object) -> Card:
    made = card(brew, shelf_with())
    return msgspec.structs.replace(made, id=str(number), number=number, name=f"Brew {number}", **more)


def of(*brews: Brew, empties: int | None = None) -> Day:
    return day([named(brew, number) for number, brew in enumerate(brews, 1)], NOW, UTC, empties)


def keys(made: Day) -> list[str]:
    return [part.key for part in made.parts]


def test_danger_comes_first_dry_work_before_wet_readings_in_one_round_and_bottling_last() -> None:
    made = of(READY, READING, HOPS_OUT, HALT, BURST, UNPITCHED, TO_MIX)
    assert keys(made) == ["danger", "dry", "sanitiser", "readings", "hops", "yeast", "mixing", "bottling"]
    assert made.headline.startswith("Danger first. ")


def test_one_mix_of_sanitiser_serves_all_wet_jobs_and_is_left_out_where_there_is_none() -> None:
    (sanitiser,) = (part for part in of(READY, READING, HOPS_OUT).parts if part.key == "sanitiser")
    assert sanitiser.note == "Make it once; it serves all 3 jobs below."
    assert sanitiser.lines == ()
    assert "sanitiser" not in keys(of(HALT))


def test_the_headline_counts_things_and_time() -> None:
    assert of(READING).headline == "1 thing to do, about 10 minutes."
    assert of(READING, HOPS_OUT).headline == "2 things to do, about 20 minutes."
    assert of(READY, READING).headline == "2 things to do, about 2 hours."


def test_nothing_due_says_what_comes_next() -> None:
    waiting = begun((13, read("1.013")))
    first, last = of(waiting).headline.split(": ")
    assert first in {"Nothing is due. Next, tomorrow", "Nothing is due. Next, Wednesday"}
    assert last == "read the gravity again, brew 1."
    assert of().headline == "Nothing is due."


def test_lines_say_when_in_words() -> None:
    late = of(begun((5, read("1.013")))).parts[-1].lines[0]
    assert late.when in {"due Fri 13 Nov", "due Sat 14 Nov", "due yesterday"}
    assert of(READY).parts[-1].lines[0].when == "since Sat 14 Nov"
    assert of(begun((13, read("1.013")))).later[0].when in {"tomorrow", "from Wednesday"}


def test_what_is_late_is_late_in_the_same_words_on_today_and_in_the_list() -> None:
    late = named(begun((5, read("1.013"))), 1)
    line = day([late], NOW, UTC).parts[-1].lines[0]
    assert says(late, NOW, UTC).headline == f"{line.task.words} ({line.when})."


def test_a_brew_without_a_day_is_mixed_when_its_brewer_is_ready() -> None:
    made = of(brewed(plan=ev.Planned(name="Invented ale")))
    assert made.headline == "Nothing presses. Brew 1: mix it when you are ready."
    assert made.parts == ()
    (line,) = made.whenever
    assert (line.task.words, line.task.step, line.task.act) == ("Mix it when you are ready", "mixing", "mix")
    assert line.when == "no day is planned"


def test_what_is_due_later_on_this_day_says_so() -> None:
    waiting = [named(begun((13, read("1.013"))), 1)]
    due = waiting[0].tasks[0].due_from
    made = day(waiting, due - timedelta(hours=3), UTC)
    assert made.later[0].when == "later today"
    assert made.headline == "Nothing is due. Next, later today: read the gravity again, brew 1."


def test_what_never_presses_stands_apart() -> None:
    empty = begun(*LEVEL, (12.6, ev.Bottled(lots=LOTS)), (13, ev.TakenOut(count=40)))
    made = of(empty)
    assert made.parts == ()
    assert [line.task.act for line in made.whenever] == ["close"]


def test_closed_brews_are_passed_over() -> None:
    assert of(begun(*LEVEL, (13, ev.Closed()))).headline == "Nothing is due."


def found(made: Day) -> dict[str, str]:
    return {finding.key: finding.text for finding in made.collisions}


def test_two_bottlings_at_once_collide_and_primed_beer_goes_first() -> None:
    texts = found(of(READY, PRIMED))
    assert texts["two_bottlings"].startswith("2 brews are ready to bottle: Brew 2 and Brew 1.")
    assert "Take Brew 2 first" in texts["two_bottlings"]
    assert "two_bottlings" not in found(of(READY, READING))


def test_too_few_bottles_are_told_where_their_number_is_known() -> None:
    assert "short" in found(of(READY, empties=20))["bottles_short"]
    assert "bottles_short" not in found(of(READY, empties=60))
    assert "bottles_short" not in found(of(READY))


def test_a_vessel_promised_twice_is_told() -> None:
    inside = named(begun((11, read("1.013")), vessel="white bucket"), 1)
    soon = named(TO_MIX, 2, vessel="white bucket", start_on=date(2026, 11, 17))
    late = named(TO_MIX, 3, vessel="white bucket", start_on=date(2026, 12, 30))
    one = found(day([inside, soon], NOW, UTC))
    assert "is planned for Brew 2 (tomorrow), but Brew 1 is in it" in one["vessel_not_free"]
    assert found(day([inside, late], NOW, UTC)) == {}
    assert "planned_twice" in found(day([soon, named(TO_MIX, 4, vessel="white bucket")], NOW, UTC))


def test_two_brews_in_one_vessel_are_a_slip_of_the_pen() -> None:
    made = [named(begun(vessel="white bucket"), n) for n in (1, 2)]
    assert "Brew 1 and Brew 2 are both written as being in white bucket." in found(day(made, NOW, UTC)).values()


def test_hops_that_are_soon_due_out_are_told_beforehand() -> None:
    soon = begun(*LEVEL, (13.5, ev.Hopped(hop="Invented hop", mass=q("60", "g"), planned_days=3)))
    assert "be there, or take them out before" in found(of(soon))["hops_due_out"]


ALL = (READING, READY, HOPS_OUT, HALT, BURST, UNPITCHED, TO_MIX, PRIMED)


@settings(deadline=None, max_examples=40)
@given(st.lists(st.sampled_from(range(len(ALL))), max_size=8), st.integers(-20, 400))
def test_every_due_task_has_its_place_exactly_once(chosen: list[int], days: int) -> None:
    cards = [named(ALL[index], number) for number, index in enumerate(chosen, 1)]
    now = NOW + timedelta(days=days)
    made = day(cards, now, UTC)
    placed = [(line.brew, line.task) for part in made.parts for line in part.lines]
    placed += [(line.brew, line.task) for line in (*made.whenever, *made.later)]
    assert len(placed) == len({(brew, task.act, task.words) for brew, task in placed})
    due = [
        (each.id, task)
        for each in cards
        for task in each.tasks
        if task.due_from <= now and (task.until is None or task.until > now)
    ]
    assert all(entry in placed for entry in due)
