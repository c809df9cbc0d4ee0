from __future__ import annotations

import pytest
from django.test import Client

from books import opened
from gylebook.store.people import set_password

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
