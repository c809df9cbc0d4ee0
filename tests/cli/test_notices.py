"""`gylebook notices` and `gylebook danger`."""

from __future__ import annotations

import re

import pytest

from gylebook.store import notices

URL = "https://house.example/brewing"


@pytest.fixture
def posted(monkeypatch):
    """What would go over the line; nothing does."""
    found = []

    def post(url, body, headers):
        found.append((url, body, headers))
        return post.fault

    post.fault = ""
    for sends in (notices.try_out, notices.send_due):
        monkeypatch.setattr(sends, "__kwdefaults__", {"post": post})
    post.found = found
    return post


def test_an_address_is_added_told_of_what_is_due_and_removed(told, own_book, posted):
    added = told("notices", "add", URL, "--url", "https://book.home", "--json").plain
    assert (added["address"], len(added["secret"])) == (1, 64)
    assert told("log", "new", "plan", "--name", "Invented ale", "--when", "2026-09-05 09:00").code == 0
    assert told("log", "1", "mix", "--volume", "20 L", "--temp", "20", "--when", "2026-09-05 10:00").code == 0
    sent = told("notices", "send", "--json").plain
    assert sent["sent"] >= 1
    assert sent["not_taken"] == 0
    (url, body, _), *_ = posted.found
    assert url == URL
    assert b'"url":"https://book.home/brews/1/"' in body
    assert told("notices", "send").out.strip() == "Nothing was to be sent."
    (listed,) = told("notices", "list", "--json").plain["addresses"]
    assert (listed["url"], listed["fault"], listed["waiting"], listed["given_up"]) == (URL, "", [], [])
    assert listed["taken_at"]
    assert URL in told("notices", "list").out
    assert told("notices", "remove", "1").code == 0
    assert told("notices", "list").out.startswith("No address is given")


def test_a_secret_is_shown_once(told, own_book):
    shown = told("notices", "add", URL).out
    secret = re.search(r"[0-9a-f]{64}", shown)[0]
    assert secret not in told("notices", "list").out
    assert secret not in told("notices", "list", "--json").out


def test_a_test_says_whether_it_was_taken(told, own_book, posted):
    told("notices", "add", URL)
    assert told("notices", "test", "1").out.strip() == "The test was taken."
    posted.fault = "Nothing listens there."
    refused = told("notices", "test", "1")
    assert refused.code != 0
    assert refused.err.strip() == "The test was not taken. Nothing listens there."
    assert "Nothing listens there." in told("notices", "list").out


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (("add", "house.example"), "Address: it is no web address; write one such as https://house.example/brewing."),
        (("remove", "9"), "There is no address 9 for notices"),
        (("test", "9"), "There is no address 9 for notices"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(told, own_book, line, words):
    refused = told("notices", *line)
    assert refused.code != 0
    assert words in refused.err


def test_the_example_book_sends_nothing(told, own_book):
    told("demo", "fill")
    assert "example book" in told("--demo", "notices", "list").err


def test_bottles_that_may_burst_need_no_brew_and_stand_in_the_list_of_commands(told, own_book):
    answer = told("danger")
    assert answer.code == 0
    assert answer.out.startswith("Stop. Keep away")
    assert told("danger", "--json").plain["urgency"] == "Danger"
    assert re.search(r"danger +Say what to do with bottles that may burst", told("--help").out)
