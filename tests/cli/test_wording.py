from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from gylebook.cli.wording import Page, answer_text
from gylebook.outputs.shapes import answer_shape, as_json
from gylebook.outputs.wording import Preferences
from gylebook.steps.answers import Answer, Basis, Figure, Finding, Given, MomentFigure, Option, Urgency, Working

AT = datetime(2026, 11, 12, 18, 30, tzinfo=UTC)
WORKING = Working(
    "sugar = (wanted − residual) × volume × 4.04 g/L",
    (Given("volume", "20.6 L", Basis.MEASURED, "entry 4"), Given("wanted", "2.4 vol", Basis.ASKED)),
    ("tanaka_2001",),
    ("2.4 − 0.86 = 1.54 vol",),
    ("only when fermentation is over",),
)
SUGAR = Figure("sugar", "Table sugar", 126.0, 118.0, 134.0, "g", "mass", 0, WORKING)
BY = MomentFigure("by", "Fizzy by", AT, AT - timedelta(days=2), AT + timedelta(days=3), WORKING)
ANSWER = Answer(
    "Dissolve 126 g of table sugar.",
    "You have 20.6 L and want 2.4 volumes.",
    Urgency.ACT,
    figures=(
        SUGAR,
        BY,
        Figure("burst", "Chance of a burst", 0.1, 0, 0.2, "%", "share", 1, WORKING, words="under 1 %"),
    ),
    findings=(Finding(Urgency.MEASURE, "The last reading is eight days old.", "Read the hydrometer again.", 4, "old"),),
    options=(Option("swing-top", (SUGAR,), "fit below 25 °C", chosen=True), Option("thin clear glass", (), "not fit")),
    missing="How warm was it after it had finished?",
    cautions=("Glass under pressure: wear eye protection.",),
    rule_of_thumb="6 g a litre.",
    assumed=("It never was warmer than 20 °C.",),
)

EXPECTED = """\
Dissolve 126 g of table sugar.
Act today. You have 20.6 L and want 2.4 volumes.

Noticed
  Measure: The last reading is eight days old. (entry 4)
    To check: Read the hydrometer again.

Figures
  Table sugar: 126 g (± 8)
  Fizzy by: Thu 12 Nov (Tue 10 Nov to Sun 15 Nov)
  Chance of a burst: under 1 %
  The ranges in brackets hold nine times in ten.

Side by side
  swing-top (chosen): table sugar 126 g (± 8); fit below 25 °C
  thin clear glass: not fit

Rule of thumb: 6 g a litre.

Assumed
  It never was warmer than 20 °C.

What would help most: How warm was it after it had finished?

Take care
  Glass under pressure: wear eye protection."""


def test_an_answer_has_its_best_part_first_and_reads_as_sentences() -> None:
    assert answer_text(ANSWER, Preferences(), width=80) == EXPECTED


def test_the_working_shows_inputs_with_their_basis_steps_cautions_and_sources() -> None:
    text = answer_text(ANSWER, Preferences(), width=100, with_working=True)
    assert "Worked out by: sugar = (wanted − residual) × volume × 4.04 g/L" in text
    assert text.count("2.4 − 0.86 = 1.54 vol") == 1
    assert text.count("but: only when fermentation is over") == 1
    assert "Worked out as “Table sugar”" in text
    assert " ".join(text.split()).endswith("(published, but read where others quote it)")


def test_inputs_that_all_workings_share_and_each_source_are_told_once() -> None:
    text = answer_text(ANSWER, Preferences(), width=100, with_working=True)
    assert "Worked out from\n  volume 20.6 L (measured, entry 4)\n  wanted 2.4 vol (asked for)\n\nRule of thumb" in text
    assert text.count("20.6 L (measured") == 1
    assert text.count("sources: tanaka_2001") == 1
    assert text.count("\n  tanaka_2001: ") == 1


def test_of_a_working_that_is_told_again_only_what_is_otherwise_is_shown() -> None:
    warm = Given("temperature", "20 °C", Basis.ASSUMED)
    other = Working(WORKING.relation, (*WORKING.inputs, warm), ("tanaka_2001", "mass_balance"), ("2.4 − 0.70 = 1.7",))
    honey = Figure("honey", "Honey", 150.0, 140.0, 160.0, "g", "mass", 0, other)
    again = Option("warmer", (Figure("sugar", "Table sugar", 139.0, 130.0, 148.0, "g", "mass", 0, other),))
    told = Answer("So.", "", Urgency.WAIT, figures=(SUGAR, honey), options=(again,))
    text = answer_text(told, Preferences(), width=100, with_working=True)
    assert "Honey: 150 g (± 10)\n      Worked out as “Table sugar”\n      with temperature 20 °C (assumed)\n" in text
    assert "      2.4 − 0.70 = 1.7\n      sources: mass_balance\n" in text
    assert "Table sugar: worked out in the same way\n" in text
    assert text.count("20.6 L (measured") == 1


def test_a_single_working_keeps_its_inputs_beside_it() -> None:
    text = answer_text(Answer("So.", "", Urgency.WAIT, (SUGAR,)), Preferences(), width=100, with_working=True)
    assert "with volume 20.6 L (measured, entry 4)" in text
    assert "Worked out from" not in text


def test_figures_are_told_in_the_brewers_own_units() -> None:
    assert "Table sugar: 4.44 oz (± 0.28)" in answer_text(ANSWER, Preferences(mass="oz"), width=80)


@pytest.mark.parametrize("width", [40, 57, 100])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    text = answer_text(ANSWER, Preferences(), width=width, with_working=True)
    assert max(map(len, text.splitlines())) <= width


def test_a_number_and_its_unit_stay_on_one_line() -> None:
    page = Page(40)
    page.line("The place is from fourteen up to about 19 °C all year, it holds 23 L and 500 mL of 4 g each.")
    assert all(unit in page.text() for unit in ("19 °C", "23 L", "500 mL", "4 g"))


def test_an_answer_with_nothing_to_add_stays_short() -> None:
    assert answer_text(Answer("Leave it.", "", Urgency.NOTHING), Preferences(), width=80) == "Leave it."
    assert answer_text(Answer("Leave it.", "", Urgency.WAIT), Preferences(), width=80) == "Leave it.\nWait."


def test_nothing_to_do_is_not_said_beside_what_to_do() -> None:
    text = answer_text(Answer("Weigh 112 g.", "It holds some already.", Urgency.NOTHING), Preferences(), width=80)
    assert text == "Weigh 112 g.\nIt holds some already."


def test_an_interval_of_another_sort_says_which() -> None:
    figure = Figure("g", "Gas", 2.4, 2.0, 3.0, "vol", "co2", 1, WORKING, interval="in every bottle")
    text = answer_text(Answer("So.", "", Urgency.WAIT, (figure,)), Preferences(), width=80)
    assert "Gas: 2.4 vol (2.0 to 3.0, in every bottle)" in text
    assert "nine times" not in text


def test_a_page_never_begins_with_a_gap_and_keeps_the_lines_it_is_given() -> None:
    page = Page(40)
    page.gap()
    page.line("one\ntwo")
    page.gap()
    page.gap()
    page.line("three")
    assert page.text() == "one\ntwo\n\nthree"


def test_a_program_gets_base_units_and_iso_moments() -> None:
    plain = answer_shape(ANSWER)
    assert plain["urgency"] == "Act today"
    sugar, by, burst = plain["figures"]
    assert (sugar["value"], sugar["unit"], sugar["low"], sugar["high"]) == (126.0, "g", 118.0, 134.0)
    assert sugar["working"]["sources"][0]["key"] == "tanaka_2001"
    assert sugar["working"]["inputs"][0]["basis"] == "measured"
    assert by["value"] == "2026-11-12T18:30:00Z"
    assert burst["words"] == "under 1 %"
    assert '"not fit"' in as_json(plain)


def test_what_is_not_known_is_null_for_a_program() -> None:
    nan = float("nan")
    figure = Figure("g", "Gas", nan, nan, nan, "vol", "co2", 1, WORKING)
    plain = answer_shape(Answer("So.", "", Urgency.WAIT, (figure,)))
    assert plain["figures"][0]["value"] is None
    assert '"value": null' in as_json(plain)
