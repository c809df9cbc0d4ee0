"""The demo book as the brewer's own, filled once for all tests that walk its pages. Everything in it is invented."""

from __future__ import annotations

import shutil
from contextlib import contextmanager
from datetime import UTC, datetime
from types import SimpleNamespace

from books import opened
from gylebook.store import demo
from gylebook.store.databases import sqlite

NOW = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)


def filled_file(library, folder):
    """An SQLite file with the whole demo book in it."""
    path = folder / "filled.sqlite3"
    settings = library.settings("sqlite")
    shutil.copyfile(settings["NAME"], path)
    with opened("filled", sqlite(path)) as book:
        demo.write(book, NOW, UTC)
    return path


@contextmanager
def book_from(library, path):
    """The file as the brewer's own book, for one test."""
    settings = library.settings("sqlite")
    shutil.copyfile(path, settings["NAME"])
    with opened("default", settings), opened("demo", library.settings("sqlite")):
        yield


def clock(monkeypatch, now=NOW):
    """Let the pages take this for the present moment."""
    monkeypatch.setattr("gylebook.web.desk.timezone", SimpleNamespace(now=lambda: now))
