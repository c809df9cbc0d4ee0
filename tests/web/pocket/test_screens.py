"""What only a screen can tell of Pocket: room, targets, looks; and what is said where there is no HTTPS."""

from __future__ import annotations

import pytest

from web.pocket.garage import PLAIN_NAME, note, waits

SCREENS = (
    "today", "brew/1", "write/1/reading", "write/1/prime", "correct/1/2", "back/1/3", "waiting", "phone", "timer", "burst",
)  # fmt: skip
EDGE = """() => [document.scrollingElement.scrollWidth - innerWidth, [...document.querySelectorAll('body *')]
    .filter(e => e.checkVisibility() && e.getBoundingClientRect().right > innerWidth + 0.5 && !e.closest('.enter, .skip'))
    .map(e => e.tagName + '.' + e.className).slice(0, 4)]"""
SMALL = """() => [...document.querySelectorAll('a, button, summary, select, textarea, input, label:has(input)')]
    .filter(e => e.checkVisibility() && !e.matches('.skip, .enter, label > input'))
    .map(e => [e.outerHTML.slice(0, 90), ...Object.values((r => [r.width, r.height])(e.getBoundingClientRect()))])
    .filter(([, wide, high]) => high < 47.9 || wide < 47.9)"""
UNNAMED = """() => [...document.querySelectorAll('input, select, textarea')].filter(e => e.checkVisibility() && !e.labels?.length
    && !e.getAttribute('aria-label')).map(e => e.outerHTML.slice(0, 90))"""


@pytest.fixture
def screens(phones, book):
    """Each screen, with everything on it folded open, at a width and a size of type."""

    def walk(width=390, percent=100, **options):
        page = phones(book.address, **options).ready()
        page.set_viewport_size({"width": width, "height": 844})
        page.evaluate(f"() => {{ document.documentElement.style.setProperty('font-size', '{percent}%'); }}")
        for name in SCREENS:
            page.evaluate(f"() => {{ location.hash = '#{name}'; }}")
            page.wait_for_timeout(150)
            page.evaluate("() => document.querySelectorAll('details').forEach(d => d.open = true)")
            yield name, page

    return walk


@pytest.mark.parametrize(("width", "percent"), [(320, 100), (390, 200), (320, 200)])
def test_nothing_reaches_over_the_edge(screens, width, percent):
    assert {name: over for name, page in screens(width, percent) if (over := page.evaluate(EDGE)) != [0, []]} == {}


def test_every_target_is_large_enough_for_a_wet_thumb(screens):
    assert {name: small for name, page in screens() if (small := page.evaluate(SMALL))} == {}


def test_every_field_has_its_name_and_every_screen_one_headline(screens):
    for name, page in screens():
        assert page.evaluate(UNNAMED) == [], name
        assert page.locator("h1").count() == 1, name
        assert page.title().endswith("- Gylebook Pocket"), name


def test_the_main_act_is_larger_still_and_within_reach_of_the_thumb(screens):
    for name, page in screens():
        if name.startswith(("write", "correct", "back")):
            box = page.locator("form.entry .main").bounding_box()
            assert box["height"] >= 56
            assert box["y"] > 844 / 2
        bottom = page.locator("#waits").bounding_box()
        assert 844 - 120 < bottom["y"] < 844, name  # always in sight


def test_the_look_follows_the_device_and_remembers_a_choice(phones, book):
    phone = phones(book.address, color_scheme="dark")
    page = phone.ready()
    page.evaluate("() => { location.hash = '#phone'; }")
    ground = "() => getComputedStyle(document.documentElement).backgroundColor"
    assert page.evaluate(ground) == "rgb(21, 24, 28)"
    page.get_by_role("button", name="Light", exact=True).click()
    assert page.evaluate(ground) == "rgb(250, 247, 240)"
    page.reload()
    assert page.evaluate(ground) == "rgb(250, 247, 240)"


def test_a_plain_line_says_what_is_missing_and_how_to_get_it_and_loses_nothing(phones, book):
    phone = phones(f"http://{PLAIN_NAME}:{book.port}")
    page = phone.open()
    page.locator("h2", has_text="Running brews").wait_for()
    assert page.evaluate("() => [isSecureContext, 'serviceWorker' in navigator, 'locks' in navigator]") == [
        False,
        False,
        False,
    ]
    page.get_by_role("link", name="How to get both").click()
    page.get_by_text("gylebook serve --lan").wait_for()
    phone.cut()
    note(page, "1", "kept over plain http")
    waits(page, "1 entry waits to be sent")
    phone.mend()
    waits(page, "All is sent")
    assert book.notes("1").count("kept over plain http") == 1
