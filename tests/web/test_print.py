"""Every page prints: on white, within the sheet, with what it says and how it was reached, without its navigation.

The pages go through Chromium's own printing; the PDF is read back by PDFium.
"""

from __future__ import annotations

import re

import pypdfium2
import pytest
from django.test import Client

from web.test_browser import ADDRESS
from web.test_browser_of_the_second_half import chromium
from web.walking import Walk

__all__ = ["chromium"]  # a fixture, used by name

# Paper in points, as PDF counts.
PAPERS = {"A4": (595.0, 842.0), "Letter": (612.0, 792.0)}
GONE = (".book nav", ".burst", ".thumb", ".foot", ".skip", ".acts", "main form", "button")
# Widths of the two papers without the margins that the style sheet sets (14 mm at either side), in CSS pixels.
WIDTHS = {"A4": 688, "Letter": 710}

LOOKED_AT = """(gone) => {
    const root = document.scrollingElement, width = document.documentElement.clientWidth;
    const over = [...document.querySelectorAll('main *')].filter(e => e.checkVisibility() && !e.closest('.unseen, .scroll')
        && e.getBoundingClientRect().right > width + 1).map(e => e.tagName + '.' + (e.className.baseVal ?? e.className));
    const shown = gone.filter(s => [...document.querySelectorAll(s)].some(e => e.checkVisibility()));
    const shut = [...document.querySelectorAll('.figures .working, .options .working')]
        .filter(e => !e.checkVisibility() && !e.closest('.log, .stages, .verdict, .write, .suppose')).length;
    const cut = [...document.querySelectorAll('main .scroll')].filter(e => e.checkVisibility() && e.scrollWidth > e.clientWidth + 1).length;
    const ground = getComputedStyle(document.documentElement).backgroundColor;
    return {over: over.slice(0, 5), wide: root.scrollWidth - width, shown, shut, cut, ground,
            heading: document.querySelector('main h1')?.innerText ?? ''}; }"""


def letters(text):
    """What is left of a text when it does not matter how it was set."""
    return re.sub(r"[\W_]+", "", text).lower()


class Once:
    """A reader that asks for each page once, however often it is wanted."""

    def __init__(self):
        self.client = Client(headers={"host": "127.0.0.1"})
        self.client.cookies["gylebook_look"] = "dark"
        self.kept, self.bodies = {}, {}

    def get(self, url, **_further):
        if url not in self.kept:
            response = self.kept[url] = self.client.get(url, follow=True)
            self.bodies[url] = b"".join(response.streaming_content) if response.streaming else response.content
            response.close()
        return self.kept[url]


@pytest.fixture
def reader_once(filled_book, settings):
    settings.ALLOWED_HOSTS = ["127.0.0.1"]
    return Once()


@pytest.fixture
def paper(chromium, reader_once, monkeypatch):
    """Opens a page of the filled book, dark as on a phone at night, and gives it back ready for paper."""
    monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # the browser's own loop is not a server's

    def answer(route, request):
        address = request.url.removeprefix(ADDRESS)
        response = reader_once.get(address)
        route.fulfill(status=response.status_code, headers=dict(response.headers), body=reader_once.bodies[address])

    context = chromium.new_context(
        viewport={"width": WIDTHS["A4"], "height": 1000},
        color_scheme="dark",
    )
    context.route("**/*", answer)
    page = context.new_page()
    page.emulate_media(media="print")

    def go(url):
        if page.url != ADDRESS + url:
            page.goto(ADDRESS + url)
        return page

    yield go
    context.close()


def faults(page, url, size):
    """What is wrong with a page on paper, in words."""
    page.set_viewport_size({"width": WIDTHS[size], "height": 1000})
    seen = page.evaluate(LOOKED_AT, list(GONE))
    if seen["over"] or seen["wide"] > 0:
        yield f"{url}: wider than {size}: {seen['over'] or seen['wide']}"
    if seen["cut"]:
        yield f"{url}: {seen['cut']} tables are cut off on {size}"
    if seen["shown"]:
        yield f"{url}: prints {seen['shown']}"
    if seen["shut"]:
        yield f"{url}: {seen['shut']} workings stay shut"
    if seen["ground"] != "rgb(255, 255, 255)":
        yield f"{url}: on {seen['ground']}"
    document = pypdfium2.PdfDocument(page.pdf(format=size, prefer_css_page_size=False))
    try:
        yield from _of_file(document, url, size, seen["heading"])
    finally:
        document.close()


def _of_file(document, url, size, heading):
    texts = []
    for number in range(len(document)):
        sheet = document[number]
        wide, high = sheet.get_size()
        if (abs(wide - PAPERS[size][0]) > 2) or (abs(high - PAPERS[size][1]) > 2):
            yield f"{url}: {wide:.0f} by {high:.0f} points is not {size}"
        text = sheet.get_textpage()
        texts.append(text.get_text_range())
        boxes = [text.get_rect(i) for i in range(text.count_rects())]
        if any(left < 20 or right > wide - 20 for left, _, right, _ in boxes):
            yield f"{url}: words run off sheet {number + 1}"
        if not texts[-1].strip():
            yield f"{url}: sheet {number + 1} of {len(document)} is empty"
    printed = letters("".join(texts))
    if not heading or letters(heading) not in printed:
        yield f"{url}: the heading {heading!r} is not on paper"
    if letters("Where the numbers come from Settings Keep the book") in printed:
        yield f"{url}: the foot is on paper"


# Pages of one shape: entries by their number, kits and things by their name. One of each is enough.
_ONE_OF = re.compile(r"(/log/|/stores/kits/|/beside/|\?name=|\?kit=|/reckon/\w+/\?)[^/]*")


def one_of_each(urls):
    found = {}
    for url in urls:
        found.setdefault(_ONE_OF.sub(r"\1*", url), url)
    return list(found.values())


def printed(paper, urls):
    """What is wrong: every page on the narrower paper, each fourth one on the other, which is only a little shorter."""
    sizes = [("A4", "Letter") if number % 4 == 0 else ("A4",) for number in range(len(urls))]
    return [
        fault
        for url, papers in zip(urls, sizes, strict=True)
        for size in papers
        for fault in faults(paper(url), url, size)
    ]


def test_every_page_outside_the_brews(paper, reader_once):
    # Pocket is left out: its own script draws it from what the phone keeps, and here no phone keeps anything.
    urls = one_of_each(Walk(reader_once).reached("/", r"(?!/brews/\d|/sources/.|/pocket/)"))
    assert len(urls) > 50
    found = printed(paper, urls)
    assert not found, "\n".join(found)


@pytest.mark.parametrize("brew", [3, 4])
def test_every_page_of_a_brew_that_ferments_and_of_one_in_bottles(paper, reader_once, brew):
    urls = one_of_each(Walk(reader_once).reached(f"/brews/{brew}/", rf"/brews/{brew}/(?!.*\?act=)"))
    assert len(urls) > 25
    found = printed(paper, urls)
    assert not found, "\n".join(found)
