"""Pieces of a brew as the commands show them: its card, which step's answer, what is due, the log."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from gylebook.cli.wording import Page, when_text
from gylebook.journal.state import Brew
from gylebook.outputs.entries import entry_words
from gylebook.phrases import capital, say, say_count
from gylebook.steps.answers import Answer, Urgency
from gylebook.steps.cards import Card, card_read
from gylebook.steps.day import Day, Line, day
from gylebook.steps.warm_spell import spell_tasks

if TYPE_CHECKING:
    from gylebook.cli.door import OpenBook
    from gylebook.store.brew_list import Listed

# Whose question the stage of an open brew raises, where nothing is due that says otherwise.
STEP_OF_STAGE = {
    "planned": "plan",
    "mixed": "pitching",
    "fermenting": "finishing",
    "racked": "priming",
    "bottled": "conditioning",
    "drinking": "tasting",
}


def card_of(listed: Listed) -> Card | None:
    """The brew's card; None where it could not be reckoned."""
    return card_read(listed.card) if listed.card else None


def day_of(cards: Iterable[Card], book: OpenBook, *, weather: bool = False) -> Day:
    """The day's work over these brews; with the weather that was written for all of them."""
    cards = tuple(cards)
    owned = book.shelf.bottles.values()
    empties = sum(kept.count for kept in owned) if owned else None
    told = spell_tasks(cards, book.shelf, book.now, book.prefs.zone) if weather else ()
    return day(cards, book.now, book.prefs.zone, empties, [(spell.place, task) for spell, task in told])


def step_of(brew: Brew, found: Day) -> str:
    """The step whose answer the brew is waiting for."""
    due = (*(line for part in found.parts for line in part.lines), *found.whenever)
    return due[0].task.step if due else STEP_OF_STAGE[brew.stage]


def answer_of(brew: Brew, step: str, book: OpenBook) -> Answer:
    """What that step answers, with nothing supposed."""
    from gylebook.steps.catalogue import step as step_named

    return step_named(step).answer(brew, book.setting(), {})


def write_line(page: Page, line: Line, *, named: bool) -> None:
    """Something that is due: how urgent, for which brew and where, what, when and why."""
    where = say(", {place}", place=line.place) if line.place else ""
    about = ""
    if named and line.brew:
        about = say("Brew {brew}, {name}{where}: ", brew=line.brew, name=line.name, where=where)
    presses = line.says not in {Urgency.WAIT, Urgency.NOTHING}
    when = say("{says}, {when}", says=line.says.value, when=line.when) if presses else capital(line.when)
    page.line(say("{when}. {about}{task}.", when=when, about=about, task=line.task.words), 2, 2)
    if line.task.why:
        page.line(line.task.why, 4, 2)


def write_log(page: Page, brew: Brew, book: OpenBook, entries: int) -> None:
    """The newest entries, newest first; what was corrected or withdrawn stays readable and says so."""
    page.head(say("Log, newest first"))
    newest = list(reversed(brew.entries))
    for entry in newest[:entries]:
        struck = say("struck out, ") if entry.seq in brew.struck else ""
        at = when_text(entry.happened_at, book.prefs)
        page.line(
            say(
                "{seq}. {struck}{at}: {words}",
                seq=entry.seq,
                struck=struck,
                at=at,
                words=entry_words(entry.body),
            ),
            2,
            4,
        )
    if len(newest) > entries:
        older = say_count(len(newest) - entries, "{n} older entry", "{n} older entries")
        page.line(say("And {older}: add --entries {newest}.", older=older, newest=len(newest)), 2, 2)
