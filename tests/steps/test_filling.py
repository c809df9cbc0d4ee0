"""Filling bottles tap by tap: the order, the litres, the pause, and the bottling that comes of it. All is invented."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewing import at, brewed, q, setting
from finished import DAY, LEVEL, act, by_days, keys, primed
from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Brew, fold
from gylebook.steps.answers import Urgency
from gylebook.steps.bottling import BOTTLE
from gylebook.steps.correcting import correct, withdraw
from gylebook.steps.filling import FILL, FILLING, STIR, Session, figures_of, session, standing_of

HALVES = ev.BottlesKept(name="brown halves", kind="returnable_500", size=q("500", "mL"), count=60)
BEGUN = ev.Filling(what="begun", volume=q("20", "L"), place="cellar", cap_code="L7")


def tap(bottle: str = "returnable_500", count: int = 1, size: str = "500", **more: bool) -> ev.Filled:
    return ev.Filled(bottle=bottle, count=count, size=q(size, "mL"), **more)


def filled(*events: ev.Event) -> Brew:
    """A primed brew with these entries, a minute apart."""
    return by_days(*LEVEL, primed(), *((15.1 + n / 1440, event) for n, event in enumerate(events)))


def now(*events: ev.Event) -> Session:
    found = session(filled(*events))
    assert found is not None
    return found


def test_without_an_entry_of_filling_there_is_none() -> None:
    assert session(filled()) is None
    assert standing_of(filled()).lots == ()


def test_places_in_the_order_follow_from_the_order_of_the_taps() -> None:
    found = now(BEGUN, tap(count=10), tap(count=10), tap("swing_top", 2, "330"), tap(count=1), tap("pet", 1))
    assert [(run.places, run.words) for run in found.runs] == [
        ("1 to 20", "500 mL brown returnable"),
        ("21 to 22", "330 mL swing-top"),
        ("23", "500 mL brown returnable"),
        ("24", "500 mL PET"),
    ]
    assert found.count == 24
    assert found.litres == pytest.approx(21 * 0.5 + 2 * 0.33 + 0.5)
    assert found.left_l == pytest.approx(20 - found.litres)
    assert found.of_kind("returnable_500", q("500", "mL")) == 21


def test_the_bottle_to_squeeze_stands_by_itself_in_the_order() -> None:
    found = now(tap("pet", 2), tap("pet", indicator=True), tap("pet"))
    assert [(run.places, run.indicator) for run in found.runs] == [("1 to 2", False), ("3", True), ("4", False)]


@given(st.lists(st.tuples(st.sampled_from(["returnable_500", "swing_top", "pet"]), st.integers(1, 12)), min_size=1))
def test_lots_hold_every_bottle_once_with_the_first_and_the_last_marked(taps: list[tuple[str, int]]) -> None:
    start = [(0.5, ev.Pitched())]
    brew = brewed(*start, *((1.0 + n, tap(kind, count)) for n, (kind, count) in enumerate(taps)))
    found = session(brew)
    assert found is not None
    assert sum(lot.count for lot in found.lots) == sum(count for _, count in taps)
    for kind in {kind for kind, _ in taps}:
        assert sum(lot.count for lot in found.lots if lot.bottle == kind) == sum(n for k, n in taps if k == kind)
    assert [lot.bottle for lot in found.lots if lot.first] == [taps[0][0]]
    assert [lot.bottle for lot in found.lots if lot.last] == [taps[-1][0]]
    assert found.runs[-1].last == found.count


def test_a_withdrawn_tap_is_gone_and_what_came_after_it_moves_up() -> None:
    brew = filled(BEGUN, tap(count=10), tap("swing_top", 1, "330"), tap())
    wrong = standing_of(brew).taps[1]
    _, event = withdraw(brew, wrong.seq, setting(hours=16 * DAY)).events[0]
    from gylebook.journal.state import Entry

    row = Entry("b1", brew.head_seq + 1, "corrected", 1, at(16 * DAY), at(16 * DAY), "owner", "page", "x", event)
    after = standing_of(fold("b1", [*brew.entries, row]))
    assert [run.places for run in after.runs] == ["1 to 11"]


def test_a_pause_lasts_until_it_goes_on_or_a_bottle_is_filled() -> None:
    pause, resume = ev.Filling(what="paused"), ev.Filling(what="resumed")
    assert now(BEGUN, tap(), pause).paused is not None
    assert now(BEGUN, tap(), pause, resume).paused is None
    assert now(BEGUN, tap(), pause, tap()).paused is None


def test_what_is_said_later_counts_and_what_is_left_out_stays() -> None:
    found = now(BEGUN, tap(), ev.Filling(what="begun", volume=q("19.5", "L")))
    assert (str(found.volume), found.place, found.cap_code) == ("19.5 L", "cellar", "L7")


def test_an_entry_of_bottling_closes_the_count_and_a_later_one_begins_anew() -> None:
    lots = (ev.BottleLot(bottle="returnable_500", count=10, size=q("500", "mL")),)
    assert session(filled(BEGUN, tap(), ev.Bottled(lots=lots))) is None
    assert now(BEGUN, tap(count=10), ev.Bottled(lots=lots), tap()).count == 1


def test_bottling_without_lots_is_written_from_the_taps() -> None:
    brew = filled(BEGUN, tap(count=38), tap("pet", 2))
    event = act(BOTTLE, brew, at(16 * DAY), setting(hours=16 * DAY), {}).events[0][1]
    assert isinstance(event, ev.Bottled)
    assert [(lot.bottle, lot.count) for lot in event.lots] == [
        ("returnable_500", 1),
        ("returnable_500", 37),
        ("pet", 1),
        ("pet", 1),
    ]
    assert (event.place, event.cap_code, str(event.volume)) == ("cellar", "L7", "20 L")


WARM = ev.PlaceKept(name="cellar", low=q("20", "°C"), high=q("22", "°C"))
THIN = {"bottle": "thin clear", "size": "330 mL", "count": "6"}


def test_a_kind_that_is_unfit_for_the_gas_and_the_place_is_told_of_once_in_the_words_of_bottling() -> None:
    where = setting(WARM, hours=16 * DAY)
    kinds, thin = ("not_fit", "too_warm"), "6 x 330 mL thin clear"
    told = [f for f in act(FILL, filled(BEGUN), at(16 * DAY), where, THIN).findings if f.key in kinds]
    lots = act(BOTTLE, filled(BEGUN), at(16 * DAY), where, {"lots": f"36 x 500 mL brown\n{thin}", "place": "cellar"})
    assert len(told) == 1
    assert told[0].urgency in {Urgency.ACT, Urgency.DANGER}
    assert told == [f for f in lots.findings if f.key in kinds]
    again = filled(BEGUN, tap("one_way", 6, "330"))
    assert keys(act(FILL, again, at(16 * DAY), where, THIN)) == []
    fit = act(FILL, filled(BEGUN), at(16 * DAY), where, {"bottle": "brown returnable", "size": "500 mL"})
    assert keys(fit) == []


def test_counted_bottles_that_are_not_in_the_bottling_are_told_and_stay_counted() -> None:
    brew = filled(BEGUN, tap(count=30), tap("one_way", 6, "330"), tap("wine", 2, "750"), tap(count=2))
    written = act(BOTTLE, brew, at(16 * DAY), setting(hours=16 * DAY), {"lots": "32 x 0.5 L brown"})
    (missing,) = [finding for finding in written.findings if finding.key == "not_in_bottling"]
    assert missing.urgency is Urgency.MEASURE
    assert "6 × 330 mL light one-way + 2 × 750 mL wine bottle." in missing.text
    assert "brown" not in missing.text
    assert [len(brew.all(ev.Filled)), len(written.events)] == [4, 1]
    assert "not_in_bottling" not in keys(act(BOTTLE, brew, at(16 * DAY), setting(hours=16 * DAY), {}))
    fewer = act(
        BOTTLE, brew, at(16 * DAY), setting(hours=16 * DAY), {"lots": "31 x 500 mL brown\n6 x 330 mL thin clear"}
    )
    (missing,) = [finding for finding in fewer.findings if finding.key == "not_in_bottling"]
    assert "1 × 500 mL brown returnable + 2 × 750 mL wine bottle." in missing.text


def test_bottling_with_lots_is_as_it_was_written_whatever_was_tapped() -> None:
    brew = filled(BEGUN, tap(count=38))
    event = act(BOTTLE, brew, at(16 * DAY), setting(hours=16 * DAY), {"lots": "40 x 500 mL brown"}).events[0][1]
    assert event == ev.Bottled(lots=(ev.BottleLot(bottle="returnable_500", count=40, size=q("500", "mL")),))


def test_the_form_of_bottling_begins_with_what_was_counted_and_reads_back() -> None:
    texts = standing_of(filled(BEGUN, tap(count=12), tap("pet"))).texts
    assert texts["lots"] == ("1 x 500 mL brown returnable, first\n11 x 500 mL brown returnable\n1 x 500 mL PET, last")
    brew = filled()
    event = act(BOTTLE, brew, at(16 * DAY), setting(hours=16 * DAY), texts).events[0][1]
    assert event.lots == standing_of(filled(BEGUN, tap(count=12), tap("pet"))).lots


def test_figures_tell_beer_in_bottles_and_what_is_left() -> None:
    found = {each.key: each.value for each in figures_of(now(BEGUN, tap(count=10)))}
    assert found == {"filled": 5.0, "left": 15.0}
    assert [each.key for each in figures_of(now(tap()))] == ["filled"]
    assert figures_of(now(BEGUN, tap(count=50)))[1].value == 0.0


# --- the acts -----------------------------------------------------------------------------------------------------


def fill(*things: ev.Event, **texts: str):
    return act(FILL, filled(), at(16 * DAY), setting(*things, hours=16 * DAY), texts)


def test_a_tap_takes_its_size_from_the_shelf_and_counts_one() -> None:
    assert fill(HALVES, bottle="brown halves").events[0][1] == ev.Filled(
        bottle="brown halves", count=1, size=q("500", "mL")
    )


def test_a_kind_that_is_not_kept_wants_its_size() -> None:
    with pytest.raises(InputError, match="Size"):
        fill(bottle="brown returnable")
    assert fill(bottle="brown returnable", size="500 mL").events[0][1].bottle == "returnable_500"


def test_a_kind_that_is_not_known_is_refused_with_those_that_are() -> None:
    with pytest.raises(InputError, match="brown halves"):
        fill(HALVES, bottle="glowing orbs")


def test_a_bottle_that_must_never_be_filled_is_written_and_is_danger() -> None:
    decision = fill(bottle="wine", size="750 mL")
    assert decision.events
    assert [(f.key, f.urgency) for f in decision.findings] == [("never_bottle", Urgency.DANGER)]


def test_glass_cannot_be_squeezed() -> None:
    assert keys(fill(HALVES, bottle="brown halves", indicator="yes")) == ["no_indicator"]
    assert keys(fill(bottle="pet", size="500 mL", indicator="yes")) == []


def test_going_on_says_to_stir() -> None:
    decision = act(FILLING, filled(BEGUN), at(16 * DAY), setting(hours=16 * DAY), {"what": "resumed"})
    assert [f.text for f in decision.findings] == [STIR]


def test_a_tap_is_corrected_by_the_act_that_wrote_it() -> None:
    brew = filled(BEGUN, tap(count=10))
    seq = standing_of(brew).taps[0].seq
    values = {"bottle": "returnable_500", "count": 9, "size": q("500", "mL")}
    decision = correct(brew, seq, FILL, values, setting(hours=16 * DAY))
    assert decision.events[0][1].instead["count"] == 9
