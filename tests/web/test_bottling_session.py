"""Counting bottles as they are filled: a tap is an entry, never doubled, and can be taken back. All brews are invented."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from gylebook.journal import events as ev
from gylebook.steps.filling import session
from gylebook.store import brew_log
from web.sent_forms import controls, form_on, has_class, words
from web.test_browser import TARGETS, larger, widest
from web.test_browser_of_brews import visit
from web.test_browser_of_the_second_half import chromium, in_a_sentence

__all__ = ["chromium", "visit"]  # fixtures, used by name

HERE = "/brews/7/bottling/filling/"


def html(reader, url=HERE):
    return reader.get(url).content.decode()


@pytest.fixture
def begun(filled_book, reader):
    """Filling has begun: 20 litres, caps marked L7."""
    form = controls(form_on(html(reader), act="filling"))
    answer = reader.post(HERE, {**form, "volume": "20", "cap_code": "L7", "place": "cellar"})
    assert answer.status_code == 302
    return reader


def tap(reader, number=1, count="1", **more):
    """Press a button of one kind, by its number on the page."""
    page = html(reader)
    found = re.search(rf'<li id="kind-{number}">(.*?)</li>', page, re.DOTALL)
    fields = dict(re.findall(r'<input type="hidden" name="([\w-]+)" value="([^"]*)"', found[1]))
    return reader.post(HERE, {**fields, **({} if more else {"count": count}), **more}), fields


def counted():
    return session(brew_log.read("7"))


def test_a_tap_is_one_entry_and_leads_back_to_its_kind(begun):
    answer, _ = tap(begun, 1)
    assert answer.status_code == 302
    assert answer["Location"] == f"{HERE}#kind-1"
    tap(begun, 1, "10")
    now = counted()
    assert [t.count for t in now.taps] == [1, 10]
    assert "<strong>11</strong> bottles filled, caps marked <strong>L7</strong>" in html(begun)


def test_a_tap_that_is_sent_again_is_not_counted_again(begun):
    _, fields = tap(begun, 1)
    again = begun.post(HERE, {**fields, "count": "1"})
    assert again.status_code == 302
    assert counted().count == 1
    assert "had been sent before" in html(begun)


def test_another_button_of_the_same_page_counts_though_one_was_pressed_before(begun):
    _, fields = tap(begun, 1)
    begun.post(HERE, {**fields, "count": "10"})
    assert counted().count == 11


def test_the_last_tap_is_taken_back_once_and_stays_readable(begun):
    tap(begun, 1)
    tap(begun, 1, "10")
    undo = controls(form_on(html(begun), act="undo"))
    for _ in range(2):
        assert begun.post(HERE, undo).status_code == 302
    assert counted().count == 1
    assert isinstance(brew_log.read("7").entries[-1].body, ev.Corrected)
    assert "tapped by mistake" in html(begun, "/brews/7/log/")


def test_a_tap_from_elsewhere_keeps_an_old_page_from_taking_back_the_wrong_one(begun):
    tap(begun, 1)
    old = controls(form_on(html(begun), act="undo"))
    tap(begun, 1, "10")
    assert begun.post(HERE, {**old, "command_id": "another"}).status_code == 409
    assert counted().count == 11


def test_a_pause_hides_the_taps_and_says_to_stir(begun):
    tap(begun, 1)
    form = controls(form_on(html(begun), what="paused"))
    begun.post(HERE, form)
    page = html(begun)
    assert "Stir the beer gently before you go on" in page
    assert 'class="tap' not in page
    begun.post(HERE, controls(form_on(page, what="resumed")))
    assert 'class="tap' in html(begun)


def test_a_plastic_bottle_is_marked_to_squeeze(begun):
    page = html(begun)
    number = 1 + next(i for i, part in enumerate(page.split('<li id="kind-')[1:]) if "to squeeze" in part)
    tap(begun, number, indicator="yes")
    assert counted().taps[-1].indicator
    assert "to squeeze" in words(has_class(html(begun), "order")[0])


def test_bottling_begins_with_what_was_counted_and_ends_the_count(begun):
    tap(begun, 1, "10")
    tap(begun, 1)
    form = controls(form_on(html(begun, "/brews/7/bottling/?act=bottle"), act="bottle"))
    assert form["cap_code"] == "L7"
    assert form["place"] == "cellar"
    assert form["volume"] == "20"
    assert begun.post("/brews/7/bottling/", form).status_code == 302
    event = brew_log.read("7").last(ev.Bottled).event
    assert [(lot.count, lot.first, lot.last) for lot in event.lots] == [
        (1, True, False),
        (9, False, False),
        (1, False, True),
    ]
    assert counted() is None
    assert "Count bottles as you fill them" in html(begun, "/brews/7/bottling/")


def test_a_brew_that_is_being_filled_leads_back_to_its_counts(begun):
    tap(begun, 1)
    assert f'href="{HERE}">Go on filling bottles' in html(begun, "/brews/7/")


@pytest.mark.parametrize("changed", [{"bottle": "glowing orbs"}, {"count": "many"}, {"count": "0"}, {"size": "-1 L"}])
def test_a_tap_that_cannot_be_is_refused_in_a_sentence(begun, changed):
    _, fields = tap(begun, 1)
    answer = begun.post(HERE, {**fields, "count": "1", "base": "other", **changed})
    assert answer.status_code == 422
    assert has_class(answer.content.decode(), "error")
    assert counted().count == 1


def test_a_tap_on_a_kind_that_is_not_fit_says_so_on_the_page_once(begun):
    begun.post(HERE, {**controls(form_on(html(begun), act="filling", what="begun")), "place": "conservatory"})
    tap(begun, 1, bottle="thin clear", size="330 mL")
    assert "thin clear: fit if kept below" in html(begun)
    tap(begun, 1, bottle="thin clear", size="330 mL")
    assert "thin clear: fit if kept below" not in html(begun)
    assert counted().count == 2


def test_an_act_that_does_not_belong_here_is_not_found(begun):
    form = controls(form_on(html(begun), what="paused"))
    assert begun.post(HERE, {**form, "act": "dump"}).status_code == 404


def test_cautions_stand_on_the_page_before_and_while_filling(filled_book, reader):
    assert "eye protection" in html(reader)
    reader.post(HERE, controls(form_on(html(reader), act="filling")))
    page = html(reader)
    assert "eye protection" in page
    assert "Never fill wine, spirit, square, thin or chipped bottles" in page


def test_bottles_that_stand_full_are_not_at_hand(stocked_book, reader):
    """Of 60 brown halves, 37 and 20 stand full of the first two brews; a third brew is left with three."""
    page = html(reader, "/brews/3/bottling/")
    assert "3 × 500 mL brown halves" in words(has_class(page, "headline")[0])


# --- in a browser -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("scripts", [True, False])
def test_wet_hands_fill_a_batch_on_a_phone(visit, scripts):
    page = visit(HERE, java_script_enabled=scripts)
    page.get_by_role("textbox", name="Beer there is to fill").fill("20")
    page.get_by_label("Code on the caps").fill("L7")
    page.get_by_role("button", name="Begin to fill").click()
    first = page.locator("#kind-1")
    first.get_by_role("button", name="Ten more").click()
    first.get_by_role("button", name="One more").click()
    expect(page.locator("#so-far strong").first).to_have_text("11")
    page.get_by_role("button", name="Take back 1 ×").click()
    expect(page.locator("#so-far strong").first).to_have_text("10")
    page.get_by_role("button", name="Pause").click()
    assert page.locator(".tap").count() == 0
    page.get_by_role("button", name="Go on filling").click()
    first.get_by_role("button", name="One more").dblclick()  # a wet thumb that slips sends the same form twice
    expect(page.locator("#so-far strong").first).to_have_text("11")
    page.get_by_role("link", name="All are filled").click()
    page.get_by_role("button", name="Write it down").click()
    event = brew_log.read("7").last(ev.Bottled).event
    assert sum(lot.count for lot in event.lots) == 11
    assert event.cap_code == "L7"


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_targets_are_very_large_and_nothing_reaches_over_the_edge(visit, width):
    page = visit(HERE, width=width)
    page.get_by_role("button", name="Begin to fill").click()
    page.locator("#kind-1").get_by_role("button", name="One more").click()
    boxes = [button.bounding_box() for button in page.locator(".tap").all()]
    assert all(box["height"] >= 80 and box["width"] >= 80 for box in boxes)
    assert [found for found in page.evaluate(TARGETS) if not in_a_sentence(page, found[0])] == []
    assert widest(page) == [0, []]
    larger(page)
    assert widest(page) == [0, []]
    assert page.complaints == []
