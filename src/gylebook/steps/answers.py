"""What a step answers: a sentence to act on, figures with intervals, and the working of each.

Everything here is a value. Steps know no clock and save nothing; what they need is passed in.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import Enum
from typing import TYPE_CHECKING

from gylebook.phrases import say, untold
from gylebook.units import show

if TYPE_CHECKING:
    from gylebook.steps.course import Course


class Worded(Enum):
    """Words of the book, told in the reader's language; programs know them by their key."""

    @property
    def key(self) -> str:
        """The word by which programs know it: the same whatever language is spoken."""
        return untold(self.value)


class Urgency(Worded):
    """How soon a hand is wanted; the words are what the page shows."""

    DANGER = say("Danger")
    ACT = say("Act today")
    MEASURE = say("Measure")
    WAIT = say("Wait")
    NOTHING = say("Nothing to do")


class Basis(Worded):
    """Where a number comes from."""

    MEASURED = say("measured")
    LEAFLET = say("leaflet")
    ASSUMED = say("assumed")
    LEARNED = say("learned")
    RECKONED = say("reckoned")
    ASKED = say("asked for")


@dataclass(frozen=True, slots=True)
class Given:
    """One input of a working: its name, its value in words, and where it came from.

    `where` is free text such as "entry 4, Tue 10 Nov" or "the leaflet"; `seq` is the journal entry where there is one.
    """

    name: str
    value: str
    basis: Basis
    where: str = ""
    seq: int | None = None


@dataclass(frozen=True, slots=True)
class Working:
    """How a figure was reached. `sources` are keys of sources.toml; `steps` are lines of arithmetic in words."""

    relation: str
    inputs: tuple[Given, ...] = ()
    sources: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Figure:
    """One reckoned number with its interval. Never shown without its working.

    Parameters
    ----------
    key
        A stable word, unique within its answer ("og", "sugar").
    value, low, high
        In `unit`; low and high are the ends of a 90 % interval unless `interval` says otherwise.
    dimension
        Dimension of units.py, so that it can be shown in the brewer's own units; "" for plain numbers.
    digits
        Decimals that mean something in `unit`.
    half
        Ends of the middle half, where more than the interval is known of the chances.
    """

    key: str
    label: str
    value: float
    low: float
    high: float
    unit: str
    dimension: str
    digits: int
    working: Working
    interval: str = say("nine times in ten")
    words: str = ""  # where a word says more than the number ("under 1 %")
    half: tuple[float, float] | None = None

    def text(self) -> str:
        """Value and interval in the figure's own unit: "1.0395 SG (1.0380 to 1.0410)"."""
        value = self.words or say("{number} {unit}", number=show(self.value, self.digits), unit=self.unit).rstrip()
        low, high = show(self.low, self.digits), show(self.high, self.digits)
        return value if low == high or self.words else say("{value} ({low} to {high})", value=value, low=low, high=high)


@dataclass(frozen=True, slots=True)
class MomentFigure:
    """A reckoned point in time with its interval; `half` are the ends of the middle half, where they are known."""

    key: str
    label: str
    value: datetime
    low: datetime
    high: datetime
    working: Working
    interval: str = say("nine times in ten")
    half: tuple[datetime, datetime] | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """Something noticed. `check` is the one thing that would tell; `seq` the entry it is about."""

    urgency: Urgency
    text: str
    check: str = ""
    seq: int | None = None
    key: str = ""  # stable word for tests and machines: "unmixed", "bubbles", "wrong_scale" ...


@dataclass(frozen=True, slots=True)
class Option:
    """One row of a side-by-side comparison (alternatives of a kit, bottle kinds)."""

    name: str
    figures: tuple[Figure, ...]
    words: str = ""
    chosen: bool = False


@dataclass(frozen=True, slots=True)
class Deed:
    """One thing to do of a plan that goes in order: what, why, and the figures that it rests on, deadlines among them.

    `urgency` is how soon; `key` a stable word ("cold", "vent_swing_top", "drink", "over").
    """

    key: str
    urgency: Urgency
    name: str
    words: str
    figures: tuple[Figure | MomentFigure, ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer of a step, best part first.

    `headline` is the sentence to act on ("Leave it. Read again on Thursday."); `why` the two or three facts that
    drove it; `missing` the one unknown that matters most, as a question; `rule_of_thumb` says so where the answer
    rests on a rule of the trade rather than on a measured relation; `course` is drawn as a chart where there is one;
    `plan` is what to do in order, where one thing is not enough.
    """

    headline: str
    why: str
    urgency: Urgency
    figures: tuple[Figure | MomentFigure, ...] = ()
    findings: tuple[Finding, ...] = ()
    options: tuple[Option, ...] = ()
    missing: str = ""
    cautions: tuple[str, ...] = ()
    rule_of_thumb: str = ""
    assumed: tuple[str, ...] = field(default=())
    course: Course | None = None
    plan: tuple[Deed, ...] = ()

    def figure(self, key: str) -> Figure:
        """The number called `key`; KeyError where there is none."""
        for figure in self.figures:
            if figure.key == key and isinstance(figure, Figure):
                return figure
        raise KeyError(key)
