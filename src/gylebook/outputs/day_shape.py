"""Cards and the day's work as plain values for machines."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, tzinfo

from gylebook.outputs.shapes import Plain, finding_shape, iso, value_shape
from gylebook.steps.cards import Card, CardTask, says
from gylebook.steps.day import Day, Line


def lines_of(found: Day) -> tuple[Line, ...]:
    """Everything due now or within the week, in the order of the work."""
    return (*(line for part in found.parts for line in part.lines), *found.whenever, *found.later)


def readings_to_come(cards: Iterable[Card], found: Day) -> tuple[tuple[Card, CardTask], ...]:
    """The next reading of each running brew, where it comes too late to be among the day's lines."""
    shown = {(line.brew, line.task.act) for line in lines_of(found)}
    later = ((card, task) for card in cards for task in card.tasks if task.act == "reading")
    return tuple((card, task) for card, task in later if (card.id, task.act) not in shown)


def line_shape(line: Line) -> Plain:
    """Something that is due; its urgency is that of this moment."""
    return {
        "brew": line.brew,
        "name": line.name,
        "step": line.task.step,
        "act": line.task.act,
        "words": line.task.words,
        "why": line.task.why,
        "urgency": line.urgency.key,
        "when": line.when,
        "due_from": iso(line.task.due_from),
        "due_by": iso(line.task.due_by) if line.task.due_by else None,
        "place": line.place,
        "vessel": line.vessel,
        "minutes": line.minutes,
    }


def day_shape(cards: Iterable[Card], found: Day, unknown: Sequence[str]) -> Plain:
    """The day's work over these brews; `unknown` are the numbers of those that could not be reckoned."""
    return {
        "headline": found.headline,
        "minutes": found.minutes,
        "tasks": [line_shape(line) for line in lines_of(found)],
        "collisions": [finding_shape(each) for each in found.collisions],
        "readings_to_come": [
            {"brew": card.id, "name": card.name, "at": iso(task.due_from), "why": task.why}
            for card, task in readings_to_come(cards, found)
        ],
        "not_reckoned": list(unknown),
    }


def brew_shape(
    brew: str,
    name: str,
    stage: str,
    next_due: datetime | None,
    card: Card | None,
    *,
    now: datetime,
    zone: tzinfo,
    opened: bool,
) -> Plain:
    """One brew of a list, its card with it: None where that could not be reckoned."""
    said = says(card, now, zone) if card else None
    return {
        "brew": brew,
        "name": name,
        "stage": stage,
        "open": opened,
        "next_due": iso(next_due) if next_due else None,
        "urgency": said.urgency.key if said else None,
        "headline": said.headline if said else None,
        "why": said.why if said else None,
        "card": value_shape(card),
    }
