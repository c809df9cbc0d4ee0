from __future__ import annotations

import shutil

import pytest
import time_machine
from django.db import connections
from django.test import Client

from books import opened
from gylebook.store.people import set_password
from web import demo_filled, stocked

PASSWORD = "Seven gyles of stout"


@pytest.fixture(autouse=True)
def key(settings):
    """No test reads or makes anybody's key."""
    settings.SECRET_KEY = "a key for tests alone, and long enough for it"


@pytest.fixture
def books(library):
    """Both books, empty: the brewer's own and the demo."""
    with opened("default", library.settings("sqlite")), opened("demo", library.settings("sqlite")):
        yield


@pytest.fixture
def reader(books):
    """A browser that keeps cookies and whose forms must carry the mark against forgery."""
    return Client(enforce_csrf_checks=True)


@pytest.fixture
def shared(settings, books):
    """The book as others in the house reach it: every page wants the owner's password."""
    settings.SIGN_IN_REQUIRED = True
    set_password(PASSWORD)
    return PASSWORD


@pytest.fixture
def post(reader):
    """Send a form as a browser does: with the mark from the page that shows it."""

    def send(url, data=None, page="/", **further):
        reader.get(page)
        cookie = reader.cookies.get("gylebook_csrf")
        return reader.post(url, {**(data or {}), "csrfmiddlewaretoken": cookie.value if cookie else ""}, **further)

    return send


@pytest.fixture(scope="session")
def stocked_file(library):
    """A book with an invented shelf and three brews, to be copied."""
    with opened("default", library.settings("sqlite")), time_machine.travel(stocked.NOW, tick=False):
        stocked.stock()
        stocked.brew()
        connections["default"].cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
        return connections["default"].settings_dict["NAME"]


@pytest.fixture
def stocked_book(books, library, stocked_file):
    """The brewer's own book with an invented shelf and three brews, at the moment they were written for."""
    own = library.settings("sqlite")
    shutil.copyfile(stocked_file, own["NAME"])
    with opened("default", own), time_machine.travel(stocked.NOW, tick=False):
        yield "default"


@pytest.fixture(scope="session")
def filled(library, tmp_path_factory, django_db_blocker):
    """A file with the whole demo book in it."""
    with django_db_blocker.unblock():
        return demo_filled.filled_file(library, tmp_path_factory.mktemp("filled"))


@pytest.fixture
def filled_book(library, filled, monkeypatch, reader):
    """The whole demo book as the brewer's own, at the moment it was written for."""
    demo_filled.clock(monkeypatch)
    with demo_filled.book_from(library, filled):
        yield "default"
