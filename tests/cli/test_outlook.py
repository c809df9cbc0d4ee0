"""`gylebook outlook` and the readings to come of `gylebook next`, on the example book."""

from __future__ import annotations

import re

import pytest

BREWS = tuple(str(number) for number in range(1, 9))


@pytest.mark.parametrize("brew", BREWS)
def test_every_brew_has_an_outlook_in_words_and_for_programs(told, example, brew: str) -> None:
    plain = told("--demo", "outlook", brew, "--json").plain
    assert (plain["shape"], plain["brew"]) == ("outlook", brew)
    text = told("--demo", "outlook", brew, "--working")
    assert (text.code, text.err) == (0, "")
    said = " ".join(text.out.split())
    assert said.startswith(f"Brew {brew}, {plain['name']}. Where is it going? {plain['headline']}")
    for figure in plain["figures"]:
        assert f"{figure['label']}: " in said
    assert max(map(len, text.out.splitlines())) <= 80
    assert not {"nan", "inf"} & set(re.split(r"[\s(),;:]+", text.out))
    assert "None" not in text.out


def test_a_running_brew_tells_stories_rules_and_the_next_reading(told, example) -> None:
    plain, text = told("--demo", "outlook", "4", "--json").plain, told("--demo", "outlook", "4").out
    said = " ".join(text.split())
    assert plain["stories"]
    assert f"{plain['stories'][0]['name']} (likeliest): chance {plain['stories'][0]['figures'][0]['words']}" in said
    assert "What the rules of the trade say" in said
    assert "Two equal readings: " in said
    assert f"{plain['next_reading']['why']}" in said
    assert "half " in said
    assert "those named “half” hold as often as not" in said
    assert "that is free information" in said
    assert said.rstrip(".").endswith("a halt looks like an end to any hydrometer")


def test_the_forecast_can_be_had_by_day(told, example) -> None:
    text = told("--demo", "outlook", "4", "--by-day").out
    rows = re.findall(r"^  \w{3} \d+ \w{3} +((?:1\.\d{4} *){5})$", text, re.MULTILINE)
    assert len(rows) > 10
    for row in rows:
        values = row.split()
        assert values == sorted(values)
    assert re.search(r"^ +5 % +25 % +50 % +75 % +95 %$", text, re.MULTILINE)
    assert "1.0" in text
    assert "95 %" not in told("--demo", "outlook", "8", "--by-day").out


def test_before_the_yeast_nothing_is_forecast(told, example) -> None:
    plain = told("--demo", "outlook", "8", "--json").plain
    assert (plain["forecast"], plain["fan"]) == (None, None)
    assert "It has not begun" in told("--demo", "outlook", "8").out


def test_a_brew_that_is_not_there_is_refused(told, example) -> None:
    answer = told("--demo", "outlook", "99")
    assert answer.code == 2
    assert "There is no brew 99 in this book" in answer.err


def test_next_tells_every_running_brew_the_next_reading_and_why(told, example) -> None:
    plain = told("--demo", "next", "--json").plain
    text = " ".join(told("--demo", "next").out.split())
    due = {task["brew"] for task in plain["tasks"] if task["act"] == "reading"}
    later = {coming["brew"] for coming in plain["readings_to_come"]}
    assert not due & later
    for coming in plain["readings_to_come"]:
        assert coming["why"] in text
        assert f"Brew {coming['brew']}, {coming['name']}: " in text
    running = {b for b in BREWS if told("--demo", "outlook", b, "--json").plain["next_reading"]["at"] is not None}
    assert running
    pressing = {task["brew"] for task in plain["tasks"] if task["urgency"] in {"Danger", "Act today"}}
    assert running <= due | later | pressing
    assert [coming["brew"] for coming in told("--demo", "next", "4", "--json").plain["readings_to_come"]] == ["4"]


def test_a_sums_fan_is_in_its_answer_for_programs(told) -> None:
    plain = told("reckon", "forecast", "--original", "1.042", "--readings", "day 4: 1.018", "--json").plain
    assert plain["fan"]["day"][0] == 0
    assert len(plain["fan"]["gravity_q05_sg"]) == len(plain["fan"]["day"])
    assert "fan" not in told("reckon", "gravity", "--gravity", "1.040", "--json").plain


def test_a_bad_line_is_told_in_one_sentence_that_names_it(told) -> None:
    answer = told("reckon", "forecast", "--original", "1.042", "--readings", "day 4: 1.018", "--readings", "froth")
    assert answer.code == 2
    assert answer.err.startswith("Readings, line 2: “froth” does not begin with a day")
    assert answer.err.count("\n") == 1
