"""When bottles are carbonated, opened, moved, at their best and past it, by how warm they stand and what was brewed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.phrases import say
from gylebook.steps.bottle_progress import Progress, progress
from gylebook.steps.warm_days import yeast_kind

DAY = timedelta(days=1)
WEEK = timedelta(days=7)
SURE = 0.95
# A bottle is opened where the answer is open still, and likely enough that it is not one opened for nothing.
OPENED_AT = (0.5, 0.7, 0.9)
_STRONG_OG = 1.065
_LEAST_BEST_WEEKS = 2
OF_WINDOW = 0.25  # how far a beer's good time strays, nine times in ten: habit, like the weeks themselves


@dataclass(frozen=True, slots=True)
class Window:
    """When a kind of beer is at its best, counted from bottling [weeks], and why."""

    from_weeks: float
    to_weeks: float
    last_weeks: float
    because: str


@dataclass(frozen=True, slots=True)
class BottleTimes:
    """The dates of a bottled brew, left where it stands; None is not before it is warmed.

    Parameters
    ----------
    bottled_at
        When the first bottles were filled.
    carbonated
        When nine tenths of the gas still to be made are there: 5, 50 and 95 % points.
    open_at
        When one is best opened: evens that it is carbonated, the day itself, nine in ten.
    cool_at
        When it is 95 % sure that they are carbonated.
    ever
        Chance that they are, within the year that is looked at.
    best_from
        When they are at their best: 5, 50 and 95 % points.
    best_to, drink_by
        Until when they are at their best, and by when they are better drunk; kept cool.
    """

    bottled_at: datetime
    carbonated: tuple[datetime | None, datetime | None, datetime | None]
    open_at: tuple[datetime | None, datetime | None, datetime | None]
    cool_at: datetime | None
    ever: float
    best_from: tuple[datetime | None, datetime | None, datetime | None]
    best_to: datetime
    drink_by: datetime
    window: Window
    progress: Progress

    @property
    def ready(self) -> datetime | None:
        """When it is as likely as not that they are carbonated; None is not before they are warmed."""
        return self.carbonated[1]

    @property
    def last_ready(self) -> datetime | None:
        """The latest day that can be told: 95 % sure, else as sure as they come."""
        return self.carbonated[2] or self.open_at[2] or self.open_at[1] or self.carbonated[1]

    @property
    def last_ready_words(self) -> str:
        """How sure that latest day is."""
        if self.carbonated[2] is not None:
            return say("nine times in ten")
        if self.open_at[2] is not None:
            return say("one in twenty to nine in ten sure; the rest not before it is warmed")
        if self.open_at[1] is not None:
            return say("one in twenty to seven in ten sure; the rest not before it is warmed")
        return say("one in twenty to evens; the rest not before it is warmed")


def bottle_times(brew: Brew, shelf: Shelf, og_sg: float) -> BottleTimes | None:
    """The dates of a bottled brew; None before it is bottled."""
    bottled, found = brew.first(ev.Bottled), progress(brew, shelf)
    if bottled is None or found is None:
        return None
    carbonated = (found.when(0.05), found.when(0.5), found.when(SURE))
    window = window_of(brew, og_sg)
    ripe = [bottled.at + part * window.from_weeks * WEEK for part in (1.0 - OF_WINDOW, 1.0, 1.0 + OF_WINDOW)]
    best_from = [None if at is None else max(at, then) for at, then in zip(carbonated, ripe, strict=True)]
    best_to = bottled.at + window.to_weeks * WEEK
    if best_from[1] is not None:
        best_to = max(best_to, best_from[1] + _LEAST_BEST_WEEKS * WEEK)
    return BottleTimes(
        bottled.at,
        carbonated,
        (carbonated[1], found.when(OPENED_AT[1]), found.when(OPENED_AT[2])),
        cool_at=carbonated[2],
        ever=found.ever(),
        best_from=(best_from[0], best_from[1], best_from[2]),
        best_to=best_to,
        drink_by=max(bottled.at + window.last_weeks * WEEK, best_to),
        window=window,
        progress=found,
    )


def window_of(brew: Brew, og_sg: float) -> Window:
    """How long a beer of this make keeps its best: hops fade, strength keeps."""
    if brew.all(ev.Hopped):
        return Window(3, 8, 13, say("dry hops fade"))
    if og_sg >= _STRONG_OG:
        return Window(12, 52, 104, say("strong beer ripens slowly and keeps"))
    if yeast_kind(brew) == "wheat":
        return Window(2, 8, 26, say("wheat beer is best young"))
    return Window(4, 26, 52, say("an ordinary beer"))
