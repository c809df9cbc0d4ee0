"""Conditioning: how far the bottles are, what pressure they hold, and dangerous ones. All brews are invented."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brewing import at, q, setting
from finished import COLD, DAY, GARAGE, LEVEL, ROOM, act, asked, bottled, by_days, keys, lot, primed, read
from gylebook.errors import GylebookError, InputError, Refused
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.steps.answers import Answer, MomentFigure, Urgency
from gylebook.steps.bottle_tasks import of_bottles
from gylebook.steps.bottling import STEP as BOTTLING
from gylebook.steps.conditioning import STEP, dangerous_bottles
from gylebook.steps.fizz import fizz_of
from gylebook.steps.rescue import rescue

OPEN, VENT, BURST, TAKE = STEP.acts
FIRST_LAST = (lot(first=True, count=33), lot("swing_top", 12, "330", last=True))


def answer(brew: Brew, days: float, *things: ev.Event, **texts: str) -> Answer:
    return STEP.answer(brew, setting(*things, hours=days * DAY), asked(STEP, **texts))


def in_bottles(place: str = "room", *later: tuple[float, ev.Event], lots: tuple[ev.BottleLot, ...] = ()) -> Brew:
    return by_days(*LEVEL, primed(), bottled(place, *lots), *later)


def write(one, brew: Brew, days: float = 25.0, *things: ev.Event, **texts: str):
    return act(one, brew, at(days * DAY), setting(*things, hours=days * DAY), texts)


# --- how far it is ------------------------------------------------------------------------------------------------


def test_in_a_warm_room_the_answer_is_to_leave_them_and_when_to_open_one() -> None:
    found = answer(in_bottles(), 19, ROOM)
    assert found.urgency is Urgency.WAIT
    assert found.headline.startswith("Leave them warm. Open one on ")
    moment = next(f for f in found.figures if isinstance(f, MomentFigure))
    # nine tenths are there twelve days after filling, by habit seven and a half to twenty
    assert timedelta(days=10) < moment.value - at(15.1 * DAY) < timedelta(days=13)
    assert moment.low < moment.value < moment.high


def test_fifteen_days_in_the_cold_are_like_six_in_the_warm_and_want_no_sugar() -> None:
    found = answer(in_bottles("cold"), 30.1, COLD)
    assert found.figure("age").value == pytest.approx(6, abs=1)
    assert found.figure("share").value == pytest.approx(60, abs=6)
    assert found.headline.startswith("Bring them to 20 °C for about")
    assert "Add no sugar" in found.headline


def test_when_they_are_carbonated_one_is_to_be_opened_and_then_they_go_to_the_cool() -> None:
    assert answer(in_bottles(), 30, ROOM).headline.startswith("Chill one for a day, then open it")
    opened = in_bottles("room", (31, ev.Opened(fizz=3)))
    assert answer(opened, 31.1, ROOM).headline.startswith("Move them to the cool")
    moved = in_bottles("room", (31, ev.Opened(fizz=3)), (32, ev.Moved(place="cold")))
    found = answer(moved, 33, ROOM, COLD)
    assert found.urgency is Urgency.NOTHING
    assert found.headline.startswith("Leave them.")


def test_bottles_that_were_opened_and_moved_are_not_told_to_stay_warm() -> None:
    opened = in_bottles("room", (27.2, ev.Opened(fizz=3)))
    assert answer(opened, 27.3, ROOM).headline.startswith("Leave them warm until ")
    moved = in_bottles("room", (27.2, ev.Opened(fizz=3)), (27.3, ev.Moved(place="cold")))
    assert answer(moved, 27.4, ROOM, COLD).headline.startswith("Leave them. At their best from")


def test_before_bottling_nothing_is_reckoned_of_bottles() -> None:
    found = answer(by_days(*LEVEL), 14)
    assert found.headline == "Not in bottles yet."
    assert found.figures == ()


# --- the dates that follow -----------------------------------------------------------------------------------------

FRIDGE = ev.PlaceKept(name="fridge", low=q("2", "°C"), high=q("6", "°C"))


def moment(found: Answer, key: str) -> MomentFigure:
    return next(f for f in found.figures if isinstance(f, MomentFigure) and f.key == key)


def moments(found: Answer) -> list[str]:
    return [f.key for f in found.figures if isinstance(f, MomentFigure)]


def chances(found: Answer) -> list[float]:
    return [f.value for option in found.options for f in option.figures if f.key.startswith("carbonated_")]


def test_every_date_is_told_with_its_interval_and_working_and_they_follow_each_other() -> None:
    found = answer(in_bottles(), 19, ROOM)
    assert moments(found) == ["carbonated", "open", "cool", "best", "best_to", "drink_by"]
    dates = [moment(found, key) for key in moments(found)]
    assert all(each.low <= each.value <= each.high for each in dates)
    assert all(each.working.steps or each.working.inputs for each in dates)
    assert [each.value for each in dates] == sorted(each.value for each in dates)
    # opened where the answer is open still; moved when it is 95 % sure
    assert moment(found, "open").low == moment(found, "carbonated").value
    assert moment(found, "cool").value == moment(found, "carbonated").high


def test_the_chance_by_a_date_is_told_for_days_to_come_and_agrees_with_the_dates() -> None:
    start = answer(in_bottles(), 19, ROOM)
    assert [o.name for o in start.options[:5]] == ["Today", "Tuesday", "Sat 28 Nov", "Sat 5 Dec", "Sat 19 Dec"]
    found = chances(start)
    assert len(found) == 5
    assert found == sorted(found)
    evens, sure = moment(start, "carbonated").value, moment(start, "carbonated").high
    for when, chance in ((evens, 50), (sure, 95)):
        days = (when - at(0)) / timedelta(days=1)
        assert chances(answer(in_bottles(), days, ROOM))[0] == pytest.approx(chance, abs=1)


def test_the_day_before_one_is_opened_it_is_chilled() -> None:
    opened = moment(answer(in_bottles(), 19, ROOM), "open").value
    before = (opened - at(0)) / timedelta(days=1) - 0.9
    assert answer(in_bottles(), before, ROOM).headline == "Chill one now, and open it tomorrow: is the fizz there?"


def test_once_it_is_sure_no_chance_is_told() -> None:
    assert chances(answer(in_bottles(), 60, ROOM)) == []


def test_too_cold_is_told_in_words_and_not_by_a_date() -> None:
    found = answer(in_bottles("fridge"), 40, FRIDGE)
    assert found.headline.startswith("Too cold to carbonate, not before they are warmed: bring them to 18 to 22 °C.")
    assert found.figure("carbonated").words == "not before it is warmed"
    assert not {"carbonated", "open", "cool", "best"} & set(moments(found))
    assert max(chances(found)) < 1


def test_bottles_that_may_become_too_much_are_not_told_to_be_warmed() -> None:
    brew = by_days(*LEVEL, primed("210"), bottled("fridge"))
    found = answer(brew, 40, FRIDGE)
    assert found.headline.startswith("Too cold to carbonate, and better so")
    assert "bring them" not in found.headline


def test_where_it_may_become_too_much_one_is_opened_early_and_they_are_moved_sooner() -> None:
    warm = ev.PlaceKept(name="garage", low=q("18", "°C"), high=q("27", "°C"))
    cool = ev.PlaceKept(name="garage", low=q("18", "°C"), high=q("22", "°C"))
    early, usual = answer(in_bottles("garage"), 16, warm), answer(in_bottles("garage"), 16, cool)
    assert early.figure("past").value >= 1 > usual.figure("past").value
    assert "check" in moments(early)
    assert "check" not in moments(usual)
    assert "early and chilled, over a sink" in early.headline
    check = moment(early, "check")
    assert check.value < moment(early, "carbonated").value
    assert moment(early, "cool").value == moment(early, "carbonated").value
    opened = in_bottles("garage", (22, ev.Opened(fizz=2)))
    assert "early" not in answer(opened, 22.1, warm).headline


def test_a_lively_bottle_opened_when_it_is_likely_lets_them_go_to_the_cool_at_once() -> None:
    lively = in_bottles("room", (30, ev.Opened(fizz=3)))
    flat = in_bottles("room", (30, ev.Opened(fizz=2)))
    assert moment(answer(lively, 30.1, ROOM), "cool").value == at(30 * DAY)
    assert moment(answer(flat, 30.1, ROOM), "cool").value > at(31 * DAY)


def test_the_headline_ends_with_drinking() -> None:
    moved = in_bottles("room", (31, ev.Opened(fizz=3)), (32, ev.Moved(place="cold")))
    assert answer(moved, 60, ROOM, COLD).headline.startswith("Drink them: at their best until ")
    assert answer(moved, 300, ROOM, COLD).headline.startswith("Drink them by ")
    assert answer(moved, 500, ROOM, COLD).headline.startswith("Drink them soon")


def test_the_good_time_is_right_to_a_quarter_of_its_weeks() -> None:
    found = moment(answer(in_bottles(), 19, ROOM), "best_to")
    assert (found.high - found.value) / timedelta(weeks=1) == pytest.approx(26 / 4)


# --- pressure -----------------------------------------------------------------------------------------------------


def test_a_hot_garage_is_told_with_the_pressure_and_the_bottles_it_is_too_warm_for() -> None:
    found = answer(in_bottles("garage", lots=FIRST_LAST), 36, GARAGE)
    texts = [f.text for f in found.findings if f.key == "not_fit"]
    assert any("swing-top: fit if kept below 22 °C" in text for text in texts)
    assert found.figure("pressure_warm").label.startswith("Pressure at 34 °C")
    # 34 °C is too much for the swing-tops' average: the trade's boldest habit for them is 2.9 bar
    assert found.urgency is Urgency.DANGER
    assert "carry them only cold" in found.headline
    assert "Chill one" not in found.headline
    assert not {"check", "open", "cool"} & {f.key for f in found.figures}


def test_a_place_too_warm_for_the_worst_bottle_only_is_as_pressing_as_the_plan_says() -> None:
    def warm(*months: ev.MonthRange, high: str = "26") -> Answer:
        where = ev.PlaceKept(name="garage", low=q("5", "°C"), high=q(high, "°C"), months=months)
        return answer(in_bottles("garage", lots=FIRST_LAST), 36, where)

    now = warm()
    assert any(f.key == "not_fit" for f in now.findings)
    cold = next(deed for deed in now.plan if deed.key == "cold")
    assert now.urgency is cold.urgency is Urgency.DANGER
    assert "Do not carry them warm" in cold.words
    assert "carry them there" not in now.headline
    keep = next(f.value for f in cold.figures if f.key == "keep_below")
    assert f"carry them only cold, and keep them below {keep:.0f} °C" in now.headline
    soon = warm(ev.MonthRange(month=1, low=q("20", "°C"), high=q("28", "°C")), high="16")
    cold = next(deed for deed in soon.plan if deed.key == "cold")
    assert soon.urgency is cold.urgency is Urgency.ACT
    assert "carry them there cold" in soon.headline
    keep = next(f.value for f in cold.figures if f.key == "keep_below")
    assert set(re.findall(r"below (\d+) °C", soon.headline)) == {f"{keep:.0f}"}


def test_the_gas_that_is_there_is_never_told_wider_than_all_of_it() -> None:
    found = answer(in_bottles(), 120, ROOM)
    assert found.figure("share").text() == "100 %"
    now, done = found.figure("now"), found.figure("co2")
    assert now.value == pytest.approx(done.value, abs=0.01)
    assert done.low - 0.01 <= now.low <= now.high <= done.high + 0.01
    early = answer(in_bottles(), 20, ROOM).figure("now")
    assert early.low < early.value < early.high < done.high


def test_what_if_it_gets_too_warm_speaks_of_that_warmth_and_not_of_now() -> None:
    found = answer(in_bottles("room", lots=FIRST_LAST), 36, ROOM, temp="36 °C")
    assert found.urgency is Urgency.DANGER
    assert found.headline.startswith("At 36 °C they may burst: keep them below ")


def test_what_if_it_gets_warmer_is_answered() -> None:
    cool, hot = (answer(in_bottles(), 36, ROOM, temp=temp).figure("pressure_warm").value for temp in ("5 °C", "40 °C"))
    assert hot > 4 * cool


def test_up_a_mountain_bottles_push_about_a_fifth_of_a_bar_harder() -> None:
    found = answer(in_bottles(), 36, ROOM, altitude="1900")
    # the standard atmosphere loses 0.21 bar from the sea to 1900 m, 0.18 from 250 m
    assert "0.21 bar harder" in next(f.text for f in found.findings if f.key == "altitude")
    low, high = (answer(in_bottles(), 36, ROOM, altitude=m).figure("pressure_warm").value for m in ("250", "1900"))
    assert high - low == pytest.approx(0.18, abs=0.01)


def test_carried_from_one_height_to_another_both_the_air_and_the_warmth_are_told() -> None:
    # from 250 m to 1900 m the standard atmosphere loses 0.18 bar; ten degrees of warmth do several times as much
    found = answer(in_bottles(), 60, ROOM, altitude="1900", from_altitude="250")
    assert found.figure("uphill").value == pytest.approx(0.18, abs=0.01)
    assert found.figure("on_the_way").value > 3 * found.figure("uphill").value
    text = next(f.text for f in found.findings if f.key == "altitude")
    assert "0.18 bar harder outward than at 250 m" in text
    assert "At 30 °C on the way instead of 20" in text
    hot = answer(in_bottles(), 60, ROOM, altitude="1900", from_altitude="250", temp="40 °C")
    assert hot.figure("on_the_way").value > found.figure("on_the_way").value
    assert hot.figure("uphill").value == pytest.approx(found.figure("uphill").value)


def test_bottling_at_1018_is_danger_with_the_pressure_day_by_day() -> None:
    early = by_days((5, read("1.020")), (6, read("1.018")), (6.1, primed()[1]), (6.2, bottled()[1]))
    found = answer(early, 7, ROOM)
    assert found.urgency is Urgency.DANGER
    assert found.headline.startswith("Bottled early")
    ahead = [o for o in found.options if len(o.figures) == 2 and o.figures[0].key.startswith("gas_")]
    gas = [o.figures[0].value for o in ahead]
    assert gas == sorted(gas)
    assert ahead[0].name == "Today"


def test_a_day_that_is_past_already_is_no_date_to_come() -> None:
    much = by_days(*LEVEL, primed("280"), bottled("room"))
    assert "past_by" in moments(answer(much, 16, ROOM))
    late = answer(much, 60, ROOM)
    assert "past_by" not in moments(late)
    assert "already." in next(deed.words for deed in late.plan if deed.key == "cold")


# --- what an opened bottle says -----------------------------------------------------------------------------------


def test_flat_and_cold_is_not_done_yet() -> None:
    found = answer(in_bottles("cold", (30, ev.Opened(fizz=1))), 30.1, COLD)
    assert "flat_cold" in keys(found)


def test_flat_after_a_day_in_the_warm_they_are_left_there_until_the_day_on_which_one_is_opened() -> None:
    found = answer(in_bottles("room", (16.5, ev.Opened(fizz=1))), 16.6, ROOM)
    text = next(f.text for f in found.findings if f.key == "flat_early")
    assert "Bring them to" not in text
    day = re.search(r"Leave them where they are until (.+?), then open another", text)
    assert day is not None
    assert day.group(1) in found.headline


def test_flat_in_the_cold_they_are_not_told_to_be_warmed_where_that_is_the_danger() -> None:
    brew = by_days(*LEVEL, primed("300"), bottled("fridge"), (60, ev.Opened(fizz=2)))
    found = answer(brew, 60.1, FRIDGE)
    assert "20 °C for" not in " ".join([found.headline, *(f.text for f in found.findings)])
    assert "Leave them cold: warmed" in next(f.text for f in found.findings if f.key == "flat_cold")


def test_flat_after_enough_warm_time_is_seals_sugar_or_yeast() -> None:
    found = answer(in_bottles("room", (45, ev.Opened(fizz=1))), 45.1, ROOM)
    assert "flat" in keys(found)


def test_wild_where_filled_last_and_flat_where_filled_first_is_unstirred_syrup() -> None:
    brew = in_bottles(
        "room",
        (35, ev.Opened(fizz=1, bottle="returnable_500")),
        (36, ev.Opened(fizz=5, bottle="swing_top")),
        lots=FIRST_LAST,
    )
    finding = next(f for f in answer(brew, 36.1, ROOM).findings if f.key == "uneven")
    assert "were filled last: syrup not stirred in" in finding.text


# --- danger -------------------------------------------------------------------------------------------------------


def test_dangerous_bottles_need_no_brew_and_say_what_comes_first() -> None:
    found = dangerous_bottles()
    assert found.urgency is Urgency.DANGER
    assert found.headline.startswith("Stop. Keep away")
    # 4.5 volumes: 4.2 bar at 20 °C and 2.2 at 4 °C by the brewing chart's fit
    assert found.figure("warm").value == pytest.approx(4.2, abs=0.05)
    assert found.figure("cold").value == pytest.approx(2.2, abs=0.05)
    assert found.findings[0].text.startswith("People and animals out")
    assert len(found.cautions) >= 3


def test_it_is_told_plainly_how_little_vents_take_off() -> None:
    # the book's own sum: the headspace of 4 % at 4 °C lets out under a tenth of a volume each time
    assert "four cold vents bring 4.5 volumes to about 4.2" in dangerous_bottles().why
    assert "cold storage, drinking soon, or pouring away cold" in dangerous_bottles().why


def test_each_vent_leaves_less() -> None:
    left = [o.figures[0].value for o in dangerous_bottles().options]
    assert left == sorted(left, reverse=True)
    assert left[0] < 4.5


def test_a_burst_or_a_gusher_turns_the_page_into_danger_and_one_vent_does_not_end_it() -> None:
    for event in (ev.Burst(bottle="returnable_500"), ev.Opened(gushed=True)):
        wild = in_bottles("room", (30, event))
        assert answer(wild, 30.1, ROOM).urgency is Urgency.DANGER
        vented = ((30, event), *((31 + day, ev.Vented(temp=q("4", "°C"), count=39)) for day in range(4)))
        assert answer(in_bottles("room", *vented), 35.1, ROOM).urgency is Urgency.DANGER
        tame = in_bottles("room", *vented, (36, ev.Opened(fizz=3, gushed=False)), (37, ev.Opened(fizz=2, gushed=False)))
        assert answer(tame, 37.1, ROOM).urgency is not Urgency.DANGER


GUSHED = ev.Opened(gushed=True)


def test_one_bottle_vented_does_not_end_the_alarm_and_says_so() -> None:
    one = in_bottles("room", (30, GUSHED), (31, ev.Vented(temp=q("4", "°C"), count=1)))
    found = answer(one, 31.1, ROOM)
    assert found.headline.startswith("Stop. Keep away")
    assert "No round of venting is written yet" in found.plan[-1].words
    said = next(f for f in write(VENT, in_bottles(), 30, ROOM, temp="4 °C", count="1").findings)
    assert said.text.startswith("1 of 40 vented; a round counts once all are")
    later = in_bottles("room", (30, ev.Vented(temp=q("4", "°C"), count=25)))
    assert keys(write(VENT, later, 30.1, ROOM, temp="4 °C", count="15")) == ["vented"]


def test_a_tame_bottle_after_a_gusher_ends_the_alarm_on_every_page() -> None:
    tame = ((41, ev.Opened(fizz=3, gushed=False)), (41.5, ev.Opened(fizz=3, gushed=False)))
    brew = in_bottles("room", (40, GUSHED), *tame)
    where = setting(ROOM, hours=42 * DAY)
    gas = fizz_of(brew, where)
    assert rescue(brew, where) is None or not rescue(brew, where).hot
    assert not answer(brew, 42, ROOM).headline.startswith("Stop")
    assert not any(task.urgency is Urgency.DANGER for task in of_bottles(brew, where, gas))


def test_the_numbers_of_danger_are_those_of_the_bottles_themselves() -> None:
    brew = in_bottles("room", (40, GUSHED))
    found = answer(brew, 41, ROOM)
    gas = fizz_of(brew, setting(ROOM, hours=41 * DAY))
    assert f"They make {found.figure('warm').value:.1f} bar at 21 °C, and the worst may make" in found.why
    assert f"bring {gas.total.best:.1f} volumes to about" in found.why
    assert found.figure("warm").value == pytest.approx(gas.pressure(21.0).best, abs=0.01)
    assert "At 4.5 volumes" not in found.why
    left = next(f for option in found.options for f in option.figures if f.key == "left_1")
    assert left.low < left.value < gas.total.best
    assert left.high < gas.worst


def test_bottles_that_are_gone_rule_nothing() -> None:
    lots = (lot("one_way", 10, "330"), lot("pet", 20))
    there = in_bottles("garage", lots=lots)
    gone = in_bottles("garage", (30, ev.TakenOut(count=10, bottle="one_way", to="drunk")), lots=lots)
    where = setting(GARAGE, hours=36 * DAY)
    for step in (STEP, BOTTLING):
        before, after = (step.answer(brew, where, {}) for brew in (there, gone))
        assert any("one-way" in f.text for f in before.findings)
        assert not any("one-way" in f.text for f in after.findings)
        assert "The weakest, 330 mL" not in after.why


def test_as_warm_as_zero_degrees_is_a_warmth_too() -> None:
    found = answer(in_bottles("garage", lots=FIRST_LAST), 36, GARAGE, temp="0 °C")
    assert found.figure("pressure_warm").label.startswith("Pressure at 0 °C")
    assert not any(f.key == "not_fit" for f in found.findings)


def test_opened_bottles_move_the_gas_that_is_reckoned_and_stand_in_its_working() -> None:
    def co2(*later: tuple[float, ev.Event]):
        return answer(in_bottles("room", *later), 46, ROOM).figure("co2")

    plain, flat, gushed = co2(), co2((45, ev.Opened(fizz=1))), co2((45, ev.Opened(fizz=5, gushed=True)))
    assert flat.low < plain.low
    assert gushed.value > plain.value + 1.0
    then = answer(in_bottles("room", (45, ev.Opened(fizz=1))), 46, ROOM).figure("now")
    assert then.low < answer(in_bottles(), 46, ROOM).figure("now").low - 0.2  # the gas now is of the same draws
    given = next(each for each in gushed.working.inputs if each.name == "a bottle opened")
    assert given.value == "fizz 5 of 5 (wild), gushed"
    assert given.seq is not None


def test_what_lies_behind_a_flat_or_wild_bottle_is_ranked_with_its_chances() -> None:
    cold = answer(in_bottles("cold", (30, ev.Opened(fizz=1))), 30.1, COLD)
    text = next(f.text for f in cold.findings if f.key == "causes")
    assert text.startswith("Likeliest behind it: sugar still there, for it is early or cold or its yeast slow (")
    wild = answer(in_bottles("room", (45, ev.Opened(fizz=5, gushed=True, sediment="thick"))), 45.1, ROOM)
    assert "something wild in all of them (" in next(f.text for f in wild.findings if f.key == "causes")
    assert "causes" not in keys(answer(in_bottles("room", (45, ev.Opened(fizz=3))), 45.1, ROOM))


def test_sediment_alone_can_be_written() -> None:
    decision = write(OPEN, in_bottles(), 30, ROOM, sediment="thick")
    assert decision.events[0][1] == ev.Opened(sediment="thick")


def test_vents_lower_the_gas_that_is_reckoned() -> None:
    plain = answer(in_bottles(), 40, ROOM).figure("co2").value
    vented = answer(in_bottles("room", *((d, ev.Vented(temp=q("4", "°C"))) for d in (30, 31, 32))), 40, ROOM)
    assert 0.02 < plain - vented.figure("co2").value < 0.3


# --- the acts -----------------------------------------------------------------------------------------------------


def test_an_opened_bottle_is_written_with_what_it_says_of_the_others() -> None:
    decision = write(OPEN, in_bottles("cold"), 25, COLD, fizz="1", bottle="brown returnable", note="met the odd bubble")
    assert decision.events[0][1] == ev.Opened(fizz=1, bottle="returnable_500", note="met the odd bubble")
    assert "flat_cold" in keys(decision)


def test_a_gusher_is_written_with_what_to_do_at_once() -> None:
    decision = write(OPEN, in_bottles(), gushed="yes")
    assert decision.findings[0].urgency is Urgency.DANGER
    assert "People and animals out" in decision.findings[0].text


def test_an_empty_opening_is_refused() -> None:
    with pytest.raises(Refused, match="Nothing was written about the bottle"):
        write(OPEN, in_bottles())


def test_a_burst_can_be_written_with_one_tap() -> None:
    decision = write(BURST, in_bottles())
    assert decision.events[0][1] == ev.Burst()
    assert decision.findings[0].key == "burst"


def test_venting_warm_bottles_is_warned_of() -> None:
    assert "warm_vent" in keys(write(VENT, in_bottles(), temp="18 °C", count="12"))
    assert "warm_vent" not in keys(write(VENT, in_bottles(), temp="3 °C"))


def test_more_bottles_out_than_there_were_is_asked_about() -> None:
    assert "more_than_left" in keys(write(TAKE, in_bottles(), count="41", to="drunk"))
    assert keys(write(TAKE, in_bottles(), count="4", to="drunk")) == []


def test_a_given_bottle_wants_a_label() -> None:
    assert "label" in keys(write(TAKE, in_bottles(), count="2", to="given"))


def test_how_many_were_taken_out_must_be_written() -> None:
    with pytest.raises(InputError, match="How many"):
        TAKE.decide(in_bottles(), {}, at(0), setting())


def test_an_act_before_bottling_is_written_and_asked_about() -> None:
    assert "not_bottled" in keys(write(OPEN, by_days(*LEVEL), 16, fizz="2"))


@settings(max_examples=80)
@given(
    which=st.integers(0, 3),
    texts=st.fixed_dictionaries(
        {},
        optional={
            name: st.one_of(st.text(max_size=10), st.sampled_from(["1", "5", "yes", "4 °C", "99", "drunk", "PET"]))
            for name in ("fizz", "gushed", "bottle", "note", "temp", "count", "to")
        },
    ),
)
def test_random_words_are_read_or_refused_and_never_break(which: int, texts: dict[str, str]) -> None:
    for brew in (by_days(), in_bottles("room", (20, ev.Opened(gushed=True)))):
        try:
            decision = write(STEP.acts[which], brew, 25, **texts)
        except GylebookError:
            continue
        assert decision.events
