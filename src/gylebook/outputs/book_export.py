"""The whole book as plain text: one file that reads back in, and tables for a spreadsheet."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from itertools import chain

from gylebook import __version__
from gylebook.journal import events as ev
from gylebook.journal.book_file import Row, header_line, line, time_text
from gylebook.journal.state import Brew, Kept
from gylebook.units import Quantity

ENTRY_COLUMNS = (
    "brew",
    "seq",
    "kind",
    "version",
    "happened_at",
    "recorded_at",
    "recorded_by",
    "source",
    "command_id",
    "body",
)
READING_COLUMNS = (
    "brew",
    "name",
    "entry",
    "date",
    "of",
    "gravity",
    "temperature",
    "low",
    "high",
    "instrument",
    "sample_from",
    "fizz",
    "stirred",
    "looks",
    "taste",
)

#: What a spreadsheet would take for a sum when a text begins with it.
_SUM_SIGNS = ("=", "+", "-", "@", "\t", "\r")


def book_lines(entries: int, rows: Iterable[Row]) -> Iterator[bytes]:
    """The book's file, line by line; `entries` is how many rows there are."""
    yield header_line(__version__, entries)
    for row in rows:
        yield line(row)


def entries_csv(rows: Iterable[Row]) -> Iterator[str]:
    """One line an entry, as stored; the body stays JSON."""
    cells = (
        (
            row.brew,
            str(row.seq),
            row.kind,
            str(row.version),
            row.happened_at,
            row.recorded_at,
            _text(row.recorded_by),
            row.source,
            row.command_id,
            bytes(row.body).decode(),
        )
        for row in rows
    )
    return _csv(ENTRY_COLUMNS, cells)


def readings_csv(brews: Iterable[Brew]) -> Iterator[str]:
    """One line a reading of gravity or temperature that counts, as written, corrections already in their place."""
    return _csv(READING_COLUMNS, (cells for brew in brews for cells in _readings(brew)))


def _readings(brew: Brew) -> Iterator[tuple[str, ...]]:
    for kept in brew.kept:
        match kept.event:
            case ev.Measured() as read:
                own = ("beer", _quantity(read.gravity), _quantity(read.temp), "", "", _text(read.instrument))
                rest = (read.sample_from, read.fizz, read.stirred, _text(read.looks), _text(read.taste))
            case ev.TempSeen() as seen:
                own = (seen.of, "", _quantity(seen.temp), _quantity(seen.low), _quantity(seen.high), "")
                rest = ("", "", "", "", "")
            case _:
                continue
        yield (*_place(brew, kept), *own, *rest)


def _place(brew: Brew, kept: Kept[ev.Event]) -> tuple[str, str, str, str]:
    return brew.id, _text(brew.name), str(kept.seq), time_text(kept.at)


def _quantity(quantity: Quantity | None) -> str:
    return str(quantity) if quantity else ""


def _text(text: str) -> str:
    return f"'{text}" if text.startswith(_SUM_SIGNS) else text


def _csv(columns: tuple[str, ...], cells: Iterable[tuple[str, ...]]) -> Iterator[str]:
    held = io.StringIO()
    writer = csv.writer(held)
    for line_cells in chain((columns,), cells):
        writer.writerow(line_cells)
        yield held.getvalue()
        held.seek(0)
        held.truncate()
