"""`gylebook sources`: where the numbers come from."""

from __future__ import annotations

from typing import Any

import click

from gylebook.cli.command import GyleCommand, for_machines, give, width
from gylebook.phrases import say


@click.command(cls=GyleCommand, examples=("gylebook sources", "gylebook sources tanaka_2001"))
@click.argument("key", required=False)
@for_machines
def command(key: str | None) -> None:
    """Show where the numbers come from.

    Without a KEY, all of the bibliography; with one, that source, its standing and what was read of it. The keys stand
    behind each figure that is shown with --working.
    """
    from gylebook import sources

    chosen = [sources.get(key)] if key else list(sources.all().values())

    def text() -> str:
        from gylebook.cli.wording import Page

        page = Page(width())
        for source in chosen:
            page.head(say("{key}: {citation}", key=source.key, citation=source.citation))
            page.line(say("Standing: {meaning}.", meaning=source.standing.meaning), 2, 2)
            if source.note:
                page.line(source.note, 2, 2)
        return page.text()

    def plain() -> dict[str, Any]:
        from gylebook.outputs.shapes import source_shape

        return {"sources": [source_shape(source) for source in chosen]}

    give("sources", plain, text)
