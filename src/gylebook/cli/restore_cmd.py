"""`gylebook restore`: the book as a backup has it, wholly or not at all."""

from __future__ import annotations

from pathlib import Path

import click

from gylebook.cli import door
from gylebook.cli.command import GyleCommand, for_machines, give
from gylebook.phrases import say, say_count


@click.command(cls=GyleCommand, examples=("gylebook restore my-book.zip",))
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@for_machines
def command(file: Path) -> None:
    """Bring the book back to a backup.

    The backup is read through, built up beside the book and compared first; only then does it take the book's place.
    What the book held before is kept as a backup of its own, whose name is told.
    """
    door.only_own_book()
    door.start()
    from gylebook.store.restore import restore

    done = restore(file.absolute(), now=door.now(), book=door.book_name())
    held = done.manifest

    def text() -> str:
        told = say(
            "Restored {entries} of {brews}.",
            entries=say_count(held.entries, "{n} entry", "{n} entries"),
            brews=say_count(held.brews, "{n} brew", "{n} brews"),
        )
        return (
            say(
                "{told} What the book held before is kept in {file}",
                told=told,
                file=done.restore_point,
            )
            if done.restore_point
            else told
        )

    def plain() -> dict[str, object]:
        return {
            "file": str(file.absolute()),
            "entries": held.entries,
            "brews": held.brews,
            "state": held.state,
            "state_compared": done.same_fold,
            "restore_point": str(done.restore_point) if done.restore_point else None,
        }

    give("restore", plain, text)
