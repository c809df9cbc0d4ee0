"""The page on which the owner says where notices go."""

from __future__ import annotations

import re

import pytest
from django.contrib.auth.models import User
from django.test import Client

from gylebook.store import notices, posting
from gylebook.store.models import NoticeAddress

URL = "https://house.example/brewing?key=7"
PAGE = "/settings/notices/"


@pytest.fixture
def send(post):
    return lambda **told: post(PAGE, told)


@pytest.fixture
def answered(monkeypatch):
    """What would go over the line; nothing does."""
    answers = [""]
    monkeypatch.setattr(notices.try_out, "__kwdefaults__", {"post": lambda *_posted: answers[-1]})
    return answers


def test_the_secret_is_shown_once(send, reader):
    page = send(do="add", url=URL).content.decode()
    secret = re.search(r'value="([0-9a-f]{64})"', page)[1]
    again = reader.get(PAGE).content.decode()
    assert secret not in again
    assert URL in again
    assert "nothing yet" in again


@pytest.mark.parametrize(
    ("url", "words"),
    [
        ("house.example", "Address: it is no web address"),
        ("ftp://house.example/", "Address: it is no web address"),
        ("https://a:b@house.example/", "it holds a name or a password"),
    ],
)
def test_what_is_no_address_is_given_back_with_what_was_wrong(send, url, words):
    response = send(do="add", url=url)
    page = response.content.decode()
    assert response.status_code == 422
    assert words in page
    assert f'value="{url}"' in page
    assert 'aria-invalid="true"' in page
    assert NoticeAddress.objects.count() == 0


def test_a_test_tells_whether_it_was_taken_and_the_page_keeps_what_went_wrong(send, reader, answered):
    send(do="add", url=URL)
    number = str(NoticeAddress.objects.get().pk)
    assert "The test was taken." in send(do="test", address=number).content.decode()
    answered.append("Nothing listens there.")
    assert "The test was not taken. Nothing listens there." in send(do="test", address=number).content.decode()
    assert "Nothing listens there." in reader.get(PAGE).content.decode()


def test_an_address_is_removed(send, reader):
    send(do="add", url=URL)
    response = send(do="remove", address=str(NoticeAddress.objects.get().pk))
    assert response["Location"] == PAGE
    assert URL not in reader.get(PAGE).content.decode()
    assert send(do="remove", address="99").status_code == 404
    assert send(do="remove", address="-1").status_code == 404


def test_only_the_owner_says_where_notices_go(shared, monkeypatch):
    monkeypatch.setattr(posting, "post", lambda *_posted: pytest.fail("nothing may be posted"))
    guest = Client()
    guest.force_login(User.objects.create_user("guest"))
    assert guest.get(PAGE).status_code == 409
    assert guest.post(PAGE, {"do": "add", "url": URL}).status_code == 409
    assert "/settings/notices/" not in guest.get("/settings/").content.decode()
    assert NoticeAddress.objects.count() == 0
    assert Client().get(PAGE).status_code == 302
    owner = Client()
    owner.force_login(User.objects.get(username="owner"))
    assert owner.get(PAGE).status_code == 200
    assert "/settings/notices/" in owner.get("/settings/").content.decode()


def test_the_demo_sends_nothing(reader):
    assert reader.get("/demo/settings/notices/").status_code == 409
    assert "/settings/notices/" not in reader.get("/demo/settings/").content.decode()


def test_the_look_can_be_chosen_on_the_settings_too(reader, post):
    page = reader.get("/settings/").content.decode()
    look = page.split('id="look"', 1)[1].split("</section>", 1)[0]
    assert re.findall(r'value="(\w*)" aria-pressed="(\w+)"', look) == [
        ("", "true"),
        ("light", "false"),
        ("dark", "false"),
    ]
    assert post("/look/", {"look": "dark", "next": "/settings/#look"})["Location"] == "/settings/#look"
    look = reader.get("/settings/").content.decode().split('id="look"', 1)[1]
    assert 'value="dark" aria-pressed="true"' in look
