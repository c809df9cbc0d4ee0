"""What to do with bottles that may burst is one tap away from every page, whoever reads it and whatever is broken."""

from __future__ import annotations

import pytest
from django.test import Client

from gylebook.errors import StoreUnavailable
from gylebook.store import brew_log
from web.sent_forms import words
from web.walking import Walk, tree

WORDS = "Bottles that may burst"
PAGE = "/dangerous-bottles/"


def ways(page):
    """Where in the page the way to those bottles stands: the names of what it stands in.

    Pocket, which opens without the network, carries the advice in itself.
    """
    return [
        {node.tag for node in link.above()}
        for link in page.below()
        if link.tag == "a"
        and (link.attrs.get("href") or "").endswith((PAGE, "#burst"))
        and words(link).strip() == WORDS
    ]


def at_the_head(page):
    return any("header" in around for around in ways(page))


def test_from_every_page(filled_book, client):
    walk = Walk(client)
    seen = [
        *walk.reached("/", r"(?!/brews/\d|/sources/.)"),
        *walk.reached("/brews/4/", r"/brews/4/"),
        *walk.reached("/brews/3/", r"/brews/3/"),
    ]
    assert len(seen) > 100
    assert [url for url in seen if not at_the_head(walk.page(url))] == []


def test_from_the_demo_it_stays_in_the_demo(reader):
    links = [node.attrs["href"] for node in tree(reader.get("/demo/brews/").text).below() if "burst" in node.classes]
    assert links == ["/demo/dangerous-bottles/"]


@pytest.mark.parametrize("url", ["/no-such-page/", "/brews/999/", "/brews/new/?kit=none"])
def test_from_the_pages_of_what_went_wrong(reader, url):
    assert at_the_head(tree(reader.get(url).text))


def test_from_a_refused_form_and_a_name_that_is_not_ours(books):
    refused = Client(enforce_csrf_checks=True).post("/look/", {"look": "dark"})
    assert refused.status_code == 403
    assert at_the_head(tree(refused.text))
    strange = Client().get("/", headers={"host": "evil.example"})
    assert strange.status_code == 400
    assert at_the_head(tree(strange.text))


def test_from_the_page_that_asks_for_the_password_and_without_giving_it(shared, reader):
    assert at_the_head(tree(reader.get("/account/sign-in/").text))
    response = reader.get(PAGE)
    assert response.status_code == 200
    assert "Keep away" in response.text
    slip = reader.get(f"{PAGE}slip/")
    assert slip.status_code == 200
    assert slip["Content-Type"] == "application/pdf"


def test_what_a_stranger_reads_there_tells_nothing_of_the_book(shared, filled_book, settings):
    settings.SIGN_IN_REQUIRED = True
    page = Client().get(PAGE).text
    for name in ("Tansy", "Lantern", "owner", "No. 4"):
        assert name not in page


def test_it_opens_while_the_database_does_not(shared, reader, monkeypatch):
    def broken(*_args, **_named):
        raise StoreUnavailable("The book cannot be used.")

    monkeypatch.setattr(brew_log, "read_shelf", broken)
    fault = reader.get("/settings/", follow=True)
    response = reader.get(PAGE)
    assert response.status_code == 200
    assert "Keep away" in response.text
    assert at_the_head(tree(fault.text))
    assert reader.get(f"{PAGE}slip/").status_code == 200
