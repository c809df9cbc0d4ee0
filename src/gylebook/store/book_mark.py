"""The mark of a database: an id made with its tables, by which a phone notices that another book answers."""

from __future__ import annotations

import uuid

from django.db import IntegrityError

from gylebook.store.databases import DEFAULT
from gylebook.store.faults import spoken
from gylebook.store.models import BookMark
from gylebook.store.turns import writing

_ONLY = 1


def book_mark(book: str = DEFAULT) -> str:
    """The book's mark, 32 hexadecimal digits; made when it is first asked for, and the same ever after.

    It comes along with a backup that holds a copy of the database. A book built up from plain entries gets its own.
    """
    with spoken(book):
        found = _found(book)
        if found is not None:
            return found
        try:
            with writing(book):
                return BookMark.objects.using(book).create(pk=_ONLY, mark=uuid.uuid4().hex).mark
        except IntegrityError:  # somebody else asked first
            return BookMark.objects.using(book).get(pk=_ONLY).mark


def _found(book: str) -> str | None:
    return BookMark.objects.using(book).filter(pk=_ONLY).values_list("mark", flat=True).first()
