from __future__ import annotations

import re

import pytest
from django.urls import reverse

PAGES = [
    "/stores/",
    "/stores/kits/",
    "/stores/kits/new/",
    "/stores/bottles/",
    "/stores/bottles/?new=1",
    "/stores/stock/",
    "/stores/log/",
    "/cellar/",
    "/reckon/",
    "/sources/",
    "/settings/",
    "/settings/instruments/",
    "/settings/vessels/",
    "/settings/places/",
    "/book/",
    "/book/import/",
    "/book/readings/",
    "/about/",
    "/law/",
]


@pytest.fixture(autouse=True)
def home(settings, tmp_path):
    settings.HOME = tmp_path


@pytest.mark.parametrize("url", PAGES)
def test_a_page_opens_on_an_empty_book(reader, url):
    response = reader.get(url)

    assert response.status_code == 200
    assert "<h1" in response.text


@pytest.mark.parametrize("url", PAGES)
@pytest.mark.parametrize("prefix", ["", "/demo"])
def test_a_page_opens_on_a_filled_book_and_its_links_lead_somewhere(stocked_book, reader, url, prefix):
    response = reader.get(prefix + url)

    assert response.status_code == 200
    led = {link for link in re.findall(r'href="(/[^"#]*)', response.text) if not link.startswith("/static/")}
    assert led
    for link in sorted(led):
        answer = reader.get(link.replace("&amp;", "&"))
        assert answer.status_code == 200, f"{url} leads to {link}: {answer.status_code}"
        answer.close()


@pytest.mark.parametrize("url", PAGES)
def test_no_page_wants_script_or_style_of_its_own(stocked_book, reader, url):
    text = reader.get(url).text

    assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=", text)


@pytest.mark.parametrize("url", PAGES)
def test_every_id_stands_once(stocked_book, reader, url):
    ids = re.findall(r'\sid="([^"]+)"', reader.get(url).text)

    assert len(ids) == len(set(ids)), sorted(each for each in ids if ids.count(each) > 1)


def test_the_foot_leads_to_what_must_never_be_far(reader):
    foot = reader.get("/").text.split("<footer", 1)[1].split("</footer", 1)[0]

    for name in ("dangerous_bottles", "sources", "settings", "book", "about"):
        assert f'href="{reverse(name)}"' in foot


def test_a_stranger_is_asked_for_the_password_on_each_of_them(shared, reader):
    for url in PAGES:
        response = reader.get(url)
        assert response.status_code == 302, url
        assert response.url.startswith("/account/sign-in/")
    for url in ("/book/journal.jsonl", "/book/entries.csv", "/book/readings.csv"):
        assert reader.get(url).status_code == 302, url
