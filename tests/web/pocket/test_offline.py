"""Pocket without the network: it opens, tells what is due, keeps what is written, and sends it once."""

from __future__ import annotations

import re

import pytest

from web.pocket.garage import Line, note, type_entry, waits


@pytest.fixture
def phone(phones, book):
    return phones(book.address)


def test_a_cold_start_without_the_network_tells_tasks_and_brews(phone):
    first = phone.ready()
    due = first.locator("main h1").inner_text()
    first.close()
    phone.cut()
    page = phone.open()
    waits(page, "the book does not answer")
    assert page.locator("main h1").inner_text() == due
    page.get_by_role("link", name="No. 1 Garage bitter").click()
    page.locator("h2", has_text="Key numbers").wait_for()
    figure = page.locator(".figures .fig").first
    figure.locator("summary").click()
    assert figure.locator(".working .relation").inner_text()
    assert figure.locator(".working .cited li").count() > 0
    assert page.locator(".log li").count() == 3
    page.get_by_role("link", name="Bottles that may burst").click()
    assert page.locator(".large-list li").count() > 4


def test_a_reading_from_a_cold_start_takes_two_taps_and_its_digits(phone, book):
    phone.ready().close()
    before = len(book.entries("1"))
    phone.cut()
    page = phone.open()
    page.get_by_role("link", name="Reading: Garage bitter").click()
    assert page.evaluate("() => document.activeElement.name") == "gravity"
    page.keyboard.type("1,021")
    page.get_by_role("button", name="Write it down").last.click()
    page.locator(".note", has_text="Kept on this phone: Gravity: 1,021 SG").wait_for()
    waits(page, "1 entry waits to be sent; the book does not answer.")
    assert page.locator(".log li", has_text="waits").inner_text().endswith("Gravity: 1,021 SG")
    assert len(book.entries("1")) == before
    phone.mend()
    waits(page, "All is sent")
    newest = book.entries("1")[-1]
    assert (newest["kind"], newest["body"]["gravity"]) == ("measured", {"text": "1,021", "unit": "SG"})
    assert newest["source"] == "page"


def test_it_is_on_the_disk_before_the_page_says_so_and_outlives_the_tab(phone, book):
    page = phone.ready()
    phone.cut()
    note(page, "1", "written before the tab was closed")
    page.close(run_before_unload=False)
    phone.mend()
    waits(phone.open(), "All is sent")
    assert book.notes("1").count("written before the tab was closed") == 1


def test_a_tab_closed_while_it_sends_sends_nothing_twice(phones, book):
    line = Line(book.port)
    line.slow = 1.5
    phone = phones(line.address)
    page = phone.ready()
    type_entry(page, "1", "note", text="sent as the tab went")
    page.locator(".note", has_text="Kept on this phone").wait_for()
    page.wait_for_timeout(300)
    page.close(run_before_unload=False)
    line.slow = 0
    waits(phone.open(), "All is sent")
    assert book.notes("1").count("sent as the tab went") == 1


def test_a_worker_that_the_system_stopped_starts_again(phones, book):
    line = Line(book.port)
    phone = phones(line.address)
    page = phone.ready()
    link = phone.context.new_cdp_session(page)
    link.send("ServiceWorker.enable")
    link.send("ServiceWorker.stopAllWorkers")
    line.cut()
    page.reload()
    page.locator("h2", has_text="Running brews").wait_for()
    waits(page, "the book does not answer")


def test_the_worker_keeps_the_shell_and_nothing_of_a_person(phone):
    page = phone.ready()
    page.goto(f"{phone.address}/brews/")  # a page of the book, seen by the same browser
    page.goto(f"{phone.address}/pocket/")
    waits(page, "All is sent")
    kept = page.evaluate(
        """async () => { const found = [];
        for (const name of await caches.keys()) for (const asked of await (await caches.open(name)).keys()) {
            const body = await (await caches.match(asked)).text();
            found.push([new URL(asked.url).pathname, body.includes("Garage bitter")]);
        } return found; }"""
    )
    addresses = {address for address, _ in kept}
    assert {"/pocket/", "/pocket/page.js", "/static/gylebook.css"} <= addresses
    shell = re.compile(r"/pocket/((page|sums|sending|words)\.js)?|/static/.*")
    assert all(shell.fullmatch(address) for address in addresses)
    assert not any(personal for _, personal in kept)
    assert "Garage bitter" in page.locator("main").inner_text()


def test_a_newer_page_waits_until_it_is_wanted_and_loses_nothing(phones, book):
    line = Line(book.port)
    phone = phones(line.address)
    page = phone.ready()
    phone.cut()
    note(page, "1", "waiting through an upgrade")
    phone.mend()
    line.newer = True
    page.reload()
    page.locator(".note", has_text="A newer Pocket is ready.").wait_for()
    with page.expect_navigation():
        page.get_by_role("button", name="Take it").click()
    waits(page, "All is sent")
    assert page.evaluate("async () => (await navigator.serviceWorker.getRegistration()).waiting") is None
    assert book.notes("1").count("waiting through an upgrade") == 1


def test_a_server_killed_while_it_writes_writes_once(phones, book):
    line = Line(book.port)
    line.slow = 1.0  # the reply is held back, so that the book dies with it on the way
    phone = phones(line.address)
    page = phone.ready()
    type_entry(page, "1", "note", text="the lights went out")
    page.wait_for_timeout(600)
    book.kill()
    line.loses = 1.0
    page.wait_for_timeout(800)
    book.begin()
    line.slow, line.loses = 0, 0.0
    page.evaluate("() => dispatchEvent(new Event('online'))")
    waits(page, "All is sent")
    assert book.notes("1").count("the lights went out") == 1


def test_it_tells_a_shifted_clock_and_writes_the_books_time(phones, book):
    phone = phones(book.address, clock=-3_600_000)
    page = phone.ready()
    page.locator(".note", has_text="clock is 60 minutes behind the book's").wait_for()
    phone.cut()
    note(page, "1", "an hour behind")
    phone.mend()
    waits(page, "All is sent")
    entry = next(each for each in book.entries("1") if each["body"].get("text") == "an hour behind")
    assert (
        abs(page.evaluate("([a, b]) => Date.parse(a) - Date.parse(b)", [entry["happened_at"], entry["recorded_at"]]))
        < 60_000
    )


def test_the_timer_runs_on_when_pocket_is_closed(phone):
    page = phone.ready()
    page.evaluate("() => { location.hash = '#timer'; }")
    page.get_by_role("button", name="10 min", exact=True).click()
    assert re.fullmatch(r"10:00|9:5\d", page.locator(".clock").inner_text())
    assert (
        page.get_by_text("The screen stays awake.").or_(page.get_by_text("does not keep the screen awake")).count() == 1
    )
    page.close()
    again = phone.open()
    line = again.locator(".timer-line")
    line.wait_for()
    assert re.fullmatch(r"Timer: (10:00|9:\d\d) left", line.inner_text())
    line.click()
    again.get_by_role("button", name="Stop").click()
    assert not again.locator(".clock").is_visible()
