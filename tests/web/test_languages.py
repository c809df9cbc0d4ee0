"""What goes back to the book, and where its pages lead, is the same in whichever language they are read."""

from __future__ import annotations

import re

import pytest

from gylebook.steps.catalogue import WORDS
from gylebook.steps.sums import SUMS
from gylebook.web.pocket import scripts
from gylebook.web.pocket.shell import script_address

SENT = re.compile(r"<(?:input|option|button|select|textarea)\b[^>]*>")
READ_BACK = re.compile(r'\b(name|value)="([^"]*)"')
LEADS = re.compile(r'\b(?:href|action|id|for)="([^"#]*)')  # a sentence's numbers may lead elsewhere on its page
MADE_EACH_TIME = re.compile(r'page-[0-9a-f]{32}|name="csrfmiddlewaretoken" value="\w+"')
PAGES = (
    "/", "/brews/", "/brews/4/", "/brews/4/log/", "/brews/4/log/3/", "/brews/4/papers/", "/brews/new/", "/cellar/", "/stores/",
    "/stores/stock/?new=1", "/stores/bottles/?new=1", "/stores/kits/new/", "/settings/", "/settings/notices/", "/law/", "/book/",
    "/about/", *(f"/brews/{brew}/{word}/" for brew in (3, 4, 6) for word in WORDS), *(f"/reckon/{word}/" for word in SUMS),
)  # fmt: skip


def read_back(html):
    """The names and values of all that the forms send, and every address and every name of a place."""
    html = MADE_EACH_TIME.sub("", html)
    return [READ_BACK.findall(each) for each in SENT.findall(html)], set(LEADS.findall(html))


def asked(client, url, language):
    response = client.get(url, headers={"accept-language": language})
    assert response.status_code == 200, url
    assert response["Content-Language"] == language
    return response.content.decode()


@pytest.mark.parametrize("language", ["de", "en-US"])
def test_forms_send_the_same_in_every_language(filled_book, client, language):
    for url in PAGES:
        english, other = asked(client, url, "en-GB"), asked(client, url, language)
        assert (url, *read_back(english)) == (url, *read_back(other))


def test_answers_are_kept_apart_by_language(filled_book, client):
    response = client.get("/brews/4/")
    assert {"Accept-Language", "Cookie"} <= {each.strip() for each in response["Vary"].split(",")}
    assert "no-store" in response["Cache-Control"]


def test_what_never_changes_is_one_copy_for_all_readers(client):
    for part in scripts.scripts():
        response = client.get(script_address(part))
        assert "immutable" in response["Cache-Control"]
        assert not {"Cookie", "Accept-Language"} & {each.strip() for each in response.get("Vary", "").split(",")}


def test_one_reader_after_another_hears_their_own_language(filled_book, client):
    """Whatever is kept between two requests is kept for a language."""
    first = {language: read_words(asked(client, "/brews/4/", language)) for language in ("en-GB", "de", "en-US")}
    again = {language: read_words(asked(client, "/brews/4/", language)) for language in ("en-US", "de", "en-GB")}
    assert first == again
    assert len(set(first.values())) == len(first)


def read_words(html):
    return MADE_EACH_TIME.sub("", html)
