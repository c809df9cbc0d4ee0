"""`gylebook next`: what is due."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from gylebook.cli.command import GyleCommand, for_machines, say, width
from gylebook.cli.door import OpenBook, open_book

if TYPE_CHECKING:
    from gylebook.steps.tasks import Task

_BREWS = 200


@click.command(cls=GyleCommand, examples=("gylebook next", "gylebook next 1", "gylebook next --json"))
@click.argument("brew", required=False)
@for_machines
def command(brew: str | None) -> None:
    """Say what is due, across all brews or for one.

    The most urgent comes first. “Nothing to do” is an answer, too.
    """
    book = open_book()
    names, tasks = due_in(book, brew.lstrip("#") if brew else None)

    def plain() -> dict[str, Any]:
        from gylebook.cli.brew_view import task_shape

        return {"tasks": [{**task_shape(task, book.now), "name": names[task.brew]} for task in tasks]}

    say("next", plain, lambda: _text(book, names, tasks, brew))


def due_in(book: OpenBook, brew: str | None) -> tuple[dict[str, str], list[Task]]:
    """Names of the brews looked at, and what is due in them, most urgent first."""
    from gylebook.cli.brew_view import standing
    from gylebook.steps.tasks import due
    from gylebook.store import brew_list, brew_log

    numbers = [brew] if brew else [listed.brew for listed in brew_list.due(book.book, limit=_BREWS)]
    names: dict[str, str] = {}
    tasks: list[Task] = []
    for number in numbers:
        state = brew_log.read(number, book=book.book)
        names[number] = state.name
        tasks += due(state, book.setting())
    return names, list(standing(tuple(tasks), book.now))


def _text(book: OpenBook, names: dict[str, str], tasks: list[Task], brew: str | None) -> str:
    from gylebook.cli.brew_view import write_task
    from gylebook.cli.wording import Page

    page = Page(width())
    now = [task for task in tasks if task.due_from <= book.now]
    later = [task for task in tasks if task.due_from > book.now]
    if not tasks:
        page.line(
            "Nothing to do." if names else "There is no brew yet. Begin with “gylebook log new plan --name NAME”."
        )
    elif not now:
        page.line("Nothing to do now.")
    else:
        page.line("Now")
    for task in now:
        write_task(page, task, book, named="" if brew else names[task.brew])
    if later:
        page.head("Later")
        for task in later:
            write_task(page, task, book, named="" if brew else names[task.brew])
    return page.text()
