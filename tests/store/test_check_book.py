from __future__ import annotations

import msgspec
import pytest
from django.db import connections

from entries import measured, row, write_rows
from gylebook.journal import events as ev
from gylebook.store import cards
from gylebook.store.check_book import check_book
from gylebook.store.models import BrewCard


@pytest.fixture
def sound(book):
    write_rows(
        book,
        row("shelf", 1, ev.StockKept(item="caps")),
        row("1", 1, ev.Planned(name="Ale")),
        row("1", 2, measured("1.040")),
        row("2", 1, ev.Planned(name="Stout")),
    )
    cards.rebuild(book)
    return book


def keys(book):
    return [finding.key for finding in check_book(book=book)]


def unguard(book, engine):
    with connections[book].cursor() as cursor:
        if engine == "postgresql":
            cursor.execute("ALTER TABLE journal_entry DISABLE TRIGGER USER")
        else:
            for what in ("update", "delete", "replace"):
                cursor.execute(f"DROP TRIGGER journal_entry_no_{what}")


def tamper(book, engine, sql):
    """Change the journal as somebody would who takes the guards off and puts them back."""
    with connections[book].cursor() as cursor:
        if engine == "postgresql":
            cursor.execute("ALTER TABLE journal_entry DISABLE TRIGGER USER")
            cursor.execute(sql)
            cursor.execute("ALTER TABLE journal_entry ENABLE TRIGGER USER")
            return
        cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        guards = cursor.fetchall()
        for name, _ in guards:
            cursor.execute(f"DROP TRIGGER {name}")
        cursor.execute(sql)
        for _, made in guards:
            cursor.execute(made)


def test_nothing_is_wrong_with_a_sound_book(sound):
    assert check_book(book=sound) == []


def test_nothing_is_wrong_with_an_empty_book(book):
    assert check_book(book=book) == []


def test_missing_guards_are_found(sound, engine):
    unguard(sound, engine)
    assert keys(sound) == ["unguarded"]


def test_a_missing_entry_is_found(sound, engine):
    tamper(sound, engine, "DELETE FROM journal_entry WHERE brew = '1' AND seq = 1")
    (finding, stray) = check_book(book=sound)
    assert finding.text == "Brew 1 has entry 2 where entry 1 should be."
    assert (finding.key, finding.seq, stray.key) == ("gap", 2, "stray_card")


@pytest.mark.parametrize(
    "change",
    [
        "body = '{\"gravity\":3}'",
        "body = 'nothing'",
        'body = \'{"gravity": {"text":"1.040","unit":"SG"}}\'',
        "kind = 'sung'",
        "kind = 'stock_kept', body = '{\"item\":\"caps\"}'",
        "version = 9",
        "happened_at = 'yesterday'",
        "recorded_at = '2026-11-03T12:00:00Z'",
        "source = 'rumour'",
    ],
)
def test_an_entry_that_does_not_read_is_found(sound, engine, change):
    tamper(sound, engine, f"UPDATE journal_entry SET {change} WHERE brew = '1' AND seq = 2")
    (finding,) = check_book(book=sound)
    assert finding.key == "unreadable"
    assert finding.text.startswith("Brew 1, entry 2: ")


def test_an_entry_that_reads_but_was_changed_is_found(sound, engine):
    body = msgspec.json.encode(measured("1.050")).decode()
    tamper(sound, engine, f"UPDATE journal_entry SET body = '{body}' WHERE brew = '1' AND seq = 2")
    (finding,) = check_book(book=sound)
    assert finding.key == "changed"
    assert "Brew 1 no longer amounts to what it did" in finding.text


def test_a_last_entry_that_is_gone_is_found_by_its_card(sound, engine):
    tamper(sound, engine, "DELETE FROM journal_entry WHERE brew = '1' AND seq = 2")
    assert keys(sound) == ["late_card"]


def test_a_missing_card_is_found(sound):
    BrewCard.objects.filter(brew="2").delete()
    assert keys(sound) == ["late_card"]


def test_a_card_made_by_another_fold_is_not_held_against_the_book(sound):
    BrewCard.objects.update(fold="older", state_hash="x")
    assert keys(sound) == []
