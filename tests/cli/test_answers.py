"""What the commands that only read say of the example book, in text and for programs."""

from __future__ import annotations

import re

import pytest

from gylebook.steps.catalogue import WORDS

BREWS = tuple(str(number) for number in range(1, 9))


@pytest.mark.parametrize("word", WORDS)
@pytest.mark.parametrize("brew", BREWS)
def test_every_step_answers_for_every_brew_in_words_and_for_programs(told, example, brew: str, word: str) -> None:
    plain = told("--demo", "ask", brew, word, "--json").plain
    assert (plain["shape"], plain["brew"], plain["step"]) == ("answer", brew, word)
    assert plain["headline"]
    text = told("--demo", "ask", brew, word, "--working")
    assert (text.code, text.err) == (0, "")
    said = " ".join(text.out.split())
    assert " ".join(plain["headline"].split()) in said
    for figure in plain["figures"]:
        assert figure["working"]["relation"]
        assert f"{figure['label']}: " in said
    assert max(map(len, text.out.splitlines())) <= 80
    assert "nan" not in text.out.lower().split()
    assert "None" not in text.out


@pytest.mark.parametrize("brew", BREWS)
def test_a_brew_is_shown_with_its_answer_what_is_due_and_its_log(told, example, brew: str) -> None:
    plain = told("--demo", "brews", brew, "--json", "--entries", "3").plain
    assert plain["shape"] == "brew"
    assert len(plain["entries"]) == min(3, plain["entries_in_all"])
    text = told("--demo", "brews", brew).out
    assert text.startswith(f"Brew {brew}, {plain['name']}, {plain['stage']}.")
    assert "Log, newest first" in text
    assert bool(plain["tasks"]) == ("\nDue\n" in text)


def test_two_brews_side_by_side_show_only_what_differs(told, example) -> None:
    plain = told("--demo", "brews", "3", "--beside", "#5", "--json").plain
    assert (plain["shape"], plain["brew"], plain["beside"]) == ("beside", "3", "5")
    assert plain["options"]
    for option in plain["options"]:
        assert [figure["label"] for figure in option["figures"]] in ([], ["Brew 3", "Brew 5"])
    text = told("--demo", "brews", "3", "--beside", "5", "--working")
    assert (text.code, text.err) == (0, "")
    said = " ".join(text.out.split())
    assert said.startswith("Brew 3, Dune wheat, beside brew 5, Shed bitter: what differs enough to be tasted?")
    assert " ".join(plain["headline"].split()) in said
    assert "Two brews are one comparison" in said
    assert "Brew 3: worked out by: " in said
    assert "Log, newest first" not in said


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (("brews", "--beside", "5"), "name the first brew, too"),
        (("brews", "3", "--beside", "3"), "a brew does not differ from itself"),
        (("brews", "3", "--beside", "99"), "There is no brew 99"),
        (("brews", "3", "--beside", "5", "--entries", "4"), "leave --entries or --beside out"),
    ],
)
def test_what_cannot_be_put_side_by_side_is_refused(told, example, line, words) -> None:
    answer = told("--demo", *line)
    assert answer.code == 2
    assert words in " ".join(answer.err.split())


def test_the_list_of_brews_says_what_each_needs(told, example) -> None:
    plain = told("--demo", "brews", "--json").plain
    assert [brew["brew"] for brew in plain["brews"]] == list(reversed(BREWS))
    text = " ".join(told("--demo", "brews").out.split())
    for brew in plain["brews"]:
        assert f"{brew['brew']}. {brew['name']}, {brew['stage']}. {brew['urgency']}: {brew['headline']}" in text
        assert brew["card"]["id"] == brew["brew"]


def test_the_list_can_be_narrowed_and_paged(told, example) -> None:
    closed = told("--demo", "brews", "--closed", "--json").plain["brews"]
    opened = told("--demo", "brews", "--open", "--json").plain["brews"]
    assert closed
    assert not any(brew["open"] for brew in closed)
    assert len(closed) + len(opened) == len(BREWS)
    first = told("--demo", "brews", "--most", "3", "--json").plain
    assert first["before"] == 6
    rest = told("--demo", "brews", "--before", str(first["before"]), "--json").plain
    assert [b["brew"] for b in first["brews"] + rest["brews"]] == list(reversed(BREWS))
    assert "add --before 6" in told("--demo", "brews", "--most", "3").out
    assert "No brew is like that" in told("--demo", "brews", "--named", "zzz").out


def test_what_is_due_is_told_across_all_brews_and_for_one(told, example) -> None:
    plain = told("--demo", "next", "--json").plain
    assert plain["tasks"]
    for task in plain["tasks"]:
        assert task["urgency"] in {"Danger", "Act today", "Measure", "Wait", "Nothing to do"}
        assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", task["due_from"])
    text = " ".join(told("--demo", "next").out.split())
    assert text.startswith(plain["headline"])
    assert all(task["words"] in text for task in plain["tasks"])
    brew = plain["tasks"][0]["brew"]
    own = told("--demo", "next", brew, "--json").plain
    assert {task["brew"] for task in own["tasks"]} == {brew}


def test_questions_about_what_is_not_there_are_refused(told, example) -> None:
    for line in (("ask", "99", "priming"), ("brews", "99"), ("next", "99")):
        answer = told("--demo", *line)
        assert answer.code == 2
        assert "There is no brew 99 in this book" in answer.err
    assert told("--demo", "ask", "1", "distilling").code == 2
    assert told("--demo", "brews", "1", "--open").code == 2
    assert told("--demo", "brews", "--entries", "3").code == 2


def test_a_what_if_changes_the_answer_and_writes_nothing(told, example) -> None:
    one = told("--demo", "ask", "7", "priming", "--co2", "2.0", "--json").plain
    two = told("--demo", "ask", "7", "priming", "--co2", "2.8", "--json").plain
    assert one["asked"] == {"co2": "2.0"}
    assert one["figures"] != two["figures"]
    assert told("--demo", "ask", "7", "priming", "--co2", "lots").code == 2
