"""`gylebook law`: what may be brewed at home, given away and taken along, by country."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from gylebook.cli.command import GyleCommand, give, width, with_working, working
from gylebook.cli.door import OpenBook, open_book
from gylebook.phrases import say

if TYPE_CHECKING:
    from gylebook.steps.answers import Answer
    from gylebook.steps.law_lines import LawCard


@click.command(cls=GyleCommand, examples=("gylebook law", "gylebook law --country Germany --json"))
@click.option("--country", default="", help="The card of this country, in place of that of the settings.")
@with_working
def command(country: str) -> None:
    """Say what the law lets one brew at home, give away and take along.

    The country is that of the settings, as “gylebook shelf keep_settings --country UK” chooses it. Where its law names
    an amount for a year, what the book has brewed this year is told against it. None of this is legal advice.
    """
    book = open_book()
    from gylebook.steps.law import law

    card = law(country or book.shelf.settings.country)
    answer = _year(card, book) if card is not None else None

    def plain() -> dict[str, Any]:
        from gylebook.outputs.law_shape import law_shape

        return law_shape(card, answer)

    give("law", plain, lambda: _text(card, answer, book))


def _year(card: LawCard, book: OpenBook) -> Answer | None:
    """What was brewed this year; no log is read where the card has no amount."""
    if not card.allowed:
        return None
    from gylebook.steps.law import year_so_far
    from gylebook.store.begun import begun_in

    zone = book.prefs.zone
    made = begun_in(book.now.astimezone(zone).year, zone, book=book.book)
    return year_so_far(card, made, book.shelf, book.now, zone)


def _text(card: LawCard | None, answer: Answer | None, book: OpenBook) -> str:
    from gylebook.cli.wording import Page, write_answer, write_list
    from gylebook.steps.law import CHOOSE, EVERYWHERE, standing_words, title_of

    page = Page(width())
    page.line(title_of(card))
    page.line(standing_words(card))
    if not book.shelf.settings.country:
        page.line(CHOOSE)
    if answer is not None:
        page.gap()
        write_answer(page, answer, book.prefs, with_working=working())
    for title, lines in card.topics if card is not None else ():
        page.head(title)
        for line in lines:
            page.line(line.text, 2)
            page.line(say("{when} ({sources})", when=line.when, sources=", ".join(line.sources)), 4, 2)
    write_list(page, say("Everywhere"), EVERYWHERE)
    return page.text()
