"""Where a brew stands: the words of its stages, and the steps that belong to each."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept
from gylebook.outputs.phrases import WORDS_OF_STAGE
from gylebook.phrases import say
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.catalogue import WORDS
from gylebook.web.desk import Desk

# The steps that a brew of each stage asks for most, most wanted first; the first one's answer stands on its page.
STEPS_OF_STAGE: dict[str, tuple[str, ...]] = {
    "planned": ("plan", "cleaning", "mixing"),
    "mixed": ("pitching", "readings", "mixing"),
    "fermenting": ("finishing", "readings", "dry_hopping", "racking", "priming"),
    "racked": ("finishing", "readings", "priming", "bottling"),
    "bottled": ("conditioning", "tasting"),
    "drinking": ("conditioning", "tasting", "plan"),
    "closed": ("tasting", "plan"),
    "dumped": ("tasting", "plan"),
}

_USUAL: tuple[tuple[str, type[ev.Event]], ...] = (
    ("planned", ev.Planned),
    ("mixed", ev.Mixed),
    ("fermenting", ev.Pitched),
    ("racked", ev.Racked),
    ("bottled", ev.Bottled),
    ("drinking", ev.Tasted),
)
_ENDS = ("closed", "dumped")


@dataclass(frozen=True, slots=True)
class Stage:
    """One word of the line; `state` is past, now or next, `days` the count of days where there is one."""

    words: str
    state: str
    days: Figure | None = None


def stages_of(brew: Brew, desk: Desk) -> tuple[Stage, ...]:
    """The line of stages; one that was passed over is left out once a later one is reached."""
    names = [name for name, _ in _USUAL]
    here = names.index(brew.stage) if brew.stage in names else len(names)
    found = []
    for place, (name, kind) in enumerate(_USUAL):
        done = brew.first(kind) is not None
        if place == here:
            found.append(Stage(WORDS_OF_STAGE[name], "now", _days(brew, desk)))
        elif place > here or done:
            found.append(Stage(WORDS_OF_STAGE[name], "past" if place < here else "next"))
    if brew.stage in _ENDS:
        found.append(Stage(WORDS_OF_STAGE[brew.stage], "now"))
    return tuple(found)


def step_words(brew: Brew) -> tuple[str, ...]:
    """Every step's word, those that the stage asks for first."""
    first = STEPS_OF_STAGE[brew.stage]
    return (*first, *(word for word in WORDS if word not in first))


def _days(brew: Brew, desk: Desk) -> Figure | None:
    """The count of days that a brewer names the stage by."""
    since = {
        "fermenting": brew.first(ev.Pitched),
        "racked": brew.first(ev.Pitched),
        "bottled": brew.first(ev.Bottled),
        "drinking": brew.first(ev.Bottled),
    }.get(brew.stage)
    return _day_figure(since, desk) if since is not None else None


def _day_figure(since: Kept[ev.Pitched] | Kept[ev.Bottled], desk: Desk) -> Figure:
    zone, start = desk.measures.zone, since.at
    days = (_date(desk.now, desk) - _date(start, desk)).days
    pitched = isinstance(since.event, ev.Pitched)
    what = say("the yeast went in") if pitched else say("it was bottled")
    given = Given(what, desk.measures.moment(start), Basis.MEASURED, say("entry {seq}", seq=since.seq), since.seq)
    counted = (
        say("days since the yeast went in, counted by the calendar in {zone}", zone=zone)
        if pitched
        else say("days since it was bottled, counted by the calendar in {zone}", zone=zone)
    )
    working = Working(counted, (given,), ("by_definition",))
    words = say("day {days}", days=days) if pitched else say("{days} days", days=days)
    return Figure("days", say("Days"), days, days, days, "d", "time", 0, working, words=words)


def _date(at: datetime, desk: Desk) -> date:
    return at.astimezone(desk.measures.zone).date()
