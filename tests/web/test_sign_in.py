from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
import time_machine

from gylebook.store.models import SignInTry
from gylebook.store.people import set_password
from gylebook.web.account.views import actor

SIGN_IN = "/account/sign-in/"


def signed_in(reader):
    return reader.get("/brews/").status_code == 200


def test_on_this_computer_nobody_is_asked_for_a_password(reader):
    assert signed_in(reader)


@pytest.mark.parametrize("url", ["/", "/brews/", "/demo/brews/"])
def test_a_shared_book_asks_for_the_password_on_every_page(reader, shared, url):
    response = reader.get(url)
    assert response.status_code == 302
    prefix = "/demo" if url.startswith("/demo") else ""
    assert response["Location"] == f"{prefix}{SIGN_IN}?next={url}"


def test_the_right_password_opens_the_page_that_was_wanted(reader, post, shared):
    response = post(SIGN_IN, {"password": shared, "next": "/cellar/"}, page=SIGN_IN)
    assert response["Location"] == "/cellar/"
    assert signed_in(reader)
    assert "owner" in reader.get("/").content.decode()


def test_a_wrong_password_is_named_beside_its_field(reader, post, shared):
    response = post(SIGN_IN, {"password": "guess"}, page=SIGN_IN)
    assert response.status_code == 422
    assert "Password: it does not fit that name" in response.content.decode()
    assert 'aria-describedby="e-password"' in response.content.decode()
    assert not signed_in(reader)


def test_the_sixth_wrong_password_in_five_minutes_is_refused_even_if_right(reader, post, shared):
    with time_machine.travel(datetime(2026, 11, 3, 18, 0, tzinfo=UTC), tick=False) as clock:
        for _ in range(5):
            assert post(SIGN_IN, {"password": "guess"}, page=SIGN_IN).status_code == 422
        response = post(SIGN_IN, {"password": shared}, page=SIGN_IN)
        assert response.status_code == 429
        assert "wait five minutes, or set a new one with “gylebook password”" in response.content.decode()
        clock.shift(timedelta(minutes=4))
        assert post(SIGN_IN, {"password": shared}, page=SIGN_IN).status_code == 429
        clock.shift(timedelta(minutes=1, seconds=1))
        assert post(SIGN_IN, {"password": shared}, page=SIGN_IN).status_code == 302


def test_refused_tries_do_not_lengthen_the_wait(reader, post, shared):
    with time_machine.travel(datetime(2026, 11, 3, 18, 0, tzinfo=UTC), tick=False) as clock:
        for _ in range(5):
            post(SIGN_IN, {"password": "guess"}, page=SIGN_IN)
        for _ in range(9):
            clock.shift(timedelta(seconds=30))
            assert post(SIGN_IN, {"password": "guess"}, page=SIGN_IN).status_code == 429
        clock.shift(timedelta(seconds=31))
        assert post(SIGN_IN, {"password": shared}, page=SIGN_IN).status_code == 302


def test_the_right_password_clears_the_count(reader, post, shared):
    for _ in range(4):
        post(SIGN_IN, {"password": "guess"}, page=SIGN_IN)
    assert post(SIGN_IN, {"password": shared}, page=SIGN_IN).status_code == 302
    assert SignInTry.objects.count() == 0


def test_a_new_password_set_on_this_computer_lets_a_locked_out_owner_in(reader, post, shared):
    for _ in range(6):
        post(SIGN_IN, {"password": "guess"}, page=SIGN_IN)
    assert set_password("Nine barrels of porter") is False
    assert post(SIGN_IN, {"password": "Nine barrels of porter"}, page=SIGN_IN).status_code == 302


def test_a_new_password_ends_the_sign_ins_made_with_the_old_one(reader, post, shared):
    post(SIGN_IN, {"password": shared}, page=SIGN_IN)
    assert signed_in(reader)
    set_password("Nine barrels of porter")
    assert not signed_in(reader)


@pytest.mark.parametrize("address", ["https://evil.example/", "//evil.example/", "javascript:alert(1)", ""])
def test_signing_in_never_leads_to_another_site(reader, post, shared, address):
    response = post(SIGN_IN, {"password": shared, "next": address}, page=SIGN_IN)
    assert response["Location"] == "/"


def test_with_several_people_the_name_is_asked_for(reader, post, shared):
    assert 'type="hidden" name="name"' in reader.get(SIGN_IN).content.decode()
    set_password("Nine barrels of porter", "Ann")
    assert 'id="f-name"' in reader.get(SIGN_IN).content.decode()
    assert post(SIGN_IN, {"name": "Ann", "password": shared}, page=SIGN_IN).status_code == 422
    assert post(SIGN_IN, {"name": "Ann", "password": "Nine barrels of porter"}, page=SIGN_IN).status_code == 302


def test_signing_out_closes_the_book_and_clears_kept_pages(reader, post, shared):
    post(SIGN_IN, {"password": shared}, page=SIGN_IN)
    response = post("/account/sign-out/", page="/")
    assert response["Clear-Site-Data"] == '"cache"'
    assert not signed_in(reader)


def test_signing_out_is_never_done_by_a_mere_link(reader, post, shared):
    post(SIGN_IN, {"password": shared}, page=SIGN_IN)
    assert reader.get("/account/sign-out/").status_code == 405
    assert signed_in(reader)


def test_an_entry_is_signed_with_the_persons_name(rf):
    request = rf.get("/")
    assert actor(request) == "owner"
