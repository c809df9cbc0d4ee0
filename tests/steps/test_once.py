"""What is worked out once for a brew holds for that brew and that shelf alone."""

from __future__ import annotations

from dataclasses import replace

from brewing import ONE_CAN_SUGAR, at, brewed, q, shelf_with
from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.steps.gravity import readings
from gylebook.steps.once import once
from gylebook.steps.readings import with_event

BREW = brewed(
    (1, ev.Mixed(ingredients=ONE_CAN_SUGAR, volume=q("23", "L"))),
    (2, ev.Pitched()),
    (100, ev.Measured(gravity=q("1.012", "SG"), temp=q("15", "°C"))),
)
WARM_GLASS = ev.InstrumentKept(name="jar's", ref_temp=q("15.6", "°C"))


def test_the_same_question_is_worked_out_once() -> None:
    asked = []

    @once
    def number(brew: Brew, _shelf: Shelf, add: int = 0) -> int:
        asked.append(brew.id)
        return len(brew.kept) + add

    shelf = shelf_with()
    assert [number(BREW, shelf), number(BREW, shelf), number(BREW, shelf, add=2)] == [4, 4, 6]
    assert len(asked) == 2
    assert number(BREW, shelf_with()) == 4
    assert number(replace(BREW, kept=BREW.kept[:1]), shelf) == 1
    assert len(asked) == 4


def test_another_shelf_and_another_entry_lead_to_their_own_readings() -> None:
    plain, glass = shelf_with(), shelf_with(WARM_GLASS)
    before = readings(BREW, plain)
    assert readings(BREW, plain) is before
    assert readings(BREW, glass)[0].gravity_sg != before[0].gravity_sg
    after = with_event(BREW, at(150), ev.Measured(gravity=q("1.011", "SG"), temp=q("15", "°C")))
    assert [r.seq for r in readings(after, plain)] == [4, 5]
    assert [r.seq for r in readings(BREW, plain)] == [4]


def test_what_was_worked_out_is_no_part_of_a_brew() -> None:
    one, other = replace(BREW), replace(BREW)
    readings(one, shelf_with())
    assert one == other
    assert repr(one) == repr(other)
