"""Every page at its narrowest, at twice the size of type, in colours that the device forces, with more contrast asked for.

What stands on a page must all be reached without moving it sideways, and nothing may be cut off.
"""

from __future__ import annotations

import pytest

from web.test_axe import JUDGED, TAGS, judge, judge_of, none_broken
from web.test_browser import larger
from web.test_browser_of_the_second_half import chromium
from web.test_print import one_of_each
from web.walking import Walk

__all__ = ["chromium", "judge", "judge_of"]  # fixtures, used by name

# What reaches over the edge, and words that their own box cuts off. What scrolls in itself (a table, a field) shows all of it.
FAULTS = """() => {
    const root = document.scrollingElement, seen = [];
    if (root.scrollWidth > innerWidth) seen.push(`wider than the screen by ${root.scrollWidth - innerWidth}`);
    for (const e of document.querySelectorAll('body *')) {
        if (!e.checkVisibility() || e.closest('.scroll, .working, .unseen, .enter, .skip, svg')) continue;
        const called = `${e.tagName}.${e.className} ${e.textContent.trim().slice(0, 30)}`;
        if (e.getBoundingClientRect().right > innerWidth + .5) seen.push(`over the edge: ${called}`);
        const style = getComputedStyle(e);
        const cuts = e.tagName !== 'INPUT' && (['hidden', 'clip'].includes(style.overflowX) || ['hidden', 'clip'].includes(style.overflowY));
        if (cuts && (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1)) seen.push(`cut off: ${called}`);
    }
    return seen.slice(0, 4); }"""


def faults(page, url, size):
    larger(page, size)
    return [f"{url} at {page.viewport_size['width']} px, {size} %: {each}" for each in page.evaluate(FAULTS)]


@pytest.mark.parametrize("where", ["outside", "ferments", "bottled"])
def test_nothing_is_cut_and_nothing_moves_sideways_on_the_smallest_phone(judge, where):
    start, inside = {
        "outside": ("/", r"(?!/brews/\d|/sources/.)"),
        "ferments": ("/brews/3/", r"/brews/3/"),
        "bottled": ("/brews/4/", r"/brews/4/(?!.*\?act=)"),
    }[where]
    urls = one_of_each(Walk(judge.reader).reached(start, inside))
    assert len(urls) > 20
    found = []
    for url in urls:
        page = judge.opened(url)
        page.set_viewport_size({"width": 320, "height": 640})
        found += faults(page, url, 100) + faults(page, url, 200)
    none_broken(found)


MAIN = [
    "/",
    "/brews/4/",
    "/brews/3/readings/?act=reading",
    "/brews/4/priming/bench/",
    "/cellar/",
    "/reckon/reading/?reading=1.044",
    "/keys/",
]


@pytest.mark.parametrize("look", ["light", "dark"])
def test_with_more_contrast_asked_for_all_words_stand_out_enhanced(judge, look):
    found = []
    for url in MAIN:
        page = judge.opened(url)
        page.emulate_media(color_scheme=look, contrast="more")
        _, broken = page.evaluate(JUDGED, {"type": "rule", "values": ["color-contrast-enhanced"]})
        found += [f"{url}, {look}: {each}" for each in broken]
    none_broken(found)


@pytest.mark.parametrize("look", ["light", "dark"])
def test_in_colours_that_the_device_forces_no_rule_is_broken_and_what_is_chosen_is_marked(judge, look):
    found = []
    for url in MAIN:
        page = judge.opened(url)
        page.emulate_media(color_scheme=look, forced_colors="active")
        # As high as the page: the places at the thumb else lie over whatever happens to be there.
        height = page.evaluate("document.documentElement.scrollHeight")
        page.set_viewport_size({"width": page.viewport_size["width"], "height": height})
        _, broken = page.evaluate(JUDGED, {"type": "tag", "values": TAGS})
        found += [f"{url}, {look}: {each}" for each in broken]
    none_broken(found)
    judge.opened("/")
    place = judge.page.locator(".thumb a[aria-current]")
    assert place.evaluate("e => getComputedStyle(e).borderBlockEndStyle") == "solid"


def test_nothing_moves_where_less_motion_is_asked_for(judge):
    for url in MAIN:
        page = judge.opened(url)
        page.emulate_media(reduced_motion="reduce")
        moving = page.evaluate(
            "() => [...document.querySelectorAll('*')].map(e => [e, getComputedStyle(e)]).filter(([, s]) => "
            "s.animationName !== 'none' || parseFloat(s.transitionDuration) > 0 || s.scrollBehavior !== 'auto')"
            ".map(([e]) => e.outerHTML.slice(0, 60))"
        )
        assert moving == [], url


def test_what_the_keys_reach_is_never_hidden_behind_the_places_at_hand(judge):
    for url in ("/", "/brews/3/readings/?act=reading", "/settings/"):
        page = judge.opened(url)
        page.evaluate("() => scrollTo(0, 0)")
        hidden = []
        for _ in range(60):
            page.keyboard.press("Tab")
            hidden += page.evaluate(
                "() => { const e = document.activeElement, bar = document.querySelector('.thumb').getBoundingClientRect();"
                " const r = e.getBoundingClientRect(); return e.closest('.thumb, body:not(:focus-within)') || r.height === 0"
                " || r.top < bar.top - 1 ? [] : [e.outerHTML.slice(0, 90)]; }"
            )
        assert hidden == [], url
