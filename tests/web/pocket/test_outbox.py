"""What waits, what comes back, what others wrote meanwhile, and a store that is older, full, or of another book."""

from __future__ import annotations

import json

import pytest

from web.pocket.garage import PASSWORD, Book, note, type_entry, waits


@pytest.fixture
def phone(phones, book):
    return phones(book.address)


def open_waiting(page):
    page.locator("#waits").click()
    page.locator("main h1", has_text="wait").wait_for()


def test_a_number_that_cannot_be_is_asked_about_and_never_refused(phone, book):
    page = phone.ready()
    type_entry(page, "1", "reading", gravity="1012")
    page.get_by_text("1012 SG would be most unusual; mostly it is 0.98 to 1.15 SG.").wait_for()
    page.get_by_role("button", name="It is 1.012").click()
    page.locator(".note", has_text="Gravity: 1.012 SG").wait_for()
    waits(page, "All is sent")
    assert book.entries("1")[-1]["body"]["gravity"] == {"text": "1.012", "unit": "SG"}


def too_hot(page):
    """A temperature that cannot be, insisted on."""
    type_entry(page, "1", "temperature", temp="200")
    page.get_by_text("Temperature: 200 °C can hardly be. The book takes -30 to 105 °C.").wait_for()
    page.get_by_role("button", name="It is meant as it stands").click()
    waits(page, "1 came back")
    open_waiting(page)


def test_a_number_that_is_insisted_on_comes_back_with_the_books_sentence_and_is_put_right(phone, book):
    page = phone.ready()
    too_hot(page)
    back = page.locator(".answer", has_text="The book would not take it")
    assert "Temperature: 200 °C cannot be" in back.inner_text()
    back.get_by_role("link", name="Put it right").click()
    page.locator('form.entry [name="temp"]').fill("20,5")
    page.locator("form.entry .main").click()
    waits(page, "All is sent")
    newest = book.entries("1")[-1]
    assert newest["body"]["temp"] == {"text": "20,5", "unit": "°C"}


def test_what_the_book_asks_is_confirmed_by_the_person(phone, book):
    page = phone.ready()
    page.evaluate("() => { location.hash = '#write/1/note'; }")
    page.locator("summary", has_text="Another time").click()
    page.locator('[name="when"]').fill("2098-01-01T10:00")
    page.locator('[name="text"]').fill("in the far future")
    page.locator("form.entry .main").click()
    waits(page, "1 came back")
    assert "in the far future" not in book.notes("1")
    open_waiting(page)
    assert "still to come" in page.locator(".answer", has_text="The book asks").inner_text()
    page.get_by_role("button", name="It is true as it stands").click()
    waits(page, "All is sent")
    assert book.notes("1").count("in the far future") == 1


def test_what_came_back_is_thrown_away_only_after_being_asked_twice(phone, book):
    page = phone.ready()
    before = len(book.entries("1"))
    too_hot(page)
    page.get_by_role("button", name="Throw the entry away").click()
    page.get_by_role("button", name="No", exact=True).click()
    waits(page, "1 came back")
    page.get_by_role("button", name="Throw the entry away").click()
    page.get_by_role("button", name="Yes, throw this entry away").click()
    page.locator("main h1", has_text="Nothing waits").wait_for()
    waits(page, "All is sent")
    assert len(book.entries("1")) == before


def test_an_entry_that_waits_is_taken_back(phone, book):
    page = phone.ready()
    phone.cut()
    note(page, "1", "a slip of the thumb")
    open_waiting(page)
    shown = page.get_by_label("The waiting entries as JSON")
    page.locator("summary", has_text="The entries as text").click()
    (kept,) = json.loads(shown.input_value())
    assert kept["values"] == {"text": "a slip of the thumb"}
    page.get_by_role("button", name="Take it back").click()
    yes = page.get_by_role("button", name="Yes, take it back")
    page.wait_for_timeout(300)
    if yes.count():  # an attempt to send it was made, so it is asked about
        yes.click()
    page.locator("main h1", has_text="Nothing waits").wait_for()
    phone.mend()
    waits(page, "All is sent")
    assert "a slip of the thumb" not in book.notes("1")


def test_two_phones_apart_from_each_other_are_both_kept_and_shown_side_by_side(phones, book):
    one, two = phones(book.address), phones(book.address)
    first, second = one.ready(), two.ready()
    one.cut()
    two.cut()
    note(first, "1", "said by the first phone")
    note(second, "1", "said by the second phone")
    one.mend()
    waits(first, "All is sent")
    two.mend()
    waits(second, "1 to see")
    second.locator("#waits").click()
    beside = second.locator(".side-by-side")
    assert "said by the second phone" in beside.locator("> div").nth(0).inner_text()
    assert "said by the first phone" in beside.locator("> div").nth(1).inner_text()
    second.get_by_role("button", name="Seen").click()
    beside.wait_for(state="detached")
    assert book.notes("1")[-2:] == ["said by the first phone", "said by the second phone"]
    assert "to see" not in first.locator("#waits").inner_text()


def test_what_one_phone_writes_twice_is_no_news_to_it(phone, book):
    page = phone.ready()
    page.evaluate(
        "() => { globalThis.fetch = ((real) => (to, more) => String(to).endsWith('/pocket') ? Promise.reject(new TypeError('lost')) : real(to, more))(fetch); }"
    )
    for place in range(3):
        note(page, "1", f"one by one {place}")
        page.wait_for_timeout(700)
    assert [each for each in book.notes("1") if each.startswith("one by one")] == [
        f"one by one {place}" for place in range(3)
    ]
    assert "to see" not in page.locator("#waits").inner_text()


OLD_STORE = """([name, values]) => new Promise((done) => { const asked = indexedDB.open(name, 1);
  asked.onupgradeneeded = () => { asked.result.createObjectStore("outbox", { keyPath: "order", autoIncrement: true }).createIndex("id", "id", { unique: true }); asked.result.createObjectStore("kept"); };
  asked.onsuccess = () => { const work = asked.result.transaction(["outbox"], "readwrite");
    for (const value of values) work.objectStore("outbox").add(value);
    work.oncomplete = () => { asked.result.close(); done(true); }; }; })"""


def test_a_store_of_the_first_layout_keeps_its_entries_and_sends_them_in_order(phone, book):
    page = phone.open("/static/pocket/look.js")
    old = [
        {"id": f"old-{place}", "brew": "1", "act": "note", "values": {"text": f"from an older page {place}"},
         "happened_at": "2026-11-20T18:30:00+00:00"} for place in range(4)
    ]  # fmt: skip
    assert page.evaluate(OLD_STORE, ["gylebook-pocket /", old])
    again = phone.open()
    waits(again, "All is sent")
    found = [each for each in book.notes("1") if each.startswith("from an older page")]
    assert found == [f"from an older page {place}" for place in range(4)]


def test_a_store_of_a_newer_layout_is_left_alone_and_told(phone):
    page = phone.open("/static/pocket/look.js")
    page.evaluate("""() => new Promise((done) => { const asked = indexedDB.open("gylebook-pocket /", 99);
        asked.onupgradeneeded = () => asked.result.createObjectStore("outbox");
        asked.onsuccess = () => { asked.result.close(); done(); }; })""")
    again = phone.open()
    again.locator(".note", has_text="A newer Pocket").wait_for()
    assert again.evaluate("async () => (await indexedDB.databases())[0].version") == 99


def test_a_full_phone_says_so_and_loses_nothing_that_was_typed(phone, book):
    page = phone.ready()
    phone.cut()
    # Chromium's own store takes no notice of a quota set for tests, so it is the store that answers as a full one does.
    page.evaluate(
        """() => { const add = IDBObjectStore.prototype.add; globalThis.room = () => { IDBObjectStore.prototype.add = add; };
        IDBObjectStore.prototype.add = () => { throw new DOMException("full", "QuotaExceededError"); }; }"""
    )
    type_entry(page, "1", "note", text="typed on a full phone")
    page.locator(".error", has_text="no room left, so nothing was kept").wait_for()
    assert page.locator('[name="text"]').input_value() == "typed on a full phone"
    waits(page, "All is sent")
    page.evaluate("() => room()")
    page.locator("form.entry .main").click()
    waits(page, "1 entry waits")
    phone.mend()
    waits(page, "All is sent")
    assert book.notes("1").count("typed on a full phone") == 1


def test_entries_of_another_book_are_not_sent_to_this_one(phones, book, tmp_path):
    other = Book(tmp_path / "other")
    try:
        other.brew("Other bitter")
        phone = phones(book.address)
        page = phone.ready()
        note(page, "1", "told by the first book")
        waits(page, "All is sent")
        phone.cut()
        note(page, "1", "meant for the first book")
        phone.context.route(
            f"{book.address}/api/**", lambda route: route.fulfill(response=elsewhere(phone, route, other))
        )
        phone.mend()
        page.locator(".note", has_text="written for another book or by somebody else").wait_for()
        waits(page, "1 entry waits to be sent")
        assert other.notes("1") == []
        page.get_by_role("link", name="Look at them").click()
        page.get_by_text("It was written for another book than the one that answers here").wait_for()
        assert "told by the first book" not in page.locator("main").inner_text()
        phone.context.unroute(f"{book.address}/api/**")
        page.evaluate("() => dispatchEvent(new Event('online'))")
        waits(page, "All is sent")
        assert book.notes("1").count("meant for the first book") == 1
    finally:
        other.kill()


def elsewhere(phone, route, other):
    url = route.request.url.replace(phone.address, other.address)
    return phone.context.request.fetch(url, method=route.request.method, data=route.request.post_data_buffer)


# --- signing in and out --------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def locked(tmp_path_factory):
    """A book that asks who is there."""
    home = tmp_path_factory.mktemp("locked") / "home"
    plain = Book(home)
    plain.brew("Locked bitter")
    plain.kill()
    served = Book(home, sign_in=True)
    yield served
    served.kill()


def sign_in(phone):
    page = phone.open("/account/sign-in/?next=/pocket/")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in", exact=True).click()
    page.locator("h2", has_text="Running brews").wait_for()
    return page


KEPT = """async () => { const { Store } = await import("/pocket/sending.js"); const store = await Store.open("/");
    const found = [await store.get("pocket") !== undefined, await store.count()]; store.db.close(); return found; }"""


def test_a_stranger_is_shown_the_shell_alone(phones, locked):
    page = phones(locked.address).open()
    page.locator("h1", has_text="Nobody is signed in on this phone").wait_for()
    assert "Locked bitter" not in page.content()


def test_signing_out_in_pocket_clears_the_phone_and_warns_of_what_waits(phones, locked):
    phone = phones(locked.address)
    page = sign_in(phone)
    phone.cut()
    note(page, "1", "not sent when signing out")
    page.evaluate("() => { location.hash = '#phone'; }")
    page.get_by_text("1 entry is not in the book yet and would be lost.").wait_for()
    phone.context.route("**/api/entries", lambda route: route.abort())
    phone.mend()
    page.get_by_role("button", name="Sign out here").click()
    page.get_by_role("button", name="Yes, lose 1 entry").click()
    page.evaluate("() => { location.hash = '#today'; }")
    page.locator("h1", has_text="Nobody is signed in on this phone").wait_for()
    assert page.evaluate(KEPT) == [False, 0]
    assert phone.open("/").url.endswith("/account/sign-in/?next=/")


def test_signing_out_on_a_page_of_the_book_clears_pocket_too(phones, locked):
    phone = phones(locked.address)
    page = sign_in(phone)
    assert page.evaluate(KEPT) == [True, 0]
    desk = phone.open("/")
    desk.get_by_role("button", name="Sign out", exact=True).last.click()
    desk.wait_for_url("**/account/sign-in/")
    page.locator("h1", has_text="Nobody is signed in on this phone").wait_for()
    assert page.evaluate(KEPT) == [False, 0]


def test_a_phone_signed_out_from_elsewhere_keeps_what_waits_until_somebody_decides(phones, locked):
    phone = phones(locked.address)
    page = sign_in(phone)
    phone.cut()
    note(page, "1", "waiting for its writer")
    for device in json.loads(locked.command("devices", "--json"))["devices"]:
        locked.command("devices", "--revoke", str(device["id"]))
    phone.mend()
    page.evaluate("() => { location.hash = '#today'; }")
    page.locator("h1", has_text="Nobody is signed in on this phone").wait_for()
    page.get_by_text("1 entry is still kept here").wait_for()
    assert page.evaluate(KEPT) == [False, 1]
    page.locator("summary", has_text="The entries as text").click()
    assert "waiting for its writer" in page.get_by_label("The waiting entries as JSON").input_value()
    again = sign_in(phone)
    waits(again, "All is sent")
    again.locator(".brews a", has_text="Locked bitter").first.click()
    again.locator(".log", has_text="waiting for its writer").wait_for()
