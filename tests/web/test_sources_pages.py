from __future__ import annotations

import html
import re
import tomllib
from pathlib import Path

import pytest

from gylebook import sources
from gylebook.sources import Standing
from gylebook.steps.sums import SUMS

PUBLISHED = Path(__file__).parents[1] / "published"


def test_every_source_is_listed_with_its_standing(reader, books):
    text = html.unescape(reader.get("/sources/").text)

    for source in sources.all().values():
        assert f'href="/sources/{source.key}/"' in text
        assert source.title in text
    for standing in Standing:
        assert standing.meaning in text


def test_the_list_can_be_narrowed_to_one_standing(reader, books):
    text = reader.get("/sources/", {"standing": "FROM_MEMORY"}).text
    wanted = [source for source in sources.all().values() if source.standing is Standing.FROM_MEMORY]

    assert wanted
    assert set(re.findall(r'href="/sources/(\w+)/"', text)) == {source.key for source in wanted}
    assert reader.get("/sources/", {"standing": "NONSENSE"}).status_code == 200


@pytest.mark.parametrize("key", list(sources.all()))
def test_a_source_shows_what_was_read_of_it_and_every_value_held_against_it(reader, books, key):
    response = reader.get(f"/sources/{key}/")
    text = html.unescape(response.text)
    checks = [
        check for file in sorted((PUBLISHED / key).glob("*.toml")) for check in tomllib.loads(file.read_text())["check"]
    ]

    assert response.status_code == 200
    assert sources.get(key).note in text
    assert text.count('<p class="found">') == len(checks)
    for check in checks:
        assert check["where"] in text
        assert check["tol_why"] in text
    assert len(re.findall(r'<a class="p" href="#science', text)) == len(checks)


def test_a_source_that_is_none_is_not_found(reader, books):
    assert reader.get("/sources/nothing/").status_code == 404


def test_a_working_leads_to_its_sources(reader, books):
    of = SUMS["priming"]
    text = reader.get("/reckon/priming/", of.example).text
    led = set(re.findall(r'href="/sources/(\w+)/"', text))

    assert {"co2_stoichiometry", "draper_hibberd_1996"} <= led
    for key in led:
        assert reader.get(f"/sources/{key}/").status_code == 200
