"""`gylebook next`: what is due."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from gylebook.cli.command import GyleCommand, for_machines, give, width
from gylebook.cli.door import OpenBook, open_book
from gylebook.phrases import joined, say

if TYPE_CHECKING:
    from gylebook.cli.wording import Page
    from gylebook.steps.cards import Card, CardTask
    from gylebook.steps.day import Day

_BREWS = 500


@click.command(cls=GyleCommand, examples=("gylebook next", "gylebook next 1", "gylebook next --json"))
@click.argument("brew", required=False)
@for_machines
def command(brew: str | None) -> None:
    """Say what is due, across all brews or for one.

    In the order of the work: danger first, then what is done with dry hands, then the rounds for which everything is
    sanitised once. “Nothing is due” is an answer, too. Then the readings that are worth taking later, and why not now.
    """
    book = open_book()
    cards, unknown = cards_in(book, brew.lstrip("#") if brew else None)
    from gylebook.cli.brew_view import day_of
    from gylebook.outputs.day_shape import day_shape, readings_to_come

    found = day_of(cards, book, weather=brew is None)
    to_come = readings_to_come(cards, found)

    def plain() -> dict[str, Any]:
        return day_shape(cards, found, unknown)

    def text() -> str:
        from gylebook.cli.wording import Page

        page = Page(width())
        if not cards and not unknown:
            page.line(say("There is no open brew. Begin one with “gylebook log new plan --name NAME”."))
            return page.text()
        _write(page, found, named=brew is None)
        _write_to_come(page, to_come, book, named=brew is None)
        for number in unknown:
            page.head(say("What brew {number} needs could not be worked out; its log is whole.", number=number))
        return page.text()

    give("next", plain, text)


def cards_in(book: OpenBook, brew: str | None) -> tuple[list[Card], list[str]]:
    """The cards of the open brews, or of one; and the brews whose card could not be reckoned."""
    from gylebook.cli.brew_view import card_of
    from gylebook.steps.cards import card
    from gylebook.store import brew_list, brew_log

    if brew is not None:
        return [card(brew_log.read(brew, book=book.book), book.shelf, book.now)], []
    found = {listed.brew: card_of(listed) for listed in brew_list.due(book.book, limit=_BREWS)}
    return [each for each in found.values() if each], [number for number, each in found.items() if each is None]


def _write(page: Page, found: Day, *, named: bool) -> None:
    from gylebook.cli.brew_view import write_line
    from gylebook.cli.wording import write_findings

    page.line(found.headline)
    write_findings(page, found.collisions)
    for part in found.parts:
        page.head(say("{title}. {note}", title=part.title, note=part.note).rstrip(". ") + ".")
        for line in part.lines:
            write_line(page, line, named=named)
    for title, lines in ((say("Whenever it suits"), found.whenever), (say("Later"), found.later)):
        if lines:
            page.head(title)
        for line in lines:
            write_line(page, line, named=named)


def _write_to_come(page: Page, to_come: tuple[tuple[Card, CardTask], ...], book: OpenBook, *, named: bool) -> None:
    """The next reading of each brew that has none due within the week."""
    if to_come:
        page.head(say("Readings to come"))
    for card, task in to_come:
        about = say("Brew {id}, {name}: ", id=card.id, name=card.name) if named else ""
        page.line(joined("", (about, book.prefs.day(task.due_from), ".")), 2, 2)
        page.line(task.why, 4, 2)
