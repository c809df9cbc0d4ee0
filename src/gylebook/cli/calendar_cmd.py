"""`gylebook calendar`: what is due, as an iCalendar file."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from gylebook.cli.command import GyleCommand, for_machines, give, machine
from gylebook.cli.door import open_book
from gylebook.errors import InputError, Refused
from gylebook.phrases import joined, say, say_count


@click.command(cls=GyleCommand, examples=("gylebook calendar", "gylebook calendar --output gylebook.ics"))
@click.option("--output", type=click.Path(path_type=Path, dir_okay=False), help="The file to write.")
@click.option(
    "--url",
    envvar="GYLEBOOK_URL",
    default="",
    help="Address of the book for links, such as https://book.home:8484 (GYLEBOOK_URL sets it for good).",
)
@click.option("--replace", "--force", is_flag=True, help="Overwrite the file if it is there.")
@for_machines
def command(output: Path | None, url: str, replace: bool) -> None:
    """Write what is due as a calendar file (iCalendar), for any calendar to read.

    Without --output it goes to the standard output. Read in again later, nothing is doubled: each thing keeps its name.
    A calendar that follows the book by itself has its address from the page “Settings”.
    """
    if output is None and machine():
        raise InputError(
            "--output", say("with --json the answer goes to the standard output"), say("name a file for the calendar")
        )
    if output is not None and output.exists() and not replace:
        raise Refused(say("{file} is there already: choose another name, or add --replace.", file=output))
    opened = open_book()
    from gylebook.outputs.calendar_file import calendar_file
    from gylebook.outputs.qr import base_address
    from gylebook.steps.agenda import agenda
    from gylebook.store.calendar_feed import sources, with_gone

    found, unknown = sources(opened.book)
    dated = agenda(found, opened.prefs.zone, opened.now, opened.shelf)
    given = with_gone(dated, unknown, opened.now, opened.book)
    made = calendar_file(given, opened.prefs.zone, base=base_address(url), unknown=unknown)
    if output is None:
        sys.stdout.buffer.write(made)
        sys.stdout.buffer.flush()
        return
    from gylebook.cli.export_cmd import write_whole

    write_whole(output, iter([made]))

    def text() -> str:
        lost = [
            say("What brew {number} needs could not be worked out; its log is whole.", number=number)
            for number in unknown
        ]
        return joined(
            "\n",
            [
                say_count(
                    len(dated),
                    "Wrote {n} thing to do to {file}.",
                    "Wrote {n} things to do to {file}.",
                    file=output,
                ),
                *lost,
            ],
        )

    give("calendar", lambda: {"file": str(output.absolute()), "events": len(dated), "not_reckoned": unknown}, text)
