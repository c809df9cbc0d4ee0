from __future__ import annotations

from contextlib import contextmanager

import pytest
from django.test import override_settings

from books import opened


@contextmanager
def books_open(library, home):
    """Both books, empty, in a data folder of their own."""
    settings = override_settings(
        HOME=home, TIME_ZONE="Europe/London", SECRET_KEY="a key for tests, long enough for one"
    )
    with (
        settings,
        opened("default", library.settings("sqlite")) as alias,
        opened("demo", library.settings("sqlite")),
    ):
        yield alias


@pytest.fixture
def own_book(library, tmp_path):
    """An empty book of one's own."""
    with books_open(library, tmp_path / "home") as alias:
        yield alias


@pytest.fixture(scope="module")
def module_book(library, tmp_path_factory):
    """An empty book that the tests of one module share."""
    with books_open(library, tmp_path_factory.mktemp("home")) as alias:
        yield alias
