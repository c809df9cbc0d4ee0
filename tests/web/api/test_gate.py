"""Who may ask, how often, and what is said to those who may not."""

from __future__ import annotations

import json
from datetime import timedelta

import pytest
import time_machine
from django.contrib.auth.models import User
from django.test import Client

from gylebook.store import brew_log, people, tokens
from gylebook.store.models import ApiToken
from gylebook.web.api.allowance import Allowance
from web import stocked
from web.api.asking import Script, fault_of, reading, script
from web.conftest import PASSWORD


@pytest.fixture
def asked_for_password(stocked_book, settings):
    """The stocked book as others in the house reach it."""
    settings.SIGN_IN_REQUIRED = True
    people.set_password(PASSWORD)


def signed_in():
    browser = Client(enforce_csrf_checks=True)
    page = browser.get("/account/sign-in/")
    mark = browser.cookies["gylebook_csrf"].value
    answer = browser.post("/account/sign-in/", {"name": "owner", "password": PASSWORD, "csrfmiddlewaretoken": mark})
    assert page.status_code == 200
    assert answer.status_code == 302
    return browser


def hello(browser):
    return json.loads(browser.get("/api/hello").content)


def send(browser, entry, **headers):
    return browser.post(
        "/api/entries", json.dumps({"entries": [entry]}), content_type="application/json", headers=headers
    )


ADDRESSES = ("pocket", "brews", "brews/1", "brews/1/entries", "today", "cellar", "steps/plan?brew=1", "sums/units")


@pytest.mark.parametrize("path", ADDRESSES)
def test_a_stranger_reads_nothing(asked_for_password, path):
    response = Client().get(f"/api/{path}")
    assert response.status_code == 401
    assert response["WWW-Authenticate"].startswith("Bearer")
    assert "sign in" in fault_of(response)["message"]


def test_a_stranger_writes_nothing(asked_for_password):
    assert send(Client(), reading()).status_code == 401
    assert brew_log.read("3").head_seq == 4


def test_a_stranger_learns_only_whose_turn_it_is(asked_for_password):
    found = hello(Client())
    assert (found["signed_in"], found["person"], found["csrf"], found["may"]) == (False, "", "", [])


def test_a_browser_that_is_signed_in_reads_and_with_the_mark_writes(asked_for_password):
    browser = signed_in()
    found = hello(browser)
    assert (found["signed_in"], found["person"]) == (True, "owner")
    assert browser.get("/api/pocket").status_code == 200
    without = send(browser, reading())
    assert (without.status_code, fault_of(without)["field"]) == (403, "X-CSRFToken")
    assert brew_log.read("3").head_seq == 4
    assert send(browser, reading(), **{"x-csrftoken": found["csrf"]}).status_code == 200
    assert brew_log.entries("3", after=4)[0].source == "page"


def test_on_this_computer_another_sites_page_cannot_write(stocked_book):
    browser = Client(enforce_csrf_checks=True)
    assert browser.get("/api/today").status_code == 200
    assert send(browser, reading()).status_code == 403
    assert send(browser, reading(), **{"x-csrftoken": hello(browser)["csrf"]}).status_code == 200


@pytest.mark.parametrize("header", ["Bearer nonsense", "Bearer gyle_nonsense", "Basic b3duZXI6eA==", "Bearer", ""])
def test_a_token_that_is_none_is_refused_even_where_nobody_must_sign_in(stocked_book, header):
    response = Client().get("/api/today", headers={"authorization": header})
    assert response.status_code == 401
    assert "opens nothing" in fault_of(response)["message"]


def test_a_token_does_what_it_was_made_for_and_no_more(asked_for_password):
    reads, writes = script("read", name="reads"), script("write", name="writes")
    assert reads.get("today").status_code == 200
    refused = reads.post({"entries": [reading()]})
    assert refused.status_code == 403
    assert "may not write" in fault_of(refused)["message"]
    assert writes.write(reading())[0]["status"] == "written"
    assert writes.get("today").status_code == 403


def test_a_token_that_was_taken_back_opens_nothing(asked_for_password):
    own = script()
    assert own.get("today").status_code == 200
    tokens.revoke("a script", "owner")
    assert own.get("today").status_code == 401


def test_a_token_of_somebody_who_may_no_longer_sign_in_opens_nothing(asked_for_password):
    people.set_password(PASSWORD, "jo")
    own = script(person="jo")
    assert own.get("today").status_code == 200
    User.objects.filter(username="jo").update(is_active=False)
    assert own.get("today").status_code == 401
    User.objects.filter(username="jo").delete()
    assert own.get("today").status_code == 401


def test_the_book_keeps_only_the_print_of_a_token_and_when_it_was_used(stocked_book):
    token, secret = tokens.make("probe", "owner", "read", stocked.NOW)
    assert token.used_at is None
    row = ApiToken.objects.get()
    assert secret not in str(vars(row))
    Script(secret).read("today")
    assert tokens.listed()[0].used_at == stocked.NOW
    with time_machine.travel(stocked.NOW + timedelta(minutes=3), tick=False):
        Script(secret).read("today")
    assert tokens.listed()[0].used_at == stocked.NOW
    with time_machine.travel(stocked.NOW + timedelta(minutes=11), tick=False):
        Script(secret).read("today")
    assert tokens.listed()[0].used_at == stocked.NOW + timedelta(minutes=11)


@pytest.mark.parametrize(
    ("method", "path", "allow"),
    [("post", "today", "GET, HEAD"), ("delete", "brews/1", "GET, HEAD"), ("get", "entries", "POST")],
)
def test_another_method_is_refused_and_the_right_one_named(stocked_book, method, path, allow):
    response = getattr(Client(), method)(f"/api/{path}")
    assert response.status_code == 405
    assert response["Allow"] == allow
    assert fault_of(response)["message"]


def test_head_answers_as_get_without_its_body(stocked_book):
    response = Client().head("/api/today")
    assert (response.status_code, response.content) == (200, b"")


def test_another_version_of_the_api_is_refused(owner):
    assert owner.get("today", **{"x-gylebook-api": "1"}).status_code == 200
    response = owner.get("today", **{"x-gylebook-api": "2"})
    assert response.status_code == 422
    assert "version 1" in fault_of(response)["message"]


def test_answers_are_private_and_guard_themselves(owner):
    response = owner.get("today")
    assert response["Content-Type"] == "application/json"
    assert response["Cache-Control"] == "private, no-store"
    assert response["X-Content-Type-Options"] == "nosniff"


def test_too_many_requests_wait_and_others_go_on(settings, stocked_book):
    settings.API_PER_MINUTE = 5
    one, two = script(name="one"), script(name="two")
    assert [one.get("hello").status_code for _ in range(6)] == [200] * 5 + [429]
    late = one.get("today")
    assert late.status_code == 429
    assert 1 <= int(late["Retry-After"]) <= 12
    assert "5 requests a minute" in fault_of(late)["message"]
    assert two.get("today").status_code == 200


def test_guessing_tokens_is_slowed_as_well(settings, asked_for_password):
    settings.API_PER_MINUTE = 5
    got = [Client().get("/api/today", headers={"authorization": f"Bearer gyle_{n}"}).status_code for n in range(7)]
    assert got == [401] * 5 + [429] * 2


def test_a_bucket_fills_steadily_and_holds_a_minutes_worth():
    allowance = Allowance(60)
    assert [allowance.take("a", 0.0) for _ in range(60)] == [0] * 60
    assert allowance.take("a", 0.0) == 1
    assert allowance.take("a", 0.5) == 1
    assert allowance.take("a", 1.0) == 0
    assert [allowance.take("a", 1000.0) for _ in range(61)] == [0] * 60 + [1]
    assert allowance.take("b", 0.0) == 0


def test_buckets_do_not_pile_up():
    allowance = Allowance(2)
    for n in range(3000):
        allowance.take(f"caller {n}", 0.0)
    assert len(allowance._buckets) == 1000


def test_what_is_over_ten_megabytes_is_refused_as_json(stocked_book):
    response = Client().generic("POST", "/api/entries", b"x" * (10 * 1024 * 1024 + 1), "application/json")
    assert response.status_code == 413
    assert fault_of(response)["message"]


def test_a_crash_is_told_as_json_without_inner_words(stocked_book, monkeypatch):
    def crash(*args, **named):
        raise ZeroDivisionError("inner words")

    monkeypatch.setattr(brew_log, "due", crash)
    response = Client(raise_request_exception=False).get("/api/today")
    assert response.status_code == 500
    assert response["Content-Type"] == "application/json"
    assert "inner words" not in fault_of(response)["message"]


def test_the_demo_has_an_api_of_its_own_with_another_mark(stocked_book):
    own, demo = hello(Client()), json.loads(Client().get("/demo/api/hello").content)
    assert own["book"] != demo["book"]
    assert json.loads(Client().get("/demo/api/brews").content)["brews"] == []
