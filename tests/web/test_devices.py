"""Codes let one browser in, once; what is signed in is listed and can be signed out from elsewhere."""

from __future__ import annotations

import re
import threading
from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.db import connections
from django.test import Client

from gylebook.errors import Refused, StoreUnavailable
from gylebook.store import devices, one_time, people
from gylebook.store.models import Device, OneTimeCode, SignInTry
from gylebook.store.serving import Serving, note

NOON = datetime(2026, 11, 3, 12, 0, tzinfo=UTC)
PHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 19_0 like Mac OS X) AppleWebKit/605 Version/19.0 Mobile Safari/604.1"


@pytest.fixture
def house(settings, books, tmp_path):
    """The book open to the house, without any password."""
    settings.SIGN_IN_REQUIRED = True
    settings.HOME = tmp_path
    note(tmp_path, Serving("https://cellar-box.local:8484/", "http://cellar-box.local:8485/", "AB:CD"))


def send(reader, url, data=None, page=None, **further):
    """A form with the mark from its page."""
    found = re.search(
        r'name="csrfmiddlewaretoken" value="([^"]+)"', reader.get(page or url, **further).content.decode()
    )
    return reader.post(url, {**(data or {}), "csrfmiddlewaretoken": found[1] if found else ""}, **further)


def code(person="owner"):
    return one_time.make(one_time.PAIRING, person, datetime.now(UTC))


def phone():
    return Client(enforce_csrf_checks=True, HTTP_USER_AGENT=PHONE)


def paired(person="owner", name="My phone"):
    reader = phone()
    assert send(reader, f"/pair/{code(person)}/", {"name": name}).status_code == 302
    return reader


def is_in(reader):
    return reader.get("/brews/").status_code == 200


def test_without_a_code_nobody_gets_in_and_no_password_is_there_to_be_guessed(house):
    reader = phone()
    for url in ("/", "/brews/", "/demo/", "/account/devices/", "/account/people/", "/account/passkeys/", "/book/"):
        assert reader.get(url).status_code == 302, url
    page = reader.get("/account/sign-in/").content.decode()
    assert "Nobody has a password in this book" in page
    assert 'type="password"' not in page
    assert not people.has_password()


def test_a_code_makes_the_phone_a_device_that_stays_signed_in(house):
    reader = phone()
    link = f"/pair/{code()}/"
    page = reader.get(link).content.decode()
    assert "A gyle book" in page
    assert 'value="Safari on an iPhone"' in page
    answer = send(reader, link, {"name": "  Kitchen   phone "})
    assert answer["Location"] == "/pocket/"
    cookie = answer.cookies["gylebook_session"]
    assert cookie["max-age"] == 180 * 24 * 3600
    assert (cookie["httponly"], cookie["samesite"]) == (True, "Lax")
    assert is_in(reader)
    assert "owner" in reader.get("/").content.decode()
    assert [(each.person, each.name, each.way) for each in devices.listed(datetime.now(UTC))] == [
        ("owner", "Kitchen phone", "pairing")
    ]
    assert not people.has_password()


def test_over_https_the_cookie_never_travels_in_the_clear(house, settings):
    settings.SESSION_COOKIE_SECURE = True
    link = f"/pair/{code()}/"
    reader = phone()
    token = re.search(
        r'value="([^"]+)"', reader.get(link, secure=True).content.decode().split("csrfmiddlewaretoken")[1]
    )
    answer = reader.post(link, {"csrfmiddlewaretoken": token[1]}, secure=True, HTTP_REFERER=f"https://testserver{link}")
    assert answer.cookies["gylebook_session"]["secure"]


def test_a_preview_of_the_link_does_not_use_it_up(house):
    link = f"/pair/{code()}/"
    for _ in range(3):
        assert phone().get(link).status_code == 200
    assert phone().head(link).status_code == 200
    assert send(phone(), link).status_code == 302


def test_a_code_works_once(house):
    link = f"/pair/{code()}/"
    other = phone()
    other.get(link)
    assert send(phone(), link).status_code == 302
    answer = other.post(link, {"csrfmiddlewaretoken": other.cookies["gylebook_csrf"].value})
    assert answer.status_code == 410
    assert "has been used or its time is over" in answer.content.decode()
    assert not is_in(other)


def test_a_code_ends_after_ten_minutes(house):
    with time_machine.travel(NOON, tick=False) as clock:
        link = f"/pair/{code()}/"
        clock.shift(timedelta(minutes=9, seconds=59))
        assert phone().get(link).status_code == 200
        clock.shift(timedelta(seconds=1))
        assert phone().get(link).status_code == 410


def test_of_two_who_use_a_code_at_once_one_gets_in(house):
    made, now = code(), datetime.now(UTC)
    gate, said = threading.Barrier(2), []

    def use(number):
        gate.wait()
        try:
            said.append(one_time.take(one_time.PAIRING, made, f"192.168.1.{number}", now))
        except Refused:
            said.append("refused")
        finally:
            connections.close_all()

    both = [threading.Thread(target=use, args=[number]) for number in (1, 2)]
    for each in both:
        each.start()
    for each in both:
        each.join()
    assert sorted(said) == ["owner", "refused"]


def test_codes_are_kept_as_hashes(house):
    made = code()
    row = OneTimeCode.objects.get()
    assert made not in (row.code_hash, row.person, str(row))
    assert len(made) == 24


def test_a_code_for_one_thing_is_none_for_the_other(house):
    assert phone().get(f"/invited/{code()}/").status_code == 410
    invitation = one_time.make(one_time.INVITATION, "owner", datetime.now(UTC))
    assert phone().get(f"/pair/{invitation}/").status_code == 410


def test_the_sixth_wrong_code_is_refused_even_if_right_and_only_from_there(house):
    with time_machine.travel(NOON, tick=False) as clock:
        right = f"/pair/{code()}/"
        for number in range(5):
            assert phone().get(f"/pair/wrong-{number}/", REMOTE_ADDR="192.168.1.66").status_code == 410
        assert phone().get(right, REMOTE_ADDR="192.168.1.66").status_code == 429
        assert phone().get(f"/invited/{number}/", REMOTE_ADDR="::ffff:192.168.1.66").status_code == 429
        assert phone().get(right, REMOTE_ADDR="192.168.1.20").status_code == 200
        clock.shift(timedelta(minutes=5, seconds=1))
        assert phone().get(right, REMOTE_ADDR="192.168.1.66").status_code == 200


def test_the_form_of_a_code_needs_its_mark(house):
    made = code()
    assert phone().post(f"/pair/{made}/", {"name": "x"}).status_code == 403
    assert phone().get(f"/pair/{made}/").status_code == 200


def test_a_phone_that_was_signed_out_is_out_at_its_next_page(house):
    mine, lost = paired(name="Mine"), paired(name="Lost")
    page = mine.get("/account/devices/").content.decode()
    assert page.count("(this one)") == 1
    assert "Lost" in page
    number = Device.objects.get(name="Lost").pk
    assert send(mine, "/account/devices/revoke/", {"device": number}, "/account/devices/").status_code == 302
    assert not is_in(lost)
    assert is_in(mine)
    assert lost.get("/").status_code == 302


def test_signing_out_this_device_here_ends_at_signing_in(house):
    mine = paired()
    number = Device.objects.get().pk
    answer = send(mine, "/account/devices/revoke/", {"device": number}, "/account/devices/")
    assert answer["Location"] == "/account/sign-in/"
    assert not is_in(mine)


def test_all_others_or_all_are_signed_out_at_once_and_open_codes_end(house):
    mine, second, third = paired(), paired(), paired()
    send(mine, "/account/devices/revoke-all/", {"but": "this"}, "/account/devices/")
    assert [is_in(each) for each in (mine, second, third)] == [True, False, False]
    open_code = code()
    answer = send(mine, "/account/devices/revoke-all/", {"but": ""}, "/account/devices/")
    assert answer["Clear-Site-Data"] == '"cache"'
    assert not is_in(mine)
    assert phone().get(f"/pair/{open_code}/").status_code == 410


def test_signing_out_takes_the_device_off_the_list(house):
    mine = paired()
    send(mine, "/account/sign-out/", page="/")
    assert devices.listed(datetime.now(UTC)) == []


def test_nobody_signs_out_somebody_elses_device_but_the_owner(house):
    mine = paired()
    people.join("Ann", "Nine barrels of porter", lambda: None)
    ann = paired("Ann", "Ann's phone")
    assert "My phone" not in ann.get("/account/devices/").content.decode()
    number = Device.objects.get(person="owner").pk
    assert send(ann, "/account/devices/revoke/", {"device": number}, "/account/devices/").status_code == 404
    assert is_in(mine)
    page = mine.get("/account/devices/").content.decode()
    assert "of Ann" in page
    number = Device.objects.get(person="Ann").pk
    send(mine, "/account/devices/revoke/", {"device": number}, "/account/devices/")
    assert not is_in(ann)


def test_a_device_is_seen_now_and_then_and_stays_for_180_days_from_there(house):
    with time_machine.travel(NOON, tick=False) as clock:
        mine = paired()
        clock.shift(timedelta(minutes=9))
        mine.get("/")
        assert Device.objects.get().seen_at == NOON
        clock.shift(timedelta(minutes=1))
        answer = mine.get("/")
        assert Device.objects.get().seen_at == NOON + timedelta(minutes=10)
        assert answer.cookies["gylebook_session"]["max-age"] == 180 * 24 * 3600
        clock.shift(timedelta(days=179))
        assert is_in(mine)
        clock.shift(timedelta(days=180, seconds=1))
        assert not is_in(mine)
        assert devices.listed(datetime.now(UTC)) == []


def test_a_book_that_cannot_be_read_lets_nobody_pass_and_says_so(house, monkeypatch):
    mine = paired()

    def away(*_):
        raise StoreUnavailable("The book is busy; try again in a moment.")

    monkeypatch.setattr(devices, "find", away)
    answer = mine.get("/")
    assert answer.status_code == 503
    assert "The book is busy" in answer.content.decode()


def test_a_busy_book_does_not_stop_a_page_for_the_sake_of_when_it_was_read(house, monkeypatch):
    with time_machine.travel(NOON, tick=False) as clock:
        mine = paired()
        clock.shift(timedelta(minutes=10))

        def busy(*_):
            raise StoreUnavailable("The book is busy; try again in a moment.")

        with monkeypatch.context() as patch:
            patch.setattr(devices, "seen", busy)
            assert is_in(mine)
        assert Device.objects.get().seen_at == NOON
        assert is_in(mine)
        assert Device.objects.get().seen_at == NOON + timedelta(minutes=10)


def test_wrong_codes_are_forgotten_after_a_day(house):
    with time_machine.travel(NOON, tick=False) as clock:
        phone().get("/pair/wrong/")
        clock.shift(timedelta(days=1, seconds=1))
        phone().get("/pair/wrong/")
        assert SignInTry.objects.count() == 1


def test_a_sign_in_from_before_devices_were_listed_is_listed_at_its_next_page(house, shared):
    mine = phone()
    send(mine, "/account/sign-in/", {"password": shared, "name": "owner"})
    session = mine.session
    del session["device"]
    session.save()
    Device.objects.all().delete()
    assert is_in(mine)
    assert Device.objects.get().way == "before"


def test_signing_in_again_in_the_same_browser_is_one_device(house, shared):
    mine = paired()
    send(mine, "/account/sign-in/", {"password": shared, "name": "owner"})
    assert Device.objects.get().way == "password"


def test_a_new_password_takes_all_devices_off_the_list(house):
    mine = paired()
    people.set_password("Nine barrels of porter")
    assert not is_in(mine)
    assert devices.listed(datetime.now(UTC)) == []


def test_a_phone_is_added_from_the_page_with_a_code_to_scan(house, settings):
    mine = paired()
    page = send(mine, "/account/devices/add/", page="/account/devices/").content.decode()
    link = re.search(r'href="(https?://[^"]+/pair/[^"]+)"', page)[1]
    assert link.startswith("http://testserver/pair/")
    assert "<svg" in page
    assert "style=" not in page
    assert "http://cellar-box.local:8485/" in page
    assert "AB:CD" in page
    assert send(phone(), link.removeprefix("http://testserver")).status_code == 302
    settings.URL = "https://book.home:8484/"
    page = send(mine, "/account/devices/add/", page="/account/devices/").content.decode()
    assert 'href="https://book.home:8484/pair/' in page


def test_where_only_this_computer_reaches_the_book_the_page_says_how_to_open_it(books, settings, tmp_path):
    settings.HOME = tmp_path
    here = Client(enforce_csrf_checks=True, HTTP_HOST="127.0.0.1")
    answer = send(here, "/account/devices/add/", page="/account/devices/")
    assert answer.status_code == 409
    assert "gylebook serve --lan" in answer.content.decode()
    assert not OneTimeCode.objects.exists()


def test_at_this_computer_the_code_leads_to_where_the_book_is_open(house, settings):
    settings.SIGN_IN_REQUIRED = False
    here = Client(enforce_csrf_checks=True, HTTP_HOST="localhost")
    page = send(here, "/account/devices/add/", page="/account/devices/").content.decode()
    assert 'href="https://cellar-box.local:8484/pair/' in page


def test_somebody_who_was_removed_is_let_in_by_no_code(house):
    people.join("Ann", "", lambda: None)
    link = f"/pair/{code('Ann')}/"
    waiting = phone()
    waiting.get(link)
    people.remove("Ann")
    answer = waiting.post(link, {"csrfmiddlewaretoken": waiting.cookies["gylebook_csrf"].value})
    assert answer.status_code == 410
    assert not is_in(waiting)


@pytest.mark.parametrize(
    ("said", "name"),
    [
        (PHONE, "Safari on an iPhone"),
        (
            "Mozilla/5.0 (Linux; Android 16; K) AppleWebKit/537.36 Chrome/140.0 Mobile Safari/537.36",
            "Chrome on an Android device",
        ),
        ("Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0", "Firefox on Linux"),
        ("curl/8.0", "A browser"),
        ("", "A browser"),
    ],
)
def test_a_browser_is_called_by_what_it_says_of_itself(rf, said, name):
    from gylebook.web.account.admission import browser_name

    assert browser_name(rf.get("/", HTTP_USER_AGENT=said)) == name
