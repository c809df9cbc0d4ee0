from __future__ import annotations

import html
import re

import pytest
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gylebook.steps.sums import SUMS

NONSENSE = st.one_of(
    st.text(st.characters(exclude_categories=["Cs"]), max_size=40),
    st.sampled_from(
        [
            "1.040",
            "0",
            "-5",
            "20 °C",
            "1e9",
            "nan",
            "5 gal",
            "24 x 500 mL brown returnable",
            "1 kg sugar\nsoup",
            "99999999 L",
        ]
    ),
    st.from_regex(r"-?\d{1,5}([.,]\d{1,4})? ?(kg|g|L|mL|°C|°F|SG|°P|vol|bar|%)?", fullmatch=True),
)


def test_the_list_names_every_sum_with_the_question_that_it_answers(reader, books):
    text = reader.get("/reckon/").text

    for of in SUMS.values():
        assert f'href="/reckon/{of.word}/"' in text
        assert of.question in text


@pytest.mark.parametrize("word", list(SUMS))
def test_a_sum_asks_first_and_tells_its_defaults_with_their_reasons(reader, books, word):
    response = reader.get(f"/reckon/{word}/")

    assert response.status_code == 200
    assert 'id="answer-headline"' not in response.text
    for field in SUMS[word].fields:
        if field.default and field.reason:
            assert f": {field.reason}." in response.text.replace("&#x27;", "'"), field.name


@pytest.mark.parametrize("word", list(SUMS))
def test_the_example_is_an_address_that_gives_the_answer_with_its_working(reader, books, word):
    link = re.search(r'href="([^"#]+)#answer-headline">Show me an example', reader.get(f"/reckon/{word}/").text)[1]
    response = reader.get(link.replace("&amp;", "&"))

    assert response.status_code == 200
    assert 'id="answer-headline"' in response.text
    assert 'class="working"' in response.text
    assert "Nothing to do" not in response.text  # beside "Weigh 117 g" it would contradict
    for name, text in SUMS[word].example.items():
        if "\n" not in text:
            assert text.split()[0] in response.text, name


@pytest.mark.parametrize("word", list(SUMS))
def test_every_number_of_an_answer_is_pencil_that_opens_its_working(reader, books, word):
    """Outside of workings and the form, a number stands in pencil, or in words that a step gives as a rule or caution."""
    of = SUMS[word]
    text = reader.get(f"/reckon/{word}/", of.example).text
    answer = text.split('<section class="answer', 1)[1].split("</section>", 1)[0]
    bare = re.sub(r'<a class="p".*?</a>|<details class="fig">.*?</details>', "", answer, flags=re.DOTALL)

    assert not re.search(r">[^<]*\d[^<]*<", html.unescape(bare).replace("CO2", "")), bare


def test_a_sum_that_is_none_is_not_found(reader, books):
    assert reader.get("/reckon/astrology/").status_code == 404


def test_a_fault_stands_beside_its_field_and_nothing_typed_is_lost(reader, books):
    response = reader.get("/reckon/priming/", {"volume": "a bucket", "store": "18"})

    assert response.status_code == 422
    assert 'value="a bucket"' in response.text
    assert 'id="e-volume"' in response.text
    assert 'id="answer-headline"' not in response.text


def test_a_gallon_without_a_country_is_refused_with_both(reader, books):
    response = reader.get("/reckon/priming/", {"volume": "5 gal"})

    assert response.status_code == 422
    assert "UK and the US" in response.text


def test_the_unit_chosen_beside_the_number_counts(reader, books):
    litres = reader.get(
        "/reckon/dilution/", {"gravity": "1.050", "volume": "20", "volume-unit": "L", "water": "2 L"}
    ).text
    gallons = reader.get(
        "/reckon/dilution/", {"gravity": "1.050", "volume": "20", "volume-unit": "US gal", "water": "2 L"}
    ).text

    assert headline(litres) != headline(gallons)


def headline(text):
    return re.sub(r"<[^>]+>", "", re.search(r'id="answer-headline">(.*?)</h2>', text, re.DOTALL)[1])


def test_nothing_is_written(stocked_book, reader):
    from gylebook.store import brew_log, rows

    before = rows.count("default")
    for of in SUMS.values():
        reader.get(f"/reckon/{of.word}/", of.example)

    assert rows.count("default") == before
    assert brew_log.read_shelf().settings.brewer == "A. Maltby"


@pytest.mark.parametrize("word", list(SUMS))
@given(data=st.data())
@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))
def test_whatever_is_asked_is_answered_or_refused_in_words(books, word, data):
    of = SUMS[word]
    spoilt = data.draw(st.lists(st.sampled_from([field.name for field in of.fields]), unique=True, max_size=4))
    asked = {**of.example, **{name: data.draw(NONSENSE, label=name) for name in spoilt}}
    asked |= {f"{name}-unit": data.draw(st.sampled_from(["", "L", "°F", "°P", "nonsense"])) for name in spoilt}
    if data.draw(st.booleans()):
        asked["confirm"] = spoilt

    response = Client().get(f"/reckon/{word}/", asked)

    assert response.status_code in (200, 422)
    assert ('id="answer-headline"' in response.text) == (response.status_code == 200), asked
    told = html.unescape(re.sub(r"<[^>]+>", " ", response.text.split('<section class="write"', 1)[0]))
    if not any(word in str(value) for value in asked.values() for word in ("nan", "inf", "None")):
        assert not re.search(r"\b(nan|inf|None)\b", told), told
