"""`gylebook import`: a book's file, or a table of readings, into the book; all of it or nothing."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from gylebook.cli.command import GyleCommand, for_machines, give, width
from gylebook.cli.door import ACTOR, OpenBook, open_book
from gylebook.errors import InputError, InputErrors
from gylebook.phrases import say, say_count

if TYPE_CHECKING:
    from gylebook.store.brew_log import Change

SOURCE = "import"


@click.command(
    cls=GyleCommand,
    examples=(
        "gylebook import my-book.jsonl --dry-run",
        "gylebook import readings.csv --brew 1 --dry-run",
        "gylebook import readings.csv --brew 1",
    ),
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--brew", metavar="BREW", help="The file is a table of readings (CSV) of this brew.")
@click.option("--dry-run", is_flag=True, help="Look at every line and say what would be written; write nothing.")
@click.option("--good-lines", is_flag=True, help="Write the readings that can be read, and leave out the others.")
@click.option("--confirm", is_flag=True, help="Insist on readings that are most unusual, though not impossible.")
@for_machines
def command(*, file: Path, brew: str | None, dry_run: bool, good_lines: bool, confirm: bool) -> None:
    """Read a book's file, or a table of readings, into the book.

    A book's file is one that “gylebook export” wrote; entries that are there already are passed over. A table of
    readings begins with a line such as “date,gravity,temperature”; dates are year-month-day, with a time if known.

    Every fault is told with its line, and where there is one nothing is written.
    """
    if brew is None and (good_lines or confirm):
        raise InputError(
            say("Command line"), say("a whole book is taken as it is"), say("leave --good-lines and --confirm out")
        )
    try:
        with file.open("rb") as source:
            if brew is not None:
                data = source.read()
                _readings(open_book(), brew.lstrip("#"), data, dry_run=dry_run, good_lines=good_lines, confirm=confirm)
                return
            if not source.peek(1).startswith(b"{"):
                remedy = say("if it is a table of readings, say of which brew with --brew")
                raise InputError(str(file), say("this is no file of a whole book"), remedy)
            _book(open_book(), source, dry_run=dry_run)
    except OSError as fault:
        reason = (fault.strerror or str(fault)).lower()
        raise InputError(
            str(file),
            say("it cannot be read ({reason})", reason=reason),
            say("check its name and that you may read it"),
        ) from None


def _book(opened: OpenBook, lines: Iterable[bytes], *, dry_run: bool) -> None:
    from gylebook.inputs.book_import import read_book
    from gylebook.store.whole_book import add_book

    added = add_book(read_book(lines), book=opened.book, dry_run=dry_run)

    def text() -> str:
        return _done(say_count(added.new, "{n} entry", "{n} entries"), added.already, dry_run=dry_run)

    give("import", lambda: {"of": "book", "dry_run": dry_run, "written": added.new, "already": added.already}, text)


def _done(counted: str, already: int, *, dry_run: bool) -> str:
    if dry_run:
        return say("{counted} would be written; {already} were there already.", counted=counted, already=already)
    return say("{counted} written; {already} were there already.", counted=counted, already=already)


def _readings(opened: OpenBook, brew: str, data: bytes, *, dry_run: bool, good_lines: bool, confirm: bool) -> None:
    from gylebook.inputs.readings_csv import read_readings
    from gylebook.store import brew_log
    from gylebook.store.brew_log import Command

    table = read_readings(data, brew=brew, zone=opened.prefs.zone, confirmed=confirm)
    if table.faults and not good_lines and not dry_run:
        raise InputErrors(table.faults)
    commands = [Command(command_id, decide) for command_id, decide in table.decisions(opened.setting())]
    write = brew_log.try_many if dry_run else brew_log.change_many
    done = write(brew, commands, actor=ACTOR, source=SOURCE, now=opened.now, book=opened.book)
    changes, refused = done if isinstance(done, tuple) else (done, [])
    faults = [*table.faults, *refused]
    written = [change for change in changes if change.entries and not change.repeated]

    def plain() -> dict[str, Any]:
        from gylebook.outputs.shapes import entry_shape, error_shape

        return {
            "of": "readings",
            "brew": brew,
            "dry_run": dry_run,
            "written": len(written),
            "already": len(changes) - len(written),
            "faults": error_shape(InputErrors(faults))["faults"] if faults else [],
            "ignored_columns": list(table.ignored),
            "entries": [entry_shape(entry) for change in written for entry in change.entries],
        }

    give("import", plain, lambda: _readings_text(opened, changes, written, faults, table.ignored, dry_run=dry_run))


def _readings_text(
    opened: OpenBook,
    changes: list[Change],
    written: list[Change],
    faults: list[InputError],
    ignored: tuple[str, ...],
    *,
    dry_run: bool,
) -> str:
    from gylebook.cli.wording import Page, when_text, write_findings
    from gylebook.outputs.entries import entry_words

    page = Page(width())
    counted = say_count(len(written), "{n} reading", "{n} readings")
    page.line(_done(counted, len(changes) - len(written), dry_run=dry_run))
    for change in written:
        for entry in change.entries:
            page.line(
                say(
                    "{when}: {words}",
                    when=when_text(entry.happened_at, opened.prefs),
                    words=entry_words(entry.body),
                ),
                2,
                4,
            )
    write_findings(page, [finding for change in written for finding in change.findings])
    if faults:
        page.head(say("Left out, since they cannot be read"))
        for fault in faults:
            page.line(str(fault), 2, 4)
    if ignored:
        page.head(say("Nothing was done with the columns {columns}.", columns=", ".join(ignored)))
    return page.text()
