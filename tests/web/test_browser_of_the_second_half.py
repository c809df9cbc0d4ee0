"""What only a browser can tell of stores, cellar, reckon, sources, settings and the keeping of the book."""

from __future__ import annotations

import pytest
from django.test import Client
from playwright.sync_api import sync_playwright

from web.test_browser import ADDRESS, TARGETS, larger, widest

pytestmark = pytest.mark.usefixtures("stocked_book")
PAGES = [
    "/stores/",
    "/stores/kits/Millpond bitter/",
    "/stores/kits/new/",
    "/stores/bottles/?name=clear",
    "/settings/places/",
    "/stores/log/",
    "/stores/log/1/",
    "/cellar/",
    "/reckon/",
    "/reckon/priming/?volume=21+L",
    "/reckon/priming/?volume=soup",
    "/reckon/forecast/?original=1.042&readings=day+3:+1.025%0A5+1.016&now=6",
    "/reckon/forecast/?original=1.042&readings=froth",
    "/sources/",
    "/sources/density_closure/",
    "/settings/",
    "/book/",
    "/book/import/",
    "/book/readings/",
    "/about/",
    "/law/",
]


@pytest.fixture(scope="module")
def chromium():
    import os
    import shutil

    found = os.environ.get("GYLEBOOK_TEST_CHROMIUM") or shutil.which("chromium")
    if not found:
        raise RuntimeError("no Chromium to test with: install Debian's package chromium, or name one")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox", "--disable-gpu"])
        yield browser
        browser.close()


@pytest.fixture
def visit(chromium, settings, tmp_path, monkeypatch):
    """Open a page of the stocked book at a width, in a look; what the console complains of is kept."""
    monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # the browser's own loop is not a server's
    settings.HOME = tmp_path
    settings.ALLOWED_HOSTS = ["127.0.0.1"]
    client = Client(headers={"host": "127.0.0.1"})
    contexts = []

    def answer(route, request):
        response = client.get(request.url.removeprefix(ADDRESS))
        body = b"".join(response.streaming_content) if response.streaming else response.content
        response.close()
        route.fulfill(status=response.status_code, headers=dict(response.headers), body=body)

    def go(url, width=390, height=844, **options):
        context = chromium.new_context(viewport={"width": width, "height": height}, **options)
        contexts.append(context)
        context.route("**/*", answer)
        page = context.new_page()
        page.complaints = []
        page.on("console", lambda message: page.complaints.append(message.text))
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        page.goto(ADDRESS + url)
        return page

    yield go
    for context in contexts:
        context.close()


@pytest.mark.parametrize("url", PAGES)
def test_a_page_has_room_large_targets_and_nothing_for_the_browser_to_complain_of(visit, url):
    page = visit(url)
    assert [line for line in page.complaints if "422" not in line] == []
    # A link in a running sentence is as high as its line; WCAG 2.2, 2.5.8, lets those be.
    assert [found for found in page.evaluate(TARGETS) if not in_a_sentence(page, found[0])] == []

    page.evaluate("() => document.querySelectorAll('details').forEach(d => d.open = true)")
    for width, percent in ((320, 100), (390, 200), (1280, 100)):
        page.set_viewport_size({"width": width, "height": 844})
        larger(page, percent)
        assert widest(page) == [0, []], (width, percent)


def in_a_sentence(page, html):
    return page.evaluate(
        """start => [...document.querySelectorAll('a, summary')].some(a => a.outerHTML.startsWith(start)
        && a.closest('p, .para, .lines div, li, dd, cite') && getComputedStyle(a).display === 'inline'
        && a.closest('p, .para, div, li, dd').textContent.trim() !== a.textContent.trim())""",
        html,
    )


@pytest.mark.parametrize("url", ["/stores/", "/cellar/", "/reckon/priming/?volume=21+L", "/book/"])
def test_a_page_follows_the_dark(visit, url):
    page = visit(url, color_scheme="dark")

    assert page.evaluate("() => getComputedStyle(document.documentElement).backgroundColor") == "rgb(21, 24, 28)"


def test_the_cellar_prints_with_every_working_open(visit):
    page = visit("/cellar/", 794)
    page.emulate_media(media="print")

    workings = page.locator(".fig .working")
    assert workings.count() > 10
    assert all(working.is_visible() for working in workings.all())
    assert page.pdf().startswith(b"%PDF")
