"""`gylebook serve`: the pages, from this computer."""

from __future__ import annotations

import gc
import sys
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

import click

from gylebook.cli.command import GyleCommand, for_machines, machine
from gylebook.cli.spoken import echo
from gylebook.phrases import say

if TYPE_CHECKING:
    from gylebook.store.serving import Serving


@click.command(
    cls=GyleCommand,
    examples=("gylebook serve", "gylebook serve --lan", "gylebook serve --host 0.0.0.0 --port 8485"),
)
@click.option("--lan", is_flag=True, help="Open the book to the house by HTTPS, and let phones in by a code.")
@click.option("--http", "plain", is_flag=True, help="With --lan: by plain HTTP; phones then lack what needs HTTPS.")
@click.option("--no-qr", "no_qr", is_flag=True, help="With --lan: show links alone, without square codes.")
@click.option("--host", metavar="ADDRESS", help="Where to listen; 127.0.0.1, this computer alone, unless you say else.")
@click.option("--port", type=click.IntRange(1, 65535), metavar="NUMBER", help="The port to listen on; 8484 at first.")
@click.option("--certificate", type=click.Path(path_type=Path), metavar="FILE", help="Your own certificate, for HTTPS.")
@click.option("--key", type=click.Path(path_type=Path), metavar="FILE", help="The key of that certificate.")
@for_machines
def command(
    *,
    lan: bool = False,
    plain: bool = False,
    no_qr: bool = False,
    host: str | None = None,
    port: int | None = None,
    certificate: Path | None = None,
    key: Path | None = None,
) -> None:
    """Open the book in the browser, on this computer or for the house.

    The book answers until it is stopped, with Ctrl and C. Others can reach it only with --lan, which lets in the
    phones that you show a code; or when you name an address that they reach, such as 0.0.0.0, after you have set a
    password with “gylebook password”. Every page then asks who is there.
    """

    def announce(line: str) -> None:
        if machine():
            from gylebook.outputs.shapes import as_json, shape

            echo(as_json(shape("serving", {"line": line})))
        else:
            echo(line)

    def welcome(serving: Serving) -> None:
        # A log that is kept, as of a service, is no place for a code that opens the book.
        if machine() or not sys.stdout.isatty():
            announce(say("“gylebook pair” lets a phone in."))
            return
        from gylebook.cli.pair_cmd import code_text, paired

        echo(code_text(paired("", serving), with_code=not no_qr))

    if plain and not lan:
        raise click.UsageError(say("--http belongs to --lan; without it the book is open to this computer alone"))
    if not machine():
        echo(say("Stop the book with Ctrl and C; “gylebook --help” lists what can be done from here."))
    gc.enable()
    # Named and not imported: the pages stand beside the commands, and only this command needs them.
    import_module("gylebook.web.serve").serve(
        host, port, lan=lan, plain=plain, certificate=certificate, key=key, announce=announce, welcome=welcome
    )
