"""Finishing: the sentence that is said, and the brewer's own verdict. Every brew here is invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from brewing import TWO_CANS, at, brewed, material, q, setting
from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.steps.answers import Answer, MomentFigure, Urgency
from gylebook.steps.finishing import JUDGE, STEP, answer
from gylebook.steps.outlook import outlook

DAY = 24.0
FLAT = {"fizz": "flat"}


def read(gravity: str, **more: str) -> ev.Measured:
    return ev.Measured(gravity=q(gravity, "SG"), temp=q("20", "°C"), **more)


def begun(*later: tuple[float, ev.Event], made: tuple[ev.Ingredient, ...] = TWO_CANS, og: str = "") -> Brew:
    start: list[tuple[float, ev.Event]] = [
        (0.2, ev.Mixed(ingredients=made, volume=q("23", "L"), temp=q("20", "°C"), stirred="no" if og else "well"))
    ]
    if og:
        start.append((0.4, read(og, stirred="no")))
    return brewed(*start, (1.0, ev.Pitched(temp=q("20", "°C"))), *((1.0 + d * DAY, event) for d, event in later))


def ask(brew: Brew, days: float = 14.0, **asked: object) -> Answer:
    return answer(brew, setting(hours=1 + days * DAY), asked)


def test_level_readings_at_the_expected_end_can_be_bottled() -> None:
    said = ask(begun((8, read("1.013")), (10, read("1.012")), (14, read("1.012"))))
    assert said.headline == "Finished, as far as readings can tell. It can be primed and bottled."
    assert said.urgency is Urgency.NOTHING
    assert said.missing == ""
    assert "At most" in said.why


def test_an_airlock_is_no_evidence() -> None:
    said = ask(begun())
    assert said.headline == "Not known yet; take a reading."
    assert "An airlock tells nothing" in said.why
    assert said.urgency is Urgency.MEASURE


def test_too_soon_for_a_reading_it_is_left_alone() -> None:
    said = ask(begun(), days=2)
    assert said.headline == "Not known yet; read again on Monday."
    assert said.urgency is Urgency.WAIT


def test_a_reading_due_later_on_this_day_is_named_so() -> None:
    brew = begun()
    due = outlook(brew, setting()).next_reading_at
    assert due is not None
    said = answer(brew, replace(setting(), now=due - timedelta(hours=2)), {})
    assert said.headline == "Not known yet; read again later today."


def test_the_stout_in_the_house_that_went_cold_is_warmed_first() -> None:
    cold = ev.TempSeen(of="room", low=q("15", "°C"), temp=q("15.5", "°C"), high=q("16", "°C"))
    stout = (material("liquid_malt_extract", "4.75"),)
    said = ask(begun((4, cold), (5.5, read("1.026")), made=stout), days=6)
    assert said.headline == "Not finished. Warm it first."
    assert said.urgency is Urgency.ACT
    assert said.missing.startswith("Warm it to 20 °C")
    assert said.figure("fg").value == pytest.approx(1.017, abs=0.003)


def test_hops_at_the_final_gravity_open_the_question_again() -> None:
    hop = ev.Hopped(hop="Invented hop", mass=q("165", "g"), planned_days=3)
    said = ask(begun((8, read("1.013", **FLAT)), (10, read("1.013", **FLAT)), (10.1, hop)), days=11)
    assert said.headline == "Open again since the hops went in; read again tomorrow."
    assert said.urgency is Urgency.WAIT
    assert any(f.key == "hop_creep" for f in said.findings)


def test_a_halt_is_named_and_not_bottled_and_the_possibilities_stand_side_by_side_with_their_chances() -> None:
    said = ask(begun((9, read("1.020")), (13, read("1.020"))))
    assert said.headline == "Not finished: it has come to a halt above its end. Do not bottle it."
    stories = [option for option in said.options if option.figures]
    assert {option.name for option in stories} == {"Done", "Slow", "Stalled", "Finished high", "Something else"}
    assert [option.name for option in stories if option.chosen] == ["Stalled"]
    chances = [option.figures[0].value for option in stories]
    assert chances == sorted(chances, reverse=True)
    assert sum(chances) == pytest.approx(100)
    assert stories[-1].figures[0].words == "under 1 %"
    names = [option.name for option in said.options]
    assert "Two equal readings" in names


def test_lower_than_possible_is_dangerous() -> None:
    said = ask(begun((14, read("1.002"))))
    assert said.headline.startswith("Do not bottle it.")
    assert said.urgency is Urgency.DANGER


def test_an_original_gravity_read_in_unmixed_wort_makes_no_false_halt() -> None:
    said = ask(begun((8, read("1.012", **FLAT)), (12, read("1.012", **FLAT)), og="1.068"))
    assert said.figure("og").value == pytest.approx(1.0402, abs=0.001)
    assert said.headline.startswith("Finished")


def test_what_if_shows_what_would_change_the_answer() -> None:
    brew = begun((8, read("1.012", **FLAT)))
    low = ask(brew, days=12, gravity=q("1.012", "SG"))
    high = ask(brew, days=12, gravity=q("1.008", "SG"))
    assert low.headline.startswith("If the next reading showed 1.012 SG: finished")
    assert high.headline.startswith("If the next reading showed 1.008 SG: not finished")
    assert ask(brew, days=12).headline.startswith("Not known yet")


def test_primed_too_early_says_how_much_gas_may_come() -> None:
    primed = ev.Primed(sugar="sucrose", mass=q("120", "g"))
    said = ask(begun((6, read("1.018")), (6.1, primed)))
    assert said.headline.startswith("It was primed before it was known to be finished")
    assert said.urgency is Urgency.DANGER


BOTTLES = (
    ev.BottlesKept(name="thin clear ones", kind="one_way", size=q("330", "mL"), count=100),
    ev.PlaceKept(name="garage", low=q("5", "°C"), high=q("30", "°C")),
)


def test_the_worst_case_is_laid_at_the_bottles_and_the_warmth_there_are() -> None:
    plan = ev.Planned(name="Invented ale", co2_wanted=q("2.6", "vol"), place="garage")
    rows = ((0.2, ev.Mixed(ingredients=TWO_CANS, volume=q("23", "L"))), (1.0, ev.Pitched()), (200.0, read("1.016")))
    brew = brewed(*rows, plan=plan)
    said = answer(brew, setting(*BOTTLES, hours=240), {})
    (finding,) = (f for f in said.findings if f.key == "worst_case")
    assert "more gas than any bottle holds for 2.6 vol planned" in finding.text
    assert "thin clear ones" in finding.text
    assert "where it gets 30 °C" in finding.text
    worst = said.figure("worst_co2")
    assert worst.high == pytest.approx(2.6 + said.figure("co2_to_come").high)
    assert finding.urgency is Urgency.MEASURE


def test_it_may_stay_on_its_yeast_for_some_weeks_while_its_brewer_is_away() -> None:
    said = ask(begun((8, read("1.012"))))
    (stay,) = (figure for figure in said.figures if figure.key == "may_stay")
    assert isinstance(stay, MomentFigure)
    assert 28 <= (stay.low - at(1)).days <= (stay.value - at(1)).days <= (stay.high - at(1)).days <= 70
    assert not any(figure.key == "may_stay" for figure in ask(begun((12, ev.Racked()))).figures)


def test_before_the_yeast_the_expected_end_is_told() -> None:
    said = answer(brewed((0.2, ev.Mixed(ingredients=TWO_CANS, volume=q("23", "L")))), setting(hours=1), {})
    assert said.headline == "It has not begun: no yeast is written down."
    assert said.figure("fg").value == pytest.approx(1.012, abs=0.001)


def test_an_empty_brew_has_an_answer_that_says_what_is_assumed() -> None:
    said = answer(brewed((1.0, ev.Pitched())), setting(hours=300), {})
    assert said.assumed
    assert said.missing
    assert said.cautions


def judge(brew: Brew, days: float = 14.0, **values: object) -> tuple[ev.Event, list[str]]:
    moment = at(1 + days * DAY)
    decided = JUDGE.decide(brew, values, moment, setting(hours=1 + days * DAY))
    ((when, event),) = decided.events
    assert when == moment
    return event, [finding.key for finding in decided.findings]


def test_a_verdict_is_written_down_as_given() -> None:
    level = begun((8, read("1.012", **FLAT)), (12, read("1.012", **FLAT)))
    event, keys = judge(level, verdict="finished", because="tastes dry")
    assert event == ev.Judged(verdict="finished", because="tastes dry")
    assert keys == []


def test_a_verdict_the_book_does_not_share_is_kept_and_answered() -> None:
    event, keys = judge(begun((9, read("1.020")), (13, read("1.020"))), verdict="finished")
    assert isinstance(event, ev.Judged)
    assert keys == ["disagrees"]


def test_infected_bottles_are_treated_as_dangerous() -> None:
    lots = (ev.BottleLot(bottle="returnable_500", count=40, size=q("500", "mL")),)
    brew = begun((12, ev.Bottled(lots=lots)))
    decided = JUDGE.decide(brew, {"verdict": "infected"}, at(500), setting(hours=500))
    assert decided.findings[0].urgency is Urgency.DANGER
    assert "eye protection" in decided.findings[0].text
    assert judge(begun(), verdict="infected")[1] == ["infected"]


def test_a_stuck_verdict_brings_the_ladder_not_new_yeast_first() -> None:
    decided = JUDGE.decide(begun((9, read("1.020"))), {"verdict": "stuck"}, at(300), setting(hours=300))
    assert decided.findings[0].text.startswith("Before fresh yeast")


def test_a_verdict_that_is_none_of_the_four_is_refused() -> None:
    with pytest.raises(InputError, match="not one of the choices"):
        JUDGE.fields[0].read("probably")
    with pytest.raises(InputError, match="nothing was written"):
        JUDGE.fields[0].read("")


def test_the_step_offers_its_act() -> None:
    assert STEP.word == "finishing"
    assert [act.name for act in STEP.acts] == ["judge"]


def test_the_answer_is_told_in_three_facts_and_the_rest_stands_below() -> None:
    said = ask(begun((4, read("1.016")), (5, read("1.014"))))
    assert len(said.why) < 200
    assert "(" not in said.why
    rest = next(f.text for f in said.findings if f.key == "lacking")
    assert rest.startswith("Lacking, too: ")


def test_without_any_reading_it_says_what_can_be_told_and_what_follows() -> None:
    told = next(f for f in ask(begun()).findings if f.key == "no_hydrometer")
    for words in ("18 to 22 °C", "clears", "tastes dry", "PET", "half the priming sugar", "cool place"):
        assert words in told.text
    assert told.check == "A hydrometer costs less than a brew."
    assert not any(f.key == "no_hydrometer" for f in ask(begun((8, read("1.013")))).findings)
