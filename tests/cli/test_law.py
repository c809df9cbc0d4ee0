"""`gylebook law`: the card of the settings, of another country, and the year's wort."""

from __future__ import annotations


def test_without_a_country_it_says_to_choose_one(own_book, told) -> None:
    answer = told("law")
    assert answer.code == 0
    assert "Choose your country in the settings" in " ".join(answer.out.split())
    assert "no legal advice" in answer.out
    found = told("law", "--json").plain
    assert (found["shape"], found["country"], found["lines"], found["this_year"]) == ("law", None, [], None)


def test_it_tells_the_card_of_the_settings(own_book, told) -> None:
    assert told("shelf", "keep_settings", "--country", "Ireland").code == 0
    found = told("law", "--json").plain
    assert found["country"] == "Ireland"
    assert {line["topic"] for line in found["lines"]} >= {"making", "selling", "giving", "distilling"}
    for line in found["lines"]:
        assert line["sources"]
        assert line["as_of"]
        assert line["from_memory"] in {"no", "in part", "yes"}
    assert told("law").out.startswith("The law of Ireland")


def test_what_was_brewed_this_year_is_told_with_its_working(example, told) -> None:
    found = told("--demo", "law", "--country", "Germany", "--json").plain["this_year"]
    brewed, allowed, left = found["figures"]
    assert (brewed["key"], allowed["value"]) == ("brewed", 500.0)
    assert left["value"] == 500.0 - brewed["value"]
    assert "de_bierstv_41" in told("--demo", "law", "--country", "Germany", "--working").out


def test_a_country_that_there_is_not_is_refused_in_one_sentence(own_book, told) -> None:
    answer = told("law", "--country", "Narnia")
    assert answer.code != 0
    assert "“Narnia” has no card; choose one of UK," in answer.err
