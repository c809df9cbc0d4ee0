from __future__ import annotations

import pytest
from django.core.exceptions import PermissionDenied
from django.http import HttpResponse
from django.test import Client, override_settings
from django.urls import include, path

from gylebook import errors
from gylebook.outputs.measures import Measures
from gylebook.outputs.voices import voice
from gylebook.phrases import say, tell


def raising(error):
    def view(request):
        raise error

    return view


ERRORS = [
    (errors.InputError("Gravity", "1062 cannot be", "write it such as 1.062"), 422, "Gravity: 1062 cannot be;"),
    (errors.NotFound("There is no brew 99 in this book."), 404, "no brew 99"),
    (errors.Refused("The brew is closed."), 409, "The brew is closed."),
    (errors.Conflict("Somebody else wrote first."), 409, "Somebody else wrote first."),
    (errors.StoreUnavailable("The disk is full."), 503, "The disk is full."),
    (errors.JournalDamaged("Entry 3 does not read back."), 500, "Entry 3 does not read back."),
    (PermissionDenied("inner words"), 403, "somebody else"),
]

urlpatterns = [
    *(path(f"raise/{number}/", raising(error)) for number, (error, _, _) in enumerate(ERRORS)),
    path("crash/", raising(ValueError("inner words"))),
    path("take/", lambda request: HttpResponse(f"{len(request.POST)} fields")),
    path("", include("gylebook.web.urls")),
]
handler403 = "gylebook.web.faults.forbidden"
handler404 = "gylebook.web.faults.not_found"
handler500 = "gylebook.web.faults.crashed"
handler400 = "gylebook.web.faults.bad_request"


@pytest.mark.parametrize("number", range(len(ERRORS)))
@override_settings(ROOT_URLCONF=__name__)
def test_the_books_own_errors_come_as_their_own_sentence(reader, number):
    _, status, words = ERRORS[number]
    response = reader.get(f"/raise/{number}/")
    assert response.status_code == status
    page = response.content.decode()
    assert words in page
    assert "inner words" not in page
    assert '<a class="button" href="/">Today</a>' in page


def test_a_missing_page_says_where_to_start(reader):
    response = reader.get("/no-such-page/")
    assert response.status_code == 404
    assert "Start from Today, or from Brews." in response.content.decode()


@override_settings(ROOT_URLCONF=__name__)
def test_a_crash_keeps_its_inner_words_to_the_log(books):
    response = Client(raise_request_exception=False).get("/crash/")
    assert response.status_code == 500
    page = response.content.decode()
    assert "What had been written before is untouched." in page
    assert "inner words" not in page
    assert "ValueError" not in page


@override_settings(ROOT_URLCONF=__name__, SIGN_IN_REQUIRED=True)
def test_a_fault_page_asks_nothing_of_the_database(db_refused):
    assert Client().get("/no-such-page/").status_code == 404
    assert Client(raise_request_exception=False).get("/account/sign-in/").status_code == 503


@pytest.fixture
def db_refused(library):
    """A book on a disk that is not there."""
    from books import opened
    from gylebook.store.databases import sqlite

    missing = library.folder / "not-there" / "book.sqlite3"
    with opened("default", sqlite(missing)):
        yield


def test_a_form_without_its_mark_writes_nothing_and_says_so(reader):
    response = reader.post("/look/", {"look": "dark"})
    assert response.status_code == 403
    assert "Nothing was written" in response.content.decode()
    assert "gylebook_look" not in response.cookies


@override_settings(ROOT_URLCONF=__name__)
def test_over_10_mb_are_refused_before_a_view_sees_them(books):
    client = Client()
    fits = b"a=" + b"x" * (10 * 1024 * 1024 - 2)
    kind = "application/x-www-form-urlencoded"
    assert client.generic("POST", "/take/", fits, kind).content == b"1 fields"
    response = client.generic("POST", "/take/", fits + b"x", kind)
    assert response.status_code == 413
    assert "over 10 MB, so nothing of it was kept and nothing was written" in response.content.decode()


@override_settings(ROOT_URLCONF=__name__)
def test_what_is_refused_unread_is_refused_in_the_readers_language(books):
    client = Client(headers={"accept-language": "de"})
    response = client.generic("POST", "/take/", b"x" * (10 * 1024 * 1024 + 1), "application/octet-stream")
    assert (response.status_code, response["Content-Language"]) == (413, "de")
    assert tell(say("Too large to take in"), voice("de", Measures)) in response.content.decode()
    assert "Too large to take in" not in response.content.decode()


@override_settings(ROOT_URLCONF=__name__)
def test_too_many_fields_are_refused_and_many_are_taken(books):
    client = Client()
    assert client.post("/take/", {f"f{n}": "1" for n in range(1500)}).content == b"1500 fields"
    assert client.post("/take/", {f"f{n}": "1" for n in range(2001)}).status_code == 400


def test_fault_pages_carry_no_form_that_could_not_be_sent(reader):
    assert "<form" not in reader.get("/demo/no-such-page/").content.decode()
