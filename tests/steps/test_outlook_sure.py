"""How sure: what stands beside the answer to "is it finished?". The brews are invented."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from brewing import TWO_CANS, brewed, q, setting
from finished import LEVEL, by_days, read
from gylebook.forecast.answers import Diagnostics, Spread, Story
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.steps.answers import Figure, Working
from gylebook.steps.finishing import answer
from gylebook.steps.foretold import day_figure, diagnostics_words, stories, told_apart
from gylebook.steps.outlook import outlook
from gylebook.steps.outlook_sure import Sure, sure

WORKING = Working("as written", sources=("by_definition",))


def how_sure(brew: Brew, days: float) -> Sure:
    where = setting(hours=days * 24.0)
    found = sure(outlook(brew, where), answer(brew, where, {}))
    assert found is not None
    return found


RUNNING = by_days((4.0, read("1.020")), (7.0, read("1.014")))
STOPPED = by_days((4.0, read("1.026")), (8.0, read("1.020")), (12.0, read("1.020")))


def test_the_end_comes_first_then_strength_now_and_what_is_left_with_its_chances() -> None:
    keys = [figure.key for figure in how_sure(RUNNING, 7.2).figures]
    assert keys[:3] == ["fg", "strength", "now"]
    wanted = ["points_left", "left_half", "left_one", "left_two", "co2_to_come", "gas_over"]
    assert [key for key in keys if key in wanted] == wanted
    assert len(keys) == len(set(keys))


def test_no_figure_of_the_answer_is_lost() -> None:
    where = setting(hours=7.2 * 24.0)
    told = answer(RUNNING, where, {})
    assert {figure.key for figure in told.figures} <= {figure.key for figure in how_sure(RUNNING, 7.2).figures}


def test_end_and_strength_know_their_middle_half() -> None:
    for figure in how_sure(RUNNING, 7.2).figures:
        if figure.key in {"fg", "strength", "now"}:
            assert isinstance(figure, Figure)
            assert figure.half is not None
            assert figure.low < figure.half[0] < figure.value < figure.half[1] < figure.high


def test_the_sentence_tells_where_it_is_where_it_ends_and_the_two_chances() -> None:
    words = how_sure(RUNNING, 7.2).sentence
    assert words.startswith("It is at 1.01")
    assert "that less than one point is left" in words
    assert "that more than 2 g/L of gas is still to come" in words
    unread = by_days()
    assert how_sure(unread, 3.0).sentence.startswith("Nothing was read since the yeast went in; it should end at 1.01")


def test_stories_come_with_chances_the_unlikely_by_name_alone() -> None:
    found = how_sure(STOPPED, 12.2)
    shown = [option.figures[0] for option in found.stories]
    assert all(figure.interval == "chance" for figure in shown)
    assert [figure.value for figure in shown] == sorted((figure.value for figure in shown), reverse=True)
    assert all(figure.value >= 1.0 for figure in shown)
    assert found.stories[0].chosen
    assert not {option.name for option in found.stories} & set(found.unlikely)
    assert found.told_apart


def test_a_finished_beer_has_its_rules_beside_it() -> None:
    found = how_sure(by_days(*LEVEL), 14.5)
    assert {"Two equal readings", "Attenuation of 72 %"} <= {rule.name for rule in found.rules}
    assert all(rule.words.startswith(("Says ", "Cannot tell")) for rule in found.rules)


def test_before_the_yeast_nothing_is_sure() -> None:
    brew = brewed((0.5, ev.Mixed(ingredients=TWO_CANS, volume=q("22.4", "L"), stirred="well")))
    where = setting(hours=5.0)
    assert sure(outlook(brew, where), answer(brew, where, {})) is None


# --- the words of a forecast, on chances made up for the purpose ---------------------------------------------------


def made_up(unsafe: float = 0.2, **chances: float) -> Any:
    told = {Story(name): chance for name, chance in chances.items()}
    return SimpleNamespace(stories=told, unsafe=unsafe, left_under=(0.4, 0.7, 0.9))


def test_the_likeliest_story_is_first_and_what_is_under_one_per_cent_is_left_out() -> None:
    options = stories(made_up(healthy=0.3, halted=0.695, high=0.005), (), ("by_definition",))
    assert [(option.name, option.chosen) for option in options] == [("Stalled", True), ("Done", False)]
    assert [option.figures[0].words for option in options] == ["70 %", "30 %"]


@pytest.mark.parametrize(
    ("chances", "wrong", "words"),
    [
        ({"halted": 0.5, "high": 0.3, "healthy": 0.2}, 0.0, "Forced sample"),
        ({"below": 0.4, "healthy": 0.6}, 0.0, "plain water"),
        ({"healthy": 1.0}, 0.6, "Repeat the last reading"),
        ({"healthy": 1.0, "unsafe": 0.001}, 0.0, ""),
        ({"healthy": 0.98, "halted": 0.02}, 0.0, ""),
    ],
)
def test_the_cheapest_experiment_fits_what_is_open(chances: dict[str, float], wrong: float, words: str) -> None:
    told = told_apart(made_up(**chances), wrong)
    assert words in told
    assert bool(words) == bool(told)


def test_nothing_is_tried_where_the_next_reading_settles_it_by_itself() -> None:
    assert told_apart(made_up(halted=0.5, healthy=0.5), settled=0.9) == ""
    assert told_apart(made_up(halted=0.5, healthy=0.5), settled=0.1).startswith("Forced sample")


def test_a_day_that_may_never_come_is_told_in_words() -> None:
    inf = float("inf")
    sometimes = day_figure("end", "By day", Spread(9, 2, 6, 7, 8, 11, inf), WORKING)
    never = day_figure("end", "By day", Spread(9, 2, 6, 9, inf, inf, inf), WORKING)
    plain = day_figure("end", "By day", Spread(9, 2, 6, 7, 8, 9, 12), WORKING)
    assert (sometimes.words, never.words) == ("8, perhaps never", "not to be said")
    assert (plain.value, plain.low, plain.high, plain.half) == (8, 6, 12, (7, 9))


@pytest.mark.parametrize(
    ("good", "longer", "misfit", "words"),
    [
        (True, False, 0.5, ""),
        (True, True, 0.5, "needed a longer run"),
        (False, True, 0.5, "did not settle"),
        (True, False, 0.001, "Nothing in the model explains these readings well"),
    ],
)
def test_how_the_sum_went_is_told_only_where_it_is_worth_a_line(
    good: bool, longer: bool, misfit: float, words: str
) -> None:
    told = diagnostics_words(Diagnostics(ess=800, draws=4000, rounds=3, longer=longer, good=good, misfit=misfit))
    assert words in told
    assert bool(words) == bool(told)
