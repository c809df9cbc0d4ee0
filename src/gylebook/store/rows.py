"""Journal rows in and out of the database, as they are; what they mean is not asked here."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from itertools import islice
from typing import Any

import msgspec
from django.db import connections, transaction

from gylebook.journal.book_file import Row, brew_order

COLUMNS = "brew, seq, kind, version, happened_at, recorded_at, recorded_by, source, command_id, body"
_SELECT = f"SELECT {COLUMNS} FROM journal_entry"  # noqa: S608 - constants
_INSERT = f"INSERT INTO journal_entry ({COLUMNS}) VALUES ({', '.join(['%s'] * 10)})"  # noqa: S608 - constants
_PAGE = 10_000
_LARGEST = 2_147_483_647
_LOCK_SPACE = 0x6779  # "gy": keeps our advisory locks apart from anybody else's


def page(book: str, brew: str, after: int = 0, limit: int | None = None) -> list[Row]:
    """Rows of one brew with a sequence number above `after`, in order."""
    with connections[book].cursor() as cursor:
        cursor.execute(
            f"{_SELECT} WHERE brew = %s AND seq > %s ORDER BY seq LIMIT %s",
            [brew, after, _LARGEST if limit is None else limit],
        )
        return [_row(found) for found in cursor.fetchall()]


def last_page(book: str, brew: str, before: int | None, limit: int) -> list[Row]:
    """The last rows of one brew below `before`, newest first."""
    with connections[book].cursor() as cursor:
        cursor.execute(
            f"{_SELECT} WHERE brew = %s AND seq < %s ORDER BY seq DESC LIMIT %s",
            [brew, _LARGEST if before is None else before, limit],
        )
        return [_row(found) for found in cursor.fetchall()]


def newest_of_open(book: str, count: int) -> list[Row]:
    """The last rows of every brew whose card says that it is open, by brew and in order."""
    columns = ", ".join(f"entry.{name}" for name in COLUMNS.split(", "))
    with connections[book].cursor() as cursor:
        cursor.execute(
            f"SELECT {columns} FROM brew_card AS card JOIN journal_entry AS entry "  # noqa: S608 - constants
            "ON entry.brew = card.brew AND entry.seq > card.head_seq - %s "
            "WHERE card.open ORDER BY card.number, entry.seq",
            [count],
        )
        return [_row(found) for found in cursor.fetchall()]


def of_command(book: str, command_id: str) -> list[Row]:
    """The rows that one command wrote: the one with its id, then those with /2, /3 ... behind it."""
    with connections[book].cursor() as cursor:
        cursor.execute(f"{_SELECT} WHERE command_id = %s", [command_id])
        found = cursor.fetchone()
    if found is None:
        return []
    rows = [_row(found)]
    while following := page(book, rows[0].brew, rows[-1].seq, 1):
        if following[0].command_id != numbered(command_id, len(rows) + 1):
            break
        rows += following
    return rows


def numbered(command_id: str, place: int) -> str:
    """The id of the entry at this place, from 1, of a command."""
    return command_id if place == 1 else f"{command_id}/{place}"


def head(book: str, brew: str) -> int:
    """The last sequence number of a brew, 0 where there is none."""
    with connections[book].cursor() as cursor:
        cursor.execute("SELECT MAX(seq) FROM journal_entry WHERE brew = %s", [brew])
        return int(cursor.fetchone()[0] or 0)


def streams(book: str) -> list[str]:
    """Everything that has entries: the shelf first, then the brews by number."""
    with connections[book].cursor() as cursor:
        cursor.execute("SELECT brew FROM journal_entry WHERE seq = 1")
        return sorted((str(found[0]) for found in cursor.fetchall()), key=brew_order)


def count(book: str) -> int:
    """How many entries the book holds."""
    with connections[book].cursor() as cursor:
        cursor.execute("SELECT COUNT(*) FROM journal_entry")
        return int(cursor.fetchone()[0])


def all_rows(book: str) -> Iterator[Row]:
    """Every row, in the order of the file. Use it inside a snapshot: it reads many times."""
    for brew in streams(book):
        after = 0
        while found := page(book, brew, after, _PAGE):
            yield from found
            after = found[-1].seq
            if len(found) < _PAGE:
                break


def insert(book: str, rows: Iterable[Row]) -> None:
    """Add a few rows. A clash with another writer is an IntegrityError."""
    with connections[book].cursor() as cursor:
        cursor.executemany(_INSERT, [_values(row) for row in rows])


def insert_many(book: str, rows: Iterable[Row]) -> int:
    """Add very many rows, by the engine's fastest way, without holding them in memory; returns how many."""
    connection = connections[book]
    written = 0
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            copy = f"COPY journal_entry ({COLUMNS}) FROM STDIN"
            with connection.wrap_database_errors, cursor.cursor.copy(copy) as target:
                for row in rows:
                    target.write_row(_values(row))
                    written += 1
            return written
        waiting = iter(rows)
        while batch := [_values(row) for row in islice(waiting, _PAGE)]:
            cursor.executemany(_INSERT, batch)
            written += len(batch)
    return written


def lock(book: str, what: str) -> None:
    """Let one writer at a time at this brew, until the transaction ends.

    SQLite's transactions are immediate, so the whole book is held already.
    """
    if connections[book].vendor == "postgresql":
        with connections[book].cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s, hashtext(%s))", [_LOCK_SPACE, what])


@contextmanager
def snapshot(book: str) -> Iterator[None]:
    """Let many reads see the book at one moment, without holding up any writer."""
    connection = connections[book]
    if connection.in_atomic_block:
        yield
    elif connection.vendor == "postgresql":
        with transaction.atomic(using=book):
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            yield
    else:
        # atomic() would ask for the write lock at once; a deferred transaction only fixes what is seen.
        with connection.cursor() as cursor:
            cursor.execute("BEGIN DEFERRED")
        try:
            yield
        finally:
            with connection.cursor() as cursor:
                cursor.execute("ROLLBACK")


def _row(found: tuple[str, int, str, int, str, str, str, str, str, str]) -> Row:
    return Row(*found[:9], msgspec.Raw(found[9]))


def _values(row: Row) -> tuple[Any, ...]:
    return (*msgspec.structs.astuple(row)[:9], bytes(row.body).decode())
