"""`gylebook serve`: the pages, from this computer."""

from __future__ import annotations

import gc
from importlib import import_module
from pathlib import Path

import click

from gylebook.cli.command import GyleCommand, for_machines, machine


@click.command(cls=GyleCommand, examples=("gylebook serve", "gylebook serve --host 0.0.0.0 --port 8485"))
@click.option("--host", metavar="ADDRESS", help="Where to listen; 127.0.0.1, this computer alone, unless you say else.")
@click.option("--port", type=click.IntRange(1, 65535), metavar="NUMBER", help="The port to listen on; 8484 at first.")
@click.option("--certificate", type=click.Path(path_type=Path), metavar="FILE", help="Your own certificate, for HTTPS.")
@click.option("--key", type=click.Path(path_type=Path), metavar="FILE", help="The key of that certificate.")
@for_machines
def command(
    host: str | None = None, port: int | None = None, certificate: Path | None = None, key: Path | None = None
) -> None:
    """Open the book in the browser, on this computer or for the house.

    The book answers until it is stopped, with Ctrl and C. Others can reach it only when you name an address that they
    reach, such as 0.0.0.0, and only after you have set a password with “gylebook password”.
    """

    def announce(line: str) -> None:
        if machine():
            from gylebook.outputs.shapes import as_json, shape

            click.echo(as_json(shape("serving", {"line": line})))
        else:
            click.echo(line)

    if not machine():
        click.echo("Stop the book with Ctrl and C; “gylebook --help” lists what can be done from here.")
    gc.enable()
    # Named and not imported: the pages stand beside the commands, and only this command needs them.
    import_module("gylebook.web.serve").serve(host, port, certificate=certificate, key=key, announce=announce)
