"""Filling the demo book: through the one door, whole at every moment, and apart from the brewer's own."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime

import pytest
from django.db import DatabaseError, connections

from books import opened
from entries import measured, planned, write_rows
from gylebook.errors import StoreUnavailable
from gylebook.steps.decision import Decision
from gylebook.store import brew_log, demo, rows

NOW = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)


@pytest.fixture
def both(library):
    with opened("default", library.settings("sqlite")), opened("demo", library.settings("sqlite")):
        yield


@pytest.mark.usefixtures("both")
class TestFilling:
    def test_it_holds_brews_and_touches_nothing_else(self):
        assert demo.is_empty()
        demo.fill(now=NOW)
        assert not demo.is_empty()
        assert rows.count("demo") > 60
        assert rows.count("default") == 0
        assert {row.source for row in rows.all_rows("demo")} == {"demo"}

    def test_filling_again_throws_away_what_was_tried(self):
        demo.fill(now=NOW)
        before = list(rows.all_rows("demo"))
        brew_log.change(
            "7", lambda _brew: Decision(((NOW, measured("1.012")),)),
            actor="owner", source="page", command_id="tried", now=NOW, book="demo",
        )  # fmt: skip
        demo.fill(now=NOW)
        assert list(rows.all_rows("demo")) == before

    def test_it_is_only_ever_added_to_like_any_book(self):
        demo.fill(now=NOW)
        with pytest.raises(DatabaseError, match="only ever added to"):
            connections["demo"].cursor().execute("DELETE FROM journal_entry")

    def test_a_script_that_fails_leaves_the_book_as_it_was(self, monkeypatch):
        write_rows("demo", planned("1"))
        monkeypatch.setattr(demo, "demo_entries", lambda *_: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            demo.fill(now=NOW)
        assert rows.count("demo") == 1

    def test_it_is_filled_while_somebody_reads_it(self):
        demo.fill(now=NOW)
        with sqlite3.connect(connections["demo"].settings_dict["NAME"]) as reader:
            reader.execute("SELECT COUNT(*) FROM journal_entry").fetchone()
            demo.fill(now=NOW)
            assert reader.execute("SELECT COUNT(*) FROM journal_entry").fetchone()[0] == rows.count("demo")
        reader.close()

    def test_a_book_that_cannot_be_written_is_told(self, tmp_path):
        from gylebook.store.databases import sqlite

        with opened("demo", sqlite(tmp_path / "missing" / "demo.sqlite3")), pytest.raises(StoreUnavailable):
            demo.fill(now=NOW)
