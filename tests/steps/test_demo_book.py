"""The demo book: written through the same acts as anyone's, whatever the day, and never refused."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import pytest

from gylebook.journal import events as ev
from gylebook.journal.codec import kind_of, version_of
from gylebook.journal.state import Brew, Entry, Shelf, fold, fold_shelf
from gylebook.steps.catalogue import act, steps
from gylebook.steps.correcting import correct
from gylebook.steps.decision import Setting
from gylebook.steps.demo_book import SHELF, demo_entries
from gylebook.steps.filling import session
from gylebook.steps.lines import HOPS_HINT, read_hop_plans
from gylebook.steps.outlook import outlook
from gylebook.steps.shelf import SHELF_ACTS

HOME = ZoneInfo("Europe/London")
MOMENTS = (
    datetime(2026, 11, 25, 20, 0, tzinfo=UTC),
    datetime(2026, 7, 1, 0, 30, tzinfo=UTC),
    datetime(2027, 3, 28, 12, 0, tzinfo=UTC),  # the day on which the clock changes
    datetime(2028, 2, 29, 23, 59, tzinfo=UTC),
)


def acts_of_shelf():
    return SHELF_ACTS if isinstance(SHELF_ACTS, dict) else {each.name: each for each in SHELF_ACTS}


@cache
def written(now: datetime) -> tuple[Shelf, dict[str, Brew]]:
    """The whole script, decided entry by entry as of its own moment."""
    rows: dict[str, list[Entry]] = {}
    labels: dict[tuple[str, str], int] = {}
    for entry in demo_entries(now, HOME):
        shelf = fold_shelf(rows.get(SHELF, []))
        setting = Setting(entry.at, shelf, HOME, entry.insist)
        one = acts_of_shelf()[entry.act] if entry.brew == SHELF else act(entry.act)
        assert set(entry.texts) <= {field.name for field in one.fields}, entry
        values = {
            f.name: f.read(entry.texts.get(f.name, ""), confirmed=f.name in entry.insist, zone=HOME) for f in one.fields
        }
        if entry.brew == SHELF:
            decision = one.decide(shelf, values, entry.at, setting)
        else:
            brew = fold(entry.brew, rows.get(entry.brew, []))
            if entry.corrects:
                seq = labels[entry.brew, entry.corrects]
                decision = correct(brew, seq, one, values, setting, because=entry.because)
            else:
                decision = one.decide(brew, values, entry.at, setting)
        for at, event in decision.events:
            mine = rows.setdefault(entry.brew, [])
            seq = len(mine) + 1
            mine.append(
                Entry(entry.brew, seq, kind_of(event), version_of(event), at, entry.at, "w", "page", f"{seq}", event)
            )
            if entry.label:
                labels[entry.brew, entry.label] = seq
    return fold_shelf(rows[SHELF]), {brew: fold(brew, mine) for brew, mine in rows.items() if brew != SHELF}


@pytest.mark.parametrize("now", MOMENTS)
def test_every_entry_is_accepted_on_any_day(now: datetime) -> None:
    shelf, brews = written(now)
    assert len(brews) == 8
    assert len(shelf.kits) == 4
    assert all(entry.happened_at < now for brew in brews.values() for entry in brew.entries)


@pytest.mark.parametrize("now", MOMENTS)
def test_every_step_answers_for_every_brew(now: datetime) -> None:
    shelf, brews = written(now)
    setting = Setting(now, shelf, HOME)
    for brew in brews.values():
        for step in steps():
            answer = step.answer(brew, setting, {})
            assert answer.headline, (brew.id, step.word)
            words = [answer.headline, answer.why, *(f.text for f in answer.findings), *answer.cautions]
            assert "safe" not in " ".join(words).lower(), (brew.id, step.word)
            assert "nan" not in " ".join(words).lower().split(), (brew.id, step.word)


def test_one_moment_gives_one_book() -> None:
    assert demo_entries(MOMENTS[0], HOME) == demo_entries(MOMENTS[0], HOME)


def test_the_stages_of_a_brews_life_are_all_there() -> None:
    _, brews = written(MOMENTS[0])
    assert {name: brew.stage for name, brew in brews.items()} == {
        "hedge": "closed",
        "harvest": "drinking",
        "dune": "bottled",
        "lapwing": "fermenting",
        "shed": "fermenting",
        "coal_hole": "fermenting",
        "table": "fermenting",
        "midwinter": "planned",
    }


def test_it_is_as_messy_as_a_used_book() -> None:
    _, brews = written(MOMENTS[0])
    readings = [k.event for brew in brews.values() for k in brew.all(ev.Measured)]
    assert any("," in reading.gravity.text for reading in readings)
    assert any(reading.temp is None for reading in readings)
    assert brews["dune"].struck
    assert brews["dune"].last(ev.Primed).event.mass.text == "146"
    assert any(brew.all(ev.Noted) for brew in brews.values())


def test_the_brews_show_what_they_were_made_to_show() -> None:
    shelf, brews = written(MOMENTS[0])
    setting = Setting(MOMENTS[0], shelf, HOME)
    keys = {
        name: {f.key for step in steps() for f in step.answer(brew, setting, {}).findings}
        for name, brew in brews.items()
    }
    assert "unmixed" in keys["coal_hole"]
    assert "cold" in keys["shed"]
    assert "too_warm" in keys["dune"]
    assert outlook(brews["lapwing"], setting).hop_points > 0
    first = brews["lapwing"].all(ev.Measured)
    assert float(first[-1].event.gravity.text) < float(first[3].event.gravity.text)  # it fell again after the hops
    assert outlook(brews["table"], setting).finished is False


def test_one_brew_was_counted_as_it_was_filled_and_the_counts_became_its_bottles() -> None:
    _, brews = written(MOMENTS[0])
    counted = {name: brew for name, brew in brews.items() if brew.all(ev.Filled)}
    assert list(counted) == ["harvest"]
    harvest = counted["harvest"]
    assert [kept.event.what for kept in harvest.all(ev.Filling)] == ["begun", "paused", "resumed"]
    lots = harvest.first(ev.Bottled).event.lots
    assert sum(lot.count for lot in lots) == sum(kept.event.count for kept in harvest.all(ev.Filled)) == 39
    assert lots[0].first
    assert (lots[-1].bottle, lots[-1].last) == ("plastic litres", True)
    assert session(harvest) is None  # bottled, so the count is closed


def test_no_invented_kit_is_a_hazy_one_of_eighteen_litres() -> None:
    shelf, _ = written(MOMENTS[0])
    for kit in shelf.kits.values():
        assert kit.volume.to("L", "volume") != 18
        assert "hazy" not in f"{kit.name} {kit.note}".lower()


def test_dates_are_told_from_today() -> None:
    now = MOMENTS[0]
    plan = written(now)[1]["midwinter"].plan
    assert plan.start_on == (now.astimezone(HOME) + timedelta(days=9)).date()


def test_hops_in_the_demo_book_and_in_the_hints_are_invented_varieties() -> None:
    invented = {"Marl and Mere", "Sedgeway"}
    shelf, brews = written(MOMENTS[0])
    named = {plan.name.removesuffix(" pellets") for kit in shelf.kits.values() for plan in kit.hops}
    for brew in brews.values():
        named |= {kept.event.hop for kept in brew.all(ev.Hopped)}
    named |= {hop.name for hop in read_hop_plans(HOPS_HINT.removeprefix("One to a line: "))}
    assert named == invented
