"""`gylebook export`: the whole book in a file of the brewer's own."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import click

from gylebook.cli.command import GyleCommand, for_machines, give, machine
from gylebook.cli.door import open_book
from gylebook.errors import GylebookError, InputError, Refused
from gylebook.phrases import say, say_count

TABLES = ("book", "entries", "readings")


@click.command(
    cls=GyleCommand,
    examples=("gylebook export my-book.jsonl", "gylebook export --table readings my-readings.csv"),
)
@click.argument("file", required=False, type=click.Path(path_type=Path, dir_okay=False))
@click.option(
    "--table",
    type=click.Choice(TABLES),
    default="book",
    help="“book” is the whole book, which reads back in; “entries” and “readings” are tables (CSV) for a spreadsheet.",
)
@click.option("--replace", is_flag=True, help="Overwrite the file if it is there.")
@for_machines
def command(file: Path | None, table: str, replace: bool) -> None:
    """Write the whole book, or its tables, to a file of your own.

    Without a FILE it goes to the standard output. The book's file is plain text, one entry a line (JSON Lines), exactly
    as written, and “gylebook import” reads it back.
    """
    if file is None and machine():
        raise InputError(
            "FILE", say("with --json the answer goes to the standard output"), say("name a file for the export")
        )
    if file is not None and file.exists() and not replace:
        raise Refused(say("{file} is there already: choose another name, or add --replace.", file=file))
    opened = open_book()
    made = made_of(table, opened.book)
    if file is None:
        out = sys.stdout.buffer
        for line in made:
            out.write(line)
        out.flush()
        return
    lines = write_whole(file, made)

    def text() -> str:
        return say_count(lines, "Wrote {n} line to {file}.", "Wrote {n} lines to {file}.", file=file)

    give("export", lambda: {"file": str(file.absolute()), "table": table, "lines": lines}, text)


def made_of(table: str, book: str) -> Iterator[bytes]:
    """The lines of the chosen table."""
    from gylebook.outputs import book_export
    from gylebook.store import whole_book

    if table == "book":
        return whole_book.stream(book_export.book_lines, book=book)
    if table == "entries":
        cells = whole_book.stream(lambda _count, rows: book_export.entries_csv(rows), book=book)
    else:
        cells = book_export.readings_csv(whole_book.brews_folded(book=book))
    return (line.encode() for line in cells)


def write_whole(file: Path, lines: Iterator[bytes]) -> int:
    """Write all of it or nothing: under another name first, readable by its owner alone, then renamed.

    Raises
    ------
    GylebookError
        When the folder does not let itself be written to.
    """
    draft = ""
    try:
        descriptor, draft = tempfile.mkstemp(dir=file.absolute().parent, prefix=".gylebook-")
        count = 0
        with os.fdopen(descriptor, "wb") as out:
            for line in lines:
                out.write(line)
                count += 1
        Path(draft).replace(file)
    except OSError as fault:
        raise GylebookError(
            say(
                "{file} cannot be written: {fault}; choose another place.",
                file=file,
                fault=(fault.strerror or str(fault)).lower(),
            )
        ) from fault
    finally:
        if draft:
            with suppress(FileNotFoundError):
                Path(draft).unlink()
    return count
