"""`gylebook backup`: a verified copy of the book, made while it is in use."""

from __future__ import annotations

from pathlib import Path

import click

from gylebook.cli.command import GyleCommand, for_machines, give
from gylebook.cli.door import only_own_book, open_book
from gylebook.phrases import say, say_count


@click.command(cls=GyleCommand, examples=("gylebook backup", "gylebook backup my-book.zip"))
@click.argument("file", required=False, type=click.Path(path_type=Path, dir_okay=False))
@for_machines
def command(file: Path | None) -> None:
    """Make a verified copy of the book, while it is in use.

    Without a FILE it goes into the folder “backups” beside the book, under the present moment's name. The file holds
    every entry and everybody who may sign in, and is read back before it counts.
    """
    only_own_book()
    opened = open_book()
    from gylebook.store.backup import backup
    from gylebook.store.restore import backups_folder

    if file is None:
        folder = backups_folder()
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        file = folder / f"book-{opened.now:%Y%m%dT%H%M%SZ}.zip"
    target = file.absolute()
    made = backup(target, now=opened.now, book=opened.book)

    def text() -> str:
        return say(
            "Backed up {entries} of {brews}, and read them back: {target}",
            entries=say_count(made.entries, "{n} entry", "{n} entries"),
            brews=say_count(made.brews, "{n} brew", "{n} brews"),
            target=target,
        )

    give(
        "backup",
        lambda: {"file": str(target), "entries": made.entries, "brews": made.brews, "state": made.state},
        text,
    )
