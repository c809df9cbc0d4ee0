"""`gylebook cellar`: what stands in bottles, and what warm weather does to it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import click

from gylebook.cli.command import GyleCommand, give, width, with_working, working
from gylebook.cli.door import OpenBook, open_book
from gylebook.phrases import joined, say

if TYPE_CHECKING:
    from gylebook.cli.wording import Page
    from gylebook.journal.events import WarmSpell
    from gylebook.steps.answers import Figure, MomentFigure
    from gylebook.steps.cards import Card
    from gylebook.steps.cellar_list import Standing
    from gylebook.steps.warm_spell import WarmList


@click.command(
    cls=GyleCommand,
    examples=(
        "gylebook cellar",
        "gylebook cellar --place garage --warm 34",
        "gylebook cellar --warm 34 --json",
    ),
)
@click.option("--place", default="", help="Suppose that it gets warm in this place alone; everywhere, without it.")
@click.option("--warm", default="", help="Suppose that it gets as warm as this; nothing is written.")
@click.option("--cold", default="", help="Suppose that it gets as cold as this, too.")
@click.option("--from", "from_day", default="", help="First day of it; the coming weekend, without it.")
@click.option("--to", "to_day", default="", help="Last day of it.")
@with_working
def command(place: str, warm: str, cold: str, from_day: str, to_day: str) -> None:
    """Say what stands in bottles where, and what warm weather does to it.

    Dangerous bottles first, then place by place. Below them the warm or frosty days that are written down, as with
    “gylebook shelf warm_spell”: which brews have to leave, the likeliest to burst first, and by when.
    """
    book = open_book()
    asked = {"place": place, "high": warm, "low": cold, "from_on": from_day, "to_on": to_day}
    spell = _supposed(book, {name: text for name, text in asked.items() if text})
    from gylebook.steps.cellar_list import headline, standing
    from gylebook.steps.warm_spell import to_come, warm_list

    now, zone = book.now, book.prefs.zone
    cards, unknown = _cards(book)
    found = standing(cards, now, zone)
    written = [warm_list(cards, each, now, zone) for each in to_come(book.shelf, now, zone)]
    what_if = warm_list(cards, spell, now, zone) if spell is not None else None

    def plain() -> dict[str, Any]:
        from gylebook.outputs.cellar_shape import standing_shape, weather_shape

        return {
            "headline": headline(found),
            "brews": [standing_shape(each, now, zone) for each in found],
            "weather": [weather_shape(each) for each in written],
            "what_if": weather_shape(what_if) if what_if is not None else None,
            "not_reckoned": unknown,
        }

    def text() -> str:
        from gylebook.cli.wording import Page

        page = Page(width())
        page.line(headline(found))
        _stand(page, found, book)
        for weather in written:
            _weather(page, weather, book, say("Warm weather"))
        if what_if is not None:
            _weather(page, what_if, book, say("What if"))
        for number in unknown:
            page.head(say("What brew {number} needs could not be worked out; its log is whole.", number=number))
        return page.text()

    give("cellar", plain, text)


def _supposed(book: OpenBook, texts: dict[str, str]) -> WarmSpell | None:
    """The weather that was asked about; None where none was."""
    if not texts:
        return None
    from gylebook.cli.options import read_all
    from gylebook.errors import InputError
    from gylebook.steps.shelf_spell import WARM_SPELL, spell_of

    if "high" not in texts:
        raise InputError("--warm", say("how warm it gets was not written"), say("add it, such as --warm 34"))
    fields = [field for field in WARM_SPELL.fields if field.name in texts]
    values = read_all(fields, texts, book.prefs, zone=book.prefs.zone)
    return spell_of(values, book.now.astimezone(book.prefs.zone).date())


def _cards(book: OpenBook) -> tuple[list[Card], list[str]]:
    """The cards of all open brews, and those brews whose card could not be reckoned."""
    from gylebook.cli.brew_view import card_of
    from gylebook.store import brew_list

    found: list[Card] = []
    unknown: list[str] = []
    before: int | None = None
    while True:
        page = brew_list.brews(book.book, open_only=True, before=before, limit=500)
        for listed in page.brews:
            card = card_of(listed)
            if card is None:
                unknown.append(listed.brew)
            else:
                found.append(card)
        if page.before is None:
            return found, unknown
        before = page.before


def _stand(page: Page, found: list[Standing], book: OpenBook) -> None:
    """What stands in bottles, as the page of the cellar has it."""
    from gylebook.steps.cellar_list import figures_of, fit_words, lot_figures

    for each in found:
        caps = say(", caps {cap_code}", cap_code=each.bottles.cap_code) if each.bottles.cap_code else ""
        page.head(
            say(
                "Brew {id}, {name}, {place}{caps}",
                id=each.card.id,
                name=each.card.name,
                place=each.card.place or say("place not written down"),
                caps=caps,
            )
        )
        presses = say("{urgency}. ", urgency=each.says.urgency.value) if each.first else ""
        page.line(joined("", (presses, each.says.headline)), 2, 2)
        _figures(page, figures_of(each, book.now, book.prefs.zone), book)
        for lot in each.bottles.lots:
            if lot.left:
                page.line(say("{bottle}: {fit}", bottle=lot.bottle, fit=fit_words(lot)), 2, 2)
                _figures(page, lot_figures(each.bottles, lot), book)


def _weather(page: Page, found: WarmList, book: OpenBook, title: str) -> None:
    """One spell: what it does, the likeliest to burst first."""
    from gylebook.steps.answers import Urgency
    from gylebook.steps.warm_spell import spell_words

    page.head(
        say("{title}, {spell_words}", title=title, spell_words=spell_words(found.spell, book.now, book.prefs.zone))
    )
    presses = "" if found.urgency is Urgency.NOTHING else say("{urgency}. ", urgency=found.urgency.value)
    page.line(joined("", (presses, found.headline)), 2, 2)
    for each in found.warmed:
        where = say(", {place}", place=each.card.place) if each.card.place else ""
        page.line(
            say("Brew {id}, {name}{where}: {does}", id=each.card.id, name=each.card.name, where=where, does=each.does),
            2,
            2,
        )
        _figures(page, each.figures, book)
    for _, finding in found.vessels:
        page.line(finding.text, 2, 2)
    if found.nowhere:
        page.line(say("Of some bottles the place is not written down: they are not in this list."), 2, 2)


def _figures(page: Page, figures: Iterable[Figure | MomentFigure], book: OpenBook) -> None:
    from gylebook.cli.wording import Workings
    from gylebook.steps.answers import Answer, Urgency

    shown = tuple(figures)
    workings = Workings(Answer("", "", Urgency.NOTHING, figures=shown)) if working() else None
    for figure in shown:
        words = book.prefs.figure(figure)
        page.line(
            say(
                "{label}: {words}{interval}",
                label=figure.label,
                words=words.value,
                interval=say(" ({interval})", interval=words.interval) if words.interval else "",
            ),
            4,
            2,
        )
        if workings is not None:
            workings.write(page, figure)
