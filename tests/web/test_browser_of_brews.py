"""What only a browser can tell of the pages of brews: room, targets, workings that open, and the whole job by keyboard."""

from __future__ import annotations

import pytest
from django.test import Client

from gylebook.store import brew_log
from web.test_browser import ADDRESS, TARGETS, larger, widest
from web.test_browser_of_the_second_half import chromium, in_a_sentence

__all__ = ["chromium"]  # a fixture, used by name

PAGES = [
    "/",
    "/brews/",
    "/brews/new/",
    "/brews/new/?kit=Tansy+Row+bitter",
    "/brews/new/?own=1",
    "/brews/3/",
    "/brews/4/",
    "/brews/4/log/",
    "/brews/4/log/12/?do=correct",
    "/brews/4/something/",
    "/brews/4/readings/?act=reading",
    "/brews/4/finishing/",
    "/brews/4/dry_hopping/",
    "/brews/6/mixing/?act=mix",
    "/brews/6/pitching/",
    "/brews/7/priming/?co2=fizzy",
    "/brews/3/conditioning/",
    "/brews/3/bottling/?act=bottle",
    "/brews/2/tasting/",
    "/brews/8/plan/",
    "/brews/8/cleaning/",
    "/brews/2/papers/",
    "/brews/2/papers/label/?start=99",
    "/dangerous-bottles/",
    "/keys/",
]


@pytest.fixture
def visit(chromium, filled_book, settings, monkeypatch):
    """Open a page of the filled book, in a browser that can send forms."""
    monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # the browser's own loop is not a server's
    settings.ALLOWED_HOSTS = ["127.0.0.1"]
    client = Client(headers={"host": "127.0.0.1"}, enforce_csrf_checks=True)
    contexts = []

    def answer(route, request):
        address = request.url.removeprefix(ADDRESS)
        if request.method == "POST":
            kind = request.headers["content-type"]
            response = client.post(address, request.post_data_buffer, content_type=kind, follow=True)
        else:
            response = client.get(address)
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
    assert [found for found in page.evaluate(TARGETS) if not in_a_sentence(page, found[0])] == []
    page.evaluate("() => document.querySelectorAll('details').forEach(d => d.open = true)")
    for width, percent in ((320, 100), (390, 200), (1280, 100)):
        page.set_viewport_size({"width": width, "height": 844})
        larger(page, percent)
        assert widest(page) == [0, []], (width, percent)


def test_ids_on_a_page_are_its_own(visit):
    for url in PAGES:
        twice = visit(url).evaluate(
            "() => [...document.querySelectorAll('[id]')].map(e => e.id).filter((id, n, all) => all.indexOf(id) !== n)"
        )
        assert twice == [], url


def test_every_control_has_a_name_to_be_called_by(visit):
    for url in PAGES:
        nameless = visit(url).evaluate(
            """() => [...document.querySelectorAll('input:not([type=hidden]), select, textarea, button:not(.enter), a[href]')]
            .filter(e => !(e.labels && e.labels.length) && !e.getAttribute('aria-label') && !e.textContent.trim())
            .map(e => e.outerHTML.slice(0, 90))"""
        )
        assert nameless == [], url


def test_a_number_in_a_sentence_opens_its_working(visit):
    page = visit("/brews/4/finishing/")
    link = page.locator(".why a.p").first
    number, goal = link.inner_text(), link.get_attribute("href")
    working = page.locator(goal)
    assert not working.is_visible()
    link.click()
    assert working.is_visible()
    figure = working.locator("xpath=ancestor::details[1]")
    assert number.split()[0] in figure.inner_text()
    assert working.bounding_box()["y"] > 0


def test_a_reading_is_written_by_keyboard_alone_with_one_key_and_the_digits(visit):
    before = brew_log.read("4").head_seq
    page = visit("/brews/4/")
    page.keyboard.press("w")
    page.wait_for_url("**/readings/?act=reading")
    assert page.evaluate("() => document.activeElement.name") == "gravity"
    page.keyboard.type("1,012")
    page.keyboard.press("Enter")
    page.locator(".said").wait_for()
    assert "Read 1,012 SG" in page.locator(".said").inner_text()
    assert brew_log.read("4").head_seq == before + 1


def test_a_reading_takes_two_taps_and_the_digits(visit):
    page = visit("/brews/4/", has_touch=True)
    page.get_by_role("link", name="Write a reading").tap()
    page.locator("[name=gravity]").wait_for()
    assert page.evaluate("() => document.activeElement.name") == "gravity"
    assert page.locator("[name=gravity]").get_attribute("inputmode") == "decimal"
    page.keyboard.type("1.012")
    page.get_by_role("button", name="Write it down").tap()
    page.locator(".said").wait_for()
    assert "Read 1.012 SG" in page.locator(".said").inner_text()


def test_the_keys_of_the_page_are_told_and_can_be_switched_off(visit):
    page = visit("/brews/4/", 1280)
    page.keyboard.press("?")
    told = page.locator("dialog.keys")
    assert "Write a reading" in told.inner_text()
    page.keyboard.press("Escape")
    told.wait_for(state="detached")
    page.keyboard.press("?")
    told.get_by_role("button", name="Switch the keys off").press("Enter")
    told.wait_for(state="detached")
    page.keyboard.press("e")
    page.keyboard.press("?")
    assert told.count() == 0
    assert page.url.endswith("/brews/4/")


def test_no_key_acts_while_somebody_types(visit):
    page = visit("/brews/4/readings/?act=reading", 1280)
    page.locator("[name=gravity]").press("t")
    page.locator("[name=gravity]").press("?")
    assert page.locator("[name=gravity]").input_value() == "t?"
    assert page.locator("dialog.keys").count() == 0


def test_everything_works_without_script(visit):
    page = visit("/brews/4/", java_script_enabled=False)
    page.get_by_role("link", name="Keys").click()
    assert page.locator("h1").inner_text() == "Keys"
    page.goto(f"{ADDRESS}/brews/4/readings/?act=reading")
    page.locator("[name=gravity]").fill("1.012")
    page.get_by_role("button", name="Write it down").click()
    assert "Read 1.012 SG" in page.locator(".said").inner_text()


@pytest.mark.parametrize("url", ["/", "/brews/4/", "/brews/7/priming/", "/brews/4/log/12/"])
def test_a_page_prints_without_its_buttons(visit, url):
    page = visit(url, 794)
    page.emulate_media(media="print")
    for gone in (".thumb", ".foot", ".acts", ".undo", "form.entry button"):
        assert not any(each.is_visible() for each in page.locator(gone).all()), gone
    assert widest(page) == [0, []]
    assert page.pdf().startswith(b"%PDF")
