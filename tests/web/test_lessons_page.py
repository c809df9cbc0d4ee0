"""The page of what was learned: told, forgotten and learned again from finished brews. All of them are invented."""

from __future__ import annotations

import pytest

from gylebook.steps import learning
from gylebook.steps.learned import Taught, Told
from gylebook.store import brew_log
from web import stocked

SAID = "attenuation of Millpond bitter: learned from 1 of your brews"


@pytest.fixture
def taught_book(stocked_book, post, monkeypatch):
    """A book whose first brew is closed and teaches something."""

    def taught(brew, _shelf):
        return Taught(
            brew.id,
            stocked.NOW,
            kit="Millpond bitter",
            vessel="white bucket",
            attenuation=Told(-0.05, 0.02),
            lost_l=Told(2.5, 0.3),
            offset=Told(0.001, 0.001),
            offset_of="long hydrometer",
        )

    monkeypatch.setattr(learning, "taught", taught)
    response = post("/brews/1/plan/", {"act": "close", "command_id": "close-one"})
    assert response.status_code == 302, response.text
    return stocked_book


def test_a_book_without_finished_brews_says_what_would_teach(stocked_book, reader):
    page = reader.get("/settings/learned/").text
    assert "Nothing yet: a brew teaches once it is closed" in page
    assert '<a href="/settings/learned/">' in reader.get("/settings/").text


def test_what_was_learned_is_told_there_and_beside_the_gear(taught_book, reader):
    assert SAID in reader.get("/settings/learned/").text
    assert "white bucket: learned from 1 of your brews" in reader.get("/settings/vessels/").text
    assert "long hydrometer: learned from 1 of your brews" in reader.get("/settings/instruments/").text
    assert "learned from" not in reader.get("/settings/places/").text


def test_it_is_forgotten_and_learned_again_from_the_page(taught_book, post, reader):
    response = post(
        "/settings/learned/", {"act": "keep_lessons", "what": "forget", "command_id": "gone", "until": "2030-01-01"}
    )
    assert response.status_code == 302
    page = reader.get(response.url).text
    assert SAID not in page
    assert "Some lessons are forgotten" in page
    response = post("/settings/learned/", {"act": "keep_lessons", "what": "count_again", "command_id": "back"})
    assert SAID in reader.get(response.url).text
    assert brew_log.read_shelf().forgotten == {}


def test_a_kit_that_taught_nothing_cannot_be_forgotten(taught_book, post):
    response = post(
        "/settings/learned/",
        {"act": "keep_lessons", "what": "forget", "thing": "kit", "name": "never brewed", "command_id": "x"},
    )
    assert response.status_code in {404, 422}
    assert "No finished brew taught anything of a kit “never brewed”; known: Millpond bitter." in response.text
