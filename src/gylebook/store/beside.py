"""A second book, for a while: a file that is filled and looked at beside the one in use."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.core.management import call_command
from django.db import connections
from django.db.migrations.loader import MigrationLoader

from gylebook.errors import Refused
from gylebook.phrases import say
from gylebook.store.databases import sqlite

_numbers = itertools.count(1)


@contextmanager
def opened(path: Path) -> Iterator[str]:
    """Let an SQLite file be used as a book; gives the name to use, which is nobody else's."""
    alias = f"beside{next(_numbers)}"
    connections.settings[alias] = connections.configure_settings({"default": sqlite(path)})["default"]
    try:
        yield alias
    finally:
        connections[alias].close()
        del connections[alias]
        del connections.settings[alias]


def migrate(book: str) -> None:
    """Make the tables of this release, or bring older ones up to it."""
    call_command("migrate", database=book, verbosity=0, interactive=False)


def refuse_newer(book: str) -> None:
    """Leave a book alone that a later release has changed.

    Raises
    ------
    Refused
        Its tables are of a later release.
    """
    loader = MigrationLoader(connections[book])
    known = {app for app, _ in loader.disk_migrations or {}}
    later = [
        each for each in loader.applied_migrations or {} if each[0] in known and each not in loader.disk_migrations
    ]
    if later:
        raise Refused(
            say(
                "A newer Gylebook has written this book: install that release again, or restore a backup made by "
                "this one."
            )
        )
