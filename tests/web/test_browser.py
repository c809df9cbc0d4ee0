"""What only a browser can tell: room, targets, print, and that the policy stops nothing of ours.

Chromium asks the pages of Django directly; nothing listens and nothing is fetched from elsewhere.
"""

from __future__ import annotations

import os
import shutil

import pytest
from django.http import HttpResponse
from django.shortcuts import render
from django.template import engines
from django.test import Client, override_settings
from django.urls import include, path
from playwright.sync_api import sync_playwright

from gylebook.journal.state import Shelf
from gylebook.outputs.chart import WIDE
from gylebook.outputs.measures import Measures
from gylebook.web import language
from gylebook.web.drawn import drawn
from web import sample

ADDRESS = "http://127.0.0.1"
BREW = """{% extends "base.html" %}{% block content %}
<h1><span class="no">No. 27</span> Lantern brown</h1>{% include "parts/stages.html" %}{% include "parts/answer.html" %}
<div class="para">The gravity is now {% pencil figure %}, and it should end near {% pencil other %}, so leave it.</div>
<h2>How it goes</h2>{% include "parts/chart.html" %}<h2>The log</h2>{% include "parts/log.html" %}{% endblock %}"""
ENTRY = """{% extends "base.html" %}{% block content %}<h1>Write a reading</h1><form class="entry" method="post">
{% include "parts/form.html" %}<div class="acts"><button class="button main">Write it down</button></div></form>
{% endblock %}"""


def brew(request):
    context = {
        "stages": sample.STAGES,
        "answer": sample.ANSWER,
        "acts": [("/entry/", "Write a reading"), ("/", "Something changed")],
        "figure": sample.GRAVITY,
        "other": sample.FINAL,
        "drawn": drawn(sample.chart()),
        "lines": sample.log_lines(),
        "measures": Measures(zone=sample.ZONE),
    }
    return HttpResponse(engines["django"].from_string(BREW).render(context, request))


def entry(request):
    return HttpResponse(engines["django"].from_string(ENTRY).render({"asked": sample.ASKED}, request))


def sign_in(request):
    return render(
        request, "account/sign_in.html", {"only_name": "", "next": "/", "name": "", "error": "Password: wrong."}
    )


urlpatterns = [
    path("brew/", brew),
    path("entry/", entry),
    path("sign-in/", sign_in),
    path("", include("gylebook.web.urls")),
]
handler404 = "gylebook.web.faults.not_found"
PAGES = ["/brew/", "/demo/brew/", "/entry/", "/sign-in/", "/no-such-page/"]


@pytest.fixture(scope="module")
def chromium():
    found = os.environ.get("GYLEBOOK_TEST_CHROMIUM") or shutil.which("chromium")
    if not found:
        raise RuntimeError("no Chromium to test with: install Debian's package chromium, or name one")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox", "--disable-gpu"])
        yield browser
        browser.close()


@pytest.fixture
def visit(chromium, monkeypatch):
    """Open a page at a width, in a look; what the console complains of is kept."""
    client = Client()
    monkeypatch.setattr(language, "read_shelf", lambda **_: Shelf())  # no book lies behind these pages
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

    with override_settings(ROOT_URLCONF=__name__, ALLOWED_HOSTS=["127.0.0.1", "testserver"]):
        yield go
        for context in contexts:
            context.close()


def widest(page):
    """How far anything reaches over the right edge, and what it is."""
    return page.evaluate(
        """() => { const root = document.scrollingElement; const over = [...document.querySelectorAll('main *, header *, footer *, nav *')]
        .filter(e => e.getBoundingClientRect().right > innerWidth + 0.5 && !e.closest('.scroll, .working, .unseen, .enter'))
        .map(e => e.tagName + '.' + (e.className.baseVal ?? e.className)); return [root.scrollWidth - innerWidth, over.slice(0, 5)]; }"""
    )


def larger(page, percent=200):
    page.evaluate(f"() => {{ document.documentElement.style.setProperty('font-size', '{percent}%'); }}")


@pytest.mark.parametrize("url", PAGES)
@pytest.mark.parametrize(("width", "percent"), [(320, 100), (390, 200), (320, 200), (768, 200), (1280, 100)])
def test_nothing_reaches_over_the_edge(visit, url, width, percent):
    page = visit(url, width)
    larger(page, percent)
    page.evaluate("() => document.querySelectorAll('details').forEach(d => d.open = true)")
    assert widest(page) == [0, []]


@pytest.mark.parametrize("url", PAGES)
@pytest.mark.parametrize("look", ["light", "dark"])
def test_the_browser_has_nothing_to_complain_of(visit, url, look):
    page = visit(url, color_scheme=look)
    assert [line for line in page.complaints if "404" not in line] == []
    ground = page.evaluate("() => getComputedStyle(document.documentElement).backgroundColor")
    assert ground == {"light": "rgb(250, 247, 240)", "dark": "rgb(21, 24, 28)"}[look]


# A number in a running sentence is as wide as it is (WCAG 2.2, 2.5.8, lets those be); its height is held like any other.
TARGETS = """() => [...document.querySelectorAll('a, button, summary, select, textarea, input, label:has(input)')]
    .filter(e => e.checkVisibility() && !e.closest('.unseen') && !e.matches('.skip, .enter, label > input, [type=hidden]'))
    .map(e => [e.outerHTML.slice(0, 70), ...Object.values((r => [r.width, r.height])(e.getBoundingClientRect()))])
    .filter(([html, wide, high]) => high < 47.9 || (wide < 47.9 && !html.includes('class="p"')))"""


@pytest.mark.parametrize("url", PAGES)
def test_every_target_is_large_enough_for_a_wet_thumb(visit, url):
    assert visit(url).evaluate(TARGETS) == []


@pytest.mark.parametrize("url", ["/brew/", "/entry/"])
def test_the_main_act_is_larger_still(visit, url):
    assert visit(url).locator(".button.main").bounding_box()["height"] >= 56


def test_places_lie_at_the_thumb_on_a_phone_and_at_the_top_on_a_desk(visit):
    phone, desk = visit("/brew/"), visit("/brew/", 1280)
    box = phone.locator(".thumb").bounding_box()
    assert box["y"] + box["height"] == 844
    assert not phone.locator(".book nav").is_visible()
    assert desk.locator(".book nav").is_visible()
    assert not desk.locator(".thumb").is_visible()


def test_the_first_key_offers_to_skip_to_the_content(visit):
    page = visit("/brew/")
    assert page.locator(".skip").bounding_box()["y"] < -40
    page.keyboard.press("Tab")
    assert page.locator(".skip").bounding_box()["y"] == 0
    page.keyboard.press("Enter")
    assert page.evaluate("() => document.activeElement.id") == "content"


def test_a_figure_opens_in_running_text_and_shuts_again(visit):
    page = visit("/brew/")
    figure = page.locator(".para .fig").first
    lines = page.locator(".para").bounding_box()["height"] / 29.75
    assert lines < 4.5  # closed figures do not break the line
    figure.locator("summary").press("Enter")
    assert figure.locator(".working").is_visible()
    figure.locator("summary").press("Enter")
    assert not figure.locator(".working").is_visible()


def test_on_paper_the_workings_of_an_answer_lie_open_and_navigation_is_gone(visit):
    page = visit("/brew/", 794)
    workings = page.locator("#rests > .figures .working")
    beside = page.locator(".options .working")
    in_text = page.locator(".log .working")  # of these the page of the step prints the working
    assert workings.count() > 5
    assert beside.count() + in_text.count() > 2
    shut = (*workings.all(), *beside.all(), *in_text.all())
    assert not any(working.is_visible() for working in shut)
    page.emulate_media(media="print")
    assert all(working.is_visible() for working in (*workings.all(), *beside.all()))
    assert not any(working.is_visible() for working in in_text.all())
    for gone in (".book nav", ".thumb", ".foot", ".acts", ".skip"):
        assert not page.locator(gone).first.is_visible(), gone
    assert page.locator(".chart.wide").is_visible()
    assert page.pdf().startswith(b"%PDF")


def test_dark_pages_print_dark_on_light(visit):
    page = visit("/brew/", color_scheme="dark")
    page.emulate_media(media="print")
    assert page.evaluate("() => getComputedStyle(document.documentElement).backgroundColor") == "rgb(255, 255, 255)"
    assert page.evaluate("() => getComputedStyle(document.body).color") == "rgb(27, 35, 48)"


@pytest.mark.parametrize(("width", "shown"), [(390, "phone"), (768, "wide"), (1280, "wide")])
def test_the_drawing_that_fits_is_shown_with_type_of_eleven_pixels_or_more(visit, width, shown):
    page = visit("/brew/", width)
    visible = [svg for svg in page.locator("svg.chart").all() if svg.is_visible()]
    assert [svg.get_attribute("class") for svg in visible] == [f"chart {shown}"]
    size = visible[0].evaluate(
        "svg => parseFloat(getComputedStyle(svg.querySelector('text')).fontSize) * svg.getBoundingClientRect().width"
        " / svg.viewBox.baseVal.width"
    )
    assert size >= 11


def test_words_in_the_drawing_take_no_more_room_than_was_reckoned(visit):
    page = visit("/brew/", 1280)
    over = page.evaluate(
        """([wide, high]) => [...document.querySelectorAll('svg.chart.wide text')].map(t => [t.textContent, t.getBBox()])
        .filter(([, b]) => b.x < -0.5 || b.x + b.width > wide + 0.5 || b.y < 0 || b.y + b.height > high + 0.5)
        .map(([t]) => t)""",
        [WIDE.width, WIDE.height],
    )
    assert over == []


def test_forced_colours_keep_every_mark_visible(visit):
    page = visit("/brew/", 1280, forced_colors="active")
    for kind in ("dot", "bar", "event", "gate", "middle", "band"):
        mark = page.locator(f".chart.wide .{kind}").first
        fill, stroke = mark.evaluate("e => [getComputedStyle(e).fill, getComputedStyle(e).stroke]")
        assert not (fill == "none" and stroke == "none"), kind
    heavy = page.locator(".answer").evaluate("e => getComputedStyle(e).borderInlineStartStyle")
    assert heavy == "double"
