"""Notices: one for each decision and address, none lost and none doubled, signed, and tried again for a while."""

from __future__ import annotations

import hashlib
import hmac
import json
import sqlite3
import threading
from contextlib import closing
from datetime import timedelta
from itertools import pairwise

import pytest

from entries import NOON, at, measured, planned, row, write_rows
from gylebook.errors import InputError, NotFound, Refused
from gylebook.journal import events as ev
from gylebook.outputs.measures import Measures
from gylebook.outputs.voices import voice
from gylebook.phrases import say, small, speaking, tell
from gylebook.steps.cards import Card, CardTask
from gylebook.store import accounts, calendar_feed, cards, notice_routine, notices
from gylebook.store.models import Notice, NoticeAddress

ZONE = NOON.tzinfo
URL = "https://house.example/brewing"


class Receiver:
    """Stands where a notice goes: keeps what was posted, and answers as it is told."""

    def __init__(self):
        self.posted, self.fault = [], ""

    def __call__(self, url, body, headers):
        self.posted.append((url, body, headers))
        return self.fault

    @property
    def told(self):
        return [json.loads(body) for _, body, _ in self.posted]


@pytest.fixture
def receiver():
    return Receiver()


@pytest.fixture
def due(monkeypatch):
    """Sets what is due: one brew with these tasks."""

    def set_due(*tasks):
        told = Card("7", 7, "Invented ale", "fermenting", True, "", "", "WAIT", tasks=tasks)
        source = calendar_feed.Source(told, "begun-1", 5, NOON, NOON)
        monkeypatch.setattr(calendar_feed, "sources", lambda: ((source,), ()))

    return set_due


def task(words="Read the gravity", *, urgency="MEASURE", hours=0.0, act="reading", after=0, why="It tells."):
    return CardTask("readings", act, words, why, urgency, at(hours), at(hours + 72), None, "", after)


def look(receiver, hours):
    return notices.send_due(at(hours), ZONE, post=receiver)


def test_what_is_due_is_posted_once_with_all_that_it_takes_to_act(book, receiver, due):
    notices.add(URL, "owner", at(0), base="https://book.home/")
    due(task())
    assert look(receiver, 1) == notices.Pass(sent=1)
    assert look(receiver, 2) == notices.Pass()
    ((url, _, _),) = receiver.posted
    (told,) = receiver.told
    assert url == URL
    assert told == {
        "id": Notice.objects.get().id,
        "made_at": "2026-11-03T13:00:00Z",
        "brew": "7",
        "name": "Invented ale",
        "urgency": "Measure",
        "headline": "Read the gravity",
        "why": "It tells.",
        "due_at": "2026-11-03T12:00:00Z",
        "due_by": "2026-11-06T12:00:00Z",
        "url": "https://book.home/brews/7/",
    }


def test_the_signature_is_over_the_time_and_the_body_with_the_secret_that_was_shown(book, receiver, due):
    _, secret = notices.add(URL, "owner", at(0))
    due(task())
    look(receiver, 1)
    ((_, body, headers),) = receiver.posted
    stamp = headers["Gylebook-Timestamp"]
    made = hmac.new(secret.encode(), f"{stamp}.".encode() + body, hashlib.sha256).hexdigest()
    assert int(stamp) == at(1).timestamp()
    assert headers["Gylebook-Signature"] == f"sha256={made}"
    assert notices.signature(secret, stamp, body + b" ") != headers["Gylebook-Signature"]


def test_what_is_not_due_yet_or_can_wait_is_not_told(book, receiver, due):
    notices.add(URL, "owner", at(0))
    due(task(hours=5), task("Drink what is left", urgency="NOTHING", act="take_out"))
    assert look(receiver, 1) == notices.Pass()
    assert look(receiver, 6).sent == 1


def test_a_date_that_moves_a_number_and_other_words_tell_nothing_anew(book, receiver, due):
    notices.add(URL, "owner", at(0))
    due(task())
    look(receiver, 1)
    due(task("Read the gravity again", hours=2, why="2 points left."))
    assert look(receiver, 3) == notices.Pass()
    due(task(hours=40))
    assert look(receiver, 4) == notices.Pass()
    assert look(receiver, 41) == notices.Pass()


def test_more_urgent_tells_once_more_and_less_urgent_never(book, receiver, due):
    notices.add(URL, "owner", at(0))
    for hours, urgency in enumerate(("MEASURE", "DANGER", "ACT", "DANGER", "MEASURE"), 1):
        due(task(urgency=urgency))
        look(receiver, hours)
    assert [told["urgency"] for told in receiver.told] == ["Measure", "Danger"]
    assert len({told["id"] for told in receiver.told}) == 2


def test_the_next_reading_is_another_decision(book, receiver, due):
    notices.add(URL, "owner", at(0))
    due(task())
    look(receiver, 1)
    due(task(after=6))
    look(receiver, 2)
    assert len({told["id"] for told in receiver.told}) == 2


def test_what_is_done_before_it_could_be_told_is_not_told(book, receiver, due):
    notices.add(URL, "owner", at(0))
    receiver.fault = "Nothing listens there."
    due(task())
    look(receiver, 1)
    due()
    receiver.fault = ""
    assert look(receiver, 2) == notices.Pass()
    assert len(receiver.posted) == 1
    assert Notice.objects.count() == 0


def test_it_is_tried_again_ever_later_under_the_same_id_and_then_given_up(book, receiver, due):
    number, _ = notices.add(URL, "owner", at(0))
    receiver.fault = "It answered 500 instead of taking it."
    due(task())
    tried, minute = [], 0
    while minute < 24 * 60:
        passed = len(receiver.posted)
        look(receiver, 1 + minute / 60)
        if len(receiver.posted) > passed:
            tried.append(minute)
        minute += 1 if minute < 200 else 10
    waits = [later - sooner for sooner, later in pairwise(tried)]
    assert waits == [1, 5, 30, 120, pytest.approx(720, abs=10)]
    assert len({told["id"] for told in receiver.told}) == 1
    (standing,) = notices.standings()
    assert (standing.id, standing.next_try_at, standing.waiting) == (number, None, ())
    assert standing.given_up == ("No. 7 Invented ale: read the gravity",)
    assert standing.fault == "It answered 500 instead of taking it."


def test_a_later_try_that_is_taken_ends_it(book, receiver, due):
    notices.add(URL, "owner", at(0))
    receiver.fault = "Nothing listens there."
    due(task())
    assert look(receiver, 1) == notices.Pass(failed=1)
    (standing,) = notices.standings()
    assert standing.next_try_at == at(1) + timedelta(minutes=1)
    assert standing.sent_at is None
    receiver.fault = ""
    assert look(receiver, 2) == notices.Pass(sent=1)
    (standing,) = notices.standings()
    assert (standing.sent_at, standing.waiting, standing.next_try_at) == (at(2), (), None)
    assert (standing.fault, standing.fault_at) == ("Nothing listens there.", at(1))
    assert look(receiver, 30) == notices.Pass()


def test_who_dies_in_the_middle_of_a_try_does_not_make_it_again_at_once(book, receiver, due):
    notices.add(URL, "owner", at(0))
    due(task())

    class Killed(BaseException):
        pass

    def killed(*_args):
        raise Killed

    with pytest.raises(Killed):
        notices.send_due(at(1), ZONE, post=killed)
    assert look(receiver, 1) == notices.Pass()
    assert look(receiver, 1.1) == notices.Pass(sent=1)


def test_two_that_look_at_the_same_time_send_one_notice(book, receiver, due):
    notices.add(URL, "owner", at(0))
    due(task())
    inner = []

    def slow(*posted):
        inner.append(look(receiver, 1))  # another process looks while this one is posting
        return receiver(*posted)

    assert notices.send_due(at(1), ZONE, post=slow).sent == 1
    assert inner == [notices.Pass()]
    assert len(receiver.posted) == 1


def test_each_address_is_told_and_one_that_is_silent_does_not_keep_the_other_from_it(book, receiver, due):
    notices.add(URL, "owner", at(0))
    notices.add("http://192.168.1.7/hook", "owner", at(0))
    due(task(), task("Take the hops out", urgency="ACT", act="hops_out"))

    def one_is_down(url, body, headers):
        return receiver(url, body, headers) or ("Nothing listens there." if "192" in url else "")

    assert notices.send_due(at(1), ZONE, post=one_is_down) == notices.Pass(sent=2, failed=1)
    asked = [url for url, _, _ in receiver.posted]
    assert asked.count("http://192.168.1.7/hook") == 1  # its second notice waits for the next look
    assert [standing.fault for standing in notices.standings()] == ["", "Nothing listens there."]


def test_danger_is_told_first(book, receiver, due):
    notices.add(URL, "owner", at(0))
    due(task(), task("Chill these bottles", urgency="DANGER", act="move"))
    look(receiver, 1)
    assert [told["urgency"] for told in receiver.told] == ["Danger", "Measure"]


def test_nobody_is_woken_but_for_danger(book, receiver, due):
    notices.add(URL, "owner", at(0))
    due(task(hours=10.5), task("Chill these bottles", urgency="DANGER", act="move", hours=10.5))
    look(receiver, 11)  # at eleven in the evening
    assert [told["urgency"] for told in receiver.told] == ["Danger"]
    look(receiver, 21)  # at nine in the morning
    assert [told["urgency"] for told in receiver.told] == ["Danger", "Measure"]


def test_a_brew_that_could_not_be_worked_out_keeps_what_waits(book, receiver, due, monkeypatch):
    notices.add(URL, "owner", at(0))
    receiver.fault = "Nothing listens there."
    due(task())
    look(receiver, 1)
    monkeypatch.setattr(calendar_feed, "sources", lambda: ((), ("7",)))
    look(receiver, 2)
    assert Notice.objects.count() == 1


def test_without_an_address_nothing_is_looked_at(book, receiver, django_assert_num_queries):
    with django_assert_num_queries(1):
        assert look(receiver, 1) == notices.Pass()


def test_a_test_is_told_as_one_and_lets_what_was_given_up_be_tried_again(book, receiver, due):
    number, _ = notices.add(URL, "owner", at(0))
    receiver.fault = "Nothing listens there."
    due(task())
    for hours in (1, 2, 3, 4, 7, 20):
        look(receiver, hours)
    assert notices.standings()[0].given_up
    assert notices.try_out(number, at(21), post=receiver) == "Nothing listens there."
    receiver.fault = ""
    assert notices.try_out(number, at(22), post=receiver) == ""
    assert receiver.told[-1]["urgency"] == "Test"
    assert look(receiver, 23).sent == 1
    with pytest.raises(NotFound, match="no address 99"):
        notices.try_out(99, at(23), post=receiver)


def test_an_address_that_is_removed_is_told_nothing_more(book, receiver, due):
    number, _ = notices.add(URL, "owner", at(0))
    due(task())
    notices.remove(number)
    assert look(receiver, 1) == notices.Pass()
    assert (NoticeAddress.objects.count(), Notice.objects.count()) == (0, 0)
    with pytest.raises(NotFound):
        notices.remove(number)


def test_the_same_address_twice_and_one_too_many_are_refused(book):
    notices.add(URL, "owner", at(0))
    with pytest.raises(InputError, match="it is in the book already"):
        notices.add(URL, "owner", at(0))
    for number in range(notices.MOST - 1):
        notices.add(f"{URL}/{number}", "owner", at(0))
    with pytest.raises(Refused, match="5 addresses at most"):
        notices.add(f"{URL}/more", "owner", at(0))


def test_the_secret_is_not_in_the_book(book):
    _, secret = notices.add(URL, "owner", at(0))
    (kept,) = NoticeAddress.objects.values()
    assert len(secret) == 64
    assert secret not in map(str, kept.values())
    assert URL not in str(NoticeAddress.objects.get())


@pytest.mark.parametrize("engine", ["sqlite"], indirect=True)  # only a book in a file is copied as a file
def test_a_backup_holds_no_address_and_a_restore_leaves_none(book, tmp_path):
    from gylebook.store.backup import _forget_sessions, copy_file

    notices.add(URL, "owner", at(0))
    copy_file(book, tmp_path / "copy.sqlite3")
    _forget_sessions(tmp_path / "copy.sqlite3")
    with closing(sqlite3.connect(tmp_path / "copy.sqlite3")) as copy:
        assert copy.execute("SELECT COUNT(*) FROM notice_address").fetchone() == (0,)
    accounts.forget_sessions(book)
    assert NoticeAddress.objects.count() == 0


def test_the_real_cards_of_a_brew_tell_each_reading_once(book, real_cards, receiver):
    notices.add(URL, "owner", at(0))
    pitched = row("1", 3, ev.Pitched(), hours=3)
    write_rows(book, planned("1"), row("1", 2, ev.Mixed(), hours=2), pitched)
    cards.rebuild(book)
    for day in range(1, 8):
        look(receiver, 24 * day)
    first = [told for told in receiver.told if told["headline"] == "Read the gravity"]
    assert len(first) == 1
    write_rows(book, row("1", 4, ev.TempSeen(temp=measured("1.030").temp, of="beer"), hours=24 * 7 + 1))
    cards.rebuild(book)
    told = len(receiver.posted)
    look(receiver, 24 * 8)
    assert len(receiver.posted) == told  # a temperature moves the date and closes nothing
    write_rows(book, row("1", 5, measured("1.020"), hours=24 * 8 + 1))
    cards.rebuild(book)
    for day in range(9, 25):
        look(receiver, 24 * day)
    again = [each for each in receiver.told[told:] if each["headline"] == "Read the gravity again"]
    assert len(again) == 1


def test_it_sends_by_itself_until_it_is_told_to_stop(book, receiver, due):
    notices.add(URL, "owner", at(0))
    due(task())
    stop = threading.Event()

    def taken(*posted):
        stop.set()
        return receiver(*posted)

    notice_routine.tend(lambda: at(1), lambda: ZONE, stop, every_s=0.01, post=taken)
    assert len(receiver.posted) == 1


def test_it_speaks_the_books_language_and_units_and_programs_words_stay(book, receiver, due):
    notices.add(URL, "owner", at(0))
    due(task(say("Read the gravity"), why=say("a room of 20 °C")))
    stop = threading.Event()

    def taken(*posted):
        stop.set()
        return receiver(*posted)

    american = voice("en-US", lambda: Measures(temperature="°F"))
    notice_routine.tend(lambda: at(1), lambda: ZONE, stop, voice=lambda: american, every_s=0.01, post=taken)
    due(task(say("Read the gravity"), urgency="ACT"))
    german = voice("de", Measures)
    with speaking(german):
        look(receiver, 2)
    first, again = receiver.told
    assert (first["why"], first["urgency"], first["headline"]) == ("a room of 68 °F", "Measure", "Read the gravity")
    assert (again["urgency"], again["headline"]) == ("Act today", tell(say("Read the gravity"), german))
    assert again["headline"] != "Read the gravity"


def test_what_waits_is_listed_in_the_language_in_which_it_was_to_be_told(book, receiver, due):
    notices.add(URL, "owner", at(0))
    due(task(say("Read the gravity")))
    receiver.fault = say("It did not answer.")
    with speaking(voice("de", Measures)):
        look(receiver, 1)
        (title,) = notices.standings()[0].waiting
        todo = small(say("Read the gravity"))
        assert title == tell(say("No. {id} {card}: {task}", id="7", card="Invented ale", task=todo))
        assert tell(todo) != todo


def test_what_goes_wrong_is_noted_and_does_not_end_it(book, receiver, caplog):
    notices.add(URL, "owner", at(0))
    stop = threading.Event()

    def broken():
        stop.set()
        raise Refused("no zone")

    notice_routine.tend(lambda: at(1), broken, stop, every_s=0.01, post=receiver)
    assert "they are tried again later" in caplog.text
