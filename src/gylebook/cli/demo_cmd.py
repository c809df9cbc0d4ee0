"""`gylebook demo`: the invented example book, which leaves no trace when it goes."""

from __future__ import annotations

from pathlib import Path

import click

from gylebook.cli import door
from gylebook.cli.command import GyleGroup, for_machines, give
from gylebook.errors import Refused
from gylebook.phrases import say


@click.group(
    cls=GyleGroup,
    examples=("gylebook demo fill", "gylebook --demo next", "gylebook --demo brews", "gylebook demo leave"),
)
def command() -> None:
    """Fill, empty or remove the invented example book.

    Its brews and readings are made up, and it lies apart from your own book. With --demo before any other command you
    look at it, and try things in it.
    """


@command.command("fill")
@for_machines
def fill() -> None:
    """Fill the example book, where it is empty."""
    _ready()
    from gylebook.store.demo import is_empty

    if not is_empty():
        raise Refused(
            say("The example book is filled already: “gylebook demo reset” throws away what was tried in it.")
        )
    _fill(say("The example book is filled: “gylebook --demo brews” lists its brews. All of it is invented."))


@command.command("reset")
@for_machines
def reset() -> None:
    """Throw away what was tried in the example book, and fill it anew."""
    _ready()
    _fill(say("The example book is as it was at first."))


@command.command("leave")
@for_machines
def leave() -> None:
    """Remove the example book without a trace; your own book is not touched."""
    door.start()
    from django.db import connections

    from gylebook.store.databases import DEMO

    connections[DEMO].close()
    path = Path(str(connections[DEMO].settings_dict["NAME"]))
    gone = [part for part in (path, *(path.with_name(path.name + end) for end in ("-wal", "-shm"))) if part.exists()]
    for part in gone:
        part.unlink()
    words = say("The example book is gone.") if gone else say("There was no example book.")
    give("demo", lambda: {"filled": False, "removed": bool(gone)}, lambda: words)


def _ready() -> None:
    """The tables of the example book, whichever book the command line chose."""
    click.get_current_context().meta["gylebook.book"] = "demo"
    door.ready()


def _fill(words: str) -> None:
    from gylebook.store import brew_log
    from gylebook.store.demo import fill as fill_book

    fill_book(now=door.now())
    held = brew_log.count(door.book_name())
    give("demo", lambda: {"filled": True, "open": held["open"], "closed": held["closed"]}, lambda: words)
