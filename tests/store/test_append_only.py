from __future__ import annotations

import pytest
from django.db import DatabaseError, IntegrityError, connections, transaction

from entries import planned, write_rows


@pytest.fixture
def written(book):
    write_rows(book, planned("1"))
    return book


def _run(book, sql):
    with transaction.atomic(using=book), connections[book].cursor() as cursor:
        cursor.execute(sql)


def _bodies(book):
    with connections[book].cursor() as cursor:
        cursor.execute("SELECT brew, seq, body FROM journal_entry")
        return cursor.fetchall()


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE journal_entry SET body = '{}'",
        "UPDATE journal_entry SET recorded_by = 'somebody else' WHERE seq = 1",
        "DELETE FROM journal_entry",
        "DELETE FROM journal_entry WHERE brew = '1'",
    ],
)
def test_no_row_of_the_journal_can_be_changed_or_taken_away(written, sql):
    before = _bodies(written)
    with pytest.raises(DatabaseError, match="only ever added to"):
        _run(written, sql)
    assert _bodies(written) == before
    assert len(before) == 1


def test_postgresql_refuses_to_empty_the_journal(written, engine):
    sql = "TRUNCATE journal_entry" if engine == "postgresql" else "DELETE FROM journal_entry WHERE 1"
    with pytest.raises(DatabaseError, match="only ever added to"):
        _run(written, sql)
    assert len(_bodies(written)) == 1


def test_a_row_cannot_be_replaced_by_inserting_over_it(written, engine):
    columns = "brew, seq, kind, version, happened_at, recorded_at, recorded_by, source, command_id, body"
    values = "'1', 1, 'noted', 1, '', '', 'x', 'page', 'other', '{}'"
    word = "INSERT OR REPLACE" if engine == "sqlite" else "INSERT"
    before = _bodies(written)
    with pytest.raises(IntegrityError):
        _run(written, f"{word} INTO journal_entry ({columns}) VALUES ({values})")
    assert _bodies(written) == before


def test_the_same_command_cannot_stand_twice(written):
    with pytest.raises(IntegrityError):
        write_rows(written, planned("2", command_id="plan-1"))
    assert len(_bodies(written)) == 1


def test_a_sequence_number_starts_at_one(book):
    with pytest.raises(IntegrityError):
        write_rows(book, planned("1", seq=0))
    assert _bodies(book) == []
