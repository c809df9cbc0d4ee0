from __future__ import annotations

import pytest

from books import ENGINES, Library, opened


@pytest.fixture(scope="session")
def library(tmp_path_factory, django_db_blocker):
    """Makes books; the PostgreSQL server starts with the first one that needs it and ends with the session."""
    with django_db_blocker.unblock():
        made = Library(tmp_path_factory.mktemp("library"))
        yield made
        made.close()


@pytest.fixture(params=ENGINES)
def engine(request):
    """Every test of the store runs on both engines."""
    return request.param


@pytest.fixture
def book(engine, library):
    """A fresh, empty book under the name "default"."""
    settings = library.settings(engine)
    with opened("default", settings) as alias:
        yield alias
    library.give_back(settings)


@pytest.fixture
def other_engine(engine):
    """The engine that the book is not on."""
    return next(each for each in ENGINES if each != engine)
