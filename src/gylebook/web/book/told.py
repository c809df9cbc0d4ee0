"""A sentence that waits for the book's page: what an import came to."""

from __future__ import annotations

from django.http import HttpRequest

from gylebook.phrases import pack, unpack

_KEY = "book_told"


def tell(request: HttpRequest, sentence: str) -> None:
    """Keep a sentence over one redirect."""
    request.session[_KEY] = pack(sentence)


def told(request: HttpRequest) -> str:
    """The sentence that waits, taken away; empty where none does."""
    return unpack(request.session.pop(_KEY)) if _KEY in request.session else ""
