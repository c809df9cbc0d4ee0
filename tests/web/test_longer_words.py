"""Every kind of page with words a third longer, as another language may have them: nothing cut, nothing over the edge."""

from __future__ import annotations

import pytest
from django.test import Client

from web import pseudo
from web.test_axe import InTheLight, judge_of, none_broken
from web.test_browser_of_the_second_half import chromium
from web.test_pseudo import made_up
from web.test_right_to_left import FAULTS, PAGES, SCREENS

__all__ = ["chromium", "judge_of", "made_up"]  # fixtures, used by name


@pytest.fixture
def judge(filled_book, judge_of, made_up, monkeypatch):
    client = Client(headers={"host": "127.0.0.1"})
    with pseudo.spoken(made_up, monkeypatch):
        made = judge_of(InTheLight(client))
        client.cookies["gylebook_language"] = "de"
        yield made


def test_longer_words_find_their_room(judge):
    found = []
    for url in PAGES:
        page = judge.opened(url)
        assert "~" in page.inner_text("main"), url
        for width, height in SCREENS:
            page.set_viewport_size({"width": width, "height": height})
            found += [f"{url} at {width} px: {each}" for each in page.evaluate(FAULTS)]
    none_broken(found)
