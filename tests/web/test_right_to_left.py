"""Every kind of page as a language would have it that is read from the right: mirrored, and its figures not turned round.

The words stay English: what is held here is the room that they are given, on which side, and in which order a number,
its sign and its unit stand.
"""

from __future__ import annotations

from pathlib import Path

from django.test import Client

import gylebook.web
from web.test_axe import InTheLight, judge, judge_of, none_broken
from web.test_browser_of_the_second_half import chromium
from web.test_devices import code, house, send
from web.test_people import invitation, joined, mine

__all__ = ["chromium", "house", "judge", "judge_of", "mine"]  # fixtures, used by name

# One page of each template.
PAGES = (
    "/", "/brews/", "/brews/new/", "/brews/new/?own=1", "/brews/4/", "/brews/3/log/", "/brews/3/log/2/", "/brews/4/something/",
    "/brews/4/readings/?act=reading", "/brews/7/priming/", "/brews/3/conditioning/", "/brews/7/priming/bench/",
    "/brews/4/bottling/filling/", "/brews/2/papers/", "/brews/2/papers/label/", "/brews/2/beside/", "/brews/1/beside/2/",
    "/cellar/", "/stores/", "/stores/kits/", "/stores/log/", "/stores/log/1/", "/stores/kits/new/", "/stores/kits/Tansy Row bitter/",
    "/settings/instruments/", "/reckon/", "/reckon/reading/?reading=1.044&temp=25", "/settings/", "/settings/learned/",
    "/settings/notices/", "/book/", "/book/import/", "/book/readings/", "/about/", "/sources/", "/sources/density_closure/", "/keys/",
    "/dangerous-bottles/", "/api/", "/pocket/", "/law/", "/no-such-page/",
)  # fmt: skip
SCREENS = ((390, 844), (320, 640), (1280, 900))
# These come only as the answer to a form, to a stranger, or from a book with nothing in it.
ELSEWHERE = {
    *(f"account/{name}.html" for name in ("code", "devices", "invited", "no_entry", "pair", "passkeys", "people", "remove", "token_made", "tokens")),
    "calendar/made.html", "today/empty.html",
}  # fmt: skip
TURNED = "() => { document.documentElement.dir = 'rtl'; }"
# The sides that a reader goes by. In one column of words only the box counts, since lines may break otherwise.
SIDES = """() => [...document.querySelectorAll('.wordmark, .burst, nav li, main > *, .answer, .findings li, .log .at, .field, .thumb')]
    .filter(e => e.checkVisibility()).map(e => { const r = e.getBoundingClientRect(); return [e.tagName + '.' + e.className, r.left, r.right]; })"""
# What reaches over either edge, and words that their own box cuts off.
FAULTS = r"""() => {
    const root = document.scrollingElement, seen = [];
    if (root.scrollWidth > innerWidth) seen.push(`wider than the screen by ${root.scrollWidth - innerWidth}`);
    for (const e of document.querySelectorAll('body *')) {
        if (!e.checkVisibility() || e.closest('.scroll, .working, .unseen, .enter, .skip, svg')) continue;
        const called = `${e.tagName}.${e.className} ${e.textContent.trim().slice(0, 30)}`, box = e.getBoundingClientRect();
        if (box.left < -.5 || box.right > innerWidth + .5) seen.push(`over the edge: ${called}`);
        const style = getComputedStyle(e), cuts = [style.overflowX, style.overflowY].some(o => o === 'hidden' || o === 'clip');
        if (cuts && e.tagName !== 'INPUT' && (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1)) seen.push(`cut off: ${called}`);
    }
    return seen.slice(0, 6); }"""
# Figures whose letters run backwards, and how many letters of figures stand on the page.
BACKWARDS = r"""() => {
    const seen = [], figure = /[−+±]?\d+(?:[.,:\/-]\d+)*(?:(?: to |\s?[–±×]\s?)[−+]?\d+(?:[.,]\d+)*)*(?:\s?(?:°[CFP]|%|[A-Za-z]+(?:\/L)?))?/g;
    const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), range = document.createRange();
    let read = 0;
    for (let text; text = texts.nextNode();) {
        if (!text.parentElement.checkVisibility() || text.parentElement.closest('script, style, textarea, option, datalist, .unseen')) continue;
        for (const found of text.data.matchAll(figure)) {
            let before;
            for (let i = found.index; i < found.index + found[0].length; i++) {
                range.setStart(text, i); range.setEnd(text, i + 1);
                const box = range.getBoundingClientRect();
                if (!box.width) continue;
                if (before && Math.abs(box.top - before.top) < 2 && box.left < before.left) {
                    seen.push(`turned round: ${found[0]} in ${text.data.trim().slice(0, 40)} of ${text.parentElement.outerHTML.slice(0, 40)}`); break; }
                before = box; read++;
            }
        }
    }
    return [read, seen.slice(0, 6)]; }"""


def faults(judge, url):
    """What is wrong with a page when it is turned, in words, and how many letters of figures were read."""
    page, found = judge.opened(url), []
    for width, height in SCREENS:
        page.set_viewport_size({"width": width, "height": height})
        page.evaluate("() => { document.documentElement.dir = 'ltr'; }")
        straight = page.evaluate(SIDES)
        page.evaluate(TURNED)
        turned = page.evaluate(SIDES)
        assert len(straight) == len(turned) > 5, url
        for (called, left, right), (_, other_left, other_right) in zip(straight, turned, strict=True):
            if abs(width - right - other_left) > 3 or abs(width - left - other_right) > 3:
                found.append(f"{url} at {width} px: not mirrored: {called}")
        found += [f"{url} at {width} px: {each}" for each in page.evaluate(FAULTS)]
    letters, backwards = page.evaluate(BACKWARDS)
    return [*found, *(f"{url}: {each}" for each in backwards)], letters


def all_faults(judge, urls):
    found, letters = [], 0
    for url in urls:
        more, read = faults(judge, url)
        found, letters = found + more, letters + read
    return found, letters


def templates_of(answers):
    return {each.name for answer in answers for each in answer.templates}


def test_a_page_read_from_the_right_is_mirrored_and_its_figures_are_not(judge):
    found, letters = all_faults(judge, PAGES)
    none_broken(found)
    assert letters > 10_000
    missing = templates() - templates_of(judge.reader.kept.values())
    assert missing == ELSEWHERE | {"account/sign_in.html"}


def templates():
    """Every template that is a page of its own."""
    root = Path(gylebook.web.__file__).parent / "templates"
    pages = (file for file in root.rglob("*.html") if "{% extends" in file.read_text())
    return {str(file.relative_to(root)) for file in pages if file.name != "frame.html"}


def test_so_are_the_pages_by_which_others_come_in_and_an_empty_book(judge_of, house, mine):
    judge = judge_of(InTheLight(mine))
    stranger = Client(headers={"host": "127.0.0.1"})
    joined(mine, "Ann")
    judge.given = {
        "/stranger/sign-in/": stranger.get("/account/sign-in/"),
        "/stranger/pair/": stranger.get(f"/pair/{code()}/"),
        "/stranger/invited/": stranger.get(invitation(mine)),
        "/stranger/no-entry/": stranger.get("/pair/nonsense/"),
        "/answer/code/": send(mine, "/account/devices/add/", page="/account/devices/"),
        "/answer/token/": send(mine, "/account/tokens/", {"name": "shed", "may": "read"}, page="/account/tokens/"),
        "/answer/remove/": send(mine, "/account/people/remove/", {"name": "Ann"}, page="/account/people/"),
        "/answer/calendar/": send(mine, "/calendar/make/", page="/settings/"),
        **{f"/account/{word}/": mine.get(f"/account/{word}/") for word in ("devices", "people", "passkeys", "tokens")},
        "/": mine.get("/"),
    }
    found, _ = all_faults(judge, judge.given)
    none_broken(found)
    assert templates_of(judge.given.values()) >= ELSEWHERE | {"account/sign_in.html"}
