"""Warm and frosty days over the whole cellar, from cards alone. Every brew here is invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewing import at, q, setting, shelf_with
from finished import DAY, LEVEL, bottled, by_days, lot, primed
from gylebook.errors import InputError
from gylebook.forecast.gas import Draws
from gylebook.journal import events as ev
from gylebook.steps import bottle_store
from gylebook.steps.agenda import Source, agenda
from gylebook.steps.answers import Urgency
from gylebook.steps.bottle_kinds import bottle_of
from gylebook.steps.card_bottles import LEVELS
from gylebook.steps.cards import Card, card, card_kept, card_read
from gylebook.steps.day import day
from gylebook.steps.fizz import charge_of_fizz, fizz_of
from gylebook.steps.gas_budget import ahead, budget
from gylebook.steps.shelf import FORGET, act_for
from gylebook.steps.shelf_spell import texts_of_spell, weekend
from gylebook.steps.warm_spell import spell_task, spell_tasks, spell_words, to_come, warm_list
from gylebook.steps.warmth import place_range_c, spells_of

NOW = at(40 * DAY)  # Sat 12 Dec 2026
SHED = ev.PlaceKept(name="shed", low=q("4", "°C"), high=q("18", "°C"))


def spell(high: str = "34", place: str = "shed", *, first: int = 3, days: int = 2, low: str = "") -> ev.WarmSpell:
    """Warm weather so many days after NOW."""
    start = NOW.date() + timedelta(days=first)
    return ev.WarmSpell(
        place=place,
        high=q(high, "°C"),
        low=q(low, "°C") if low else None,
        from_on=start,
        to_on=start + timedelta(days=days - 1),
    )


def in_bottles(number: int = 1, grams: str = "126", place: str = "shed", *lots: ev.BottleLot, more: tuple = ()) -> Card:
    """The card of a brew with its own number, sugar and place."""
    brew = by_days(*LEVEL, primed(grams), bottled(place, *lots), *more, plan=ev.Planned(name=f"Ale {number}"))
    return msgspec.structs.replace(card(brew, shelf_with(SHED)), id=str(number), number=number)


def fermenting(number: int = 9, place: str = "shed") -> Card:
    brew = by_days((1.5, ev.Moved(place=place)), plan=ev.Planned(name="Young ale", vessel="white bucket"))
    return msgspec.structs.replace(card(brew, shelf_with(SHED)), id=str(number), number=number)


TAME, USUAL, LIVELY = in_bottles(1, "60"), in_bottles(2, "126"), in_bottles(3, "200")


def listed(*cards: Card, of: ev.WarmSpell | None = None, now: datetime = NOW):
    return warm_list(cards, of or spell(), now, UTC)


# --- what a card holds ----------------------------------------------------------------------------------------------


def test_a_card_tells_the_chance_at_any_temperature_as_the_budget_draws_it() -> None:
    brew = by_days(*LEVEL, primed("170"), bottled("shed", lot(), lot("one_way", 24, "330")))
    shelf = shelf_with(SHED)
    found = card(brew, shelf).bottles
    assert found is not None
    draws = Draws(charge_of_fizz(fizz_of(brew, setting(SHED, hours=16 * DAY))), 65536)
    kinds = [bottle_of(each.bottle, each.size, each.count, shelf) for _, each in [
        (0, lot()), (1, lot("one_way", 24, "330"))]]  # fmt: skip
    for temp in (18.0, 25.0, 31.0, 38.0):
        past = np.zeros(65536, dtype=bool)
        for number, kind in enumerate(kinds):
            past |= draws.worst(kind.count, temp, lot=number).pressure_bar > kind.limit_bar.high
        assert found.chance_past(temp) == pytest.approx(float(np.mean(past)), abs=0.02), temp


def test_fit_below_is_where_the_chance_is_one_in_a_hundred() -> None:
    found = USUAL.bottles
    assert found is not None
    assert found.fit_below_c is not None
    assert found.chance_past(found.fit_below_c - 0.1) < 0.01
    assert found.chance_past(found.fit_below_c + 0.5) > 0.01
    assert found.lots[0].fit_below_c == pytest.approx(found.fit_below_c)
    assert list(found.past_c) == sorted(found.past_c)
    assert len(found.past_c) == len(LEVELS)


def test_more_sugar_bears_less_warmth() -> None:
    fits = [each.bottles.fit_below_c for each in (TAME, USUAL, LIVELY)]
    assert fits == sorted(fits, reverse=True)
    assert len(set(fits)) == 3


def test_plastic_is_fit_for_no_more_than_thirty_degrees_and_a_wine_bottle_for_none() -> None:
    plastic = in_bottles(1, "20", "shed", lot("pet", 30))
    wine = in_bottles(2, "20", "shed", lot("wine", 20, "750"))
    assert plastic.bottles.fit_below_c == 30.0
    assert wine.bottles.fit_below_c is None
    assert wine.bottles.chance_past(5.0) == 1.0


def test_kinds_of_which_none_are_left_count_no_more() -> None:
    gone = in_bottles(1, "126", "shed", lot(), lot("wine", 2, "750"), more=((20, ev.TakenOut(count=2, bottle="wine")),))
    assert gone.bottles.fit_below_c == pytest.approx(USUAL.bottles.fit_below_c, abs=0.5)


def test_a_card_with_its_weather_reads_back() -> None:
    assert card_read(card_kept(LIVELY)) == LIVELY


def test_no_card_changes_with_the_weather_since_it_passes_while_cards_stay() -> None:
    brew = by_days(*LEVEL, primed("200"), bottled("shed"))
    assert card(brew, shelf_with(SHED, spell())) == card(brew, shelf_with(SHED))


# --- the list -------------------------------------------------------------------------------------------------------


def test_the_likeliest_to_burst_comes_first() -> None:
    found = listed(TAME, LIVELY, USUAL)
    assert [each.card.number for each in found.warmed] == [3, 2, 1]
    chances = [each.chance for each in found.warmed]
    assert chances == sorted(chances, reverse=True)
    assert chances[0] > chances[-1]


def test_what_has_to_leave_and_by_when_is_said_and_what_may_stay() -> None:
    found = listed(TAME, LIVELY)
    lively, tame = found.warmed
    assert lively.does.startswith("Carry them to the cool, below ")
    assert lively.does.endswith("before Tuesday.")
    assert lively.urgency is Urgency.ACT
    assert tame.does.startswith("Nothing: they may stay")
    assert found.headline == "Carry one brew out of the shed before Tuesday."


def test_once_it_is_warm_nothing_is_carried_but_cooled_where_it_stands() -> None:
    found = listed(LIVELY, of=spell(first=0))
    assert found.urgency is Urgency.DANGER
    assert "carry none while they are warm" in found.warmed[0].does
    assert found.headline == "Cool one brew in the shed where they stand."


def test_bottles_that_are_a_danger_already_are_not_told_to_be_carried() -> None:
    burst = in_bottles(4, "200", "shed", more=((20, ev.Burst()),))
    found = listed(burst, USUAL)
    wild = next(each for each in found.warmed if each.card.number == 4)
    assert wild.urgency is Urgency.DANGER
    assert wild.does.startswith("They are a danger already. Cool them where they stand")
    assert listed(burst).headline == "Cool one brew in the shed where they stand, now."
    assert spell_task(listed(burst), NOW, UTC) is None  # its own task says so, once


def test_only_what_stands_in_the_place_counts_and_everywhere_is_all_of_it() -> None:
    elsewhere = in_bottles(4, "200", "larder")
    nowhere = in_bottles(5, "200", "")
    assert [each.card.number for each in listed(LIVELY, elsewhere, nowhere).warmed] == [3]
    assert listed(LIVELY, elsewhere, nowhere).nowhere == 1
    everywhere = listed(LIVELY, elsewhere, nowhere, of=spell(place=""))
    assert {each.card.number for each in everywhere.warmed} == {3, 4, 5}
    assert everywhere.headline == "Carry three brews to the cool before Tuesday."


def test_a_place_is_the_same_in_capitals() -> None:
    assert listed(LIVELY, of=spell(place="The  Shed".removeprefix("The  "))).warmed


def test_frost_bursts_them_all_whatever_their_sugar() -> None:
    found = listed(TAME, USUAL, of=spell("2", low="-6"))
    assert all(each.urgency is Urgency.ACT and "does not freeze" in each.does for each in found.warmed)
    assert all(each.chance < 0.01 for each in found.warmed)
    light = listed(TAME, of=spell("6", low="0"))
    assert not light.at_risk


def test_beer_that_works_in_the_warm_is_told_with_its_vessel() -> None:
    (_, warm), *_ = listed(fermenting()).vessels
    assert warm.urgency is Urgency.ACT
    assert "35 °C" in warm.text
    assert "white bucket" in warm.text or "Young ale" in warm.text
    (_, fine), *_ = listed(fermenting(), of=spell("20")).vessels
    assert fine.key == "vessel_fine"
    (_, cold), *_ = listed(fermenting(), of=spell("8", low="1")).vessels
    assert cold.key == "vessel_cold"
    assert listed(fermenting()).headline == "Move one brew that still works out of the shed before Tuesday."


def test_every_figure_of_the_list_has_its_working_and_none_is_bare() -> None:
    for each in listed(TAME, LIVELY, in_bottles(6, "20", "shed", lot("wine", 4, "750"))).warmed:
        assert each.figures
        for figure in each.figures:
            assert figure.working.sources
            assert figure.working.inputs
    small = listed(TAME, of=spell("10")).warmed[0].figures[0]
    assert small.words == "under 1 %"


def test_nothing_is_called_safe() -> None:
    for found in (listed(TAME, LIVELY, fermenting()), listed(LIVELY, of=spell(first=0)), listed(TAME, of=spell("20"))):
        words = [found.headline, *(e.does for e in found.warmed), *(f.text for _, f in found.vessels)]
        assert not any("safe" in each.lower() for each in words)


def test_an_empty_place_says_that_nothing_stands_there() -> None:
    assert listed(of=spell()).headline == "Nothing stands in the shed that it could harm."
    assert listed(TAME, of=spell("12")).headline == "Nothing has to be moved: what stands in the shed bears it."


@given(st.floats(-40, 60), st.floats(-40, 60))
def test_any_temperature_is_answered_and_a_warmer_day_is_never_the_better(one: float, other: float) -> None:
    low, high = sorted((one, other))
    cool, warm = (listed(LIVELY, of=spell(f"{temp:.1f}")).warmed[0] for temp in (low, high))
    assert 0.0 <= cool.chance <= warm.chance <= 1.0
    assert cool.worst_bar.best <= warm.worst_bar.best + 1e-9


# --- one task a spell -----------------------------------------------------------------------------------------------


def test_a_spell_is_one_task_however_many_brews_it_is_about() -> None:
    shelf = shelf_with(SHED, spell())
    ((of, task),) = spell_tasks([TAME, USUAL, LIVELY], shelf, NOW, UTC)
    assert of == spell()
    assert task.words.startswith("Carry ")
    assert task.words.endswith("out of the shed before Tuesday")
    assert "No. 3 Ale 3" in task.why
    assert task.due_by == datetime(2026, 12, 14, 20, tzinfo=UTC)
    assert task.until == datetime(2026, 12, 17, tzinfo=UTC)


def test_a_spell_that_harms_nothing_is_no_task() -> None:
    assert spell_tasks([TAME], shelf_with(spell("12")), NOW, UTC) == ()
    assert spell_task(listed(), NOW, UTC) is None


def test_a_spell_that_is_over_says_nothing() -> None:
    past = spell(first=-5)
    shelf = shelf_with(SHED, past)
    assert to_come(shelf, NOW, UTC) == ()
    assert spell_tasks([LIVELY], shelf, NOW, UTC) == ()
    last = spell(first=-1, days=2)  # its last day is today
    assert to_come(shelf_with(last), NOW, UTC) == (last,)


def test_today_by_the_brewers_clock_and_not_by_that_of_greenwich() -> None:
    last = spell(first=-1, days=2)
    late = datetime(2026, 12, 13, 4, 0, tzinfo=UTC)
    assert to_come(shelf_with(last), late, UTC) == ()
    assert to_come(shelf_with(last), late, ZoneInfo("America/New_York")) == (last,)


def test_it_is_among_the_work_of_the_day_with_dry_hands() -> None:
    shelf = shelf_with(SHED, spell(first=2))
    beside = [(each.place, task) for each, task in spell_tasks([TAME, LIVELY], shelf, NOW, UTC)]
    found = day([TAME, LIVELY], NOW, UTC, beside=beside)
    lines = [line for part in found.parts for line in part.lines if line.task.act == "warm_spell"]
    assert [line.place for line in lines] == ["shed"]
    assert lines[0].brew == ""
    assert lines[0].urgency is Urgency.ACT


def test_a_spell_far_off_waits_and_is_told_without_a_brews_number() -> None:
    shelf = shelf_with(SHED, spell(first=6))
    beside = [(each.place, task) for each, task in spell_tasks([LIVELY], shelf, NOW, UTC)]
    found = day([], NOW, UTC, beside=beside)
    assert found.headline == "Nothing is due. Next, Tuesday: carry one brew out of the shed before Friday."


@pytest.mark.parametrize(("first", "low", "high"), [(1, "", "34"), (3, "", "34"), (4, "", "34"), (6, "-6", "2")])
@pytest.mark.parametrize("card", [LIVELY, fermenting()])
def test_the_cellar_and_today_say_alike_how_pressing_it_is(first: int, low: str, high: str, card: Card) -> None:
    for hour in (-6, 0, 8):
        now = NOW + timedelta(hours=hour)
        of = spell(high, first=first, low=low)
        beside = [(each.place, task) for each, task in spell_tasks([card], shelf_with(SHED, of), now, UTC)]
        today = day([], now, UTC, beside=beside)
        lines = [*(line for part in today.parts for line in part.lines), *today.later]
        assert [line.says for line in lines] == [listed(card, of=of, now=now).urgency]


def test_in_the_calendar_it_is_one_thing_with_its_date_and_keeps_its_name_when_it_is_corrected() -> None:
    source = Source(LIVELY, "begun-3", 7, NOW, NOW)
    one, other = (
        next(each for each in agenda([source], UTC, NOW, shelf_with(SHED, spell(high))) if not each.brew)
        for high in ("34", "36")
    )
    assert one.title == "Carry one brew out of the shed before Tuesday 15 Dec 2026"
    assert one.uid == other.uid
    assert one.decision == other.decision
    assert one.path == "cellar/"
    assert agenda([source], UTC, NOW, shelf_with(SHED)) == agenda([source], UTC, NOW)


# --- places and budgets while it lasts ------------------------------------------------------------------------------


def test_a_spell_warms_its_place_on_its_days_and_on_no_other() -> None:
    shelf = shelf_with(SHED, spell(low="-3"))
    inside, after = spell().from_on, spell().to_on + timedelta(days=1)
    assert place_range_c(shelf, "shed", 12, inside) == (-3.0, 34.0)
    assert place_range_c(shelf, "shed", 12, after) == (4.0, 18.0)
    assert place_range_c(shelf, "shed", 12) == (4.0, 18.0)
    assert place_range_c(shelf, "larder", 12, inside) is None
    assert place_range_c(shelf_with(spell(place="")), "larder", 12, inside)[1] == 34.0


def test_the_warmest_store_takes_a_spell_that_is_still_to_come_and_no_past_one() -> None:
    brew = by_days(*LEVEL, primed(), bottled("shed"))
    shelf = shelf_with(SHED, spell())
    assert bottle_store.store_c(brew, shelf).value == 18.0
    found = bottle_store.store_c(brew, shelf, NOW.date())
    assert found.value == 34.0
    assert "warm weather" in found.working.inputs[0].where
    assert bottle_store.store_c(brew, shelf, date(2027, 1, 1)).value == 18.0
    assert spells_of(shelf, "shed", date(2027, 1, 1)) == ()


def test_the_budget_of_a_bottled_brew_sees_the_spell_on_its_days() -> None:
    brew = by_days(*LEVEL, primed("200"), bottled("shed"))
    where = setting(SHED, spell(), hours=40 * DAY)
    found = budget(brew, where)
    assert found is not None
    assert found.warm_c == 34.0
    warm = [each for each in ahead(found, brew, where) if each.temp_c == 34.0]
    assert {each.at.date() for each in warm} == {spell().from_on, spell().to_on}
    begun = budget(brew, replace(where, now=at(43 * DAY)))
    assert begun is not None
    assert begun.now_c == 34.0


# --- writing it down ------------------------------------------------------------------------------------------------


def written(hours: float = 40 * DAY, **texts: str):
    act = act_for("warm_spell")
    values = {field.name: field.read(texts.get(field.name, "")) for field in act.fields}
    return act.decide(shelf_with(SHED), values, at(hours), setting(SHED, hours=hours))


def event(**texts: str) -> ev.WarmSpell:
    ((_, found),) = written(**texts).events
    assert isinstance(found, ev.WarmSpell)
    return found


def test_this_weekend_thirty_four_degrees_in_the_garage_wants_two_words() -> None:
    found = event(place="garage", high="34")
    assert (found.from_on, found.to_on) == (date(2026, 12, 12), date(2026, 12, 13))
    assert found.name == "garage 2026-12-12"
    assert event(high="34 °C", place="Everywhere").place == ""


@pytest.mark.parametrize(
    ("today", "first", "last"),
    [
        (date(2026, 12, 7), date(2026, 12, 12), date(2026, 12, 13)),
        (date(2026, 12, 12), date(2026, 12, 12), date(2026, 12, 13)),
        (date(2026, 12, 13), date(2026, 12, 13), date(2026, 12, 13)),
    ],
)
def test_the_weekend_is_the_coming_one_or_what_is_left_of_this(today: date, first: date, last: date) -> None:
    assert weekend(today) == (first, last)


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        ({"high": ""}, "As warm as"),
        ({"high": "20", "low": "25"}, "As cold as"),
        ({"high": "34", "from_on": "2026-12-20", "to_on": "2026-12-19"}, "Last day"),
        ({"high": "34", "from_on": "2026-12-20", "to_on": "2027-12-20"}, "Last day"),
        ({"high": "34", "place": "x" * 90}, "Place"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(texts: dict[str, str], field: str) -> None:
    with pytest.raises(InputError) as refused:
        written(**texts)
    assert refused.value.field == field


@pytest.mark.parametrize("word", ["everywhere", "Everywhere", "überall"])
def test_everywhere_is_no_place(word: str) -> None:
    assert event(place=word, high="34").place == ""


def test_frost_and_days_gone_by_are_said() -> None:
    assert [f.key for f in written(high="1", low="-4").findings] == ["frost"]
    assert [f.key for f in written(high="34", from_on="2026-11-01").findings] == ["spell_past"]
    assert [f.key for f in written(high="15", place="shed").findings] == ["no_warmer"]


def test_the_same_place_and_first_day_is_the_same_spell_and_it_can_be_taken_off() -> None:
    shelf = shelf_with(spell("34"), spell("36"))
    assert list(shelf.spells.values()) == [spell("36")]
    values = {"thing": "warm weather", "name": spell().name}
    decision = FORGET.decide(shelf, values, NOW, setting())
    assert shelf_with(spell("34"), *(event for _, event in decision.events)).spells == {}


def test_a_spell_written_back_reads_the_same() -> None:
    texts = {"place": "garage", "high": "34 °C", "low": "-2 °C", "from_on": "2026-12-20", "to_on": "2026-12-21",
             "note": "on the radio"}  # fmt: skip
    found = event(**texts)
    assert texts_of_spell(found) == texts
    assert event(**texts_of_spell(found)) == found


def test_where_when_and_how_warm_in_words() -> None:
    assert spell_words(spell(), NOW, UTC) == "in the shed, Tuesday to Wednesday: up to 34 °C"
    assert spell_words(spell("2", "", days=1, low="-5"), NOW, UTC) == "everywhere, Tuesday: −5 to 2 °C"
