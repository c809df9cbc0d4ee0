from __future__ import annotations

import json
import os
import shlex
import subprocess
import sys

import pytest

from gylebook import sources
from gylebook.cli.reckon_cmd import example_of
from gylebook.steps.sums import SUMS


@pytest.mark.parametrize("word", SUMS)
def test_every_sum_has_an_example_that_answers(told, word: str) -> None:
    assert SUMS[word].example, f"{word} has no worked example"
    answer = told(*shlex.split(example_of(SUMS[word]))[1:])
    assert (answer.code, answer.err) == (0, "")
    assert answer.out.strip()
    assert "Nothing to do" not in answer.out  # beside "Weigh 117 g" it would contradict


@pytest.mark.parametrize("word", SUMS)
def test_every_sum_answers_a_program_with_all_its_figures_and_their_working(told, word: str) -> None:
    plain = told(*shlex.split(example_of(SUMS[word]))[1:], "--json").plain
    assert (plain["shape"], plain["sum"]) == ("sum", word)
    assert plain["asked"] == dict(SUMS[word].example)
    figures = [*plain["figures"], *(f for option in plain["options"] for f in option["figures"])]
    assert figures or plain["headline"]
    for figure in figures:
        assert figure["working"]["relation"]
        assert all(source["key"] in sources.all() for source in figure["working"]["sources"])


@pytest.mark.parametrize("word", SUMS)
def test_every_working_is_shown_when_asked_for(told, word: str) -> None:
    text = told(*shlex.split(example_of(SUMS[word]))[1:], "--working").out
    assert "Worked out by: " in text


def test_the_list_of_sums_is_shown_without_a_word(told) -> None:
    answer = told("reckon")
    assert answer.code == 0
    assert all(word in answer.out for word in SUMS)


def test_a_sum_can_be_written_with_a_hyphen(told) -> None:
    args = shlex.split(example_of(SUMS["hop_dose"]))[3:]
    assert told("reckon", "hop-dose", *args).out == told("reckon", "hop_dose", *args).out


def test_figures_are_shown_and_bare_numbers_read_in_the_units_asked_for(told) -> None:
    plain = told("reckon", "gravity", "--gravity", "10", "--in", "°P").out
    assert plain == told("reckon", "gravity", "--gravity", "10 °P", "--in", "°P").out
    answer = told("reckon", "gravity", "--gravity", "1.040", "--in", "furlong")
    assert answer.code == 2
    assert "“furlong” is not a unit that can be chosen" in answer.err


def test_a_slip_is_asked_about_and_can_be_insisted_on(told) -> None:
    answer = told("reckon", "strength", "--original", "1062", "--final", "1.010")
    assert answer.code == 2
    assert "Did you mean 1.062?" in answer.err
    assert answer.err.count("\n") == 1


def test_what_is_missing_is_named_by_its_option(told) -> None:
    answer = told("reckon", "strength", "--original", "1.040")
    assert answer.code == 2
    assert "--final" in answer.err


def test_insisting_on_what_is_not_asked_for_is_refused(told) -> None:
    answer = told("reckon", "strength", "--original", "1.040", "--final", "1.010", "--confirm", "weather")
    assert answer.code == 2
    assert "“weather” is not asked for here" in answer.err


def test_a_sum_starts_without_django_and_without_the_book(tmp_path) -> None:
    args = shlex.split(example_of(SUMS["priming"]))[1:]
    code = f"import sys; from gylebook.cli.main import main; c = main({args!r}); sys.exit(c or 'django' in sys.modules)"
    home = tmp_path / "none"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, env={**os.environ, "GYLEBOOK_HOME": str(home)}, check=False
    )
    assert done.returncode == 0, done.stderr
    assert not home.exists()


def test_json_of_a_sum_is_valid_and_says_its_version(told) -> None:
    plain = json.loads(told("reckon", "gravity", "--gravity", "1.040", "--json").out)
    assert plain["shape_version"] == 1
