"""The law where the brewer lives: its page, and where it is led to."""

from __future__ import annotations

import re

from gylebook.journal.events import SettingsKept
from gylebook.steps.chosen import COUNTRIES
from gylebook.steps.decision import Decision
from gylebook.store import brew_log
from web.stocked import NOW


def choose(country):
    brew_log.change_shelf(
        lambda _shelf: Decision(((NOW, SettingsKept(country=country)),)),
        actor="owner", source="page", command_id=f"law-{country}", now=NOW,
    )  # fmt: skip


def test_without_a_country_it_says_to_choose_one_and_what_holds_everywhere(books, reader):
    text = reader.get("/law/").text
    assert '<a class="touch" href="/settings/#write">Choose your country' in text
    assert "no legal advice" in text
    assert "not for sale" in text
    assert 'class="law-line"' not in text


def test_it_shows_the_card_of_the_settings_and_leads_to_all_others(stocked_book, reader):
    text = reader.get("/law/").text
    assert "The law of the United Kingdom" in text
    assert "HM Revenue &amp; Customs" in text
    assert 'href="/sources/uk_finance_2_2023/"' in text
    assert "This calendar year" not in text
    for country, _ in COUNTRIES:
        assert (f'href="/law/?country={country.replace(" ", "%20")}"' in text) == (country != "UK")


def test_another_country_is_said_not_to_be_the_readers_own(stocked_book, reader):
    text = reader.get("/law/?country=New%20Zealand").text
    assert "The law of New Zealand" in text
    assert "This is not the country of your settings." in text


def test_a_country_that_there_is_not_is_refused_beside_the_own_card(stocked_book, reader):
    response = reader.get("/law/?country=Narnia")
    assert response.status_code == 422
    assert "“Narnia” has no card" in response.text
    assert "The law of the United Kingdom" in response.text


def test_what_was_brewed_this_year_stands_against_what_is_allowed(stocked_book, reader):
    choose("Germany")
    text = reader.get("/law/").text
    assert "This calendar year" in text
    assert re.search(r"500(?:\.0)? L", text)
    assert 'href="/sources/de_bierstv_41/"' in text
    # Every brew that was mixed this year is in the working.
    working = text.split('id="w-brewed"')[1].split("</table>")[0]
    assert len(re.findall(r'<th scope="row">No\. \d', working)) >= 2


def test_settings_papers_conditioning_and_about_lead_there(stocked_book, reader):
    for url in ("/settings/", "/about/", "/brews/1/papers/", "/brews/1/conditioning/"):
        assert 'href="/law/"' in reader.get(url).text, url
