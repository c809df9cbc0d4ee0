"""What is due, as dates for a calendar and for notices: each thing once, at an hour when somebody is up.

An update never doubles anything: the same work of the same brew keeps its name. A thing also carries the print of its
decision, which is another one as soon as the work was done once more.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta, tzinfo

from gylebook.journal.state import Shelf
from gylebook.phrases import say, small
from gylebook.steps.answers import Urgency
from gylebook.steps.cards import CARDS_VERSION, Card, CardTask
from gylebook.steps.warm_spell import spell_tasks

LASTS = timedelta(minutes=30)
_EARLIEST, _LATEST, _MORNING = time(8), time(21), time(9)
# An even number for what is due, the odd one above it for what is called off: whichever comes later is the higher.
_PER_ENTRY = 2


@dataclass(frozen=True, slots=True)
class Source:
    """A brew's card with what names and dates its things.

    Parameters
    ----------
    card
        The card.
    origin
        The id of the entry that began the brew: the same in every copy of the book.
    entries
        How many entries the brew and the shelf have, together: it only grows.
    changed_at, last_at
        When either was written in last; when the brew's last entry was written.
    """

    card: Card
    origin: str
    entries: int
    changed_at: datetime
    last_at: datetime


@dataclass(frozen=True, slots=True)
class Dated:
    """One thing to do, with its date. `sequence` grows with every entry that may have changed it.

    Parameters
    ----------
    uid
        Its name for a calendar: the same work of the same brew, whichever time it is done.
    words, name
        What to do, and the brew's name.
    decision
        A print of the decision: other than `uid`, it changes once the work was done, and never with a date, a number
        or other words.
    gone
        It stood in a calendar and is not due any more: done, or moot.
    """

    uid: str
    brew: str
    title: str
    why: str
    urgency: Urgency
    start: datetime
    end: datetime
    by: datetime | None
    sequence: int
    changed_at: datetime
    words: str = ""
    name: str = ""
    decision: str = ""
    gone: bool = False

    @property
    def path(self) -> str:
        """Where the book tells of it, below its own address."""
        return f"brews/{self.brew}/" if self.brew else "cellar/"

    def called_off(self, at: datetime) -> Dated:
        """The same thing as a calendar is to be told that it is gone, seen at that moment."""
        return replace(self, gone=True, sequence=self.sequence + 1, changed_at=at)


def agenda(sources: Iterable[Source], zone: tzinfo, now: datetime, shelf: Shelf | None = None) -> tuple[Dated, ...]:
    """Everything that has a date, the earliest first; not what is moot by now, or may be done whenever it suits.

    With the shelf, the warm weather too that is written there, one thing for each spell.
    """
    sources = list(sources)
    found = [dated for source in sources for dated in _of(source, zone, now)]
    if shelf is not None and shelf.spells:
        found += _of_weather(sources, shelf, zone, now)
    return tuple(sorted(found, key=lambda dated: (dated.start, dated.uid)))


def _of(source: Source, zone: tzinfo, now: datetime) -> list[Dated]:
    found: dict[str, Dated] = {}
    for task in source.card.tasks:
        urgency = Urgency[task.urgency]
        at_leisure = urgency is Urgency.NOTHING and task.due_from <= source.last_at
        if at_leisure or (task.until is not None and task.until <= now):
            continue
        key = f"{task.act}/{task.about}" if task.about else task.act
        while key in found:  # two doses of the same hop
            key += "+"
        found[key] = _dated(source, task, key, urgency, zone)
    return list(found.values())


def _dated(source: Source, task: CardTask, key: str, urgency: Urgency, zone: tzinfo) -> Dated:
    card = source.card
    start = task.due_from if urgency is Urgency.DANGER else waking(task.due_from, task.due_by, zone)
    start = start.replace(second=0, microsecond=0)
    return Dated(
        uid=_print(f"gylebook/{source.origin}/{key}"),
        brew=card.id,
        title=say(
            "No. {id} {card}: {task}",
            id=card.id,
            card=card.name,
            task=small(task.words),
        ),
        why=task.why,
        urgency=urgency,
        start=start,
        end=start + LASTS,
        by=task.due_by,
        sequence=(source.entries + CARDS_VERSION) * _PER_ENTRY,
        changed_at=source.changed_at,
        words=task.words,
        name=card.name,
        decision=_print(f"gylebook/{source.origin}/{key}/{task.after}"),
    )


def _of_weather(sources: list[Source], shelf: Shelf, zone: tzinfo, now: datetime) -> list[Dated]:
    """What warm weather asks for; any brew's entry may change it, so it counts them all."""
    origin = shelf.entries[0].command_id if shelf.entries else ""
    entries = shelf.head_seq + sum(source.entries for source in sources)
    changed = max([*(source.changed_at for source in sources), *(entry.recorded_at for entry in shelf.entries)])
    found = []
    for spell, task in spell_tasks([source.card for source in sources], shelf, now, zone, dated=True):
        start = waking(task.due_from, task.due_by, zone).replace(second=0, microsecond=0)
        found.append(
            Dated(
                uid=_print(f"gylebook/{origin}/warm/{spell.name}"),
                brew="",
                title=task.words,
                why=task.why,
                urgency=Urgency[task.urgency],
                start=start,
                end=start + LASTS,
                by=task.due_by,
                sequence=(entries + CARDS_VERSION) * _PER_ENTRY,
                changed_at=changed,
                words=task.words,
                decision=_print(f"gylebook/{origin}/warm/{spell.name}/decision"),
            )
        )
    return found


def _print(text: str) -> str:
    return str(uuid.uuid5(uuid.NAMESPACE_OID, text))


def waking(at: datetime, by: datetime | None, zone: tzinfo) -> datetime:
    """The moment itself by day; at night nine in the morning, unless it would then be too late."""
    local = at.astimezone(zone)
    if _EARLIEST <= local.time() < _LATEST:
        return at
    day = local.date() if local.time() < _EARLIEST else local.date() + timedelta(days=1)
    morning = datetime.combine(day, _MORNING, zone)
    return morning if by is None or morning <= by else at
