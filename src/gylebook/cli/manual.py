"""The page docs/commands.md, made from the commands themselves."""

from __future__ import annotations

from collections.abc import Iterator

import click

from gylebook.cli.main import book

WIDTH = 100

_HEAD = """\
# Commands

Made from the commands' own help by `make docs`; change the help, not this page.

Every command answers in plain text, and with `--json` in the shapes of [shapes.md](shapes.md). Exit codes: 0 done;
1 the book cannot; 2 something written cannot be read, or is not in the book; 3 refused in this state; 4 somebody else
wrote first; 5 stored entries do not read back; 6 the database cannot be reached; 7 a backup or restore did not verify;
70 a fault of Gylebook; 130 stopped by you. What went wrong is told on the error output, one sentence for each fault.
"""


def manual() -> str:
    """All of the page, as Markdown."""
    return "\n".join([_HEAD, *map(_section, contexts())]).rstrip() + "\n"


def contexts(
    command: click.Command = book, parent: click.Context | None = None, name: str = "gylebook"
) -> Iterator[click.Context]:
    """The context of every command, in the order of the help."""
    ctx = click.Context(command, info_name=name, parent=parent, terminal_width=WIDTH)
    yield ctx
    if isinstance(command, click.Group):
        for below in command.list_commands(ctx):
            found = command.get_command(ctx, below)
            if found is not None:
                yield from contexts(found, ctx, below)


def _section(ctx: click.Context) -> str:
    depth, above = 2, ctx.parent
    while above is not None:
        depth, above = depth + 1, above.parent
    return f"{'#' * min(depth, 5)} {ctx.command_path}\n\n```text\n{ctx.command.get_help(ctx)}\n```\n"
