"""Cards: what lists know of a brew, and what they say at a moment. Every brew here is invented."""

from __future__ import annotations

from datetime import UTC, date, timedelta

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brewing import TWO_CANS, at, brewed, material, q, shelf_with
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.steps.answers import Urgency
from gylebook.steps.cards import CARDS_VERSION, card, card_kept, card_read, says, zone_of

DAY = 24.0
GARAGE = ev.PlaceKept(
    name="garage",
    months=tuple(
        ev.MonthRange(month=m, low=q("5", "°C"), high=q("34" if m == 7 else "20", "°C")) for m in range(1, 13)
    ),
)


def read(gravity: str) -> ev.Measured:
    return ev.Measured(gravity=q(gravity, "SG"), temp=q("20", "°C"), fizz="flat")


def begun(*later: tuple[float, ev.Event], plan: ev.Planned | None = None) -> Brew:
    start = (
        (
            0.2,
            ev.Mixed(
                ingredients=TWO_CANS, volume=q("23", "L"), temp=q("20", "°C"), stirred="well", vessel="white bucket"
            ),
        ),
        (1.0, ev.Pitched(temp=q("20", "°C"))),
    )
    return brewed(*start, *((1.0 + d * DAY, event) for d, event in later), plan=plan)


LEVEL = ((8, read("1.012")), (12, read("1.012")))


def bottled(*later: tuple[float, ev.Event]) -> Brew:
    lots = (
        ev.BottleLot(bottle="returnable_500", count=30, size=q("500", "mL")),
        ev.BottleLot(bottle="one_way", count=18, size=q("330", "mL")),
    )
    return begun(
        *LEVEL,
        (12.5, ev.Primed(sugar="sucrose", mass=q("120", "g"), volume=q("21", "L"))),
        (12.6, ev.Bottled(lots=lots, place="garage", cap_code="A1")),
        *later,
    )


CASES = {
    "planned": brewed(plan=ev.Planned(name="Invented ale", start_on=date(2026, 12, 5), vessel="white bucket")),
    "mixed": brewed((0.2, ev.Mixed(temp=q("20", "°C")))),
    "fermenting": begun((8, read("1.013"))),
    "finished": begun(*LEVEL),
    "halted": begun((9, read("1.020")), (13, read("1.020"))),
    "wild": begun((14, read("1.002"))),
    "primed": begun(*LEVEL, (12.5, ev.Primed(sugar="sucrose", mass=q("120", "g")))),
    "bottled": bottled(),
    "burst": bottled((30, ev.Burst())),
    "empty": bottled((90, ev.TakenOut(count=48))),
    "closed": bottled((200, ev.Closed(lesson="less sugar"))),
    "dumped": begun((9, ev.Dumped(because="vinegar"))),
    "bare": brewed((1.0, ev.Pitched())),
}


@pytest.mark.parametrize("name", CASES)
def test_a_card_goes_through_json_and_comes_back_the_same(name: str) -> None:
    made = card(CASES[name], shelf_with(GARAGE))
    assert card_read(card_kept(made)) == made
    assert made.headline
    assert Urgency[made.urgency]


@pytest.mark.parametrize("name", CASES)
def test_a_card_follows_from_the_brew_and_the_shelf_alone(name: str) -> None:
    shelf = shelf_with(GARAGE)
    first, later = card(CASES[name], shelf, at(5000)), card(CASES[name], shelf, at(9000))
    assert msgspec.structs.replace(later, urgency=first.urgency) == first


@pytest.mark.parametrize("name", CASES)
def test_no_sentence_of_a_card_depends_on_the_day_it_is_read(name: str) -> None:
    made = card(CASES[name], shelf_with(GARAGE))
    words = " ".join([made.headline, made.why, made.danger, *(f"{t.words} {t.why}" for t in made.tasks)]).lower()
    for word in ("tomorrow", "yesterday", "monday", "friday", " ago", "this weekend"):
        assert word not in words


def test_the_version_is_a_whole_number() -> None:
    assert isinstance(CARDS_VERSION, int)


@pytest.mark.parametrize(
    ("name", "headline"),
    [
        ("planned", "Planned."),
        ("mixed", "Mixed, without yeast yet."),
        ("fermenting", "Not known yet whether it is finished."),
        ("finished", "Finished, as far as readings can tell."),
        ("halted", "Not finished: come to a halt above its end."),
        ("wild", "Lower than this make-up can reach: do not bottle it."),
        ("primed", "Primed, not in bottles yet."),
        ("bottled", "In bottles, 48 left."),
        ("empty", "Every bottle is gone."),
        ("closed", "Drunk and closed."),
        ("dumped", "Thrown away."),
        ("bare", "Fermenting."),
    ],
)
def test_a_card_says_how_the_brew_stands(name: str, headline: str) -> None:
    assert card(CASES[name], shelf_with(GARAGE)).headline == headline


def test_a_card_holds_what_the_lists_show() -> None:
    made = card(CASES["fermenting"], shelf_with())
    assert (made.name, made.stage, made.vessel, made.open) == ("Invented ale", "fermenting", "white bucket", True)
    assert made.started == at(0.2)
    assert made.finished is None
    now = made.figure("now")
    assert now is not None
    assert now.value == pytest.approx(1.013, abs=0.0005)  # the make-up's end weighs in a little
    assert now.text.endswith(")")
    assert made.figure("strength") is None
    assert made.litres is not None
    assert made.bottles_wanted == pytest.approx(43, abs=1)
    assert made.next_due == made.tasks[0].due_from


def test_a_bottled_card_holds_lots_with_pressure_at_the_warmest_month() -> None:
    made = card(CASES["bottled"], shelf_with(GARAGE))
    bottles = made.bottles
    assert bottles is not None
    assert (bottles.filled, bottles.left, bottles.cap_code, bottles.place) == (48, 48, "A1", "garage")
    assert (bottles.warmest_month, bottles.warmest_c, bottles.store_known) == (7, 34.0, True)
    assert bottles.co2.value == pytest.approx(2.4, abs=0.25)
    returnable, one_way = bottles.lots
    assert returnable.pressure_low < returnable.pressure < returnable.pressure_high
    assert returnable.worst_pressure > returnable.pressure
    # DERIVED from co2_mass_balance: 2.4 volumes stand at 2.9 bar at 34 °C.
    assert returnable.pressure == pytest.approx(2.9, abs=0.35)
    assert one_way.limit_bar < returnable.limit_bar
    assert one_way.fit.startswith("fit if kept below") or one_way.fit == "not fit"
    assert bottles.carbonated[0] < bottles.carbonated[1] < bottles.carbonated[2]
    assert bottles.best_from < bottles.best_to <= bottles.drink_by


def test_bottles_that_left_are_taken_from_their_lot() -> None:
    later = (
        (40, ev.Opened(bottle="one_way")),
        (41, ev.TakenOut(count=4, bottle="one_way", to="given")),
        (42, ev.TakenOut(count=5)),
    )
    made = card(bottled(*later), shelf_with(GARAGE))
    assert made.bottles is not None
    assert [lot.left for lot in made.bottles.lots] == [25, 13]
    assert made.bottles_left == 38


def test_more_bottles_cannot_leave_than_there_were() -> None:
    assert card(bottled((40, ev.TakenOut(count=500))), shelf_with()).bottles_left == 0


def test_danger_stands_on_the_card() -> None:
    assert card(CASES["wild"], shelf_with()).danger.startswith("1.0020 is lower than this make-up can reach")
    assert card(CASES["burst"], shelf_with(GARAGE)).urgency == "DANGER"
    assert card(CASES["finished"], shelf_with()).danger == ""


def test_an_unknown_zone_on_the_shelf_falls_back_to_utc() -> None:
    assert str(zone_of(shelf_with(ev.SettingsKept(time_zone="Europe/London")))) == "Europe/London"
    assert zone_of(shelf_with(ev.SettingsKept(time_zone="Middle-earth/Shire"))) is UTC
    assert zone_of(shelf_with()) is UTC


ODD = (
    read("1.030"),
    read("1.012"),
    read("1.155"),
    read("0.985"),
    ev.Measured(gravity=q("0", "SG")),
    ev.Measured(gravity=q("10.5", "°P"), temp=q("35", "°C"), sample_from="forced sample"),
    ev.Mixed(ingredients=(material("sucrose", "9"),), volume=q("5", "L")),
    ev.Mixed(ingredients=(material("lactose", "1"),), volume=q("0.3", "L")),
    ev.Pitched(kind="lager", temp=q("50", "°C")),
    ev.ToppedUp(water=q("3", "L")),
    ev.Hopped(hop="Invented hop", mass=q("5", "kg"), planned_days=0),
    ev.TempSeen(of="beer", temp=q("-2", "°C")),
    ev.Moved(place="garage", temp=q("-5", "°C")),
    ev.Primed(sugar="mystery", mass=q("3", "kg"), how="each bottle", bottles=3),
    ev.Bottled(lots=(ev.BottleLot(bottle="odd", count=0, size=q("5", "L")),)),
    ev.Vented(),
    ev.Burst(),
    ev.Closed(),
)


@settings(deadline=None, max_examples=80)
@given(st.lists(st.tuples(st.floats(0, 90), st.sampled_from(ODD)), max_size=9))
def test_any_entries_in_any_order_make_a_card_that_reads_back(rows: list[tuple[float, ev.Event]]) -> None:
    made = card(brewed(*((day * DAY, event) for day, event in rows)), shelf_with(GARAGE))
    assert card_read(card_kept(made)) == made
    for figure in made.figures:
        assert figure.low <= figure.value <= figure.high


# --- at a moment ------------------------------------------------------------------------------------------------


def test_read_early_a_card_says_what_comes_next_and_read_late_that_it_is_late() -> None:
    made = card(CASES["fermenting"], shelf_with())
    due = made.tasks[0].due_from
    early = says(made, due - timedelta(days=1), UTC)
    assert early.urgency is Urgency.WAIT
    assert early.headline == "Not known yet whether it is finished. Next, tomorrow: read the gravity again."
    assert early.coming == "Next, tomorrow: read the gravity again."
    soon = says(made, due - timedelta(hours=2), UTC)
    assert soon.urgency is Urgency.MEASURE
    assert soon.headline == "Not known yet whether it is finished. Next, later today: read the gravity again."
    on_time = says(made, due, UTC)
    assert on_time.coming == ""
    assert (on_time.urgency, on_time.headline) == (Urgency.MEASURE, "Read the gravity again.")
    late = says(made, due + timedelta(days=5), UTC)
    assert late.urgency is Urgency.ACT
    assert late.headline.startswith("Read the gravity again (due ")


def test_a_plan_without_a_day_says_what_is_to_be_done_and_where() -> None:
    said = says(card(brewed(plan=ev.Planned(name="Invented ale")), shelf_with()), at(40 * DAY), UTC)
    assert said.headline == "Planned. Mix it when you are ready."
    assert said.urgency is Urgency.NOTHING
    assert said.task is not None
    assert said.task.step == "mixing"


def test_danger_is_said_first_whenever_the_card_is_read() -> None:
    made = card(CASES["burst"], shelf_with(GARAGE))
    for days in (0, 31, 400):
        assert says(made, at(days * DAY), UTC).urgency is Urgency.DANGER


def test_what_is_moot_is_not_said() -> None:
    made = card(CASES["bare"], shelf_with())
    look = next(task for task in made.tasks if task.act == "note")
    assert look.until is not None
    assert says(made, look.until, UTC).task != look


def test_a_closed_brew_says_how_it_ended() -> None:
    said = says(card(CASES["closed"], shelf_with()), at(9000), UTC)
    assert (said.headline, said.why, said.urgency) == ("Drunk and closed.", "less sugar", Urgency.NOTHING)
