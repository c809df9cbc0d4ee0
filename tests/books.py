"""Books to test with: real databases of both engines, each test with its own.

The append-only triggers refuse the emptying between tests that Django's test cases rely on, so every book is a copy
of one that was migrated once: a file for SQLite, a template database for PostgreSQL.
"""

from __future__ import annotations

import itertools
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.db import connections

from gylebook.store.databases import databases, sqlite

ENGINES = ("sqlite", "postgresql")
_TEMPLATE = "gyle_template"


@contextmanager
def opened(alias: str, settings: dict[str, Any]) -> Iterator[str]:
    """Let Django know a database under this name, in place of whatever had the name before."""
    before = connections.settings.get(alias)
    _forget(alias)
    connections.settings[alias] = connections.configure_settings({"default": settings})["default"]
    try:
        yield alias
    finally:
        _forget(alias)
        if before is None:
            del connections.settings[alias]
        else:
            connections.settings[alias] = before


def _forget(alias: str) -> None:
    if hasattr(connections._connections, alias):
        connections[alias].close()
        del connections[alias]


def quick(settings: dict[str, Any]) -> dict[str, Any]:
    """The same book without a sync to disk after each entry: what is tested here is thrown away anyway."""
    options = settings["OPTIONS"]
    return settings | {"OPTIONS": options | {"init_command": options["init_command"] + "PRAGMA synchronous=OFF;"}}


class Library:
    """Makes fresh, migrated books of either engine."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.server: Any = None
        self._numbers = itertools.count(1)
        self._template_file = folder / "template.sqlite3"
        self._emptied: list[str] = []
        self._shape: Any = None

    def settings(self, engine: str) -> dict[str, Any]:
        """Settings of a new, empty, migrated book."""
        number = next(self._numbers)
        if engine == "sqlite":
            if not self._template_file.exists():
                self._migrate(sqlite(self._template_file))
            path = self.folder / f"book{number}" / "book.sqlite3"
            path.parent.mkdir()
            shutil.copyfile(self._template_file, path)
            return quick(sqlite(path))
        if self.server is None:
            self._start_server()
        name = self._emptied.pop() if self._emptied else f"gyle_{number}"
        if name == f"gyle_{number}":
            self.server.sql(f"CREATE DATABASE {name} TEMPLATE {_TEMPLATE}")
        return self._postgresql(name)

    def blank(self, engine: str) -> dict[str, Any]:
        """Settings of a database without any tables."""
        number = next(self._numbers)
        if engine == "sqlite":
            path = self.folder / f"book{number}" / "book.sqlite3"
            path.parent.mkdir()
            return sqlite(path)
        if self.server is None:
            self._start_server()
        self.server.sql(f"CREATE DATABASE gyle_{number}")
        return self._postgresql(f"gyle_{number}")

    def give_back(self, settings: dict[str, Any]) -> None:
        """Empty a book of the server for the next test, which is ten times quicker than making another one."""
        if settings["ENGINE"].endswith("sqlite3"):
            return
        if self.server.emptied(settings["NAME"], self._shape):
            self._emptied.append(settings["NAME"])
        else:
            self.server.sql(f"DROP DATABASE {settings['NAME']} WITH (FORCE)")

    def close(self) -> None:
        """Stop the server, if one was started."""
        if self.server is not None:
            self.server.stop()

    def _start_server(self) -> None:
        from postgres_server import Server

        self.server = Server()
        self.server.sql(f"CREATE DATABASE {_TEMPLATE}")
        self._migrate(self._postgresql(_TEMPLATE))
        self._shape = self.server.shape(_TEMPLATE)

    def _postgresql(self, name: str) -> dict[str, Any]:
        return databases(self.folder, {"DATABASE_URL": self.server.url(name)})["default"]

    def _migrate(self, settings: dict[str, Any]) -> None:
        with opened("template", settings):
            call_command("migrate", database="template", verbosity=0)
            if settings["ENGINE"].endswith("sqlite3"):
                connections["template"].cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
