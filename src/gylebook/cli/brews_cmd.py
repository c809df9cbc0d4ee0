"""`gylebook brews`: the list, and one brew with its answer and its log."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from gylebook.cli.command import GyleCommand, give, width, with_working, working
from gylebook.cli.door import OpenBook, open_book
from gylebook.errors import InputError
from gylebook.phrases import say

if TYPE_CHECKING:
    from gylebook.cli.wording import Page
    from gylebook.journal.state import Brew
    from gylebook.steps.answers import Answer
    from gylebook.steps.cards import Card
    from gylebook.steps.day import Day
    from gylebook.store.brew_list import Listed

_KEPT = 20


@click.command(
    cls=GyleCommand,
    examples=(
        "gylebook brews",
        "gylebook brews --open --json",
        "gylebook brews 1",
        "gylebook brews 1 --entries 5",
        "gylebook brews 1 --beside 2",
    ),
)
@click.argument("brew", required=False)
@click.option("--open/--closed", "opened", default=None, help="Only brews in which something may still be due, or not.")
@click.option("--named", default="", metavar="LETTERS", help="Only brews whose name or cap code has these letters.")
@click.option("--before", type=click.IntRange(min=1), metavar="NUMBER", help="Only brews with a smaller number.")
@click.option("--most", type=click.IntRange(1, 500), default=50, metavar="COUNT", help="How many at most; 50.")
@click.option("--entries", type=click.IntRange(min=0), metavar="COUNT", help="How many log entries to show; 20.")
@click.option("--beside", metavar="BREW", help="Another brew's number: what differs between the two.")
@with_working
def command(
    *,
    brew: str | None,
    opened: bool | None,
    named: str,
    before: int | None,
    most: int,
    entries: int | None,
    beside: str | None,
) -> None:
    """List the brews, or open one with its answer and its log.

    With BREW, a brew's number: what is due, the answer to the question of its stage, and the newest entries of its log.
    With --beside, only what differs between it and another brew, enough to be tasted.
    """
    book = open_book()
    if brew is None:
        if entries is not None:
            raise InputError(
                "--entries", say("the list of brews shows no entries"), say("name the brew whose log you want")
            )
        if beside is not None:
            raise InputError("--beside", say("it is not said beside which brew"), say("name the first brew, too"))
        _list(book, opened, named, before, most)
        return
    if opened is not None or named or before is not None:
        raise InputError(
            say("Command line"), say("one brew is named, and brews are looked for"), say("do one or the other")
        )
    if beside is None:
        _one(book, brew.lstrip("#"), _KEPT if entries is None else entries)
    elif entries is not None:
        raise InputError(
            "--entries", say("what differs is shown without a log"), say("leave --entries or --beside out")
        )
    else:
        _beside(book, brew.lstrip("#"), beside.lstrip("#"))


def _list(book: OpenBook, opened: bool | None, named: str, before: int | None, most: int) -> None:
    from gylebook.store import brew_list

    page = brew_list.brews(book.book, open_only=opened, named=named, before=before, limit=most)

    def text() -> str:
        from gylebook.cli.wording import Page

        lines = Page(width())
        for listed in page.brews:
            write_listed(lines, listed, book)
        if not page.brews:
            nothing = (
                say("No brew is like that.") if named or opened is not None or before else say("There is no brew yet.")
            )
            lines.line(say("{nothing} Begin one with “gylebook log new plan --name NAME”.", nothing=nothing))
        if page.before is not None:
            lines.gap()
            lines.line(say("There are older ones: add --before {before}.", before=page.before))
        return lines.text()

    give("brews", lambda: {"brews": [listed_shape(each, book) for each in page.brews], "before": page.before}, text)


def write_listed(page: Page, listed: Listed, book: OpenBook) -> None:
    """One brew of a list: number, name, stage, and the sentence to act on."""
    from gylebook.cli.brew_view import card_of
    from gylebook.outputs.phrases import WORDS_OF_STAGE
    from gylebook.steps.answers import Urgency
    from gylebook.steps.cards import says

    card = card_of(listed)
    told = say("What it needs could not be worked out; its log is whole.")
    if card is not None:
        said = says(card, book.now, book.prefs.zone)
        free = said.urgency is Urgency.NOTHING and said.task is not None
        told = (
            said.headline if free else say("{urgency}: {headline}", urgency=said.urgency.value, headline=said.headline)
        )
    page.line(
        say(
            "{brew}. {name}, {stage}. {told}",
            brew=listed.brew,
            name=listed.name,
            stage=WORDS_OF_STAGE[listed.stage],
            told=told,
        ),
        0,
        4,
    )


def listed_shape(listed: Listed, book: OpenBook) -> dict[str, Any]:
    """One brew of a list, for a program, its card with it."""
    from gylebook.cli.brew_view import card_of
    from gylebook.outputs.day_shape import brew_shape

    head = (listed.brew, listed.name, listed.stage)
    return brew_shape(*head, listed.next_due, card_of(listed), now=book.now, zone=book.prefs.zone, opened=listed.open)


def _one(book: OpenBook, number: str, entries: int) -> None:
    from gylebook.cli.brew_view import answer_of, day_of, step_of
    from gylebook.outputs.day_shape import line_shape, lines_of
    from gylebook.steps.cards import card
    from gylebook.store import brew_log

    brew = brew_log.read(number, book=book.book)
    own_card = card(brew, book.shelf, book.now)
    found = day_of((own_card,), book)
    step = step_of(brew, found) if brew.open else ""
    answer = answer_of(brew, step, book) if step else ended(own_card)
    shown = list(reversed(brew.entries))[:entries]

    def plain() -> dict[str, Any]:
        from gylebook.outputs.shapes import answer_shape, entry_shape

        return {
            "brew": brew.id,
            "name": brew.name,
            "stage": brew.stage,
            "open": brew.open,
            "tasks": [line_shape(line) for line in lines_of(found)],
            "step": step,
            "answer": answer_shape(answer),
            "entries": [entry_shape(entry, brew) for entry in shown],
            "entries_in_all": len(brew.entries),
        }

    give("brew", plain, lambda: _brew_text(book, brew, found, answer, entries))


def _beside(book: OpenBook, number: str, other: str) -> None:
    """What differs between two brews."""
    from gylebook.steps.tasting_compare import compare
    from gylebook.store import brew_log

    one, two = (brew_log.read(each, book=book.book) for each in (number, other))
    answer = compare(one, two, book.setting())

    def plain() -> dict[str, Any]:
        from gylebook.outputs.shapes import answer_shape

        return {"brew": one.id, "beside": two.id, **answer_shape(answer)}

    def text() -> str:
        from gylebook.cli.wording import Page, write_answer

        page = Page(width())
        page.line(
            say(
                "Brew {id}, {name}, beside brew {other}, {other_name}: what differs enough to be tasted?",
                id=one.id,
                name=one.name,
                other=two.id,
                other_name=two.name,
            )
        )
        page.gap()
        write_answer(page, answer, book.prefs, with_working=working())
        return page.text()

    give("beside", plain, text)


def ended(card: Card) -> Answer:
    """What is left to say of a brew that is drunk or thrown away."""
    from gylebook.steps.answers import Answer, Urgency

    return Answer(card.headline, card.why, Urgency.NOTHING)


def _brew_text(book: OpenBook, brew: Brew, found: Day, answer: Answer, entries: int) -> str:
    from gylebook.cli.brew_view import write_line, write_log
    from gylebook.cli.wording import Page, write_answer
    from gylebook.outputs.day_shape import lines_of
    from gylebook.outputs.phrases import WORDS_OF_STAGE

    page = Page(width())
    page.line(say("Brew {id}, {brew}, {stage}.", id=brew.id, brew=brew.name, stage=WORDS_OF_STAGE[brew.stage]))
    page.gap()
    write_answer(page, answer, book.prefs, with_working=working())
    lines = lines_of(found)
    if lines:
        page.head(say("Due"))
        for line in lines:
            write_line(page, line, named=False)
    if entries:
        write_log(page, brew, book, entries)
    return page.text()
