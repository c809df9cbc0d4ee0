"""A whole book from its file: looked through first, written only on the brewer's word, all of it or nothing."""

from __future__ import annotations

import io
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from gylebook.errors import InputError, InputErrors, Refused
from gylebook.inputs.book_import import read_book
from gylebook.phrases import joined, say, say_count
from gylebook.store.whole_book import Added, add_book
from gylebook.web.book import waiting
from gylebook.web.book.told import tell
from gylebook.web.page import book_of

_SHOWN = 100


@dataclass(frozen=True, slots=True)
class Looked:
    """What an import would come to, or why it cannot be."""

    added: Added | None = None
    token: str = ""
    faults: tuple[str, ...] = ()
    further: int = 0


@require_http_methods(["GET", "HEAD", "POST"])
def page(request: HttpRequest) -> HttpResponse:
    """Choose a file; look at what it would add; add it."""
    if request.method != "POST":
        return _shown(request, Looked())
    token = request.POST.get("token", "")
    if token:
        return _add(request, token)
    sent = request.FILES.get("file")
    if sent is None:
        return _shown(request, Looked(faults=(say("File: none was chosen; choose one that the book has exported."),)))
    data = sent.read()
    return _shown(request, _look(request, data))


def _look(request: HttpRequest, data: bytes) -> Looked:
    """Everything an import would do, taken back again."""
    try:
        added = add_book(read_book(io.BytesIO(data)), book=book_of(request), dry_run=True)
    except InputError as error:
        return _faulty(error)
    except Refused as refusal:
        return Looked(faults=(str(refusal),))
    return Looked(added, waiting.put_aside(data) if added.new else "")


def _add(request: HttpRequest, token: str) -> HttpResponse:
    data = waiting.take_up(token)
    try:
        added = add_book(read_book(io.BytesIO(data)), book=book_of(request))
    except InputError as error:
        return _shown(request, _faulty(error))
    except Refused as refusal:
        return _shown(request, Looked(faults=(str(refusal),)))
    waiting.throw_away(token)
    told = [say_count(added.new, "{n} entry was added to the book.", "{n} entries were added to the book.")]
    if added.already:
        told.append(say("{already} were in it already.", already=added.already))
    tell(request, joined(" ", told))
    return redirect("book")


def _faulty(error: InputError) -> Looked:
    errors = error.errors if isinstance(error, InputErrors) else [error]
    return Looked(faults=tuple(map(str, errors[:_SHOWN])), further=max(0, len(errors) - _SHOWN))


def _shown(request: HttpRequest, looked: Looked) -> HttpResponse:
    return render(request, "book/import.html", {"looked": looked}, status=422 if looked.faults else 200)
