from __future__ import annotations

import re

from gylebook.store import brew_log


def sections(text):
    return dict(re.findall(r"<section[^>]*><h2[^>]*>(.*?)</h2>(.*?)</section>", text, re.DOTALL))


def test_an_empty_cellar_says_so_and_how_a_brew_comes_there(reader, books):
    text = reader.get("/cellar/").text

    assert "No bottles stand in the cellar." in text
    assert "/settings/places/" in text


def test_dangerous_bottles_come_first_with_what_to_do(stocked_book, reader):
    text = reader.get("/cellar/").text
    first = sections(text)["Look at these first"]

    assert text.index("Garage wheat") < text.index("Cellar bitter")
    assert "Garage wheat" in first
    assert "Danger" in first
    assert "/dangerous-bottles/" in first
    assert "not fit for it" in first


def test_a_bottle_that_is_not_known_is_looked_for_by_its_cap_and_treated_as_the_liveliest(stocked_book, reader):
    text = reader.get("/cellar/").text

    assert "Which brew is this bottle?" in text
    assert "treat it as the liveliest" in text


def test_the_headline_counts_brews_in_words(stocked_book, reader):
    text = " ".join(re.sub(r"<[^>]*>", " ", reader.get("/cellar/").text).split())

    assert re.search(r"of 2 brews; look at (one brew|2 brews) first\b", text)
    assert "of them first" not in text


def test_the_book_says_what_it_does_not_cover(reader, books):
    text = reader.get("/about/").text

    assert "fermenting beer makes no dangerous amount of it" in text
    assert "does not cover it" in text


def test_each_kind_of_bottle_is_told_with_what_it_has_to_bear_and_is_fit_for(stocked_book, reader):
    text = reader.get("/cellar/").text
    lots = [part.split('<div class="acts">')[0] for part in text.split('<ul class="lots">')[1:]]

    assert len(lots) == 2
    assert "330 mL clear" in lots[0]
    assert "500 mL brown halves" in lots[0]
    for lot in lots:
        assert "<dt>Has to bear when warmest</dt>" in lot
        assert "<dt>Habit fills them to</dt>" in lot
        assert "bar</span>" in lot


def test_bottles_that_were_taken_out_are_off_the_count(stocked_book, reader):
    text = reader.get("/cellar/").text

    assert re.search(r"Cellar bitter.*?<dt>Bottles left</dt><dd>.*?class=\"value\">37<", text, re.DOTALL)


def test_the_acts_lead_to_their_forms(stocked_book, reader):
    text = reader.get("/cellar/").text

    for act in ("open_bottle", "take_out"):
        link = re.search(rf'href="([^"]*act={act})#write"', text)[1]
        page = reader.get(link)
        assert page.status_code == 200
        assert f'name="act" value="{act}"' in page.text


def test_the_page_is_made_from_cards_alone(stocked_book, reader, monkeypatch):
    reader.get("/cellar/")  # cards that are out of date are made anew once

    def read(*_args, **_kwargs):
        raise AssertionError("a log was read")

    monkeypatch.setattr(brew_log, "read", read)
    assert "Garage wheat" in reader.get("/cellar/").text


def test_every_number_leads_to_its_working(stocked_book, reader):
    main = reader.get("/cellar/").text.split("<main", 1)[1].split("</main>", 1)[0]
    bare = re.sub(
        r'<a class="p".*?</a>|<details class="fig">.*?</details>|<span class="ink">.*?</span>|<small class="ink">.*?</small>|<span class="no">.*?</span>',
        "",
        main,
        flags=re.DOTALL,
    )

    assert not re.search(r">[^<]*\d[^<]*<", bare), re.findall(r">[^<]*\d[^<]*<", bare)


def test_a_brew_whose_bottles_are_all_gone_is_not_in_the_cellar(stocked_book, reader, post):
    post("/brews/1/conditioning/", {"act": "take_out", "count": "37", "to": "drunk"})

    assert "Cellar bitter" not in reader.get("/cellar/").text


def test_a_large_cellar_goes_on_over_pages(stocked_book, reader, monkeypatch):
    monkeypatch.setattr("gylebook.web.cellar.views._PAGE", 1)
    first, second = (reader.get("/cellar/", {"page": number}).text for number in (1, 2))

    assert "Garage wheat" in first
    assert "Cellar bitter" not in first
    assert "Cellar bitter" in second
    assert "81</a> bottles" in first
    assert "81</a> bottles" in second
    assert 'href="?page=2"' in first
    assert "?page=3" not in second
    assert reader.get("/cellar/?page=99").status_code == 200
    assert reader.get("/cellar/?page=all").status_code == 200
