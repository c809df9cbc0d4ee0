"""Filters of the templates: they must not forget how a sentence was made, or it comes out in English."""

from __future__ import annotations

import pytest
from django.template import engines

from gylebook.journal.book_file import SOURCES
from gylebook.outputs.measures import Measures
from gylebook.outputs.voices import voice
from gylebook.phrases import say, speaking
from gylebook.web.templatetags.book import way_in

MIXED, RACKED = say("mixed"), say("racked")


@pytest.fixture
def told_in_german():
    def told(template, **context):
        with speaking(voice("de", Measures)):
            return engines["django"].from_string(template).render(context)

    return told


def test_what_is_begun_with_a_capital_is_told_in_the_readers_language(told_in_german):
    german = told_in_german("{{ text }}", text=MIXED)
    assert german != "mixed"
    assert told_in_german("{{ text|begun }}", text=MIXED) == german[0].upper() + german[1:]


def test_the_brewers_own_name_is_begun_with_a_capital(told_in_german):
    assert told_in_german("{{ text|begun }}", text="under <the> stairs") == "Under &lt;the&gt; stairs"


def test_items_one_after_another_keep_their_capitals_where_the_language_wants_them(told_in_german):
    beer = say("Beer")
    german = told_in_german("{{ text }}", text=beer)
    assert german[0].isupper()
    assert told_in_german('{{ items|joined:", "|lower }}', items=[beer, beer]) == f"{german}, {german}"


def test_a_text_in_lines_is_told_and_escaped(told_in_german):
    german = told_in_german("{{ text }}", text=RACKED)
    assert told_in_german("{{ text|in_lines }}", text=RACKED) == german
    assert told_in_german("{{ text|in_lines }}", text="1 kg <malt>\n2 kg") == "1 kg &lt;malt&gt;<br>2 kg"


def test_every_way_into_the_book_has_a_word():
    assert [way_in(source) for source in SOURCES] == list(SOURCES)
