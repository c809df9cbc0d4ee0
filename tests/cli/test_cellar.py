"""`gylebook cellar`: what stands in bottles, and what warm weather does to it."""

from __future__ import annotations

import pytest


@pytest.fixture
def at_the_cellar(example, told):
    """The cellar of the example book, by command."""
    return lambda *args: told("--demo", "cellar", *args)


def test_it_tells_what_stands_there_as_the_page_does(at_the_cellar) -> None:
    answer = at_the_cellar()
    assert answer.code == 0
    found = at_the_cellar("--json").plain
    assert answer.out.startswith(found["headline"])
    assert found["shape"] == "cellar"
    assert found["brews"]
    for brew in found["brews"]:
        assert f"Brew {brew['brew']}, {brew['name']}" in answer.out
        assert {figure["key"] for figure in brew["figures"]} >= {"left", "co2", "warmest"}
        assert all(lot["left"] > 0 for lot in brew["lots"])


def test_what_if_it_gets_warm_lists_the_likeliest_first_and_writes_nothing(at_the_cellar) -> None:
    before = at_the_cellar("--json").plain
    found = at_the_cellar("--warm", "38", "--json").plain
    chances = [brew["chance"] for brew in found["what_if"]["brews"]]
    assert chances
    assert chances == sorted(chances, reverse=True)
    assert found["what_if"]["high"] == "38 °C"
    assert at_the_cellar("--json").plain == before
    text = at_the_cellar("--warm", "38").out
    assert "What if, everywhere, " in text
    assert "Chance that one is past its ceiling" in text


def test_a_place_takes_only_what_stands_there(at_the_cellar) -> None:
    everything = at_the_cellar("--warm", "38", "--json").plain["what_if"]
    place = everything["brews"][0]["place"]
    found = at_the_cellar("--warm", "38", "--place", place.upper(), "--json").plain["what_if"]
    assert found["brews"]
    assert {brew["place"] for brew in found["brews"]} == {place}


def test_the_working_of_each_figure_is_shown_where_it_is_asked_for(at_the_cellar) -> None:
    assert "Worked out" not in at_the_cellar("--warm", "38").out
    assert "drawn many times over" in " ".join(at_the_cellar("--warm", "38", "--working").out.split())


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (("--place", "garage"), "--warm: how warm it gets was not written"),
        (("--warm", "hot"), "As warm as:"),
        (("--warm", "30", "--from", "2026-12-02", "--to", "2026-12-01"), "Last day:"),
    ],
)
def test_what_cannot_be_read_is_refused_in_one_sentence(at_the_cellar, args: tuple[str, ...], words: str) -> None:
    answer = at_the_cellar(*args)
    assert answer.code != 0
    assert words in answer.err


def test_weather_is_written_told_next_and_taken_off(told, own_book) -> None:
    assert told("cellar").out.strip() == "No bottles stand in the cellar."
    spell = ("--place", "garage", "--high", "34", "--from-on", "2099-07-04", "--to-on", "2099-07-05")
    assert told("shelf", "warm_spell", *spell).code == 0
    assert (
        "Warm weather, garage, Sat 4 Jul 2099 to Sun 5 Jul 2099: up to 34 °C" in told("shelf", "--only", "spells").out
    )
    (weather,) = told("cellar", "--json").plain["weather"]
    assert (weather["name"], weather["place"], weather["high"]) == ("garage 2099-07-04", "garage", "34 °C")
    assert "Nothing stands in the garage that it could harm." in told("cellar").out
    assert told("shelf", "forget", "--thing", "warm weather", "--name", "garage 2099-07-04").code == 0
    assert told("cellar", "--json").plain["weather"] == []
