"""The first brew in a book, a step at a time: what comes, why, and whether the book shows that it was done."""

from __future__ import annotations

from dataclasses import dataclass

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.phrases import say

_WAY = (
    (
        "keep_kit",
        say("Enter the kit's leaflet"),
        say("Every brew from that kit then knows its litres, its yeast and where it should end."),
    ),
    (
        "keep_instrument",
        say("Float the hydrometer in plain water"),
        say("One that shows too much there shows too much in every beer; the book takes it off."),
    ),
    (
        "keep_bottles",
        say("Count your empty bottles"),
        say("How much fizz they may hold, and whether there are enough, depends on their kind."),
    ),
    (
        "plan",
        say("Plan the brew"),
        say("Strength, bottles and the days on which you are wanted stand there before anything is opened."),
    ),
    ("mix", say("Mix it"), say("Hot and cold water are reckoned so that litres and warmth come out right together.")),
    (
        "reading",
        say("Read the gravity before the yeast goes in"),
        say("The strength of the beer is reckoned from this reading, and it cannot be taken later."),
    ),
    ("pitch", say("Pitch the yeast"), say("From this entry on the book reckons when it will be done.")),
    (
        "reading",
        say("Read again towards the end, some days apart"),
        say("Only readings that stand still say that it is over; bubbles do not."),
    ),
    (
        "prime",
        say("Weigh the sugar for the bottles"),
        say("Too much of it bursts glass: it is reckoned for the beer that is left and its warmth."),
    ),
    ("bottle", say("Bottle it"), say("The book then tells when to taste, and where the bottles may stand.")),
)


@dataclass(frozen=True, slots=True)
class FirstStep:
    """One step on the way to the first bottles; `act` names what is written down at it."""

    act: str
    words: str
    why: str
    done: bool


def first_steps(shelf: Shelf, brew: Brew | None) -> tuple[FirstStep, ...]:
    """The way from the leaflet to the bottles, each step ticked off by what stands in the book.

    Parameters
    ----------
    shelf : Shelf
        what the brewer keeps
    brew : Brew or None
        the first brew, None while there is none

    Returns
    -------
    tuple of FirstStep
        in the order in which they are done, without those whose time went by unused; empty once the brew is in
        bottles, closed or poured away
    """
    if brew is not None and any(brew.all(kind) for kind in (ev.Bottled, ev.Closed, ev.Dumped)):
        return ()
    pitched = brew.first(ev.Pitched) if brew else None
    readings = brew.all(ev.Measured) if brew else ()
    before = [read for read in readings if pitched is None or read.at <= pitched.at]
    done = (
        bool(shelf.kits),
        bool(shelf.instruments),
        bool(shelf.bottles),
        brew is not None,
        _has(brew, ev.Mixed),
        bool(before),
        pitched is not None,
        len(readings) - len(before) > 1,
        _has(brew, ev.Primed),
        False,  # with it the steps are gone
    )
    missed = (brew is not None, False, False, False, pitched is not None, pitched is not None, *(False,) * 4)
    told = zip(_WAY, done, missed, strict=True)
    return tuple(FirstStep(*words, ticked) for words, ticked, gone_by in told if ticked or not gone_by)


def _has(brew: Brew | None, kind: type[ev.Event]) -> bool:
    return brew is not None and bool(brew.all(kind))
