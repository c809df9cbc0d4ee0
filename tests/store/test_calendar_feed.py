from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import timedelta

import pytest
from django.contrib.auth.models import User

from entries import NOON, at, measured, planned, row, write_rows
from gylebook.journal import events as ev
from gylebook.outputs.measures import Measures
from gylebook.outputs.voices import voice
from gylebook.phrases import speaking, tell
from gylebook.steps.agenda import agenda
from gylebook.store import brew_log, calendar_feed, cards
from gylebook.store.backup import backup
from gylebook.store.models import CalendarFeed, CalendarThing
from gylebook.store.restore import restore

ZONE = NOON.tzinfo


def things(book):
    cards.rebuild(book)  # what is written past the door has no card yet
    found, unknown = calendar_feed.sources(book)
    assert unknown == ()
    return agenda(found, ZONE, at(0))


def test_only_the_hash_of_an_address_is_kept(book):
    secret = calendar_feed.make("owner", NOON)
    (kept,) = CalendarFeed.objects.all()
    assert len(secret) >= 43
    assert secret not in kept.secret_hash
    assert calendar_feed.person_of(secret) == "owner"
    assert calendar_feed.made_at("owner") == NOON


def test_a_new_address_ends_the_one_before(book):
    old = calendar_feed.make("owner", NOON)
    new = calendar_feed.make("owner", NOON + timedelta(hours=1))
    assert calendar_feed.person_of(old) is None
    assert calendar_feed.person_of(new) == "owner"
    assert CalendarFeed.objects.count() == 1


def test_an_address_that_is_taken_back_leads_nowhere(book):
    secret = calendar_feed.make("owner", NOON)
    other = calendar_feed.make("guest", NOON)
    assert calendar_feed.revoke("owner")
    assert calendar_feed.person_of(secret) is None
    assert calendar_feed.made_at("owner") is None
    assert calendar_feed.person_of(other) == "guest"
    assert not calendar_feed.revoke("owner")


@pytest.mark.parametrize("secret", ["", "x", "' OR 1=1 --"])
def test_what_is_nobodys_address_leads_nowhere(book, secret):
    calendar_feed.make("owner", NOON)
    assert calendar_feed.person_of(secret) is None


def test_who_may_no_longer_sign_in_has_no_calendar_either(book):
    User.objects.create(username="guest", is_active=False)
    assert calendar_feed.person_of(calendar_feed.make("guest", NOON)) is None


def test_an_address_that_was_taken_back_does_not_come_to_life_with_an_older_backup(book, tmp_path):
    write_rows(book, planned("1"))
    secret = calendar_feed.make("owner", NOON)
    backup(tmp_path / "kept.zip", now=NOON)
    calendar_feed.revoke("owner")
    restore(tmp_path / "kept.zip", now=NOON, restore_points=tmp_path)
    assert calendar_feed.person_of(secret) is None


@pytest.mark.parametrize("engine", ["sqlite"], indirect=True)  # only a book in a file is copied as a file
def test_a_backup_holds_no_address_not_even_as_a_hash(book, tmp_path):
    from gylebook.store.backup import _forget_sessions, copy_file

    calendar_feed.make("owner", NOON)
    copy_file(book, tmp_path / "copy.sqlite3")
    _forget_sessions(tmp_path / "copy.sqlite3")
    with closing(sqlite3.connect(tmp_path / "copy.sqlite3")) as copy:
        assert copy.execute("SELECT COUNT(*) FROM calendar_feed").fetchone() == (0,)
    assert CalendarFeed.objects.count() == 1


def test_a_further_entry_moves_the_same_thing_and_raises_its_sequence(book, real_cards):
    mixed = row("1", 2, ev.Mixed(), hours=2)
    write_rows(book, planned("1"), mixed, row("1", 3, ev.Pitched(), hours=3))
    before = {dated.uid: dated for dated in things(book)}
    write_rows(book, row("1", 4, measured("1.030"), hours=60))
    after = {dated.uid: dated for dated in things(book)}
    (kept,) = set(before) & set(after)
    assert after[kept].title.endswith("read the gravity again")
    assert after[kept].start != before[kept].start
    assert after[kept].sequence > before[kept].sequence
    assert after[kept].changed_at > before[kept].changed_at


def test_a_closed_brew_has_nothing_in_the_calendar(book, real_cards):
    write_rows(book, planned("1"), row("1", 2, ev.Closed(), hours=2), planned("2"), row("2", 2, ev.Mixed(), hours=2))
    assert {dated.brew for dated in things(book)} == {"2"}


def test_the_shelf_counts_among_what_may_have_changed(book, real_cards):
    write_rows(book, planned("1"), row("1", 2, ev.Mixed(), hours=2))
    before = things(book)
    write_rows(book, row("shelf", 1, ev.SettingsKept(country="UK"), hours=9))
    after = things(book)
    assert [dated.uid for dated in after] == [dated.uid for dated in before]
    assert [dated.sequence for dated in after] == [dated.sequence + 2 for dated in before]
    assert brew_log.read_shelf(book=book).settings.country == "UK"


def given(book, hours):
    """What a calendar that looks at that hour is given."""
    cards.rebuild(book)
    found, unknown = calendar_feed.sources(book)
    return calendar_feed.with_gone(agenda(found, ZONE, at(hours)), unknown, at(hours), book)


def test_what_was_given_and_is_done_is_called_off_for_some_weeks_and_then_forgotten(book, real_cards):
    write_rows(book, planned("1"), row("1", 2, ev.Mixed(), hours=2))
    before = {dated.uid: dated for dated in given(book, 3)}
    write_rows(book, row("1", 3, ev.Dumped(because="sour"), hours=4))
    after = given(book, 5)
    assert {dated.uid for dated in after} == set(before)
    assert all(dated.gone and dated.sequence == before[dated.uid].sequence + 1 for dated in after)
    assert all(dated.title == before[dated.uid].title and dated.changed_at == at(5) for dated in after)
    assert given(book, 24 * 30) == after
    assert given(book, 24 * 31) == ()
    assert CalendarThing.objects.count() == 0


def test_what_no_calendar_was_given_is_not_called_off(book, real_cards):
    write_rows(book, planned("1"), row("1", 2, ev.Mixed(), hours=2))
    write_rows(book, row("1", 3, ev.Dumped(because="sour"), hours=4))
    assert given(book, 5) == ()


def test_what_comes_back_is_due_again_under_its_old_name_with_a_higher_sequence(book, real_cards):
    write_rows(book, planned("1"), row("1", 2, ev.Mixed(), hours=2), row("1", 3, ev.Pitched(), hours=3))
    first = {dated.uid: dated.sequence for dated in given(book, 4)}
    dumped = row("1", 4, ev.Dumped(because="sour"), hours=5)
    write_rows(book, dumped)
    gone = {dated.uid: dated.sequence for dated in given(book, 6)}
    write_rows(book, row("1", 5, ev.Corrected(seq=4, because="another brew"), hours=7))
    again = given(book, 8)
    assert {dated.uid for dated in again} == set(gone) == set(first)
    assert not any(dated.gone for dated in again)
    assert all(first[dated.uid] < gone[dated.uid] < dated.sequence for dated in again)


def test_nothing_is_written_where_a_calendar_is_given_what_it_has(book, real_cards, django_assert_num_queries):
    write_rows(book, planned("1"), row("1", 2, ev.Mixed(), hours=2))
    first = given(book, 3)
    found, unknown = calendar_feed.sources(book)
    with django_assert_num_queries(2):
        assert calendar_feed.with_gone(agenda(found, ZONE, at(4)), unknown, at(4), book) == first


def test_readers_of_two_languages_write_nothing_anew_for_each_other(book, real_cards, django_assert_num_queries):
    write_rows(book, planned("1"), row("1", 2, ev.Mixed(), hours=2))
    dated, unknown = things(book), ()
    german = voice("de", Measures)
    with speaking(german):
        calendar_feed.with_gone(dated, unknown, at(4), book)
    with django_assert_num_queries(2):  # what was given, and what was called off
        calendar_feed.with_gone(dated, unknown, at(4), book)
    titles = {each.uid: each.title for each in calendar_feed.with_gone((), (), at(4), book)}
    assert titles == {each.uid: tell(each.title, german) for each in dated}


def test_a_brew_of_which_nothing_could_be_worked_out_is_not_called_off(book, real_cards):
    write_rows(book, planned("1"), row("1", 2, ev.Mixed(), hours=2))
    assert given(book, 3)
    assert calendar_feed.with_gone((), ("1",), at(4), book) == ()
    assert all(dated.gone for dated in calendar_feed.with_gone((), (), at(4), book))
