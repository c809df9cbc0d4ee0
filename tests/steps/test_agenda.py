from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from brewing import ONE_CAN_MALT, at, brewed, q, setting
from gylebook.journal import events as ev
from gylebook.steps.agenda import Source, agenda, waking
from gylebook.steps.answers import Urgency
from gylebook.steps.cards import Card, CardTask, card

LONDON = ZoneInfo("Europe/London")
FIRST = datetime(2026, 11, 10, 18, 0, tzinfo=UTC)


def source(*tasks, origin="begun-1", entries=5):
    told = Card("7", 7, "Invented ale", "fermenting", True, "", "", "WAIT", tasks=tasks)
    return Source(told, origin, entries, FIRST, FIRST)


def task(act="reading", words="Read the gravity", *, urgency="MEASURE", hours=48.0, by=None, until=None, **more):
    start = FIRST + timedelta(hours=hours)
    return CardTask("readings", act, words, "It tells.", urgency, start, by, until, **more)


def only(*tasks, zone=UTC, now=FIRST, **more):
    (found,) = agenda([source(*tasks, **more)], zone, now)
    return found


def test_a_thing_keeps_its_name_when_its_day_and_words_change():
    before, after = only(task()), only(task(words="Read the gravity again", hours=90), entries=6)
    assert before.uid == after.uid
    assert before.start != after.start
    assert after.sequence > before.sequence


def test_the_same_work_of_another_brew_has_another_name():
    assert only(task()).uid != only(task(), origin="begun-2").uid


def test_two_doses_of_hops_are_two_things_and_the_second_keeps_its_name_when_the_first_is_out():
    both = agenda(
        [source(task("hops_out", about="Sedgeway"), task("hops_out", about="Fen"))],
        UTC,
        FIRST,
    )
    left = only(task("hops_out", about="Fen"))
    assert len({dated.uid for dated in both}) == 2
    assert left.uid in {dated.uid for dated in both}


def test_the_same_act_twice_is_never_one_thing():
    found = agenda([source(task("move", "Keep them cool"), task("move", "Move them"))], UTC, FIRST)
    assert len({dated.uid for dated in found}) == 2


def test_a_decision_stays_what_it_is_when_its_date_its_words_and_its_urgency_change():
    before = only(task(after=3))
    after = only(task(words="Read it: 2 points left", hours=90, urgency="DANGER", after=3), entries=9)
    assert before.decision == after.decision


def test_the_same_work_is_another_decision_once_it_was_done_but_the_same_thing_in_a_calendar():
    first, second = only(task(after=3)), only(task(after=7))
    assert first.decision != second.decision
    assert first.uid == second.uid


def test_the_same_act_for_another_reason_is_another_decision():
    assert only(task("move", about="pressure")).decision != only(task("move")).decision


def test_what_is_called_off_stands_between_what_was_due_and_what_comes_after_the_next_entry():
    due = only(task())
    gone = due.called_off(FIRST)
    assert (gone.uid, gone.gone, gone.changed_at) == (due.uid, True, FIRST)
    assert due.sequence < gone.sequence < only(task(), entries=6).sequence


def test_what_is_done_is_gone():
    assert agenda([source()], UTC, FIRST) == ()


def test_what_may_be_done_whenever_it_suits_has_no_date_but_what_begins_later_has():
    assert agenda([source(task(urgency="NOTHING", hours=-1))], UTC, FIRST) == ()
    assert only(task(urgency="NOTHING", hours=400)).urgency is Urgency.NOTHING


def test_what_is_moot_is_left_out():
    moot = task(until=FIRST + timedelta(hours=50))
    assert only(moot).brew == "7"
    assert agenda([source(moot)], UTC, FIRST + timedelta(hours=51)) == ()


@pytest.mark.parametrize(
    ("due", "told"),
    [
        ("2026-07-10T18:20:00+00:00", "2026-07-10T18:20:00+00:00"),
        ("2026-07-10T03:20:00+00:00", "2026-07-10T08:00:00+00:00"),  # nine o'clock in summer
        ("2026-11-10T22:20:00+00:00", "2026-11-11T09:00:00+00:00"),
        ("2026-11-10T07:59:00+00:00", "2026-11-10T09:00:00+00:00"),
    ],
)
def test_what_falls_due_at_night_is_told_in_the_morning_of_the_brewers_own_zone(due, told):
    assert waking(datetime.fromisoformat(due), None, LONDON) == datetime.fromisoformat(told)


def test_the_morning_is_not_waited_for_where_it_would_be_too_late_or_where_there_is_danger():
    night = datetime(2026, 11, 11, 3, 20, 30, tzinfo=UTC)
    assert waking(night, night + timedelta(hours=2), LONDON) == night
    hours = (night - FIRST) / timedelta(hours=1)
    assert only(task(urgency="DANGER", hours=hours)).start == night.replace(second=0)


def test_things_are_told_the_earliest_first():
    found = agenda([source(task(hours=100), task("pitch", "Pitch", hours=20))], UTC, FIRST)
    assert [dated.title for dated in found] == ["No. 7 Invented ale: pitch", "No. 7 Invented ale: read the gravity"]


def test_a_real_brews_card_gives_dates():
    brew = brewed((1.0, ev.Mixed(ingredients=ONE_CAN_MALT, volume=q("21", "L"))), (2.0, ev.Pitched()))
    told = Source(card(brew, setting(hours=3).shelf, at(3)), "x", 3, at(2), at(2))
    found = agenda([told], UTC, at(3))
    assert len(found) == 2
    assert all(dated.start > at(2) and dated.end > dated.start for dated in found)
    assert found == agenda([replace(told)], UTC, at(4))


def bottled(*later):
    return brewed(
        (1.0, ev.Mixed(ingredients=ONE_CAN_MALT, volume=q("21", "L"))),
        (2.0, ev.Pitched(temp=q("20", "°C"))),
        (300.0, ev.Measured(gravity=q("1.009", "SG"), temp=q("20", "°C"), fizz="flat")),
        (372.0, ev.Measured(gravity=q("1.009", "SG"), temp=q("20", "°C"), fizz="flat")),
        (373.0, ev.Primed(sugar="sucrose", mass=q("110", "g"), volume=q("20", "L"))),
        (374.0, ev.Bottled(lots=(ev.BottleLot(bottle="returnable_500", count=38, size=q("500", "mL")),), place="room")),
        *later,
    )


def dated(brew, *things, hours=375.0):
    shelf = setting(*things, hours=hours).shelf
    told = Source(card(brew, shelf, at(hours)), "x", len(brew.kept), at(hours), brew.kept[-1].at)
    return agenda([told], UTC, at(hours))


def test_a_brew_in_bottles_gives_each_of_its_dates_once_in_their_order():
    room = ev.PlaceKept(name="room", low=q("19", "°C"), high=q("21", "°C"))
    found = dated(bottled(), room)
    assert [each.title.split(": ")[1] for each in found] == [
        "open one and see",
        "move the bottles to the cool",
        "taste it and write down how it is",
        "drink what is left",
    ]
    assert len({each.uid for each in found}) == 4
    days = [(each.start - at(374)) / timedelta(days=1) for each in found]
    # seven in ten sure after two weeks, 95 % after three; four weeks for an ordinary beer
    assert days[:3] == pytest.approx([14, 20, 28], abs=1.5)


def test_a_reading_of_a_colder_room_moves_the_dates_and_keeps_their_names():
    room = ev.PlaceKept(name="room", low=q("19", "°C"), high=q("21", "°C"))
    before = dated(bottled(), room)
    after = dated(bottled((380.0, ev.TempSeen(of="room", temp=q("13", "°C")))), room, hours=381)
    opening = [next(each for each in found if "open one" in each.title) for found in (before, after)]
    assert opening[0].uid == opening[1].uid
    assert opening[1].start > opening[0].start + timedelta(days=2)


def test_what_is_too_cold_gives_no_made_up_date():
    fridge = ev.PlaceKept(name="room", low=q("2", "°C"), high=q("4", "°C"))
    found = dated(bottled(), fridge)
    assert [each.title.split(": ")[1] for each in found] == ["bring the bottles to 18 to 22 °C", "drink what is left"]
