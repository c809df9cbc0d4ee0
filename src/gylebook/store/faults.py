"""What a database says when it cannot, turned into one sentence that a brewer can act on."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import DatabaseError, InterfaceError, OperationalError, ProgrammingError, connections

from gylebook.errors import StoreUnavailable
from gylebook.phrases import say
from gylebook.store.databases import BUSY_TIMEOUT_S

# Part of the engine's own words -> our sentence. The first that fits is used.
_SENTENCES = (
    (
        "locked",
        say(
            "The book is busy: another writer has held it for {seconds} seconds; try again in a moment.",
            seconds=BUSY_TIMEOUT_S,
        ),
    ),
    ("lock timeout", say("The book is busy: another writer holds it; try again in a moment.")),
    (
        "unable to open",
        say("The book's file cannot be opened: check that its folder exists and may be written to."),
    ),
    ("readonly", say("The book's file may only be read: allow writing to it and its folder, then try again.")),
    ("read-only", say("The book may only be read: allow writing to it, then try again.")),
    ("disk is full", say("The disk is full, so nothing was written: make room and try again.")),
    (
        "no space left",
        say("The disk of the database server is full, so nothing was written: make room and try again."),
    ),
    ("column", say("This book's tables are of another release: start Gylebook once to bring them up to this one.")),
    ("no such table", say("This book has no tables yet: start Gylebook once to set it up, then try again.")),
    ("does not exist", say("This book has no tables yet: start Gylebook once to set it up, then try again.")),
    ("malformed", say("The book's file is damaged: restore the latest backup; nothing was written.")),
    ("not a database", say("The book's file is not a book: restore the latest backup, or name another folder.")),
    (
        "disk i/o",
        say("The disk does not read or write as it should, so nothing was written: check it and its cables."),
    ),
)


@contextmanager
def spoken(book: str) -> Iterator[None]:
    """Turn the database's own faults into StoreUnavailable; a clash of two writers passes, for the caller to mend.

    Raises
    ------
    StoreUnavailable
        The database is missing, locked or refuses.
    """
    try:
        yield
    except (OperationalError, InterfaceError, ProgrammingError) as fault:
        raise StoreUnavailable(_sentence(book, fault)) from fault
    except DatabaseError as fault:
        if type(fault) is not DatabaseError:  # IntegrityError and its kin mean something to the caller
            raise
        raise StoreUnavailable(_sentence(book, fault)) from fault


def _sentence(book: str, fault: DatabaseError | InterfaceError) -> str:
    words = str(fault).lower()
    for part, sentence in _SENTENCES:
        if part in words:
            return sentence
    if connections[book].vendor == "postgresql":
        return say(
            "The database server does not answer: check that it runs and that DATABASE_URL is right, then try again."
        )
    return say(
        "The book cannot be used: {fault}; try again, or restore the latest backup.",
        fault=str(fault).strip().splitlines()[0],
    )
