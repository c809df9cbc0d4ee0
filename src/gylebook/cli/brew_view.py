"""Pieces of a brew as the commands show them: which step's answer, what is due, the log."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from gylebook.cli.wording import Page, when_text
from gylebook.journal.state import Brew
from gylebook.outputs.entries import entry_words
from gylebook.outputs.shapes import iso
from gylebook.steps.answers import Answer, Urgency
from gylebook.steps.moments import day_words
from gylebook.steps.tasks import Task, urgency_at

if TYPE_CHECKING:
    from gylebook.cli.door import OpenBook

# Whose question a brew's stage raises, where nothing is due that says otherwise.
STEP_OF_STAGE = {
    "planned": "plan",
    "mixed": "pitching",
    "fermenting": "finishing",
    "racked": "priming",
    "bottled": "conditioning",
    "drinking": "tasting",
    "closed": "tasting",
    "dumped": "tasting",
}


def step_of(brew: Brew, tasks: tuple[Task, ...]) -> str:
    """The step whose answer the brew is waiting for."""
    return tasks[0].step if tasks else STEP_OF_STAGE[brew.stage]


def answer_of(brew: Brew, step: str, book: OpenBook) -> Answer:
    """What that step answers, with nothing supposed."""
    from gylebook.steps.catalogue import step as step_named

    return step_named(step).answer(brew, book.setting(), {})


def write_task(page: Page, task: Task, book: OpenBook, *, named: str = "") -> None:
    """Something that is due: how urgent, for which brew, what, why, and by when."""
    zone, now = book.prefs.zone, book.now
    about = f"brew {task.brew}, {named}: " if named else ""
    start = "" if task.due_from <= now else f" from {day_words(task.due_from, now, zone)}"
    end = f" by {day_words(task.due_by, now, zone)}" if task.due_by else ""
    pressing = urgency_at(task, now).value
    page.line(f"{pressing}{start}{end}: {about}{task.words}", 2, 2)
    if task.why:
        page.line(task.why, 4, 2)


def standing(tasks: tuple[Task, ...], now: datetime) -> tuple[Task, ...]:
    """Tasks that are not moot yet, the most pressing at this moment first."""
    order = list(Urgency)
    left = [task for task in tasks if task.until is None or task.until > now]
    left.sort(key=lambda task: (order.index(urgency_at(task, now)), task.due_by or task.due_from, task.due_from))
    return tuple(left)


def task_shape(task: Task, now: datetime) -> dict[str, Any]:
    """Something that is due, for a program; its urgency is that of this moment."""
    return {
        "brew": task.brew,
        "step": task.step,
        "act": task.act,
        "words": task.words,
        "why": task.why,
        "urgency": urgency_at(task, now).value,
        "due_from": iso(task.due_from),
        "due_by": iso(task.due_by) if task.due_by else None,
    }


def write_log(page: Page, brew: Brew, book: OpenBook, entries: int) -> None:
    """The newest entries, newest first; what was corrected or withdrawn stays readable and says so."""
    page.head("Log, newest first")
    newest = list(reversed(brew.entries))
    for entry in newest[:entries]:
        struck = "struck out, " if entry.seq in brew.struck else ""
        at = when_text(entry.happened_at, book.prefs)
        page.line(f"{entry.seq}. {struck}{at}: {entry_words(entry.body)}", 2, 4)
    if len(newest) > entries:
        page.line(f"{len(newest) - entries} older ones: add --entries {len(newest)}.", 2, 2)
