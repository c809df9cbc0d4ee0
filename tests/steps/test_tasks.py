"""Tasks: what is due at each stage, from when, and how pressing it is. Every brew here is invented."""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brewing import TWO_CANS, at, brewed, q, setting, shelf_with
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.steps import tasks
from gylebook.steps.answers import MomentFigure, Urgency
from gylebook.steps.catalogue import WORDS, acts
from gylebook.steps.conditioning import STEP
from gylebook.steps.decided import DONE_BY
from gylebook.steps.decision import Setting
from gylebook.steps.tasks import Task, due, urgency_at

DAY = 24.0
GARAGE = ev.PlaceKept(
    name="garage",
    months=tuple(ev.MonthRange(month=m, low=q("5", "°C"), high=q(str(15 + m), "°C")) for m in range(1, 13)),
)
CELLAR = ev.PlaceKept(name="cellar", low=q("9", "°C"), high=q("12", "°C"))


def read(gravity: str) -> ev.Measured:
    return ev.Measured(gravity=q(gravity, "SG"), temp=q("20", "°C"), fizz="flat")


def mixed(temp: str = "20") -> ev.Mixed:
    return ev.Mixed(ingredients=TWO_CANS, volume=q("23", "L"), temp=q(temp, "°C"), stirred="well")


def begun(*later: tuple[float, ev.Event], plan: ev.Planned | None = None) -> Brew:
    start = ((0.2, mixed()), (1.0, ev.Pitched(temp=q("20", "°C"))))
    return brewed(*start, *((1.0 + d * DAY, event) for d, event in later), plan=plan)


LEVEL = ((8, read("1.012")), (12, read("1.012")))


def bottled(
    *later: tuple[float, ev.Event], sugar: str = "120", kind: str = "returnable_500", place: str = "cellar"
) -> Brew:
    lots = (ev.BottleLot(bottle=kind, count=40, size=q("500", "mL")),)
    return begun(
        *LEVEL,
        (12.5, ev.Primed(sugar="sucrose", mass=q(sugar, "g"), volume=q("21", "L"))),
        (12.6, ev.Bottled(lots=lots, place=place, cap_code="A1")),
        *later,
    )


def of(brew: Brew, *things: ev.Event) -> dict[str, Task]:
    """Tasks by act; a second task of one act would be hidden, so there must be none."""
    tasks = due(brew, setting(*(things or (CELLAR,)), hours=2000))
    assert len({task.act for task in tasks}) == len(tasks)
    return {task.act: task for task in tasks}


# --- before fermentation ----------------------------------------------------------------------------------------


def test_a_planned_brew_is_due_on_the_morning_of_its_day_in_the_brewers_zone() -> None:
    plan = ev.Planned(name="Invented ale", start_on=date(2026, 12, 5))
    tasks = due(brewed(plan=plan), Setting(at(0), shelf_with(), ZoneInfo("Europe/Berlin")))
    assert [(task.act, task.urgency) for task in tasks] == [("mix", Urgency.ACT)]
    assert tasks[0].due_from.isoformat() == "2026-12-05T09:00:00+01:00"


def test_a_brew_without_a_planned_day_may_be_mixed_at_any_time() -> None:
    (task,) = due(brewed(plan=ev.Planned(name="Invented ale")), setting())
    assert (task.step, task.act, task.urgency) == ("mixing", "mix", Urgency.NOTHING)
    assert task.words == "Mix it when you are ready"


def test_mixed_wort_wants_its_yeast_within_a_day_and_a_reading_before_it() -> None:
    tasks = of(brewed((0.2, mixed())))
    assert tasks["pitch"].words == "Pitch the yeast"
    assert tasks["pitch"].due_by == at(24.2)
    assert tasks["reading"].words == "Read the gravity before the yeast"


def test_hot_wort_is_cooled_first() -> None:
    assert of(brewed((0.2, mixed("31"))))["pitch"].words == "Cool it to 24 °C or below, then pitch the yeast"


# --- in the vessel ----------------------------------------------------------------------------------------------


def test_the_start_is_looked_at_after_two_to_three_days_not_before() -> None:
    tasks = of(begun())
    assert tasks["note"].due_from == at(1 + 48)
    assert tasks["note"].due_by == at(1 + 72)
    assert tasks["note"].until is not None
    assert tasks["reading"].words == "Read the gravity"
    assert tasks["reading"].due_from > at(1 + 6 * DAY)


@pytest.mark.parametrize("seen", [ev.Noted(text="foam"), read("1.030"), ev.TempSeen(of="beer", temp=q("21", "°C"))])
def test_anything_seen_after_the_first_day_answers_whether_it_started(seen: ev.Event) -> None:
    assert "note" not in of(begun((2, seen)))


def test_a_finished_beer_is_to_be_primed_and_bottled_and_not_read_again() -> None:
    tasks = of(begun(*LEVEL))
    assert set(tasks) == {"prime"}
    assert tasks["prime"].due_from == at(1 + 12 * DAY)
    assert tasks["prime"].due_by is None


def test_an_unfinished_beer_is_read_again_when_that_tells_something() -> None:
    tasks = of(begun((8, read("1.013"))))
    assert set(tasks) == {"reading"}
    assert tasks["reading"].due_from >= at(1 + 10 * DAY)
    assert "settles it with a chance of" in tasks["reading"].why


def test_the_brewers_own_verdict_brings_the_bottling_with_a_word_of_doubt() -> None:
    tasks = of(begun((8, read("1.013")), (9, ev.Judged(verdict="finished"))))
    assert tasks["prime"].words == "Prime and bottle it, or read once more first"
    assert "the book does not know it yet" in tasks["prime"].why


def test_lower_than_possible_is_danger_from_the_moment_it_was_read() -> None:
    tasks = of(begun((14, read("1.002"))))
    assert tasks["reading"].urgency is Urgency.DANGER
    assert set(tasks) == {"reading"}


def test_a_cold_halt_is_warmed_and_once_warmed_only_read() -> None:
    cold = [(day, ev.TempSeen(of="beer", temp=q("14", "°C"))) for day in (5.0, 7.5, 10.0, 12.5)]
    rows = (*cold, (9, read("1.022")), (13, read("1.022")))
    assert of(begun(*rows))["rouse"].words == "Warm it and rouse the yeast, lid closed"
    # No reading is due before: it would show only the cold. Once roused, it is three days later.
    assert set(of(begun(*rows))) == {"rouse"}
    roused = of(begun(*rows, (13.2, ev.Roused(how="swirled"))))
    assert set(roused) == {"reading"}
    assert timedelta() <= roused["reading"].due_from - at(1 + 16.2 * DAY) < timedelta(hours=1)


def test_a_warm_halt_is_settled_by_a_forced_sample() -> None:
    tasks = due(begun((9, read("1.020")), (13, read("1.020"))), setting(hours=2000))
    assert [task.urgency for task in tasks] == [Urgency.ACT]
    assert tasks[0].why.startswith("Forced sample")


def kit_with_hops() -> ev.Planned:
    hops = (ev.HopPlan(name="Invented hop", mass=q("50", "g"), on_day=7, contact_days=4),)
    kit = ev.Kit(name="Invented kit", ingredients=TWO_CANS, volume=q("23", "L"), hops=hops)
    return ev.Planned(name="Invented ale", kit=kit)


def test_the_kits_hops_go_in_on_their_day_and_come_out_after_theirs() -> None:
    before = of(begun(plan=kit_with_hops()))
    assert before["hop"].due_from == at(1 + 7 * DAY)
    assert "50 g of Invented hop" in before["hop"].words
    hop = ev.Hopped(hop="Invented hop", mass=q("50", "g"))
    after = of(begun((7, hop), plan=kit_with_hops()))
    assert "hop" not in after
    assert after["hops_out"].due_from == at(1 + 11 * DAY)


def test_nothing_is_bottled_while_hops_wait_or_are_in() -> None:
    assert "prime" not in of(begun(*LEVEL, plan=kit_with_hops()))


def test_primed_beer_is_bottled_the_same_evening() -> None:
    tasks = of(begun(*LEVEL, (12.5, ev.Primed(sugar="sucrose", mass=q("120", "g")))))
    assert set(tasks) == {"bottle"}
    assert tasks["bottle"].due_by is not None
    assert tasks["bottle"].due_by - tasks["bottle"].due_from == timedelta(hours=6)


# --- in bottles -------------------------------------------------------------------------------------------------


def test_bottles_are_opened_then_cooled_tasted_and_drunk_in_time() -> None:
    tasks = of(bottled(place="spare room"))
    assert {"open_bottle", "move", "taste", "take_out"} == set(tasks)
    assert tasks["open_bottle"].due_from > at(1 + 20 * DAY)
    assert tasks["move"].due_from >= at(1 + 26 * DAY)
    assert tasks["taste"].urgency is Urgency.NOTHING
    assert tasks["take_out"].due_by is not None


def test_a_cold_place_takes_longer_to_carbonate_than_a_warm_one() -> None:
    warm = ev.PlaceKept(name="cellar", low=q("19", "°C"), high=q("21", "°C"))
    assert of(bottled(), CELLAR)["open_bottle"].due_from > of(bottled(), warm)["open_bottle"].due_from


def test_the_dates_of_the_tasks_are_those_of_the_answer() -> None:
    room = ev.PlaceKept(name="room", low=q("19", "°C"), high=q("21", "°C"))
    brew = bottled(place="room")
    told = STEP.answer(brew, setting(room, hours=14 * DAY), {})
    dates = {f.key: f for f in told.figures if isinstance(f, MomentFigure)}
    tasks = of(brew, room)
    assert tasks["open_bottle"].due_from == dates["open"].value
    assert tasks["move"].due_from == dates["cool"].value
    assert tasks["taste"].due_from == dates["best"].value
    assert tasks["take_out"].due_by == dates["drink_by"].value


def test_where_it_is_too_cold_they_are_to_be_warmed_and_nothing_is_opened() -> None:
    fridge = ev.PlaceKept(name="fridge", low=q("2", "°C"), high=q("5", "°C"))
    tasks = of(bottled(place="fridge"), fridge)
    assert set(tasks) == {"move", "take_out"}
    assert tasks["move"].words == "Bring the bottles to 18 to 22 °C"
    assert "not carbonated before they are warmed" in tasks["move"].why
    room = ev.PlaceKept(name="room", low=q("19", "°C"), high=q("21", "°C"))
    warmed = of(bottled((40, ev.Moved(place="room")), place="fridge"), fridge, room)
    assert warmed["move"].words == "Move the bottles to the cool"


def test_too_much_gas_in_a_fridge_is_not_to_be_warmed() -> None:
    fridge = ev.PlaceKept(name="fridge", low=q("2", "°C"), high=q("5", "°C"))
    assert "move" not in of(bottled(sugar="210", place="fridge"), fridge)


def test_where_it_may_become_too_much_one_is_opened_early_then_another_and_they_are_moved_sooner() -> None:
    warm = ev.PlaceKept(name="warm", low=q("18", "°C"), high=q("27", "°C"))
    found = due(bottled(place="warm"), setting(warm, hours=400))
    early, cool, later = sorted(found, key=lambda task: task.due_from)[:3]
    assert [task.words for task in (early, cool, later)] == [
        "Open one early, cold, over a sink", "Move the bottles to the cool", "Open one and see"]  # fmt: skip
    # the early one is moot once the other is due, and each is a decision of its own
    assert early.until == later.due_from
    assert early.about != later.about
    once = due(bottled((16.5, ev.Opened(fizz=2)), place="warm"), setting(warm, hours=420))
    assert {task.words for task in once if task.act == "open_bottle"} == {"Open one and see"}


def test_what_was_done_is_no_longer_due() -> None:
    tasks = of(bottled((60, ev.Opened(fizz=3)), (61, ev.Moved(place="cellar")), (62, ev.Tasted(score=8))))
    assert set(tasks) == {"take_out"}


def test_a_burst_bottle_is_danger_and_nothing_else_is_asked() -> None:
    tasks = of(bottled((30, ev.Burst())))
    assert set(tasks) == {"vent"}
    assert tasks["vent"].urgency is Urgency.DANGER
    assert "Eye protection" in tasks["vent"].why
    assert "vent" not in of(bottled((30, ev.Burst()), (31, ev.Vented(count=39))))


def test_a_gushing_bottle_counts_like_a_burst_one() -> None:
    assert of(bottled((30, ev.Opened(gushed=True))))["vent"].urgency is Urgency.DANGER


def test_where_the_plan_says_that_venting_is_not_enough_nobody_is_told_to_vent() -> None:
    enough = of(bottled((30, ev.Opened(gushed=True))))["vent"]
    assert "then vent them cold" in enough.words
    brew = bottled((40, ev.Burst()), sugar="330", place="garage")
    told = STEP.answer(brew, setting(GARAGE, hours=2000), {})
    assert any("Venting cannot bring these down" in deed.words for deed in told.plan)
    task = of(brew, GARAGE)["vent"]
    assert task.words.endswith("keep them cold, drink or pour away")
    assert "not in 40 rounds" in task.why
    assert "Vent only" not in task.why
    assert task.urgency is Urgency.DANGER


@pytest.mark.parametrize("sugar", ["150", "180"])
def test_the_date_for_the_cool_is_that_of_the_rescue_plan(sugar: str) -> None:
    where = setting(GARAGE, hours=14 * DAY)
    brew = bottled(sugar=sugar, place="garage")
    told = STEP.answer(brew, where, {})
    dates = {f.key: f for deed in told.plan for f in deed.figures if isinstance(f, MomentFigure)}
    (task,) = [each for each in due(brew, where) if each.words == "Keep these bottles cool"]
    assert task.due_by == dates["rescue_by"].value
    assert task.due_from <= task.due_by


def test_three_times_the_sugar_in_a_place_that_gets_warm_is_danger() -> None:
    tasks = of(bottled(sugar="330", place="garage"), GARAGE)
    assert tasks["move"].urgency is Urgency.DANGER
    assert "garage" in tasks["move"].why


def test_a_tame_bottle_does_not_lessen_the_danger_of_a_place_that_is_too_warm_for_an_ordinary_fizz() -> None:
    hot = ev.PlaceKept(name="garage", low=q("33", "°C"), high=q("36", "°C"))
    tasks = of(bottled((60, ev.Opened(fizz=3)), kind="one_way", place="garage"), hot)
    assert tasks["move"].urgency is Urgency.DANGER
    assert "in the garage it gets 36 °C now" in tasks["move"].why


def test_wine_bottles_are_never_fit() -> None:
    tasks = of(bottled(kind="wine"))
    assert tasks["move"].urgency is Urgency.DANGER
    assert "never" in tasks["move"].why


def test_an_opened_bottle_that_was_tame_makes_a_reckoned_danger_less_pressing() -> None:
    assert of(bottled((60, ev.Opened(fizz=3)), sugar="330", place="garage"), GARAGE)["move"].urgency is Urgency.ACT


def test_the_last_bottle_gone_the_brew_is_to_be_closed() -> None:
    tasks = of(bottled((200, ev.TakenOut(count=40))))
    assert set(tasks) == {"close"}


def test_closed_and_dumped_brews_ask_for_nothing() -> None:
    for end in (ev.Closed(), ev.Dumped(because="vinegar")):
        assert due(bottled((200, end)), setting(CELLAR, hours=9000)) == ()


# --- at a moment ------------------------------------------------------------------------------------------------


def test_a_task_waits_until_it_is_due_and_presses_once_it_is_late() -> None:
    task = of(begun((8, read("1.013"))))["reading"]
    assert task.due_by is not None
    assert urgency_at(task, task.due_from - timedelta(hours=1)) is Urgency.WAIT
    assert urgency_at(task, task.due_from) is Urgency.MEASURE
    assert urgency_at(task, task.due_by + timedelta(hours=1)) is Urgency.ACT


def test_danger_never_waits() -> None:
    task = of(bottled((30, ev.Burst())))["vent"]
    assert urgency_at(task, task.due_from - timedelta(days=9)) is Urgency.DANGER


ANY = (
    read("1.030"),
    read("1.012"),
    read("1.002"),
    ev.Hopped(hop="Invented hop", mass=q("80", "g")),
    ev.HopsRemoved(),
    ev.Racked(),
    ev.Roused(),
    ev.Moved(place="cellar"),
    ev.Judged(verdict="finished"),
    ev.Primed(sugar="sucrose", mass=q("120", "g")),
    ev.Bottled(lots=(ev.BottleLot(bottle="one_way", count=20, size=q("330", "mL")),)),
    ev.Opened(fizz=2),
    ev.TakenOut(count=30),
    ev.Vented(),
    ev.Burst(),
    ev.Tasted(score=6),
    ev.Pitched(),
    ev.Mixed(),
)


@settings(deadline=None, max_examples=60)
@given(st.lists(st.tuples(st.floats(0, 90), st.sampled_from(ANY)), max_size=9))
def test_any_order_of_entries_has_tasks_with_times_and_known_steps(rows: list[tuple[float, ev.Event]]) -> None:
    brew = brewed(*((day * DAY, event) for day, event in rows))
    for task in due(brew, setting(CELLAR, GARAGE, hours=3000)):
        assert task.step in WORDS
        assert task.due_from.tzinfo is not None
        assert task.due_by is None or task.due_by >= task.due_from
        assert task.words
        assert task.why


def test_every_work_that_is_ever_due_says_by_which_entries_it_is_done():
    sources = [Path(tasks.__file__).with_name(name) for name in ("tasks.py", "bottle_tasks.py")]
    named = set(re.findall(r'"(\w+)"', "\n".join(path.read_text(encoding="utf-8") for path in sources)))
    assert {"reading", "move", "hops_out"} <= named & set(acts())
    assert (named & set(acts())) - {"temperature"} <= set(DONE_BY)  # there it is a dimension
    assert set(DONE_BY) <= set(acts())
