from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from gylebook.errors import NotFound, Refused
from gylebook.journal import events as ev
from gylebook.journal.codec import KINDS, kind_of, plain_of
from gylebook.journal.state import Brew, Entry, Shelf, fold
from gylebook.steps.correcting import ACT_OF, correct, standing, texts_of, withdraw
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import COUNT, LONG_TEXT, QUANTITY, TEXT, Field
from gylebook.units import Quantity

NOON = datetime(2026, 11, 3, 12, 0, tzinfo=UTC)
SETTING = Setting(NOON + timedelta(days=9), Shelf(), UTC)


def entry(seq: int, event: ev.Event) -> Entry:
    at = NOON + timedelta(hours=seq)
    return Entry("27", seq, kind_of(event), 1, at, at, "owner", "command", f"c{seq}", event)


def brew_of(*events: ev.Event) -> Brew:
    return fold("27", [entry(seq, event) for seq, event in enumerate(events, 1)])


def decide_note(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    seen = len(brew.all(ev.Noted))
    return Decision(((at, ev.Noted(text=f"{values['text']} ({seen} others)")),))


def decide_plan(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    return Decision(((at, ev.Planned(name=values["name"])),))


NOTE = Act("note", "Write a note", "plan", (Field("text", "Note", TEXT),), decide_note)
PLAN = Act("plan", "Plan a brew", "plan", (Field("name", "Name", TEXT),), decide_plan)
EMPTY = Act("note", "Write nothing", "plan", (), lambda *_: Decision(()))


def corrected(brew: Brew, decision: Decision) -> Brew:
    at, event = decision.events[0]
    row = Entry("27", brew.head_seq + 1, kind_of(event), 1, at, at, "owner", "command", "next", event)
    return fold("27", [*brew.entries, row])


def test_every_kind_of_a_brew_has_the_act_that_writes_it() -> None:
    shelf_only = {"kit_kept", "instrument_kept", "vessel_kept", "place_kept", "bottles_kept", "stock_kept"}
    brew_kinds = set(KINDS) - shelf_only - {"forgotten", "settings_kept", "lessons_kept", "warm_spell", "corrected"}
    assert {kind for kind, (struct, _) in KINDS.items() if struct in ACT_OF} == brew_kinds


def test_a_correction_decides_as_if_the_wrong_entry_had_never_been() -> None:
    brew = brew_of(ev.Planned(name="Autumn bitter"), ev.Noted(text="one"), ev.Noted(text="two"))
    after = corrected(brew, correct(brew, 3, NOTE, {"text": "three"}, SETTING, because="a slip"))
    assert [k.event.text for k in after.all(ev.Noted)] == ["one", "three (1 others)"]
    assert after.all(ev.Noted)[1].at == brew.entries[2].happened_at
    assert after.struck == {3}


def test_a_correction_may_move_the_entry_in_time() -> None:
    brew = brew_of(ev.Planned(name="Autumn bitter"), ev.Noted(text="one"))
    earlier = NOON - timedelta(days=1)
    after = corrected(brew, correct(brew, 2, NOTE, {"text": "x"}, SETTING, at=earlier))
    assert after.all(ev.Noted)[0].at == earlier


def test_a_correction_can_be_corrected_by_either_number() -> None:
    brew = brew_of(ev.Planned(name="Autumn bitter"), ev.Noted(text="one"))
    once = corrected(brew, correct(brew, 2, NOTE, {"text": "two"}, SETTING))
    for seq in (2, 3):
        twice = corrected(once, correct(once, seq, NOTE, {"text": "three"}, SETTING))
        assert [k.event.text for k in twice.all(ev.Noted)] == ["three (0 others)"]


def test_a_withdrawn_entry_counts_no_more_and_cannot_be_corrected() -> None:
    brew = brew_of(ev.Planned(name="Autumn bitter"), ev.Noted(text="one"))
    after = corrected(brew, withdraw(brew, 2, SETTING, because="another brew's"))
    assert after.all(ev.Noted) == ()
    with pytest.raises(NotFound, match="withdrawn"):
        standing(after, 2)


def test_what_is_not_there_cannot_be_corrected() -> None:
    with pytest.raises(NotFound, match="has no entry 9; its last one is 1"):
        correct(brew_of(ev.Planned(name="Autumn bitter")), 9, NOTE, {"text": ""}, SETTING)


def test_the_plan_can_be_corrected_but_neither_withdrawn_nor_turned_into_something_else() -> None:
    brew = brew_of(ev.Planned(name="Autumn bitter"))
    assert corrected(brew, correct(brew, 1, PLAN, {"name": "Winter bitter"}, SETTING)).name == "Winter bitter"
    with pytest.raises(Refused, match="cannot be withdrawn"):
        withdraw(brew, 1, SETTING)
    with pytest.raises(Refused, match="its plan"):
        correct(brew, 1, NOTE, {"text": "no"}, SETTING)


def test_a_correction_to_nothing_is_refused_and_names_the_way() -> None:
    brew = brew_of(ev.Planned(name="Autumn bitter"), ev.Noted(text="one"))
    with pytest.raises(Refused, match="withdraw it"):
        correct(brew, 2, EMPTY, {}, SETTING)


def test_an_entry_gives_back_the_texts_it_was_written_with() -> None:
    act = Act(
        "bottle",
        "Bottle",
        "bottling",
        (
            Field("lots", "Bottles", LONG_TEXT),
            Field("volume", "Volume", QUANTITY, ("volume",)),
            Field("place", "Place", TEXT),
            Field("cap_code", "Caps", TEXT),
            Field("unknown", "Not in the entry", COUNT),
        ),
        decide_note,
    )
    event = ev.Bottled(
        lots=(ev.BottleLot(bottle="brown returnable", count=24, size=Quantity("500", "mL"), last=True),),
        volume=Quantity("12,5", "L"),
        cap_code="27",
    )
    assert texts_of(event, act) == {
        "lots": "24 x 500 mL brown returnable, last",
        "volume": "12,5 L",
        "cap_code": "27",
    }


def test_a_correction_keeps_the_body_that_takes_the_place() -> None:
    brew = brew_of(ev.Planned(name="Autumn bitter"), ev.Noted(text="one"))
    (_, event), *_ = correct(brew, 2, NOTE, {"text": "two"}, SETTING).events
    assert isinstance(event, ev.Corrected)
    assert event.instead == plain_of(ev.Noted(text="two (0 others)"))
