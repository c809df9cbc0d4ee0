from __future__ import annotations

import sqlite3
import stat
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import connections

from books import opened
from gylebook.errors import BackupError, Refused, StoreUnavailable
from gylebook.store import upgrade
from gylebook.store.databases import sqlite

NOW = datetime(2026, 11, 3, 18, 30, tzinfo=UTC)
ENTRY = (
    "INSERT INTO journal_entry (brew, seq, kind, version, happened_at, recorded_at, recorded_by, source, command_id, body)"
    " VALUES ('1', 1, 'noted', 1, '2026-11-03T18:30:00.000000Z', '2026-11-03T18:30:00.000000Z', 'owner', 'page', 'c1', '{}')"
)


@pytest.fixture
def early(library, engine):
    """A book as the first release left it: the journal, and none of what came later."""
    with opened("default", library.blank(engine)) as book:
        call_command("migrate", "store", "0001", database=book, verbosity=0)
        yield book


def write_an_entry(book):
    with connections[book].cursor() as cursor:
        cursor.execute(ENTRY)


def up_to_date(book):
    return upgrade._looked_at(book)[0] is False


def test_a_new_book_is_made_with_its_folder_and_nothing_to_copy(library, tmp_path):
    home = tmp_path / "new" / "home"
    with opened("default", sqlite(home / "book.sqlite3")), opened("demo", sqlite(home / "demo.sqlite3")):
        assert upgrade.bring_up_to_date(home, NOW) == []
        assert up_to_date("default")
        assert up_to_date("demo")
        assert "auth_user" not in connections["demo"].introspection.table_names()
    assert stat.S_IMODE(home.stat().st_mode) == 0o700
    assert not (home / upgrade.COPIES).exists()


def test_a_book_with_entries_is_copied_before_it_is_upgraded(early, engine, tmp_path):
    write_an_entry(early)
    (copy,) = upgrade.bring_up_to_date(tmp_path, NOW, (early,))
    assert up_to_date(early)
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    assert copy.name.startswith("default-20261103T183000Z")
    if engine == "sqlite":
        with closing(sqlite3.connect(copy)) as found:
            assert found.execute("SELECT brew, seq, body FROM journal_entry").fetchall() == [("1", 1, "{}")]
            applied = found.execute("SELECT count(*) FROM django_migrations WHERE app = 'store'").fetchone()
            assert applied == (1,)
    else:
        assert "1,1,noted,1," in copy.read_text()


def test_an_empty_book_is_upgraded_without_a_copy(early, tmp_path):
    assert upgrade.bring_up_to_date(tmp_path, NOW, (early,)) == []
    assert up_to_date(early)


def test_a_book_that_is_up_to_date_is_left_alone(book, tmp_path):
    write_an_entry(book)
    assert upgrade.bring_up_to_date(tmp_path, NOW, (book,)) == []


def test_a_book_of_a_newer_release_is_refused_and_left_alone(book, tmp_path):
    with connections[book].cursor() as cursor:
        cursor.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES ('store', '9999_later', CURRENT_TIMESTAMP)"
        )
    with pytest.raises(Refused, match="A newer Gylebook has written this book"):
        upgrade.bring_up_to_date(tmp_path, NOW, (book,))


@pytest.mark.parametrize("torn", ["CREATE TABLE journal_entry (body)", "CREATE TABLE other (body)", None])
def test_a_copy_that_does_not_verify_stops_the_upgrade(library, tmp_path, monkeypatch, torn):
    """The copy comes out without entries, without their table, or not as a database at all."""

    class Torn(sqlite3.Connection):
        def backup(self, target, **_):
            if torn:
                target.execute(torn)
            else:
                Path(target.execute("PRAGMA database_list").fetchone()[2]).write_bytes(b"not a book" * 999)

    plain = sqlite3.connect
    monkeypatch.setattr(upgrade.sqlite3, "connect", lambda path: plain(path, factory=Torn))
    with opened("default", library.blank("sqlite")) as book:
        call_command("migrate", "store", "0001", database=book, verbosity=0)
        write_an_entry(book)
        with pytest.raises(BackupError, match="nothing was upgraded"):
            upgrade.bring_up_to_date(tmp_path, NOW, (book,))
        assert not up_to_date(book)
    assert list((tmp_path / upgrade.COPIES).iterdir()) == []


def test_a_database_that_does_not_answer_is_said_in_a_sentence(library, tmp_path):
    folder = tmp_path / "book.sqlite3"
    folder.mkdir()
    with opened("default", sqlite(folder)), pytest.raises(StoreUnavailable, match="cannot be opened"):
        upgrade.bring_up_to_date(tmp_path, NOW, ("default",))
