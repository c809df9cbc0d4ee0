"""The papers of a brew and the calendar, as pages: forms that work without a script, PDFs, a secret address."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from urllib.parse import urlencode

import icalendar
import pypdfium2
import pytest
import zxingcpp

from gylebook.outputs import paper
from gylebook.store import calendar_feed
from gylebook.store.models import CalendarFeed
from gylebook.web import environment

LABEL = {
    "kind": "gift",
    "sheet": "a4-3x7",
    "start": "1",
    "count": "2",
    "outline": "no",
    "address": "https://book.home:8484",
}


def words_in(response):
    assert response["Content-Type"] == "application/pdf", response.text
    return pypdfium2.PdfDocument(response.content)[0].get_textpage().get_text_range()


def codes_in(response):
    pixels = pypdfium2.PdfDocument(response.content)[0].render(scale=300 / 72, grayscale=True).to_numpy().squeeze()
    return [found.text for found in zxingcpp.read_barcodes(pixels)]


def label_url(**more):
    return f"/brews/1/papers/label/?{urlencode(LABEL | more)}"


def test_the_brews_page_leads_to_its_papers(stocked_book, reader):
    assert '<a class="button" href="/brews/1/papers/">Papers</a>' in reader.get("/brews/1/").text
    page = reader.get("/brews/1/papers/")
    assert page.status_code == 200
    for word in ("label", "caps", "sheet", "slip"):
        assert f'action="/brews/1/papers/{word}/"' in page.text
    assert "<script" not in re.sub(r"<script[^>]*src=[^>]*>", "", page.text)
    assert "BARLEY (gluten)" in page.text


def test_labels_come_as_a_pdf_to_look_at_with_their_code(stocked_book, reader):
    response = reader.get(label_url())
    assert response.status_code == 200
    assert response["Content-Disposition"] == 'inline; filename="brew-1-label.pdf"'
    assert response["Cache-Control"] == "private, no-store"
    assert "Cellar bitter" in words_in(response)
    assert "cap CB1" in words_in(response)
    assert codes_in(response) == ["https://book.home:8484/brews/1/"] * 2


@pytest.mark.parametrize(
    ("url", "words"),
    [
        ("/brews/1/papers/caps/?sheet=a4-caps&count=4", "CB1"),
        ("/brews/3/papers/sheet/?page=A4", "brew day"),
        ("/brews/3/papers/slip/?page=Letter", "What is next"),
        ("/dangerous-bottles/slip/", "Stop. Keep away"),
    ],
)
def test_every_paper_comes_as_a_pdf(stocked_book, reader, url, words):
    assert words in words_in(reader.get(url))


def test_the_forms_as_they_stand_make_every_paper(stocked_book, reader):
    page = reader.get("/brews/1/papers/").text
    for word in ("label", "caps", "sheet", "slip"):
        form = page.split(f'action="/brews/1/papers/{word}/"')[1].split("</form>")[0]
        sent = dict(re.findall(r'<input[^>]*name="([^"]+)"[^>]*value="([^"]*)"(?![^>]*type="radio")', form))
        sent |= dict(re.findall(r'<input type="radio" name="([^"]+)" value="([^"]*)" checked', form))
        for name, options in re.findall(r'<select[^>]*name="([^"]+)"[^>]*>(.*?)</select>', form, re.DOTALL):
            sent[name] = re.search(r'<option value="([^"]*)" selected', options)[1]
        response = reader.get(f"/brews/1/papers/{word}/?{urlencode(sent)}")
        assert (word, response.status_code, response["Content-Type"]) == (word, 200, "application/pdf")


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"start": "22"}, "22 is not on the sheet; count from 1 to 21"),
        ({"count": "many"}, "How many"),
        ({"sheet": "a9"}, "Sheet of labels"),
        ({"sheet": "a4-4x10"}, "the words do not fit on it"),
        ({"name": "ビール"}, "is in none of the fonts for print"),
        ({"address": "book.home"}, "is no web address"),
    ],
)
def test_what_cannot_be_printed_is_said_in_the_form_with_every_word_kept(stocked_book, reader, more, words):
    response = reader.get(label_url(**more))
    assert response.status_code == 422
    assert words in response.text
    assert 'value="2"' in response.text or "count" in more


def test_what_is_not_there_is_not_found(stocked_book, reader):
    assert reader.get("/brews/99/papers/").status_code == 404
    assert reader.get("/brews/1/papers/poster/").status_code == 404
    assert reader.get("/dangerous-bottles/slip/?page=B5").status_code == 404


def test_the_address_offered_is_the_one_a_phone_can_follow(stocked_book, reader, settings):
    settings.ALLOWED_HOSTS = ["*"]
    assert (
        'value="http://192.168.1.20:8484/"'
        in reader.get("/brews/1/papers/", headers={"host": "192.168.1.20:8484"}).text
    )
    assert "localhost" not in reader.get("/brews/1/papers/", headers={"host": "localhost:8484"}).text
    settings.URL = "https://book.home/"
    assert 'value="https://book.home/"' in reader.get("/brews/1/papers/", headers={"host": "localhost:8484"}).text


def test_the_address_is_set_in_the_environment_or_refused_by_its_name():
    assert environment.address({}) == ""
    assert environment.address({"GYLEBOOK_URL": "https://book.home:8484"}) == "https://book.home:8484/"
    with pytest.raises(environment.InputError, match="GYLEBOOK_URL: “book” is no web address"):
        environment.address({"GYLEBOOK_URL": "book"})


def test_without_the_typesetter_the_page_says_how_to_get_it(stocked_book, reader, monkeypatch):
    monkeypatch.setattr(paper, "is_there", lambda: False)
    assert "pip install" in reader.get("/brews/1/papers/").text
    refused = reader.get(label_url())
    assert refused.status_code == 409
    assert "pip install" in refused.text


def test_the_demo_has_papers_of_its_own_brews(filled_book, reader):
    for number in range(1, 9):
        assert reader.get(f"/brews/{number}/papers/").status_code == 200
        assert words_in(reader.get(f"/brews/{number}/papers/slip/?page=A4"))
        assert words_in(reader.get(f"/brews/{number}/papers/sheet/?page=A4"))


# --- calendar -------------------------------------------------------------------------------------------------------


def made(post):
    """A secret address, made as a reader makes it."""
    page = post("/calendar/make/", page="/settings/")
    assert page.status_code == 200, page.text
    return re.search(r'value="http://testserver(/calendar/[^"]+\.ics)"', page.text)[1]


def test_the_file_is_there_for_who_may_read_the_book(stocked_book, reader):
    response = reader.get("/calendar/")
    assert response["Content-Type"] == "text/calendar; charset=utf-8"
    assert response["Content-Disposition"] == 'attachment; filename="gylebook.ics"'
    assert icalendar.Calendar.from_ical(response.content).walk("VEVENT")


def test_a_secret_address_is_made_shown_once_and_taken_back(stocked_book, reader, post):
    assert "Take the address back" not in reader.get("/settings/").text
    address = made(post)
    secret = address.removeprefix("/calendar/").removesuffix(".ics")
    settings_page = reader.get("/settings/").text
    assert "Take the address back" in settings_page
    assert secret not in settings_page
    assert reader.get(address).content == reader.get("/calendar/").content
    assert post("/calendar/stop/", page="/settings/").status_code == 302
    assert reader.get(address).status_code == 404
    assert not CalendarFeed.objects.exists()


def test_a_new_address_ends_the_one_before(stocked_book, reader, post):
    first, second = made(post), made(post)
    assert first != second
    assert reader.get(first).status_code == 404
    assert reader.get(second).status_code == 200


@pytest.mark.parametrize("secret", ["x", "a" * 43, "..%2Fsettings"])
def test_a_guessed_address_is_not_there(stocked_book, reader, post, secret):
    made(post)
    assert reader.get(f"/calendar/{secret}.ics").status_code == 404


def test_where_a_password_is_asked_for_only_the_secret_address_does_without(shared, reader):
    assert reader.get("/calendar/").status_code == 302
    assert reader.get("/calendar/x.ics").status_code == 404
    secret = calendar_feed.make("owner", datetime.now(UTC))
    response = reader.get(f"/calendar/{secret}.ics")
    assert response.status_code == 200
    assert response.content.startswith(b"BEGIN:VCALENDAR")
    assert response["Cache-Control"] == "private, no-store"
    assert reader.get("/brews/").status_code == 302


def test_an_address_is_made_and_taken_back_by_form_alone(stocked_book, reader, client):
    for url in ("/calendar/make/", "/calendar/stop/"):
        assert reader.get(url).status_code == 405
        assert reader.post(url).status_code == 403


def test_no_calendar_follows_the_demo(stocked_book, reader, post):
    secret = made(post).removeprefix("/calendar/")
    assert reader.get(f"/demo/calendar/{secret}").status_code == 404
    assert post("/demo/calendar/make/", page="/demo/settings/").status_code == 409
    page = reader.get("/demo/settings/").text
    assert "Make a secret address" not in page
    assert reader.get("/demo/calendar/").status_code == 200


def test_twice_the_same_feed_is_the_same_to_the_byte_and_a_further_entry_raises_the_sequence(
    stocked_book, reader, post
):
    address = made(post)
    before = reader.get(address).content
    assert reader.get(address).content == before
    response = post(
        "/brews/3/readings/", {"act": "reading", "gravity": "1.016", "temp": "19 °C", "command_id": "further"}
    )
    assert response.status_code == 302, response.text
    old, new = (
        {str(event["UID"]): event for event in icalendar.Calendar.from_ical(text).walk("VEVENT")}
        for text in (before, reader.get(address).content)
    )
    shared = [uid for uid in set(old) & set(new) if "Lantern brown" in new[uid]["SUMMARY"]]
    assert shared
    assert all(int(new[uid]["SEQUENCE"]) > int(old[uid]["SEQUENCE"]) for uid in shared)
    assert len(new) == len({str(event["SUMMARY"]) for event in new.values()})
