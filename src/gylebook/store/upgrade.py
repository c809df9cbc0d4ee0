"""Bringing a book's tables to this release: a verified copy first, and never backwards."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

from django.core.management import call_command
from django.db import connections
from django.db.migrations.executor import MigrationExecutor

from gylebook.errors import BackupError, Refused
from gylebook.phrases import say
from gylebook.store.databases import DEFAULT, DEMO
from gylebook.store.faults import spoken

COPIES = "before-upgrade"
_COUNTED = "SELECT count(*) FROM journal_entry"


def bring_up_to_date(home: Path, now: datetime, books: tuple[str, ...] = (DEFAULT, DEMO)) -> list[Path]:
    """Make or upgrade the tables of each book; the copies that were made first.

    Parameters
    ----------
    home
        The data folder; made where it is missing, for its owner alone.
    now
        The present moment, for the names of the copies.
    books
        Which books; both by default.

    Raises
    ------
    Refused
        A newer Gylebook has written the book.
    BackupError
        The copy did not verify; nothing was upgraded.
    """
    home.mkdir(mode=0o700, parents=True, exist_ok=True)
    copies = []
    for book in books:
        with spoken(book):
            plan, data = _looked_at(book)
            if not plan:
                continue
            if data:
                copies.append(_copy(book, home / COPIES, now))
            call_command("migrate", database=book, verbosity=0, interactive=False)
    return copies


def _looked_at(book: str) -> tuple[bool, bool]:
    """Whether the book wants an upgrade, and whether anything is in it."""
    executor = MigrationExecutor(connections[book])
    known = executor.loader.disk_migrations or {}
    unknown = [name for app, name in executor.loader.applied_migrations or {} if (app, name) not in known]
    if unknown:
        raise Refused(
            say(
                "A newer Gylebook has written this book: install that release again, or restore a backup made by "
                "this one."
            )
        )
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    if "journal_entry" not in connections[book].introspection.table_names():
        return bool(plan), False
    with connections[book].cursor() as cursor:
        cursor.execute("SELECT EXISTS (SELECT 1 FROM journal_entry)")
        return bool(plan), bool(cursor.fetchone()[0])


def _copy(book: str, folder: Path, now: datetime) -> Path:
    """A copy beside the book: the whole file, or on a database server the journal as a table."""
    folder.mkdir(mode=0o700, exist_ok=True)
    stem = f"{book}-{now:%Y%m%dT%H%M%SZ}"
    connection = connections[book]
    if connection.vendor == "sqlite":
        path = folder / f"{stem}.sqlite3"
        _copy_file(Path(str(connection.settings_dict["NAME"])), path)
        return path
    path = folder / f"{stem}-journal.csv"
    with connection.cursor() as cursor, path.open("wb") as out:
        path.chmod(0o600)
        rows = "COPY (SELECT * FROM journal_entry ORDER BY brew, seq) TO STDOUT WITH (FORMAT csv, HEADER)"
        with cursor.copy(rows) as lines:
            for line in lines:
                out.write(line)
    return path


def _copy_file(source: Path, target: Path) -> None:
    """Copy a SQLite file while others may be writing, and read the copy through."""
    target.touch(mode=0o600)
    with closing(sqlite3.connect(source)) as live, closing(sqlite3.connect(target)) as copy:
        before = live.execute(_COUNTED).fetchone()[0]
        live.backup(copy)
    if not _verifies(target, before):
        target.unlink()
        raise BackupError(
            say("The copy made before the upgrade did not verify, so nothing was upgraded; check the disk.")
        )


def _verifies(path: Path, least: int) -> bool:
    """Whether the copy, opened anew, is sound and holds at least so many entries."""
    try:
        with closing(sqlite3.connect(path)) as copy:
            sound = copy.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            return bool(sound and copy.execute(_COUNTED).fetchone()[0] >= least)
    except sqlite3.DatabaseError:
        return False
