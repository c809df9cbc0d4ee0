"""A step in big type on the worktop: its answer and numbers, and a timer that outlives the page. All brews invented."""

from __future__ import annotations

import re
from html import unescape

import pytest
from playwright.sync_api import expect

from gylebook.steps.catalogue import WORDS
from web.test_browser import TARGETS, larger, widest
from web.test_browser_of_brews import visit
from web.test_browser_of_the_second_half import chromium

__all__ = ["chromium", "visit"]  # fixtures, used by name


def words(html):
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", "", html))).strip()


@pytest.mark.parametrize("word", WORDS)
def test_every_step_can_be_read_from_an_arms_length(filled_book, reader, word):
    answer = reader.get(f"/brews/4/{word}/bench/")
    assert answer.status_code == 200
    html = answer.content.decode()
    step_page = words(reader.get(f"/brews/4/{word}/").content.decode())
    headline = words(html.partition('id="bench-h">')[2].partition("</h1>")[0])
    assert len(headline) > 10
    assert headline in step_page
    assert f'href="/brews/4/{word}/"' in html


def test_what_is_no_step_is_said(filled_book, reader):
    answer = reader.get("/brews/4/juggling/bench/")
    assert answer.status_code == 404
    assert "no step of a brew" in answer.content.decode()


def test_the_timer_is_set_to_what_the_step_says(filled_book, reader):
    assert 'data-minutes="2"' in reader.get("/brews/4/cleaning/bench/").content.decode()


def test_a_timer_runs_on_when_the_page_is_left_and_can_be_stopped(filled_book, visit):
    page = visit("/brews/4/cleaning/bench/", width=390)
    page.get_by_role("spinbutton", name="Minutes").fill("3")
    page.get_by_role("button", name="Start", exact=True).click()
    clock = page.get_by_role("timer")
    expect(clock).to_have_text("2:59")
    assert page.evaluate(TARGETS) == []
    assert widest(page) == [0, []]
    page.reload()
    expect(clock).to_contain_text("2:5")
    page.get_by_role("button", name="One minute more").click()
    expect(clock).to_contain_text("3:")
    page.get_by_role("button", name="Stop").click()
    expect(clock).to_be_hidden()
    expect(page.get_by_role("button", name="Start", exact=True)).to_be_visible()
    page.reload()
    expect(clock).to_be_hidden()


def test_a_timer_that_is_over_says_since_when(filled_book, visit):
    page = visit("/brews/4/cleaning/bench/", width=390)
    page.evaluate(
        "localStorage.setItem('gylebook-timer-brew-4-cleaning', JSON.stringify({ ends: Date.now() - 65000 }))"
    )
    page.reload()
    expect(page.get_by_role("timer")).to_contain_text("−1:0")
    expect(page.get_by_role("status")).to_contain_text("Over since")
    larger(page)
    assert widest(page) == [0, []]
