"""Correcting an entry of the book from the phone, and taking it back: with no network too, once, and never dropped."""

from __future__ import annotations

import time

import pytest

from web.pocket.garage import Line, note, waits


@pytest.fixture
def phone(phones, book):
    return phones(book.address)


def newest(book):
    return book.entries("1")[-1]


def written(book, name, act="reading", corrects=None, **values):
    """What another program of the house wrote; the number of its entry."""
    more = {} if corrects is None else {"corrects": corrects, "because": "read once more"}
    (result,) = book.write({"id": f"{name}-{time.time_ns()}", "brew": "1", "act": act, "values": values, **more})
    assert result["status"] == "written", result
    return result["seqs"][0]


def show(page, screen):
    page.evaluate(f"() => {{ location.hash = '#{screen}'; }}")


def correct(page, seq, because="", **texts):
    """Correct an entry by hand, from the brew's screen."""
    show(page, "brew/1")
    page.get_by_role("link", name=f"Correct it: entry {seq}", exact=True).click()
    page.locator("h1", has_text=f"Correct entry {seq}").wait_for()
    for name, text in texts.items():
        page.locator(f'form.entry [name="{name}"]').fill(text)
    page.get_by_label("Why the entry was wrong").fill(because)
    page.locator("form.entry .main").click()
    page.locator(".note", has_text=f"Kept on this phone: corrects entry {seq}").wait_for()


def test_a_correction_without_the_network_waits_over_a_reload_and_is_written_once(phone, book):
    seq = written(book, "misread", gravity="1.012", temp="19 °C")
    page = phone.ready()
    phone.cut()
    show(page, f"correct/1/{seq}")
    assert page.locator('[name="gravity"]').input_value() == "1.012"
    assert page.locator('[name="gravity unit"]').input_value() == "SG"
    assert page.locator('[name="temp"]').input_value() == "19"
    correct(page, seq, "upside down", gravity="1,0205")
    waits(page, "1 entry waits to be sent")
    page.reload()
    waits(page, "1 entry waits to be sent")
    show(page, "waiting")
    page.get_by_text(f"corrects entry {seq}: Gravity: 1,0205 SG; Temperature of the sample: 19 °C").wait_for()
    show(page, "brew/1")
    page.get_by_role("link", name="Something else waits to take its place").wait_for()
    assert page.get_by_role("link", name=f"Correct it: entry {seq}", exact=True).count() == 0
    phone.mend()
    waits(page, "All is sent")
    last = newest(book)
    assert (last["kind"], last["body"]["seq"], last["body"]["because"]) == ("corrected", seq, "upside down")
    assert last["body"]["instead"]["gravity"] == {"text": "1,0205", "unit": "SG"}
    assert "happened_at" not in last["body"]  # the time was right
    # What stands now can be corrected in its turn; what is struck cannot.
    page.get_by_role("link", name=f"Correct it: entry {last['seq']}", exact=True).wait_for()
    assert page.get_by_role("link", name=f"Correct it: entry {seq}", exact=True).count() == 0


def test_a_correction_whose_reply_is_lost_is_written_once(phones, book):
    seq = written(book, "lost", "note", text="foam")
    line = Line(book.port, loses=1.0)
    phone = phones(line.address)
    page = phone.ready()
    correct(page, seq, text="no foam")
    page.wait_for_timeout(1500)
    waits(page, "1 entry waits to be sent")
    assert line.lost >= 1
    line.loses = 0.0
    page.evaluate("() => dispatchEvent(new Event('online'))")
    waits(page, "All is sent")
    corrections = [each for each in book.entries("1") if each["kind"] == "corrected" and each["body"]["seq"] == seq]
    assert [each["body"]["instead"]["text"] for each in corrections] == ["no foam"]


def test_its_time_is_corrected_too(phone, book):
    seq = written(book, "when", "note", text="written too late")
    page = phone.ready()
    show(page, f"correct/1/{seq}")
    page.locator("summary", has_text="Another time").click()
    page.get_by_text("Left out, the moment in the entry is taken: it was right.").wait_for()
    page.get_by_label("When it really happened").fill("2026-09-01T10:30")
    page.locator("form.entry .main").click()
    page.locator(".note", has_text=f"Kept on this phone: corrects entry {seq}").wait_for()
    waits(page, "All is sent")
    assert newest(book)["body"]["happened_at"] == "2026-09-01T09:30:00Z"


def test_an_entry_is_taken_back_with_its_reason_after_being_asked_once_more(phone, book):
    seq = written(book, "back", "note", text="of another bucket")
    page = phone.ready()
    phone.cut()
    show(page, "brew/1")
    page.get_by_role("link", name=f"Take it back: entry {seq}").click()
    page.get_by_text(f"entry {seq}: Note: of another bucket.").wait_for()
    page.get_by_label("Why it should not be there").fill("the other bucket")
    page.get_by_role("button", name="Yes, take it back").last.click()
    page.locator(".note", has_text=f"Kept on this phone: takes back entry {seq}: Note: of another bucket.").wait_for()
    assert newest(book)["seq"] == seq
    phone.mend()
    waits(page, "All is sent")
    last = newest(book)
    assert last["body"] == {"seq": seq, "because": "the other bucket"}  # and nothing instead
    page.locator(".log s", has_text="of another bucket").wait_for()
    assert page.get_by_role("link", name=f"Take it back: entry {last['seq']}").count() == 0


def open_waiting(page):
    waits(page, "1 came back")
    page.locator("#waits").click()
    return page.locator(".answer", has_text="The book would not take it")


def test_what_somebody_else_corrected_meanwhile_is_shown_and_corrected_from_there(phone, book):
    seq = written(book, "both", "note", text="krausen gone")
    page = phone.ready()
    phone.cut()
    correct(page, seq, "looked again", text="krausen half gone")
    other = written(book, "faster", "note", corrects=seq, text="krausen still high")
    phone.mend()
    back = open_waiting(page)
    assert f"Entry {seq} was corrected meanwhile" in back.inner_text()
    halves = back.locator(".side-by-side > div")
    assert "krausen half gone" in halves.nth(0).inner_text()
    halves.nth(1).get_by_text("krausen still high").wait_for()
    assert f"entry {other}, " in halves.nth(1).inner_text()
    back.get_by_role("link", name="Put it right").click()
    page.locator("h1", has_text=f"Correct entry {other}").wait_for()
    assert "krausen still high" in page.locator(".side-by-side").inner_text()
    assert page.locator('[name="text"]').input_value() == "krausen half gone"
    assert page.get_by_label("Why the entry was wrong").input_value() == "looked again"
    page.locator("form.entry .main").click()
    waits(page, "All is sent")
    last = newest(book)
    assert (last["body"]["seq"], last["body"]["instead"]["text"]) == (other, "krausen half gone")


def test_what_somebody_else_took_back_meanwhile_waits_until_the_person_throws_it_away(phone, book):
    seq = written(book, "gone", "note", text="not of this brew")
    page = phone.ready()
    phone.cut()
    correct(page, seq, text="of this brew after all")
    taken = written(book, "taken", "withdraw", corrects=seq)
    phone.mend()
    back = open_waiting(page)
    back.get_by_text("It was taken back; nothing stands in its place").wait_for()
    assert "of this brew after all" in back.inner_text()
    assert back.get_by_role("link", name="Put it right").count() == 0
    assert back.get_by_role("link", name=f"Entry {seq} in the book").get_attribute("href") == f"/brews/1/log/{seq}/"
    page.reload()
    waits(page, "1 came back")
    page.get_by_role("button", name="Throw the entry away").click()
    page.get_by_role("button", name="Yes, throw this entry away").click()
    waits(page, "All is sent")
    assert newest(book)["seq"] == taken


def test_an_entry_that_waits_is_changed_before_it_goes_out(phone, book):
    page = phone.ready()
    phone.cut()
    note(page, "1", "a slip before sending")
    show(page, "waiting")
    page.get_by_role("link", name="Change", exact=True).click()
    page.locator('[name="text"]').fill("put right before sending")
    page.locator("form.entry .main").click()
    waits(page, "1 entry waits to be sent")
    phone.mend()
    waits(page, "All is sent")
    assert "a slip before sending" not in book.notes("1")
    assert book.notes("1").count("put right before sending") == 1


def test_an_entry_that_went_out_under_the_hand_is_not_changed_and_what_was_typed_still_stands(phone, book):
    page = phone.ready()
    phone.cut()
    note(page, "1", "gone while it was changed")
    show(page, "waiting")
    page.get_by_role("link", name="Change", exact=True).click()
    page.locator('[name="text"]').fill("changed too late")
    phone.mend()
    waits(page, "All is sent")
    page.locator("form.entry .main").click()
    page.get_by_text("It has gone out meanwhile, so it is changed here no more.").wait_for()
    assert page.locator('[name="text"]').input_value() == "changed too late"
    assert book.notes("1")[-1] == "gone while it was changed"


def test_a_document_of_an_older_release_is_read_and_offers_no_correcting(phone, book):
    def older(route):
        told = route.fetch().json()
        for brew in told["brews"]:
            for each in brew["entries"]:
                for name in ("act", "values", "corrects"):
                    each.pop(name, None)
        route.fulfill(json=told)

    phone.context.route("**/api/pocket", older)
    page = phone.ready()
    show(page, "brew/1")
    page.locator(".log").wait_for()
    assert page.locator(".mends").count() == 0
    show(page, "correct/1/2")
    page.get_by_text("That entry cannot be corrected here").wait_for()


SECOND_LAYOUT = """(entry) => new Promise((done) => { const asked = indexedDB.open("gylebook-pocket /", 2);
  asked.onupgradeneeded = () => { const db = asked.result;
    db.createObjectStore("outbox", { keyPath: "order", autoIncrement: true }).createIndex("id", "id", { unique: true });
    db.createObjectStore("kept"); db.createObjectStore("told", { keyPath: "order", autoIncrement: true }); };
  asked.onsuccess = () => { const work = asked.result.transaction(["outbox"], "readwrite");
    work.objectStore("outbox").add(entry); work.oncomplete = () => { asked.result.close(); done(true); }; }; })"""
# An older page or worker would send a correction as a new entry.
OLDER_OPENS = """() => new Promise((done) => { const asked = indexedDB.open("gylebook-pocket /", 2);
  asked.onsuccess = () => { asked.result.close(); done("opened"); }; asked.onerror = () => done(asked.error.name); })"""


def test_a_store_of_the_second_layout_keeps_its_entries_and_is_closed_to_older_pages(phone, book):
    page = phone.open("/static/pocket/look.js")
    entry = {
        "id": "second-layout", "brew": "1", "brewName": "Garage bitter", "act": "note", "words": "", "confirmed": [],
        "values": {"text": "from the second layout"}, "at": 1_790_000_000_000, "typed": False, "offset": 0, "seen": 3,
        "book": "", "person": "", "said": "", "state": "waiting", "tried": 0, "message": "", "keptAt": 1_790_000_000_000,
    }  # fmt: skip
    assert page.evaluate(SECOND_LAYOUT, entry)
    again = phone.open()
    waits(again, "All is sent")
    assert book.notes("1").count("from the second layout") == 1
    assert page.evaluate(OLDER_OPENS) == "VersionError"
