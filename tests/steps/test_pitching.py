"""Pitching: now or later, how much, and when to worry. All brews are invented."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import settings as limits
from hypothesis import strategies as st

from brewing import FIRST, PREMIUM, TWO_CANS, at, brewed, material, q, setting
from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.science.cooling import cooling_time_h, time_constant_estimate_h
from gylebook.steps import pitching
from gylebook.steps.answers import MomentFigure, Urgency
from gylebook.steps.catalogue import acts_at, step
from gylebook.steps.decision import Act
from gylebook.steps.pitching_acts import ADD, MOVE, PITCH, ROUSE

KIT = ev.Kit(name="invented kit", ingredients=TWO_CANS, volume=q("23", "L"), temp_from=q("18", "°C"),
             temp_to=q("22", "°C"), yeast_mass=q("6", "g"))  # fmt: skip
few = limits(max_examples=40)
PLAN = ev.Planned(name="Invented ale", kit=KIT)
GARAGE = ev.PlaceKept(name="garage", months=(ev.MonthRange(month=11, low=q("4", "°C"), high=q("9", "°C")),))
LOFT = ev.PlaceKept(name="loft", low=q("24", "°C"), high=q("34", "°C"))


def mixed(temp: str | None = "20") -> tuple[float, ev.Event]:
    return (1, ev.Mixed(volume=q("23", "L"), temp=q(temp, "°C") if temp else None, stirred="well"))


def pitched(temp: str | None = "20") -> tuple[float, ev.Event]:
    return (2, ev.Pitched(mass=q("6", "g"), temp=q(temp, "°C") if temp else None))


def read(hours: float, gravity: str) -> tuple[float, ev.Event]:
    return (hours, ev.Measured(gravity=q(gravity, "SG"), temp=q("20", "°C"), fizz="flat"))


def moment(answer, key: str) -> MomentFigure:
    return next(f for f in answer.figures if isinstance(f, MomentFigure) and f.key == key)


def keys(answer) -> list[str]:
    return [finding.key for finding in answer.findings]


def test_wort_at_20_degrees_is_pitched_now() -> None:
    answer = pitching.answer(brewed(mixed(), plan=PLAN), setting(hours=1.1), {})
    assert answer.headline == "Pitch now: 20 °C is right."
    assert answer.urgency is Urgency.ACT


def test_wort_at_31_degrees_waits_until_newton_has_cooled_it() -> None:
    answer = pitching.answer(brewed(mixed("31"), plan=PLAN), setting(hours=1), {"room": q("18", "°C")})
    assert answer.headline.startswith("Wait: it is 31 °C.")
    tau = float(time_constant_estimate_h(23.0).best)
    hours = float(cooling_time_h(31.0, 22.0, 18.0, tau))
    assert moment(answer, "pitch_at").value == pytest.approx(at(1) + timedelta(hours=hours), abs=timedelta(minutes=1))
    assert moment(answer, "pitch_at").low < moment(answer, "pitch_at").value < moment(answer, "pitch_at").high


def test_the_wait_for_signs_is_reckoned_for_the_wort_cooled_as_advised() -> None:
    hot = pitching.answer(brewed(mixed("31"), plan=PLAN), setting(hours=1), {"room": q("18", "°C")})
    ready = pitching.answer(brewed(mixed("22"), plan=PLAN), setting(hours=1), {"room": q("22", "°C")})
    assert hot.figure("lag").value == pytest.approx(ready.figure("lag").value, rel=0.01)
    assert "22 °C" in hot.figure("lag").working.inputs[-1].value
    lags = [next(f.value for f in option.figures if f.key == "lag") for option in hot.options]
    assert lags[0] == pytest.approx(hot.figure("lag").value)
    cool = pitching.answer(brewed(mixed("18"), plan=PLAN), setting(hours=1), {"room": q("18", "°C")})
    assert cool.figure("lag").value > ready.figure("lag").value


def test_wort_read_hours_ago_has_cooled_since() -> None:
    answer = pitching.answer(brewed(mixed("31"), plan=PLAN), setting(hours=13), {"room": q("18", "°C")})
    assert answer.figure("temp").value == pytest.approx(
        18 + 13 * 2.718281828 ** (-12 / float(time_constant_estimate_h(23.0).best)), abs=0.1
    )


def test_a_room_too_warm_to_cool_it_asks_for_a_bath() -> None:
    answer = pitching.answer(brewed(mixed("31"), plan=PLAN), setting(hours=1), {"room": q("28", "°C")})
    assert "stand it in a bath of cold water" in answer.headline


def test_the_kept_place_gives_the_room() -> None:
    plan = ev.Planned(name="x", kit=KIT, place="garage")
    answer = pitching.answer(brewed(mixed("31"), plan=plan), setting(GARAGE, hours=1), {})
    assert not any("ordinary room" in line for line in answer.assumed)
    warm_room = pitching.answer(brewed(mixed("31"), plan=PLAN), setting(hours=1), {})
    assert moment(answer, "pitch_at").value < moment(warm_room, "pitch_at").value


def test_45_degrees_would_kill() -> None:
    answer = pitching.answer(brewed(mixed("45"), plan=PLAN), setting(hours=1), {})
    assert "Yeast would die in it now" in answer.headline


def test_cold_wort_is_pitched_and_brought_up() -> None:
    answer = pitching.answer(brewed(mixed("12"), plan=PLAN), setting(hours=1), {})
    assert answer.headline.startswith("Pitch, but bring it up")


def test_without_a_temperature_the_one_question_is_how_warm_it_is() -> None:
    answer = pitching.answer(brewed(mixed(None), plan=PLAN), setting(hours=1), {})
    assert answer.urgency is Urgency.MEASURE
    assert answer.missing == "How warm is the wort now?"


def test_before_mixing_there_is_nothing_to_pitch_into() -> None:
    assert pitching.answer(brewed(plan=PLAN), setting(), {}).headline.startswith("Mix it first")


def test_a_wort_three_days_without_yeast_is_for_today() -> None:
    answer = pitching.answer(brewed(mixed(), plan=PLAN), setting(hours=73), {"temp": q("20", "°C")})
    assert keys(answer)[0] == "long_wait"


# dry_yeast_sheets: 0.5 to 0.8 g/L for ale; 6 g in 23 L are half of that.
def test_a_kit_sachet_is_half_the_sheets_rate_and_no_second_is_sold() -> None:
    answer = pitching.answer(brewed(mixed(), plan=PLAN), setting(hours=1), {})
    assert answer.figure("dose").value == pytest.approx(0.26, abs=0.005)
    assert answer.figure("needed").low == pytest.approx(11.5)
    assert answer.figure("needed").high == pytest.approx(18.4)
    (told,) = (f.text for f in answer.findings if f.key == "one_sachet")
    assert "about 40 % of the 15 g that sheets ask for, so it starts later" in told
    assert "worth it above about 1.060" in told
    assert [o.chosen for o in answer.options] == [True, False]


def test_a_strong_wort_is_worth_a_second_sachet() -> None:
    strong = (*PREMIUM, material("dried_malt_extract", "1.5"))
    brew = brewed((1, ev.Mixed(ingredients=strong, volume=q("20", "L"), temp=q("20", "°C"))), plan=PLAN)
    answer = pitching.answer(brew, setting(hours=1), {})
    assert "second_sachet" in keys(answer)
    assert [o.chosen for o in answer.options] == [False, True]


def test_yeast_fourteen_months_past_its_date_is_told_with_a_wide_interval() -> None:
    answer = pitching.answer(brewed(mixed(), plan=PLAN), setting(hours=1), {"best_before": date(2025, 9, 1)})
    old = next(f for f in answer.findings if f.key == "old_yeast")
    assert "14 months past" in old.text
    assert "second_sachet" in keys(answer)
    assert answer.missing == ""


def test_an_unknown_sachet_is_assumed_and_asked_for() -> None:
    answer = pitching.answer(brewed(mixed()), setting(hours=1), {})
    assert answer.missing == "How many grams are in the sachet?"
    assert any("sachet of 6 g" in line for line in answer.assumed)


def test_a_quiet_airlock_after_a_day_is_left_alone_with_the_moment_when_to_worry() -> None:
    answer = pitching.answer(brewed(mixed(), pitched(), plan=PLAN), setting(hours=28), {})
    assert answer.urgency is Urgency.WAIT
    assert answer.headline.startswith("Leave it. Worry becomes reasonable tomorrow about 14:00")
    assert "2 in 10 such worts show nothing yet" in answer.why
    assert timedelta(hours=48) <= moment(answer, "worry").value - at(2) <= timedelta(hours=72)
    assert "airlock proves nothing" in answer.rule_of_thumb


def test_after_three_quiet_days_a_reading_decides() -> None:
    answer = pitching.answer(brewed(mixed(), pitched(), plan=PLAN), setting(hours=78), {})
    assert answer.urgency is Urgency.MEASURE
    assert answer.headline.startswith("Take a reading: below 1.036")


def test_a_reading_that_has_not_fallen_after_three_days_calls_for_fresh_yeast() -> None:
    answer = pitching.answer(brewed(mixed(), pitched(), read(74, "1.040"), plan=PLAN), setting(hours=78), {})
    assert answer.urgency is Urgency.ACT
    assert "pitch 11 g of fresh yeast" in answer.headline
    assert "at the latest tomorrow" in answer.headline


def test_a_fallen_gravity_means_it_works_whatever_the_airlock_does() -> None:
    answer = pitching.answer(brewed(mixed(), pitched(), read(30, "1.030"), plan=PLAN), setting(hours=31), {})
    assert answer.headline == "It is working; nothing to do."
    assert answer.urgency is Urgency.NOTHING


def test_a_pitch_at_30_degrees_is_not_ruined_but_cooled_today() -> None:
    answer = pitching.answer(brewed(mixed("30"), pitched("30"), plan=PLAN), setting(hours=8), {})
    assert answer.urgency is Urgency.ACT
    assert answer.headline.startswith("Cool it to 20 °C within half a day")
    assert "The yeast is not dead" in answer.findings[0].text


def test_a_week_after_a_hot_pitch_there_is_nothing_left_to_do() -> None:
    answer = pitching.answer(brewed(mixed("30"), pitched("30"), read(150, "1.014"), plan=PLAN), setting(hours=170), {})
    assert answer.urgency is Urgency.NOTHING
    assert answer.findings[0].check == ""


def test_a_pitch_at_40_degrees_may_have_killed_it() -> None:
    answer = pitching.answer(brewed(mixed("40"), pitched("40"), plan=PLAN), setting(hours=8), {})
    assert "may have died" in answer.findings[0].text


def test_in_bottles_pitching_is_long_past() -> None:
    lots = (ev.BottleLot(bottle="brown", count=40, size=q("500", "mL")),)
    brew = brewed(mixed(), pitched(), (400, ev.Bottled(lots=lots)), plan=PLAN)
    assert pitching.answer(brew, setting(hours=410), {}).headline.startswith("Long past")


# --- writing it down ------------------------------------------------------------------------------------------


def write(act: Act, brew, values, hours=2.0, things=(), **settings):
    return act.decide(brew, values, at(hours), setting(*things, **settings))


def test_pitching_needs_nothing_but_the_moment() -> None:
    assert write(PITCH, brewed(mixed(), plan=PLAN), {}).events[0] == (at(2), ev.Pitched())


def test_eight_grams_of_yeast_a_litre_is_questioned_and_kept_when_confirmed() -> None:
    values = {"mass": q("184", "g")}
    with pytest.raises(InputError, match="ten times what instruction sheets print"):
        write(PITCH, brewed(mixed(), plan=PLAN), values)
    assert write(PITCH, brewed(mixed(), plan=PLAN), values, confirmed=frozenset({"mass"})).events


@pytest.mark.parametrize(("temp", "words"), [("30", "not deadly"), ("41", "may die")])
def test_a_hot_pitch_is_told_at_once(temp: str, words: str) -> None:
    decision = write(PITCH, brewed(mixed(), plan=PLAN), {"temp": q(temp, "°C")})
    assert words in decision.findings[0].text
    assert decision.findings[0].urgency is Urgency.ACT


def test_a_move_to_a_cold_garage_warns_of_a_stall() -> None:
    decision = write(MOVE, brewed(mixed(), pitched(), plan=PLAN), {"place": "garage"}, 30, (GARAGE,))
    assert [f.key for f in decision.findings] == ["cold_place"]


def test_a_move_to_a_hot_loft_warns_and_an_unknown_place_is_asked_about() -> None:
    brew = brewed(mixed(), pitched(), plan=PLAN)
    assert [f.key for f in write(MOVE, brew, {"place": "loft"}, 30, (LOFT,)).findings] == ["hot_place"]
    assert [f.key for f in write(MOVE, brew, {"place": "boat"}, 30).findings] == ["place_unknown"]


def test_bottles_moved_to_the_garage_are_not_scolded_for_their_yeast() -> None:
    lots = (ev.BottleLot(bottle="brown", count=40, size=q("500", "mL")),)
    unread = brewed(mixed(), pitched(), (400, ev.Bottled(lots=lots)), plan=PLAN)
    brew = brewed(mixed(), pitched(), read(280, "1.012"), read(380, "1.012"), (400, ev.Bottled(lots=lots)), plan=PLAN)
    assert [f.key for f in write(MOVE, brew, {"place": "garage"}, 410, (GARAGE,)).findings] == ["fit"]
    assert [f.key for f in write(MOVE, unread, {"place": "boat"}, 410).findings] == ["not_fit", "place_unknown"]


def test_once_bottled_a_move_belongs_to_conditioning_with_the_cautions_of_bottles() -> None:
    bucket = brewed(mixed(), pitched(), plan=PLAN)
    lots = (ev.BottleLot(bottle="brown", count=40, size=q("500", "mL")),)
    bottles = brewed(mixed(), pitched(), (400, ev.Bottled(lots=lots)), plan=PLAN)
    assert (MOVE.of(bucket).step, MOVE.of(bottles).step) == ("pitching", "conditioning")
    assert "24 kg" in MOVE.of(bucket).cautions[0]
    assert not any("24 kg" in caution for caution in MOVE.of(bottles).cautions)
    assert any("caps away from faces" in caution for caution in MOVE.of(bottles).cautions)
    offered = {word: [act.name for act in acts_at(step(word), bottles)] for word in ("pitching", "conditioning")}
    assert "move" in offered["conditioning"]
    assert "move" not in offered["pitching"]
    assert "move" in [act.name for act in acts_at(step("pitching"), bucket)]


def test_a_move_to_nowhere_is_refused() -> None:
    with pytest.raises(InputError, match="write where it stands now"):
        write(MOVE, brewed(), {})


def test_sugar_added_during_fermentation_reopens_the_question() -> None:
    decision = write(
        ADD,
        brewed(mixed(), pitched(), plan=PLAN),
        {"what": "sugar", "mass": q("500", "g"), "purpose": "fermentable"},
        60,
    )
    event = decision.events[0][1]
    assert isinstance(event, ev.Added)
    assert event.material == "sucrose"
    assert [f.key for f in decision.findings] == ["reopened"]


def test_a_fermentable_of_unknown_material_is_refused_and_without_weight_is_asked_about() -> None:
    with pytest.raises(InputError, match="choose the one it is nearest to"):
        write(ADD, brewed(mixed()), {"what": "plum jam", "purpose": "fermentable"})
    assert write(ADD, brewed(mixed()), {"what": "honey", "purpose": "fermentable"}).findings[0].key == "no_mass"
    with pytest.raises(InputError, match="What: nothing was written"):
        write(ADD, brewed(), {})


def test_finings_say_nothing_more() -> None:
    assert write(ADD, brewed(mixed(), pitched()), {"what": "finings", "purpose": "finings"}, 300).findings == ()


def test_rousing_before_any_yeast_asks_when_it_was_pitched() -> None:
    assert write(ROUSE, brewed(mixed()), {"how": "swirled"}).findings[0].key == "no_yeast"
    assert write(ROUSE, brewed(mixed(), pitched()), {"how": "swirled"}, 100).findings == ()


@few
@given(hours=st.floats(0.0, 2000.0), temp=st.one_of(st.none(), st.floats(0.0, 100.0)), room=st.one_of(st.none(), st.floats(-10.0, 45.0)),
       mass=st.one_of(st.none(), st.floats(0.1, 1000.0)), done=st.booleans())  # fmt: skip
def test_every_moment_of_every_wort_has_an_answer(
    hours: float, temp: float | None, room: float | None, mass: float | None, done: bool
) -> None:
    written = [mixed(f"{temp:.1f}" if temp is not None else None)]
    if done:
        written.append(pitched(f"{temp:.1f}" if temp is not None else None))
    asked = {}
    if room is not None:
        asked["room"] = q(f"{room:.1f}", "°C")
    if mass is not None:
        asked["mass"] = q(f"{mass:.1f}", "g")
    answer = pitching.answer(brewed(*written, plan=PLAN), setting(hours=1 + hours), asked)
    assert answer.headline
    for figure in answer.figures:
        assert figure.low <= figure.value <= figure.high, figure


@pytest.mark.parametrize("act", [PITCH, ROUSE, MOVE, ADD])
@given(data=st.data())
def test_any_text_in_a_form_is_read_or_refused_in_words(act: Act, data: st.DataObject) -> None:
    texts = st.one_of(
        st.just(""), st.text(max_size=14), st.sampled_from(["11 g", "sugar", "20 °C", "ale", "2026-12-01"])
    )
    try:
        values = {field.name: field.read(data.draw(texts)) for field in act.fields}
        write(act, brewed(mixed(), plan=PLAN), values)
    except InputError as error:
        assert error.field  # noqa: PT017 - many texts are refused, each naming its field


def test_the_first_moment_is_a_monday() -> None:
    assert FIRST.weekday() == 0
