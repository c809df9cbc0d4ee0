"""Cleaning: doses, times, and bleach with acid. What each agent is dosed at is the food codes' or the label's."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brewing import at, brewed, setting
from finished import act, asked, keys
from gylebook import sources
from gylebook.errors import GylebookError, InputError
from gylebook.journal import events as ev
from gylebook.steps.answers import Urgency
from gylebook.steps.cleaning import CLEAN, STEP
from gylebook.steps.cleaning_agents import AGENTS, nature_of, poisonous_pair


def clean(brew=None, hours: float = 1.0, **texts: str):
    return act(CLEAN, brew or brewed(), at(hours), setting(hours=hours), texts)


def used(*agents: tuple[float, str]):
    return brewed(*((hours, ev.Cleaned(what="bucket", agent=agent)) for hours, agent in agents))


def test_eighty_ppm_in_five_litres_are_eight_millilitres_of_five_per_cent_bleach() -> None:
    found = STEP.answer(brewed(), setting(), asked(STEP, agent="bleach"))
    assert found.figure("dose").value == pytest.approx(8.0)  # 80 mg/L × 5 L ÷ 50 mg/mL
    strong = STEP.answer(brewed(), setting(), asked(STEP, agent="bleach", strength="8 %", water="10 L"))
    assert strong.figure("dose").value == pytest.approx(10.0)


def test_every_agent_has_a_contact_time_and_a_word_on_rinsing() -> None:
    found = STEP.answer(brewed(), setting(), {})
    assert len(found.options) == len(AGENTS) - 1  # ammonia has no place on a table of advice
    for option in found.options:
        assert option.figures[0].low <= option.figures[0].value
        assert option.words.count(";") >= 2


def test_a_cleaner_is_told_apart_from_a_sanitiser() -> None:
    found = STEP.answer(brewed(), setting(), asked(STEP, agent="percarbonate"))
    assert "no_sanitiser" in keys(found)
    assert "then sanitise with something else" in found.headline


@pytest.mark.parametrize("acid", ["acid_sanitiser", "descaler", "sulphite", "iodophor", "white vinegar", "ammonia"])
def test_bleach_and_any_acid_on_one_day_are_danger(acid: str) -> None:
    found = STEP.answer(used((1.0, "bleach"), (3.0, acid)), setting(hours=4.0), {})
    assert found.urgency is Urgency.DANGER
    assert keys(found) == ["bleach_and_acid"]


def test_the_same_pair_on_another_day_is_no_danger() -> None:
    found = STEP.answer(used((1.0, "bleach"), (30.0, "acid_sanitiser")), setting(hours=31.0), {})
    assert found.urgency is Urgency.NOTHING


def test_across_midnight_is_still_one_session() -> None:
    found = STEP.answer(used((11.0, "acid_sanitiser"), (13.0, "bleach")), setting(hours=14.0), {})
    assert found.urgency is Urgency.DANGER


def test_writing_the_second_of_the_pair_says_so_at_once_and_keeps_what_was_done() -> None:
    decision = clean(used((1.0, "acid_sanitiser")), 2.0, agent="bleach", what="bucket", rinsed="yes")
    assert decision.events[0][1].agent == "bleach"
    assert decision.findings[0].urgency is Urgency.DANGER


def test_a_late_entry_is_held_against_what_was_written_after_it() -> None:
    assert "bleach_and_acid" in keys(clean(used((3.0, "descaler")), 2.0, agent="bleach"))


def test_bleach_that_was_not_rinsed_is_told_to_be_rinsed() -> None:
    decision = clean(agent="chlorine_cleaner", rinsed="no", contact="10 min", dilution="5 g in 1 L")
    assert keys(decision) == ["unrinsed"]
    assert decision.events[0][1].contact.text == "10"


def test_something_else_is_kept_in_the_brewers_own_words_and_still_recognised() -> None:
    decision = clean(used((1.0, "bleach")), 2.0, agent="something else", dilution="lemon juice and citric acid")
    assert decision.events[0][1].agent == "lemon juice and citric acid"
    assert "bleach_and_acid" in keys(decision)


def test_what_was_used_must_be_chosen() -> None:
    with pytest.raises(InputError, match="Cleaner or sanitiser"):
        clean(what="bucket")


def test_words_that_are_neither_meet_harmlessly() -> None:
    assert nature_of("washing_up_liquid") == frozenset()
    assert poisonous_pair(("washing_up_liquid", "hot_water", "percarbonate")) is None


def test_every_agent_cites_sources_that_exist() -> None:
    for agent in AGENTS.values():
        for key in agent.sources:
            assert sources.get(key)


@settings(max_examples=60)
@given(
    st.fixed_dictionaries(
        {},
        optional={
            name: st.one_of(st.text(max_size=14), st.sampled_from(["bleach", "other", "yes", "no", "10 min", "3"]))
            for name in ("what", "agent", "dilution", "contact", "rinsed")
        },
    )
)
def test_random_words_are_read_or_refused_and_never_break(texts: dict[str, str]) -> None:
    try:
        decision = clean(used((0.5, "acid_sanitiser")), **texts)
    except GylebookError:
        return
    assert decision.events
