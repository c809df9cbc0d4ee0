"""Brews that nobody plans but somebody writes: every answer still comes."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.codec import kind_of
from gylebook.journal.state import Brew, Entry, Shelf, fold
from gylebook.steps.cards import card, says
from gylebook.steps.catalogue import act, steps
from gylebook.steps.day import day
from gylebook.steps.decision import Setting
from gylebook.units import Quantity

START = datetime(2026, 10, 1, 12, 0, tzinfo=UTC)
NOW = START + timedelta(days=30)
SETTING = Setting(NOW, Shelf(), UTC)


def brew_of(*events: ev.Event, brew: str = "1") -> Brew:
    moments = (START + timedelta(days=place) for place in range(len(events)))
    return fold(
        brew,
        [
            Entry(brew, seq, kind_of(event), 1, at, at, "owner", "command", f"c{brew}-{seq}", event)
            for seq, (at, event) in enumerate(zip(moments, events, strict=True), 1)
        ],
    )


PLAN = ev.Planned(name="Odd one")
ODD = {
    "a volume of nothing": brew_of(PLAN, ev.Mixed(volume=Quantity("0", "L")), ev.Pitched(mass=Quantity("11", "g"))),
    "frozen since the last reading": brew_of(
        PLAN,
        ev.Mixed(volume=Quantity("20", "L")),
        ev.Pitched(),
        ev.TempSeen(of="beer", temp=Quantity("-2", "°C")),
        ev.Measured(gravity=Quantity("1.012", "SG")),
        ev.TempSeen(of="beer", temp=Quantity("-2", "°C")),
    ),
    "sugar in beer that was never mixed": brew_of(PLAN, ev.Primed(sugar="sucrose", mass=Quantity("100", "g"))),
    "bottles of beer that was never mixed": brew_of(
        PLAN, ev.Bottled(lots=(ev.BottleLot(bottle="unknown_glass", count=20, size=Quantity("500", "mL")),))
    ),
}


@pytest.mark.parametrize("what", ODD)
def test_every_step_and_the_card_answer_an_odd_brew(what: str) -> None:
    for each in steps():
        asked = {"gravity": Quantity("1.012", "SG")} if each.word == "finishing" else {}
        for supposed in ({}, asked):
            answer = each.answer(ODD[what], SETTING, supposed)
            assert answer.headline
    made = card(ODD[what], Shelf(), NOW)
    assert says(made, NOW, UTC).headline


def test_primed_beer_of_unknown_age_takes_its_place_in_the_days_work() -> None:
    cards = [
        card(brew_of(PLAN, ev.Primed(sugar="sucrose", mass=Quantity("100", "g")), brew=brew), Shelf(), NOW)
        for brew in ("1", "2")
    ]
    found = day(cards, NOW, UTC)
    assert [line.brew for part in found.parts for line in part.lines if line.task.act == "bottle"] == ["1", "2"]
    assert any(finding.key == "two_bottlings" for finding in found.collisions)


def test_hops_without_a_weight_are_refused_by_name() -> None:
    with pytest.raises(InputError, match="Hops by weight: nothing was written"):
        act("hop").decide(brew_of(PLAN), {"hop": "Sedgeway"}, NOW, SETTING)
