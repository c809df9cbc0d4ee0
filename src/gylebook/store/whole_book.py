"""A whole book out of the store, and into it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from typing import TypeVar

from django.db import IntegrityError, connections, transaction

from gylebook.errors import InputError, InputErrors, Refused
from gylebook.journal.book_file import Row
from gylebook.journal.state import SHELF, Brew
from gylebook.phrases import say
from gylebook.store import cards, rows
from gylebook.store.databases import DEFAULT
from gylebook.store.faults import spoken

_DIFFERS = say(
    "This book and the file have gone different ways, so one cannot be added to the other; import the file into an "
    "empty book, or restore a backup in place of this book."
)
T = TypeVar("T")

_FAULTS_TOLD = 1000
_BATCH = 10_000


@dataclass(frozen=True, slots=True)
class Added:
    """What an import came to: entries written, and entries that the book held already."""

    new: int
    already: int


def stream(make: Callable[[int, Iterator[Row]], Iterable[T]], *, book: str = DEFAULT) -> Iterator[T]:
    """Everything that `make` makes of the book as it stands at one moment, without holding up any writer.

    Parameters
    ----------
    make
        Is given how many entries there are, and all of them in the order of the file.
    book
        Which book.
    """
    with spoken(book), rows.snapshot(book):
        yield from make(rows.count(book), rows.all_rows(book))


def brews_folded(*, book: str = DEFAULT) -> Iterator[Brew]:
    """Every brew, folded, by number."""
    with spoken(book):
        for brew in rows.streams(book):
            if brew != SHELF:
                yield cards.load(book, brew)


def add_book(lines: Iterable[tuple[int, Row] | InputError], *, book: str = DEFAULT, dry_run: bool = False) -> Added:
    """Write a book's file into the store, all of it or nothing.

    Parameters
    ----------
    lines
        As `inputs.book_import.read_book` gives them: a line's number and entry, or its fault.
    book
        Which book; empty, or holding a part of the same entries. What it holds already is passed over.
    dry_run
        Look at everything and write nothing.

    Raises
    ------
    InputErrors
        Every fault, by line.
    Refused
        The book holds entries that the file has not, or has differently.
    """
    with spoken(book), transaction.atomic(using=book, durable=True):
        _hold(book)
        before = rows.count(book)
        faults: list[InputError] = []
        adding = _Adding(book, faults)
        new = 0
        fresh = adding.new_rows(lines)
        try:
            while batch := list(islice(fresh, _BATCH)):
                new += rows.insert_many(book, batch)
        except IntegrityError as clash:
            raise Refused(_DIFFERS) from clash
        if faults:
            raise InputErrors(faults)
        if new and adding.already != before:
            raise Refused(_DIFFERS)
        cards.refresh(book, sorted(adding.changed - {SHELF}))
        if dry_run:
            transaction.set_rollback(True, using=book)
        return Added(new, adding.already)


class _Adding:
    """Sorts a file's entries into new ones, those held already, and faults."""

    def __init__(self, book: str, faults: list[InputError]) -> None:
        self.book = book
        self.faults = faults
        self.already = 0
        self.changed: set[str] = set()
        self._heads = {brew: rows.head(book, brew) for brew in rows.streams(book)}
        self._held: dict[tuple[str, int], Row] = {}

    def new_rows(self, lines: Iterable[tuple[int, Row] | InputError]) -> Iterator[Row]:
        """Those entries that the book has not."""
        for found in lines:
            if isinstance(found, InputError):
                self._fault(found)
                continue
            number, row = found
            if row.seq > self._heads.get(row.brew, 0):
                self.changed.add(row.brew)
                if not self.faults:  # nothing will be kept after a fault, so nothing need be written
                    yield row
            elif self._as_held(row):
                self.already += 1
            else:
                problem = say("entry {seq} of {brew} is another one in this book", seq=row.seq, brew=row.brew)
                self._fault(
                    InputError(say("Line {number}", number=number), problem, say("import the file into an empty book"))
                )

    def _fault(self, fault: InputError) -> None:
        if len(self.faults) < _FAULTS_TOLD:
            self.faults.append(fault)

    def _as_held(self, row: Row) -> bool:
        if (row.brew, row.seq) not in self._held:
            # One page of one brew at a time: the file has each brew in one piece.
            found = rows.page(self.book, row.brew, row.seq - 1, _BATCH)
            self._held = {(held.brew, held.seq): held for held in found}
        return self._held.get((row.brew, row.seq)) == row


def _hold(book: str) -> None:
    """Keep other writers out until the transaction ends; readers go on."""
    if connections[book].vendor == "postgresql":
        with connections[book].cursor() as cursor:
            cursor.execute("LOCK TABLE journal_entry IN SHARE ROW EXCLUSIVE MODE")
