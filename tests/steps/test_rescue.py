"""The rescue of bottles that may burst: the order, the deadlines, the vents, and when it is over. Brews are invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np

from brewing import at, q, setting
from finished import DAY, LEVEL, bottled, by_days, keys, lot, primed, read
from gylebook.forecast.gas import Vent
from gylebook.journal import events as ev
from gylebook.journal.state import Shelf
from gylebook.steps.answers import Figure, MomentFigure, Urgency
from gylebook.steps.cards import card
from gylebook.steps.conditioning import STEP
from gylebook.steps.gas_budget import LIKELY, ahead, budget, reaches
from gylebook.steps.rescue import CAUTIONS, rescue
from gylebook.steps.rescue_shared import share_cause
from gylebook.steps.rescue_vents import vent_rounds

COLD_VENT = ev.Vented(temp=q("4", "°C"), count=39)
GUSHED = ev.Opened(fizz=5, gushed=True)


def place(low: str, high: str, *months: ev.MonthRange, name: str = "room") -> ev.PlaceKept:
    return ev.PlaceKept(name=name, low=q(low, "°C"), high=q(high, "°C"), months=months)


ROOM = place("19", "21")
HOT_JULY = place("4", "16", ev.MonthRange(month=7, low=q("20", "°C"), high=q("36", "°C")), name="garage")

WARM_JULY = place("4", "16", ev.MonthRange(month=7, low=q("20", "°C"), high=q("34", "°C")), name="garage")


def plan(*later, grams="126", lots=(), where=ROOM, days=40.0):
    brew = by_days(*LEVEL, primed(grams), bottled(where.name, *lots), *later)
    return rescue(brew, setting(where, hours=days * DAY))


def deed(found, key):
    return next(each for each in found.deeds if each.key == key)


def figure(of, key):
    return next(each for each in of.figures if each.key == key)


def moments(found):
    return {each.key: each.value for each in deed(found, "cold").figures if isinstance(each, MomentFigure)}


# --- when there is a plan -----------------------------------------------------------------------------------------


def test_an_ordinary_brew_in_a_room_needs_no_rescue_nor_one_whose_bottles_are_gone() -> None:
    assert plan() is None
    assert plan((30, ev.TakenOut(count=40, to="drunk")), grams="300") is None
    assert rescue(by_days(*LEVEL, primed("300")), setting(ROOM, hours=20 * DAY)) is None


def test_twice_the_sugar_is_told_in_order_the_cold_first() -> None:
    found = plan(grams="280", where=place("19", "30"))
    assert [each.key for each in found.deeds] == ["cold", "vent_returnable_500", "drink", "until"]
    assert found.urgency is Urgency.DANGER
    assert "Do not carry them warm" in deed(found, "cold").words
    assert all(figure.working.sources for each in found.deeds for figure in each.figures)


def test_a_hot_summer_to_come_is_something_to_do_in_time_and_no_danger_yet() -> None:
    found = plan(grams="150", where=HOT_JULY)
    assert found.urgency is Urgency.WAIT
    first = moments(found)["rescue_by"]
    assert (first.year, first.month) == (2027, 7)
    assert "by Thu 1 Jul 2027" in deed(found, "cold").words or "Jul 2027" in deed(found, "cold").words
    keep = figure(deed(found, "cold"), "keep_below")
    assert 15 < keep.value < 36


def test_bottled_six_points_early_has_days_and_is_told_to_finish_in_the_vessel() -> None:
    early = by_days((5, read("1.020")), (6, read("1.018")), (6.1, primed()[1]), (6.2, bottled()[1]))
    found = rescue(early, setting(ROOM, hours=7 * DAY))
    by = moments(found)
    assert at(7 * DAY) <= by["rescue_by"] <= by["rescue_last"] < at(21 * DAY)
    assert "pour all back into the vessel" in deed(found, "vent_returnable_500").words


# --- deadlines ----------------------------------------------------------------------------------------------------


def test_the_warmer_the_place_the_sooner_the_deadline_and_the_more_gas_too() -> None:
    def by(grams, high):
        found = plan(grams=grams, where=place("8", high), days=17.0)
        return moments(found)["rescue_by"]

    warm = [by("260", high) for high in ("20", "24", "28", "34")]
    assert warm == sorted(warm, reverse=True)
    assert warm[0] > warm[-1]
    sweet = [by(grams, "26") for grams in ("220", "260", "320")]
    assert sweet == sorted(sweet, reverse=True)


def test_a_deadline_is_the_first_day_on_which_the_chance_is_reached() -> None:
    brew = by_days(*LEVEL, primed("250"), bottled("room"))
    where = setting(place("14", "24"), hours=17 * DAY)
    found = budget(brew, where).with_draws(2048)
    days = ahead(found, brew, where)
    day = (reaches(found, brew, where, days, LIKELY) - where.now).days
    closer = ahead(found, brew, where, tuple(range(day + 1)))
    assert closer[-1].chance >= LIKELY - 0.01
    assert closer[-2].chance < LIKELY + 0.01
    assert reaches(found, brew, where, days, 1.1) is None


def test_a_deadline_that_is_past_is_told_in_words_and_not_by_a_date() -> None:
    found = plan(grams="200", lots=(lot("swing_top", 39),), where=place("19", "26"), days=60.0)
    cold, drink = deed(found, "cold"), deed(found, "drink")
    assert moments(found) == {}
    assert not any(isinstance(each, MomentFigure) for each in drink.figures)
    now = figure(deed(found, "until"), "past_now")
    assert f"The chance that one is past its ceiling is {now.words} already." in cold.words
    assert "already" not in deed(plan(grams="150", where=HOT_JULY), "cold").words


def test_a_deadline_names_evens_only_where_they_are_reached() -> None:
    for grams, reached in (("126", False), ("150", True)):
        where = setting(WARM_JULY, hours=40 * DAY)
        brew = by_days(*LEVEL, primed(grams), bottled("garage"))
        assert any(day.chance >= 0.5 for day in ahead(budget(brew, where), brew, where)) is reached
        found = plan(grams=grams, where=WARM_JULY)
        last = [each for each in deed(found, "cold").figures if isinstance(each, MomentFigure)][-1]
        assert last.key == "rescue_last"
        assert last.interval == f"one in twenty to {'evens' if reached else 'the end of the year looked at'}"


def test_a_crate_takes_half_a_day_or_so_to_get_cold() -> None:
    hours = figure(deed(plan(grams="280", where=place("19", "30")), "cold"), "crate_cold")
    assert 6 < hours.low < hours.value < hours.high < 30
    assert 10 < hours.value < 20


# --- vents --------------------------------------------------------------------------------------------------------


def budget_of(grams, days, where=ROOM):
    brew = by_days(*LEVEL, primed(grams), bottled("room", lot("swing_top", 40)))
    return budget(brew, setting(where, hours=days * DAY)).with_draws(2048)


def test_rounds_are_the_fewest_that_bring_the_chance_under_one_in_a_hundred() -> None:
    warm = budget_of("160", 60, place("19", "24"))
    found = vent_rounds(warm, 0)
    assert found.before >= 0.01 > found.after

    def chance(rounds):
        draws = warm.draws.vented((Vent(warm.age_days, 4.0),) * rounds)
        return np.mean(draws.worst(40, warm.warm_c).pressure_bar > warm.lots[0].limit_bar.high)

    assert chance(found.rounds) < 0.01 <= chance(found.rounds - 1)
    assert 0.04 < found.first_vol < 0.12


def test_what_is_not_made_yet_cannot_be_vented() -> None:
    done, young = (vent_rounds(budget_of("160", days, place("19", "24")), 0) for days in (60, 16.5))
    assert done.rounds is not None
    assert young.rounds is None or young.rounds > 2 * done.rounds
    assert young.first_vol < 0.3 * done.first_vol


def test_each_kind_is_vented_in_its_own_way_and_a_wine_bottle_never() -> None:
    lots = (lot("swing_top", 10), lot("pet", 5), lot(count=20), lot("wine", 2, "750"))
    found = plan(grams="205", lots=lots, where=place("19", "28"))
    assert "open the wire" in deed(found, "vent_swing_top").words
    pet = [each for each in found.deeds if each.key == "vent_pet"]
    assert "No venting is needed for 500 mL PET" in deed(found, "until").words or "squeeze the air" in pet[0].words
    assert "opener" in deed(found, "vent_returnable_500").words
    never = deed(found, "never_wine")
    assert never.words.startswith("Do not open them, do not carry them")
    assert never.urgency is Urgency.DANGER
    gone = plan((30, ev.TakenOut(count=2, bottle="wine", to="lost")), grams="205", lots=lots, where=place("19", "28"))
    assert all(each.key != "never_wine" for each in gone.deeds)


def test_what_needs_no_venting_is_no_deed_and_two_lots_of_a_kind_are_one() -> None:
    lots = (lot("swing_top", 10, first=True), lot("swing_top", 10, last=True), lot("pet", 19))
    found = plan(grams="170", lots=lots, where=place("19", "26"))
    vents = [each.key for each in found.deeds if each.key.startswith("vent_")]
    assert vents == ["vent_swing_top"]
    assert "No venting is needed for 500 mL PET" in deed(found, "until").words
    keys_of = [each.key for every in found.deeds for each in every.figures if each.key.startswith("round")]
    assert len(keys_of) == len(set(keys_of))
    # as many rounds as for one lot of all of them
    one = plan(grams="170", lots=(lot("swing_top", 20), lot("pet", 19)), where=place("19", "26"))
    rounds = [figure(deed(each, "vent_swing_top"), "rounds_swing_top").value for each in (found, one)]
    assert rounds[0] == rounds[1]


def test_where_rounds_are_too_many_the_short_advice_comes_first() -> None:
    found = deed(plan(grams="170", lots=(lot("swing_top", 40),), where=place("19", "30")), "vent_swing_top")
    rounds = figure(found, "rounds_swing_top").value
    assert rounds > 10
    assert found.name == "Drink or pour away, or vent cold: 500 mL swing-top"
    assert found.words.startswith("Drink them cold and soon, or pour them away cold")


def test_venting_is_planned_with_rounds_and_a_day_by_which_it_is_done() -> None:
    found = plan(grams="170", lots=(lot("swing_top", 40),), where=place("19", "26"))
    vent = deed(found, "vent_swing_top")
    rounds, done = figure(vent, "rounds_swing_top"), figure(vent, "vented_swing_top")
    assert isinstance(rounds, Figure)
    assert rounds.value >= 2
    assert at(40 * DAY) + timedelta(hours=12 * (rounds.value - 1)) <= done.value
    assert done.low <= done.value <= done.high
    assert 0.04 < figure(vent, "round_swing_top").value < 0.12


def test_enough_rounds_end_the_rescue_and_the_plan_says_what_was_done() -> None:
    lots = (lot("swing_top", 39),)  # as many as each round vents
    where = place("19", "24")
    need = plan(grams="160", lots=lots, where=where)
    rounds = int(figure(deed(need, "vent_swing_top"), "rounds_swing_top").value)
    vents = tuple((40.5 + 0.5 * number, COLD_VENT) for number in range(rounds))
    few = plan(*vents[: rounds // 2], grams="160", lots=lots, where=where, days=40 + rounds)
    assert not few.over
    assert f"Done so far: {rounds // 2} round" in deed(few, "until").words
    assert few.chance < need.chance
    over = plan(*vents, grams="160", lots=lots, where=where, days=40 + rounds)
    assert over.over
    assert over.deeds[0].key == "over"
    assert f"{rounds} rounds of venting" in over.deeds[0].words
    assert "under 1 %" in over.deeds[0].words


def test_a_gusher_calls_for_it_and_a_tame_bottle_after_vents_ends_it() -> None:
    assert plan((30, GUSHED)).urgency is Urgency.DANGER
    assert plan((30, ev.Burst(bottle="returnable_500"))).urgency is Urgency.DANGER
    tame = tuple((36 + day, ev.Opened(fizz=3, gushed=False)) for day in range(4))
    after = plan((30, GUSHED), *((31 + 0.5 * number, COLD_VENT) for number in range(8)), *tame, days=42)
    assert after.over
    assert after.chance < 0.01


# --- who else ------------------------------------------------------------------------------------------------------


def cards_of(**brews):
    return {name: replaced(brew, name) for name, brew in brews.items()}


def replaced(brew, name):
    import msgspec

    return msgspec.structs.replace(card(brew, Shelf()), id=name, name=name.title())


def test_brews_with_the_same_day_sugar_or_place_share_the_cause_and_others_do_not() -> None:
    far = ev.Primed(sugar="dextrose", mass=q("130", "g"), volume=q("20", "L"))
    found = cards_of(
        one=by_days(*LEVEL, primed(), bottled("room"), (30, GUSHED)),
        twin=by_days(*LEVEL, primed(), bottled("cellar")),
        other=by_days(*LEVEL, (90.0, far), (90.1, ev.Bottled(lots=(lot(),), place="shed"))),
        drunk=by_days(*LEVEL, primed(), bottled("room"), (40, ev.TakenOut(count=40, to="drunk"))),
        fermenting=by_days(*LEVEL),
    )
    shared = share_cause(found["one"], found.values(), setting().zone)
    assert [each.brew for each in shared] == ["twin"]
    assert "primed and bottled on the same day" in shared[0].reasons


def test_a_cause_that_is_known_asks_only_for_what_speaks_of_it() -> None:
    import msgspec

    found = cards_of(one=by_days(*LEVEL, primed(), bottled("room")), two=by_days(*LEVEL, primed(), bottled("loft")))
    two = msgspec.structs.replace(found["two"], bottled=at(40 * DAY), primed_on=at(40 * DAY), vessel="bucket")
    for cause, words in (("much", "primed with sucrose"), ("wild", "from the same vessel")):
        one = msgspec.structs.replace(found["one"], cause=cause, vessel="bucket")
        (shared,) = share_cause(one, (two,), setting().zone)
        assert len(shared.reasons) == 1
        assert shared.reasons[0].startswith(words)
    early = [msgspec.structs.replace(each, early=True, kit="Pale") for each in (found["one"], two)]
    (shared,) = share_cause(msgspec.structs.replace(early[0], cause="early"), (early[1],), setting().zone)
    assert shared.reasons == ("the same kit, Pale, also bottled early",)


# --- in the answer -------------------------------------------------------------------------------------------------


def test_the_page_tells_the_plan_its_cautions_and_who_else() -> None:
    brew = by_days(*LEVEL, primed("280"), bottled("room"))
    cards = (replaced(brew, brew.id), replaced(by_days(*LEVEL, primed(), bottled("room")), "twin"))
    where = replace(setting(place("19", "30"), hours=40 * DAY), others=lambda: cards)
    found = STEP.answer(brew, where, {})
    assert [each.key for each in found.plan] == ["cold", "vent_returnable_500", "drink", "others", "until"]
    assert "Twin: primed and bottled on the same day" in found.plan[3].words
    assert set(CAUTIONS) <= set(found.cautions)
    calm = STEP.answer(by_days(*LEVEL, primed(), bottled("room")), setting(ROOM, hours=40 * DAY), {})
    assert calm.plan == ()


def test_doubled_sugar_from_the_first_flag_to_the_last_line() -> None:
    """A gusher of a batch with twice the sugar: danger, too much sugar behind it, and a plan."""
    brew = by_days(*LEVEL, primed("252"), bottled("room"), (40, GUSHED))
    found = STEP.answer(brew, setting(ROOM, hours=40.5 * DAY), {})
    assert found.urgency is Urgency.DANGER
    assert "causes" in keys(found)
    assert found.plan[0].key == "cold"
    assert found.figure("cause_much").value > 20
