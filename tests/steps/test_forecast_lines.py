"""Readings and temperatures typed in by day: what is understood, and what a line that is not is told."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.errors import InputError, InputErrors
from gylebook.steps.forecast_lines import MOST_DAYS, MOST_READINGS, read_readings, read_warmth


@pytest.mark.parametrize(
    ("line", "day", "gravity", "temp", "fizz"),
    [
        ("day 4: 1.020", 4, "1.020 SG", None, ""),
        ("4 1.020", 4, "1.020 SG", None, ""),
        ("Day 4.5 : 1,020", 4.5, "1,020 SG", None, ""),
        ("0: 1.042 SG", 0, "1.042 SG", None, ""),
        ("day 7: 1.013 at 21 °C", 7, "1.013 SG", "21 °C", ""),
        ("day 7: 1.013 at 70F, fizzy", 7, "1.013 SG", "70 °F", "fizzy"),
        ("7 3.2 °P, flat", 7, "3.2 °P", None, "flat"),
        ("day 9: 1.012, some fizz", 9, "1.012 SG", None, "some"),
        ("Tag 9: 1,012 bei 21 °C, sprudelnd", 9, "1,012 SG", "21 °C", "fizzy"),
    ],
)
def test_a_reading_is_understood(line: str, day: float, gravity: str, temp: str | None, fizz: str) -> None:
    (found,) = read_readings(line, "Readings")
    assert (found.day, str(found.gravity), str(found.temp) if found.temp else None, found.fizz) == (
        day,
        gravity,
        temp,
        fizz,
    )


def test_readings_come_in_the_order_of_their_days_and_empty_lines_are_passed_over() -> None:
    found = read_readings("day 9: 1.012\n\n4 1.020\n", "Readings")
    assert [each.day for each in found] == [4, 9]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("1.020", "Readings, line 2: “1.020” does not begin with a day; write such as day 4: 1.020."),
        ("day four: 1.020", "Readings, line 2: “day four: 1.020” does not begin with a day"),
        ("day 4: thick", "Readings, line 2: “thick”"),
        ("day 4: 1020", "Did you mean 1.020?"),
        ("day 400: 1.020", "Readings, line 2: day 400 cannot be; write days since the yeast went in, at most 120."),
        ("day 4: 1.020, green", "“green” was not understood; after a comma write flat, some or fizzy."),
        ("day 4: 1.020 at warm", "Readings, line 2: “warm”"),
        ("day 4: 1.020 at 90 °C", "Readings, line 2: 90 °C cannot be"),
        ("day 4: 1.020 at ", "Readings, line 2"),
    ],
)
def test_a_line_that_cannot_be_is_told_by_its_number_in_one_sentence(line: str, told: str) -> None:
    with pytest.raises(InputError) as caught:
        read_readings(f"day 1: 1.040\n{line}\nday 9: 1.012", "Readings")
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)


def test_all_bad_lines_are_told_at_once() -> None:
    with pytest.raises(InputErrors) as caught:
        read_readings("soup\nday 4: 1.020\nbread", "Readings")
    assert [each.field for each in caught.value.errors] == ["Readings, line 1", "Readings, line 3"]


def test_more_readings_than_a_hydrometer_gives_are_refused() -> None:
    text = "\n".join(f"day {day}: 1.012" for day in range(MOST_READINGS + 1))
    with pytest.raises(InputError, match=f"write the {MOST_READINGS} that matter most"):
        read_readings(text, "Readings")


def test_one_temperature_holds_from_the_first_day_and_others_from_theirs() -> None:
    assert read_warmth("20 °C", "Temperature") == ((0.0, 20.0),)
    assert read_warmth("20", "Temperature") == ((0.0, 20.0),)
    found = read_warmth("day 5: 64.4F\n20", "Temperature")
    assert found[0] == (0.0, 20.0)
    assert found[1] == (5.0, pytest.approx(18.0))
    assert read_warmth("3: 18", "Temperature") == ((3.0, 18.0),)
    assert read_warmth("Tag 3: 18", "Temperature") == ((3.0, 18.0),)


@pytest.mark.parametrize("line", ["warm", "day 3", "day 3: hot", "55 °C", "day 3: -8 °C"])
def test_a_temperature_that_cannot_be_is_refused_by_its_line(line: str) -> None:
    with pytest.raises(InputError, match=r"Temperature, line 1"):
        read_warmth(line, "Temperature")


@given(
    day=st.integers(0, int(MOST_DAYS)),
    points=st.integers(-5, 120),
    temp=st.none() | st.integers(1, 39),
    fizz=st.sampled_from(["", "flat", "some", "fizzy"]),
    start=st.sampled_from(["day {}: ", "{} ", "{}: ", "Day {} "]),
)
def test_what_is_written_in_the_grammar_reads_back(day, points, temp, fizz, start) -> None:
    text = f"{1 + points / 1000:.3f}"
    line = start.format(day) + text + (f" at {temp} °C" if temp else "") + (f", {fizz}" if fizz else "")
    (found,) = read_readings(line, "Readings")
    assert (found.day, found.gravity.text, found.fizz, found.line) == (day, text, fizz, line)
    assert (found.temp.number() if found.temp else None) == temp


@given(text=st.text(max_size=60))
def test_whatever_is_typed_is_understood_or_refused_in_words(text: str) -> None:
    for read in (read_readings, read_warmth):
        refused = ""
        try:
            read(text, "Readings")
        except InputError as error:
            refused = str(error)
        assert not refused or "Readings" in refused
