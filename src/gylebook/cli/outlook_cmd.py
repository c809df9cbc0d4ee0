"""`gylebook outlook BREW`: where a brew is going, and how sure that is."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from gylebook.cli.command import GyleCommand, give, width, with_working, working
from gylebook.cli.door import OpenBook, open_book
from gylebook.phrases import joined, say, tell

if TYPE_CHECKING:
    from gylebook.cli.wording import Page
    from gylebook.journal.state import Brew
    from gylebook.steps.answers import Answer
    from gylebook.steps.outlook import Outlook
    from gylebook.steps.outlook_sure import Sure


@click.command(
    cls=GyleCommand,
    examples=("gylebook outlook 1", "gylebook outlook 1 --by-day", "gylebook outlook 1 --working"),
)
@click.argument("brew")
@click.option("--by-day", is_flag=True, help="Show the forecast as a table, a day to a row.")
@with_working
def command(brew: str, *, by_day: bool) -> None:
    """Say where BREW is going, and how sure that is.

    Where it will end and how strong it will be, where it is now, how likely it is that nothing is left, what may be
    going on, what the rules of the trade say beside it, and when a reading is worth its beer.
    """
    opened = open_book()
    from gylebook.steps.finishing import answer
    from gylebook.steps.outlook import outlook
    from gylebook.steps.outlook_sure import sure
    from gylebook.store import brew_log

    state, setting = brew_log.read(brew.lstrip("#"), book=opened.book), opened.setting()
    found, told = outlook(state, setting), answer(state, setting, {})
    how = sure(found, told)

    def plain() -> dict[str, Any]:
        from gylebook.outputs.outlook_shape import outlook_shape

        return outlook_shape(state, found, told, how)

    give("outlook", plain, lambda: _text(state, found, told, how, opened, by_day=by_day))


def _text(brew: Brew, found: Outlook, told: Answer, how: Sure | None, book: OpenBook, *, by_day: bool) -> str:
    from gylebook.cli.wording import Page, write_answer, write_list
    from gylebook.steps.answers import Answer

    page = Page(width())
    page.line(say("Brew {id}, {brew}. Where is it going?", id=brew.id, brew=brew.name))
    page.gap()
    if how is None:
        write_answer(page, told, book.prefs, with_working=working())
        return page.text()
    # The stories stand side by side; the customary rules, which have no figures, follow in their own list.
    shown = Answer(
        told.headline,
        how.sentence,
        told.urgency,
        how.figures,
        told.findings,
        how.stories,
        assumed=told.assumed,
        missing=how.told_apart,
    )
    write_answer(page, shown, book.prefs, with_working=working())
    _beside(page, found, how, book)
    if by_day:
        _days(page, brew, found, book)
    write_list(page, say("Take care"), told.cautions)
    return page.text()


def _beside(page: Page, found: Outlook, how: Sure, book: OpenBook) -> None:
    from gylebook.cli.wording import write_list

    if how.unlikely:
        stories = joined(", ", (name.lower() for name in how.unlikely))
        page.head(say("As good as out of the question: {stories}.", stories=stories))
    write_list(
        page,
        say("What the rules of the trade say"),
        (say("{rule}: {words}", rule=rule.name, words=rule.words) for rule in how.rules),
    )
    at = found.next_reading_at
    page.head(
        say(
            "Next reading: {moment}. {why}",
            moment=book.prefs.moment(at) if at else say("none"),
            why=found.next_reading_why,
        ).rstrip()
    )
    write_list(page, say("Learned from other brews"), how.learned)
    if how.quiet:
        page.head(how.quiet)


def _days(page: Page, brew: Brew, found: Outlook, book: OpenBook) -> None:
    from gylebook.outputs.brew_chart import brew_chart
    from gylebook.outputs.chart import fan_rows
    from gylebook.outputs.chart_words import SCALE_WORDS, fan_heads

    chart = brew_chart(brew, book.setting(), found, scale="°P" if book.prefs.gravity == "°P" else "SG")
    rows = fan_rows(chart)
    if not rows:
        return
    page.head(
        say(
            "{scale} at noon: of a hundred such beers so many would lie below",
            scale=SCALE_WORDS[chart.scale],
        )
    )
    wide = max(len(tell(row.when)) for row in rows)
    page.lines.append("  " + " " * wide + "".join(f"{tell(head):>9}" for head in fan_heads(chart)))
    for row in rows:
        page.lines.append(f"  {tell(row.when):<{wide}}" + "".join(f"{tell(value):>9}" for value in row.values))
