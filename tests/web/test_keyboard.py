"""A brew from the plan to the yeast without ever touching the mouse: tabs, letters and Enter alone."""

from __future__ import annotations

import pytest

from gylebook.journal import events as ev
from gylebook.store import brew_log
from web.test_browser_of_brews import visit
from web.test_browser_of_the_second_half import chromium

__all__ = ["chromium", "visit"]  # fixtures, used by name

FOCUSED = """() => { const e = document.activeElement;
    return [e.name ?? '', (e.getAttribute('aria-label') ?? e.innerText ?? '').trim(), e.tagName]; }"""
MOST_TABS = 150


def tab_to(page, wanted):
    """Press Tab until the focus is on what is wanted; every stop must be seen (parts of a date are the browser's)."""
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        name, words, tag = page.evaluate(FOCUSED)
        if tag != "BODY":
            assert page.evaluate("() => document.activeElement.matches(':focus-visible, [type^=date]')"), (name, words)
        if wanted(name, words):
            return
    raise AssertionError(f"the focus never comes there: {page.url}")


def press(page, called):
    tab_to(page, lambda _name, words: words.startswith(called))
    with page.expect_navigation():
        page.keyboard.press("Enter")


def fill(page, field, text):
    if page.evaluate(FOCUSED)[0] != field:
        tab_to(page, lambda name, _words: name == field)
    page.keyboard.type(text)


JOB = (
    ("mixing/?act=mix", {"volume": "21"}, ev.Mixed),
    ("readings/?act=reading", {"gravity": "1.040"}, ev.Measured),
    ("pitching/?act=pitch", {"mass": "11"}, ev.Pitched),
)


def test_a_brew_is_planned_mixed_read_and_pitched_by_keyboard_alone(visit):
    page = visit("/", width=1280, height=900)
    with page.expect_navigation():
        page.keyboard.press("b")
    with page.expect_navigation():
        page.keyboard.press("n")
    press(page, "Bare ingredients")
    fill(page, "name", "Keyed pale")
    fill(page, "ingredients", "1.7 kg liquid malt extract")
    fill(page, "volume", "21")
    press(page, "Write it down")
    brew = page.locator("h1 .no").inner_text().removeprefix("No. ").strip()
    assert brew_log.read(brew).name == "Keyed pale"
    for form, fields, kind in JOB:
        press(page, "Something else happened")
        tab_to_form(page, form)
        for field, text in fields.items():
            fill(page, field, text)
        page.keyboard.press("Enter")
        page.locator(".said").wait_for()
        assert brew_log.read(brew).all(kind)


def tab_to_form(page, form):
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        if page.evaluate("() => document.activeElement.getAttribute('href') ?? ''").endswith(form):
            with page.expect_navigation():
                page.keyboard.press("Enter")
            return
    raise AssertionError(f"no way to {form} by the keys")


@pytest.mark.parametrize(
    "url", ["/", "/brews/4/", "/brews/4/readings/?act=reading", "/cellar/", "/settings/", "/reckon/reading/"]
)
def test_the_focus_goes_down_the_page_as_it_is_read_and_out_of_it_again(visit, url):
    page = visit(url, width=1280, height=900)
    page.evaluate("() => document.activeElement.blur()")
    order = page.evaluate(
        """() => [...document.querySelectorAll('a[href], button, summary, input:not([type=hidden]), select, textarea, [tabindex="0"]')]
        .filter(e => e.checkVisibility() && !e.disabled && !e.matches('.enter')).map(e => e.tabIndex)"""
    )
    assert len(order) > 15
    assert set(order) == {0}  # nothing jumps the queue, nothing that can be used is passed over
