"""The first steps of a new book: ticked off by what stands in it, gone with the first bottles or when put away."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from web.sent_forms import has_class, words
from web.walking import tree

KIT = {"name": "Plain pale", "ingredients": "1.7 kg liquid malt extract", "volume": "21 L", "yeast_mass": "6 g"}
ON_THE_WAY = (
    ("/stores/kits/new/", {"act": "keep_kit", **KIT}, "Enter the kit's leaflet"),
    (
        "/settings/instruments/",
        {"act": "keep_instrument", "name": "tall", "what": "hydrometer"},
        "Float the hydrometer",
    ),
    (
        "/stores/bottles/",
        {"act": "keep_bottles", "name": "halves", "kind": "returnable_500", "size": "500 mL", "count": "45"},
        "Count your empty bottles",
    ),
    ("/brews/new/?kit=Plain+pale", {"act": "plan", "kit": "Plain pale", "name": "First pale"}, "Plan the brew"),
    ("/brews/1/mixing/", {"act": "mix", "volume": "21 L"}, "Mix it"),
    ("/brews/1/readings/", {"act": "reading", "gravity": "1.040", "temp": "20 °C"}, "Read the gravity before"),
    ("/brews/1/pitching/", {"act": "pitch", "temp": "20 °C", "mass": "6 g"}, "Pitch the yeast"),
)


@pytest.fixture
def client(books):
    return Client()


def steps(client):
    """The steps as they stand on Today: words, whether done, where they lead."""
    found = has_class(client.get("/").content.decode(), "first-brew")
    items = [node for section in found for node in section.below() if node.tag == "li"]
    return [
        (
            words(item),
            "done" in item.classes,
            next((node.attrs["href"] for node in item.below() if node.tag == "a"), ""),
        )
        for item in items
    ]


def write(client, url, fields):
    page = client.get(url).content.decode()
    known = re.search(r'name="command_id" value="([^"]+)"', page)
    answer = client.post(url.partition("?")[0], {**fields, "command_id": known[1] if known else "once"})
    assert answer.status_code == 302, words(tree(answer.content.decode()))[:600]


def test_an_empty_book_begins_with_the_way_to_the_first_bottles(client):
    found = steps(client)
    assert len(found) == 10
    assert not any(done for _, done, _ in found)
    assert [bool(url) for _, _, url in found] == [True] * 4 + [False] * 6  # what needs a brew leads nowhere yet
    for _, _, url in found[:4]:
        assert client.get(url).status_code == 200
    assert all(re.search(r"[.;]", text) for text, _, _ in found)  # each with its sentence of why


def test_each_step_ticks_itself_off_when_its_entry_is_written(client):
    for place, (url, fields, called) in enumerate(ON_THE_WAY):
        text, done, goal = steps(client)[place]
        assert called in text
        assert not done
        assert client.get(goal).status_code == 200
        write(client, url, fields)
        assert steps(client)[place][1], called
    page = client.get("/").content.decode()
    assert "Read again towards the end" in words(has_class(page, "next")[0])
    for gravity in ("1.012", "1.012"):
        write(client, "/brews/1/readings/", {"act": "reading", "gravity": gravity, "temp": "20 °C"})
    assert "Weigh the sugar" in words(has_class(client.get("/").content.decode(), "next")[0])


def test_they_go_when_the_first_brew_is_in_bottles(client):
    for url, fields, _ in ON_THE_WAY[3:]:
        write(
            client,
            url.partition("?")[0],
            {**fields, "kit": "", "ingredients": "1.7 kg liquid malt extract", "volume": "21 L"},
        )
    assert len(steps(client)) == 9  # brewed from no kit, so no leaflet is asked for any more
    write(client, "/brews/1/bottling/", {"act": "bottle", "lots": "40 x 500 mL brown returnable"})
    assert steps(client) == []


def test_they_can_be_put_away(client):
    assert client.post("/first-steps/away/")["Location"] == "/"
    assert steps(client) == []
    assert client.get("/first-steps/away/").status_code == 405


def test_a_book_with_several_brews_needs_no_first_steps(filled_book, client):
    assert steps(client) == []


def test_what_can_no_longer_be_done_is_not_asked_for(client):
    plan = {"act": "plan", "name": "First pale", "ingredients": "1.7 kg liquid malt extract", "volume": "21 L"}
    write(client, "/brews/new/", plan)
    write(client, "/brews/1/pitching/", {"act": "pitch", "temp": "20 °C"})
    told = " ".join(text for text, _, _ in steps(client))
    assert "before the yeast goes in" not in told
    assert "Mix it" not in told
    assert "Read again towards the end" in told
