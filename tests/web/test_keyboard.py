"""A brew from the plan to the glass without ever touching the mouse: tabs, letters, arrows and Enter alone."""

from __future__ import annotations

import pytest

from gylebook.journal import events as ev
from gylebook.store import brew_log
from web.test_browser_of_brews import visit
from web.test_browser_of_the_second_half import chromium

__all__ = ["chromium", "visit"]  # fixtures, used by name

FOCUSED = """() => { const e = document.activeElement;
    return [e.name ?? '', (e.getAttribute('aria-label') ?? e.innerText ?? '').trim(), e.tagName]; }"""
# The focus must be seen: a line round what has it, or round the label that it stands in. Parts of a date are the browser's.
SEEN = """() => { const e = document.activeElement, drawn = each => each && getComputedStyle(each).outlineStyle !== 'none'
    && parseFloat(getComputedStyle(each).outlineWidth) >= 2;
    return e.matches('[type^=date]') || (e.matches(':focus-visible') && (drawn(e) || drawn(e.closest('label')))); }"""
MOST_TABS = 150


def tab_to(page, wanted):
    """Press Tab until the focus is on what is wanted; every stop must be seen."""
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        name, words, tag = page.evaluate(FOCUSED)
        if tag != "BODY":
            assert page.evaluate(SEEN), (name, words)
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


def something_else(page, form):
    """From anywhere in a brew to one of its forms, by the letter for it."""
    page.wait_for_load_state()  # the letters are known only then
    page.keyboard.press("e")
    page.wait_for_url("**/something/")
    tab_to_form(page, form)


def written(page, brew, kind):
    """The last entry of that kind, when the page has told of it."""
    page.locator(".said").wait_for()
    return brew_log.read(brew).all(kind)[-1].event


def pick(page, field, value):
    """A choice among buttons: Tab comes to the first, the arrows go on."""
    tab_to(page, lambda name, _words: name == field)
    for _ in range(12):
        if page.evaluate("() => document.activeElement.value") == value:
            return
        page.keyboard.press("ArrowDown")
    raise AssertionError(f"the arrows never come to {value}")


def test_it_is_primed_and_its_bottles_are_counted_by_keyboard_alone(visit):
    page = visit("/brews/7/", width=1280, height=900)
    page.keyboard.press("?")
    told = page.locator("dialog.keys")
    assert {"Today", "Write a reading", "Something else happened"} <= set(told.locator("dd").all_inner_texts())
    page.keyboard.press("Escape")
    told.wait_for(state="detached")

    something_else(page, "priming/?act=prime")
    pick(page, "sugar", "sucrose")
    fill(page, "mass", "110")
    fill(page, "volume", "20")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    # The book would rather wait, and asks.
    fill(page, "against_advice", "I like it lively")
    page.keyboard.press("Enter")
    primed = written(page, "7", ev.Primed)
    assert (primed.sugar, str(primed.mass)) == ("sucrose", "110 g")

    something_else(page, "bottling/?act=filling")
    press(page, "Count bottles as you fill them")
    fill(page, "cap_code", "K7")
    page.keyboard.press("Enter")
    page.locator(".tally-board").wait_for()
    for button in ("+ 10", "+ 1:"):
        press(page, button)
    assert "11 bottles filled, caps marked K7" in page.locator("#so-far").inner_text()
    press(page, "Take back 1")
    press(page, "All are filled")
    press(page, "Write it down")
    bottled = written(page, "7", ev.Bottled)
    assert (bottled.cap_code, sum(lot.count for lot in bottled.lots)) == ("K7", 10)


def test_a_bottle_is_opened_labelled_and_tasted_and_an_entry_corrected_by_keyboard_alone(visit):
    page = visit("/brews/2/", width=1280, height=900)
    something_else(page, "conditioning/?act=open_bottle")
    fill(page, "fizz", "3")
    page.keyboard.press("Enter")
    assert written(page, "2", ev.Opened).fizz == 3

    something_else(page, "tasting/?act=taste")
    fill(page, "score", "7")
    fill(page, "words", "Toast and orange peel.")
    press(page, "Write it down")
    tasted = written(page, "2", ev.Tasted)
    assert (tasted.score, tasted.words) == (7, "Toast and orange peel.")

    press(page, "Papers")
    fill(page, "start", "2")
    with page.expect_response("**/papers/label/**") as answer:
        page.keyboard.press("Enter")
    assert answer.value.headers["content-type"] == "application/pdf"

    page = visit("/brews/2/", width=1280, height=900)
    seq = brew_log.read("2").all(ev.Opened)[-1].seq
    tab_to_form(page, f"/log/{seq}/")
    tab_to(page, lambda _name, words: words.startswith("Correct"))
    page.keyboard.press("Enter")  # it unfolds where it stands
    fill(page, "fizz", "2")  # what stood there is marked, so that typing takes its place
    page.keyboard.press("Enter")
    page.locator(".said").wait_for()
    assert brew_log.read("2").all(ev.Opened)[-1].event.fizz == 2


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
