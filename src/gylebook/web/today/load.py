"""How much there is to do today, as figures that open their working."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from gylebook.phrases import say, say_count
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.day import Day
from gylebook.steps.moments import span_words


@dataclass(frozen=True, slots=True)
class Load:
    """The day's work in short; `danger` where some of it comes before all else."""

    danger: bool
    things: Figure
    time: Figure


def load_of(day: Day) -> Load | None:
    """The day's load; None where nothing is due."""
    parts = [part for part in day.parts if part.lines]
    if not parts:
        return None
    count, minutes = sum(len(part.lines) for part in parts), day.minutes
    about = span_words(timedelta(minutes=max(5, round(minutes / 5) * 5)))
    counted = tuple(
        Given(p.title, str(len(p.lines)), Basis.RECKONED, say("what is due in the brews' logs")) for p in parts
    )
    timed = tuple(
        Given(p.title, say("{minutes} min", minutes=p.minutes), Basis.ASSUMED, say("what such work usually takes"))
        for p in parts
    )
    things = say_count(count, "{n} thing", "{n} things")
    return Load(
        parts[0].key == "danger",
        _figure(
            "things",
            say("Things to do"),
            count,
            things,
            Working(say("everything below, counted"), counted, ("by_definition",)),
        ),
        _figure(
            "time",
            say("Time"),
            minutes,
            about,
            Working(say("the usual time of each, added up"), timed, ("common_practice",)),
        ),
    )


def _figure(key: str, label: str, value: float, words: str, working: Working) -> Figure:
    return Figure(key, label, value, value, value, "", "number", 0, working, words=words)
