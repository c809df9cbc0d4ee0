"""Two brews side by side on a page: chosen from the list, and only what differs told. All brews are invented."""

from __future__ import annotations

from gylebook.journal import events as ev
from gylebook.steps.decision import Decision
from gylebook.store import brew_log
from gylebook.units import Quantity
from web.demo_filled import NOW
from web.sent_forms import has_class, words
from web.walking import tree


def test_tasting_leads_to_the_choice_and_the_choice_to_what_differs(filled_book, reader):
    tasting = reader.get("/brews/7/tasting/").content.decode()
    assert 'href="/brews/7/beside/"' in tasting
    assert "beside" not in reader.get("/brews/7/priming/").content.decode()
    which = reader.get("/brews/7/beside/").content.decode()
    assert 'href="/brews/7/beside/3/"' in which
    assert 'href="/brews/7/beside/7/"' not in which
    page = reader.get("/brews/7/beside/3/")
    assert page.status_code == 200
    html = page.content.decode()
    assert "one comparison" in html
    assert 'href="/brews/3/"' in html
    assert 'href="/brews/7/"' in html


def test_what_differs_stands_in_pencil_with_its_working_under_each_brews_number(filled_book, reader):
    html = reader.get("/brews/7/beside/3/").content.decode()
    (options,) = has_class(html, "options")
    rows = [node for node in options.children if getattr(node, "tag", "") == "li"]
    assert rows
    labels = {words(node).strip() for node in options.below() if node.tag == "dt"}
    assert labels == {"Brew 7", "Brew 3"}
    figures = [node for node in options.below() if "fig" in node.classes]
    assert len(figures) >= 2
    assert all(any("working" in child.classes for child in figure.below()) for figure in figures)
    headline = next(node for node in tree(html).below() if node.attrs.get("id") == "answer-headline")
    assert any("p" in node.classes for node in headline.below())


def test_what_is_alike_is_left_out(filled_book, reader):
    html = reader.get("/brews/7/beside/3/").content.decode()
    (options,) = has_class(html, "options")
    names = [words(node).strip() for node in options.below() if node.tag == "h3"]
    assert len(names) == len(set(names))
    assert len(names) < 15


def test_a_brew_beside_itself_or_beside_none_is_not_found(filled_book, reader):
    same = reader.get("/brews/7/beside/7/")
    assert same.status_code == 404
    assert "does not differ from itself" in same.content.decode()
    for address in ("/brews/7/beside/99/", "/brews/99/beside/7/", "/brews/99/beside/", "/brews/7/beside/x/"):
        assert reader.get(address).status_code == 404, address
    assert reader.post("/brews/7/beside/3/").status_code in {403, 405}


def test_a_book_of_one_brew_says_that_there_is_no_other(books, reader):
    event = ev.Planned(name="Alone")
    brew_log.start_brew(
        lambda _brew: Decision(((NOW, event),)), actor="owner", source="page", command_id="alone", now=NOW
    )
    assert "No other brew is in this book yet." in reader.get("/brews/1/beside/").content.decode()


def test_an_entry_that_cannot_be_reckoned_with_stops_the_comparison_and_not_the_page(filled_book, reader):
    odd = ev.Mixed(volume=Quantity("0", "L"), ingredients=())
    brew_log.change("7", lambda _brew: Decision(((NOW, odd),)), actor="owner", source="page", command_id="odd", now=NOW)
    assert reader.get("/brews/7/beside/3/").status_code == 200


def test_the_choice_goes_on_over_pages(books, reader):
    for number in range(1, 55):
        event = ev.Planned(name=f"Invented {number}")
        brew_log.start_brew(
            lambda _brew, event=event: Decision(((NOW, event),)),
            actor="owner", source="page", command_id=f"many-{number}", now=NOW,
        )  # fmt: skip
    first = reader.get("/brews/1/beside/").content.decode()
    assert "Invented 54" in first
    assert "Invented 2<" not in first
    older = next(node.attrs["href"] for node in tree(first).below() if "before=" in node.attrs.get("href", ""))
    assert "Invented 2<" in reader.get(f"/brews/1/beside/{older}").content.decode()
