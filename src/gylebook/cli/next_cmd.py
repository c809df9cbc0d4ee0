"""`gylebook next`: what is due."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from gylebook.cli.command import GyleCommand, for_machines, say, width
from gylebook.cli.door import OpenBook, open_book

if TYPE_CHECKING:
    from gylebook.steps.cards import Card
    from gylebook.steps.day import Day

_BREWS = 500


@click.command(cls=GyleCommand, examples=("gylebook next", "gylebook next 1", "gylebook next --json"))
@click.argument("brew", required=False)
@for_machines
def command(brew: str | None) -> None:
    """Say what is due, across all brews or for one.

    In the order of the work: danger first, then what is done with dry hands, then the rounds for which everything is
    sanitised once. “Nothing is due” is an answer, too.
    """
    book = open_book()
    cards, unknown = cards_in(book, brew.lstrip("#") if brew else None)
    from gylebook.cli.brew_view import day_of

    found = day_of(cards, book)

    def plain() -> dict[str, Any]:
        from gylebook.cli.brew_view import line_shape, lines_of
        from gylebook.outputs.shapes import finding_shape

        return {
            "headline": found.headline,
            "minutes": found.minutes,
            "tasks": [line_shape(line) for line in lines_of(found)],
            "collisions": [finding_shape(each) for each in found.collisions],
            "not_reckoned": unknown,
        }

    say("next", plain, lambda: _text(found, unknown, begun=bool(cards or unknown), named=brew is None))


def cards_in(book: OpenBook, brew: str | None) -> tuple[list[Card], list[str]]:
    """The cards of the open brews, or of one; and the brews whose card could not be reckoned."""
    from gylebook.cli.brew_view import card_of
    from gylebook.steps.cards import card
    from gylebook.store import brew_list, brew_log

    if brew is not None:
        return [card(brew_log.read(brew, book=book.book), book.shelf, book.now)], []
    found = {listed.brew: card_of(listed) for listed in brew_list.due(book.book, limit=_BREWS)}
    return [each for each in found.values() if each], [number for number, each in found.items() if each is None]


def _text(found: Day, unknown: list[str], *, begun: bool, named: bool) -> str:
    from gylebook.cli.brew_view import write_line
    from gylebook.cli.wording import Page, write_findings

    page = Page(width())
    if not begun:
        page.line("There is no open brew. Begin one with “gylebook log new plan --name NAME”.")
        return page.text()
    page.line(found.headline)
    write_findings(page, found.collisions)
    for part in found.parts:
        page.head(f"{part.title}. {part.note}".rstrip(". ") + ".")
        for line in part.lines:
            write_line(page, line, named=named)
    for title, lines in (("Whenever it suits", found.whenever), ("Later", found.later)):
        if lines:
            page.head(title)
        for line in lines:
            write_line(page, line, named=named)
    for number in unknown:
        page.head(f"What brew {number} needs could not be worked out; its log is whole.")
    return page.text()
