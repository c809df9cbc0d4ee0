"""The day's work over all brews: in a sensible order of hands and wetness, and what collides.

Made from cards alone, at the moment they are read. Danger first; then what needs no clean hands; then one mix of
sanitiser for all the rest: readings in one round, hops, yeast, mixing; bottling last, for it takes an evening.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

from gylebook.phrases import say, say_count, small
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.cards import Card, CardTask, late_words, urgency_now, urgency_said
from gylebook.steps.collisions import collisions
from gylebook.steps.moments import coming_words, day_words, span_words

_HORIZON = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Line:
    """One task of one brew, with its time in words; what is about many brews has no brew and no number."""

    brew: str
    number: int
    name: str
    place: str
    vessel: str
    task: CardTask
    urgency: Urgency
    says: Urgency  # as it is told: a reading later today is no wait
    when: str
    minutes: int


@dataclass(frozen=True, slots=True)
class Part:
    """A stretch of work that is done in one go."""

    key: str
    title: str
    note: str
    lines: tuple[Line, ...]

    @property
    def minutes(self) -> int:
        """About how long it takes."""
        return sum(line.minutes for line in self.lines)


@dataclass(frozen=True, slots=True)
class Day:
    """All of it. `whenever` holds what is due but never presses; `later` what comes within a week."""

    headline: str
    parts: tuple[Part, ...]
    whenever: tuple[Line, ...]
    later: tuple[Line, ...]
    collisions: tuple[Finding, ...]

    @property
    def minutes(self) -> int:
        """About how long the work takes."""
        return sum(part.minutes for part in self.parts)


_ACTS_OF_PART: tuple[tuple[str, str, str, tuple[str, ...]], ...] = (
    (
        "dry",
        say("With dry hands"),
        say("Look, move, open and taste before anything is wet."),
        (
            "warm_spell",
            "plan",
            "note",
            "temperature",
            "move",
            "rouse",
            "open_bottle",
            "vent",
            "burst",
            "take_out",
            "taste",
            "close",
        ),
    ),
    (
        "readings",
        say("The round of readings"),
        say("One pass over the vessels; sanitise tap and thief between them, never pour a sample back."),
        ("reading", "judge"),
    ),
    (
        "hops",
        say("Hops"),
        say("Out before in. Bin spent hops sealed: they are toxic to dogs."),
        ("hops_out", "hop", "add"),
    ),
    ("yeast", say("Yeast"), "", ("pitch",)),
    (
        "mixing",
        say("Mixing"),
        say("Boiling water scalds, and a full bucket is heavy: fill it where it will stand."),
        ("mix", "top_up", "clean"),
    ),
    (
        "bottling",
        say("Bottling, last"),
        say("It takes the rest of the evening: bottles washed, sugar weighed, eye protection at hand."),
        ("rack", "prime", "bottle"),
    ),
)
_MINUTES = {
    "warm_spell": 20,
    "mix": 45,
    "reading": 8,
    "hop": 10,
    "hops_out": 10,
    "pitch": 10,
    "rack": 30,
    "prime": 110,
    "bottle": 100,
    "move": 10,
    "note": 3,
    "rouse": 5,
    "open_bottle": 5,
    "vent": 60,
    "taste": 10,
}
_WET = {"readings", "hops", "yeast", "mixing", "bottling"}


def day(
    cards: Sequence[Card],
    now: datetime,
    zone: tzinfo,
    empties: int | None = None,
    beside: Sequence[tuple[str, CardTask]] = (),
) -> Day:
    """The day's work over all brews.

    Parameters
    ----------
    cards
        Of the open brews; closed ones are passed over.
    now, zone
        The moment and the brewer's zone.
    empties
        Empty bottles at hand, where that is known.
    beside
        What is about many brews at once, each with its place: warm weather that is coming.
    """
    lines = [_line(task, now, zone, place=place) for place, task in beside if task.until is None or task.until > now]
    lines += [line for card in cards if card.open for line in _lines(card, now, zone)]
    due = [line for line in lines if line.urgency is not Urgency.WAIT]
    pressing = [line for line in due if line.urgency is not Urgency.NOTHING]
    later = sorted(
        (line for line in lines if line.urgency is Urgency.WAIT and line.task.due_from - now <= _HORIZON),
        key=lambda line: (line.task.due_from, line.number),
    )
    parts = _parts(pressing)
    found = collisions([card for card in cards if card.open], now, zone, empties)
    whenever = tuple(sorted((line for line in due if line.urgency is Urgency.NOTHING), key=_order))
    return Day(
        headline=_headline(parts, later, whenever, now, zone),
        parts=parts,
        whenever=whenever,
        later=tuple(later),
        collisions=found,
    )


def _lines(card: Card, now: datetime, zone: tzinfo) -> list[Line]:
    found = []
    for task in card.tasks:
        if task.until is not None and task.until <= now:
            continue
        found.append(_line(task, now, zone, card, card.place))
    return found


def _line(task: CardTask, now: datetime, zone: tzinfo, card: Card | None = None, place: str = "") -> Line:
    return Line(
        card.id if card is not None else "",
        card.number if card is not None else 0,
        card.name if card is not None else "",
        place,
        card.vessel if card is not None else "",
        task,
        urgency_now(task, now),
        urgency_said(task, now, zone),
        _when(task, now, zone),
        _MINUTES.get(task.act, 5),
    )


def _when(task: CardTask, now: datetime, zone: tzinfo) -> str:
    """When it is due, in words: "from Thursday", "since yesterday", "by tomorrow", "due yesterday"."""
    if now < task.due_from:
        words = coming_words(task.due_from, now, zone)
        return words if words in {"later today", "tomorrow"} else say("from {day}", day=words)
    if task.due_by is not None:
        return late_words(task, now, zone) or say("by {day}", day=day_words(task.due_by, now, zone))
    if task.urgency == Urgency.NOTHING.name and task.act == "mix":
        return say("no day is planned")
    words = day_words(task.due_from, now, zone)
    return words if words == "today" else say("since {day}", day=words)


def _order(line: Line) -> tuple[str, str, int]:
    return line.place, line.vessel, line.number


def _parts(lines: Sequence[Line]) -> tuple[Part, ...]:
    found = []
    danger = [line for line in lines if line.urgency is Urgency.DANGER]
    if danger:
        note = say("Before anything else. Keep people and animals away from bottles in doubt.")
        found.append(Part("danger", say("Danger"), note, tuple(sorted(danger, key=_order))))
    rest = [line for line in lines if line.urgency is not Urgency.DANGER]
    wet = [line for line in rest if any(line.task.act in acts for key, _, _, acts in _ACTS_OF_PART if key in _WET)]
    for key, title, note, acts in _ACTS_OF_PART:
        own = tuple(
            sorted(
                (line for line in rest if line.task.act in acts),
                key=lambda line: (acts.index(line.task.act), *_order(line)),
            )
        )
        if key == "readings" and wet:
            jobs = say("the job below") if len(wet) == 1 else say("all {count} jobs below", count=len(wet))
            found.append(
                Part("sanitiser", say("One mix of sanitiser"), say("Make it once; it serves {jobs}.", jobs=jobs), ())
            )
        if own:
            found.append(Part(key, title, note, own))
    return tuple(found)


def _headline(
    parts: tuple[Part, ...], later: Sequence[Line], whenever: Sequence[Line], now: datetime, zone: tzinfo
) -> str:
    count = sum(len(part.lines) for part in parts)
    if count == 0:
        mix = next((line for line in whenever if line.task.act == "mix"), None)
        if mix is not None:
            return say(
                "Nothing presses. Brew {number}: {task}.",
                number=mix.number,
                task=small(mix.task.words),
            )
        if not later:
            return say("Nothing is due.")
        first = later[0]
        words = small(first.task.words)
        day = coming_words(first.task.due_from, now, zone) if now < first.task.due_from else first.when
        if not first.brew:
            return say("Nothing is due. Next, {day}: {task}.", day=day, task=words)
        return say("Nothing is due. Next, {day}: {task}, brew {number}.", day=day, task=words, number=first.number)
    minutes = sum(part.minutes for part in parts)
    about = span_words(timedelta(minutes=max(5, round(minutes / 5) * 5)))
    things = say_count(count, "{n} thing", "{n} things")
    danger = say("Danger first. ") if parts[0].key == "danger" else ""
    return say("{danger}{things} to do, about {about}.", danger=danger, things=things, about=about)
