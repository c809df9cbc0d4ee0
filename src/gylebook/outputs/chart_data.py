"""What a chart of one brew shows: readings in ink, the forecast in pencil, gates and events."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Literal

Scale = Literal["SG", "°P"]

# Beyond these no wort or beer exists; such a value is counted in the sentence but not drawn.
LIMITS: dict[str, tuple[float, float]] = {"SG": (0.95, 1.25), "°P": (-15.0, 55.0)}
DIGITS: dict[str, int] = {"SG": 3, "°P": 1}


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading; `value`, `low` and `high` are in the chart's scale, `words` is the entry as it was written."""

    at: datetime
    value: float
    low: float
    high: float
    words: str = ""
    struck: bool = False


@dataclass(frozen=True, slots=True)
class Band:
    """Where the gravity lies with a chance of `level`: one low and one high for each moment."""

    level: float
    at: tuple[datetime, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]

    def __post_init__(self) -> None:
        if not len(self.at) == len(self.low) == len(self.high):
            raise ValueError("a band needs one low and one high for each moment")


@dataclass(frozen=True, slots=True)
class Line:
    """The middle of the forecast."""

    at: tuple[datetime, ...]
    value: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.at) != len(self.value):
            raise ValueError("a line needs one value for each moment")


@dataclass(frozen=True, slots=True)
class Gate:
    """A gravity that the beer must reach before something may happen; `low` to `high` where it is only expected."""

    value: float
    words: str
    low: float | None = None
    high: float | None = None

    @property
    def ends(self) -> tuple[float, float]:
        """From and to; both the gravity itself where it is a plain number."""
        return (self.value if self.low is None else self.low, self.value if self.high is None else self.high)


@dataclass(frozen=True, slots=True)
class EventMark:
    """Something that was done, marked along the base."""

    at: datetime
    words: str


@dataclass(frozen=True, slots=True)
class Ask:
    """The next reading that would tell most."""

    at: datetime
    value: float
    words: str


@dataclass(frozen=True, slots=True)
class Chart:
    """Everything on one chart. All gravities are in `scale`; all moments are aware.

    `key` makes the ids in the drawing unique on its page; with `from_day` moments are told as days since then.
    """

    title: str
    readings: tuple[Reading, ...] = ()
    bands: tuple[Band, ...] = ()
    middle: Line | None = None
    gates: tuple[Gate, ...] = ()
    events: tuple[EventMark, ...] = ()
    ask: Ask | None = None
    now: datetime | None = None
    scale: Scale = "SG"
    zone: tzinfo = UTC
    key: str = "chart"
    from_day: datetime | None = None
    # The readings that can be drawn, in order of time.
    drawable: tuple[Reading, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        drawable = sorted((r for r in self.readings if self.fits(r.value)), key=lambda r: r.at)
        object.__setattr__(self, "drawable", tuple(drawable))

    @property
    def digits(self) -> int:
        """Decimals with which gravities are shown."""
        return DIGITS[self.scale]

    def fits(self, *values: float) -> bool:
        """Whether all values can be drawn."""
        low, high = LIMITS[self.scale]
        return all(math.isfinite(value) and low <= value <= high for value in values)

    def span(self) -> tuple[datetime, datetime]:
        """First and last moment on the chart, at least four hours apart."""
        moments = [r.at for r in self.drawable] + [event.at for event in self.events]
        moments += [at for band in self.bands for at in band.at] + (list(self.middle.at) if self.middle else [])
        moments += [self.ask.at] if self.ask else []
        moments += [self.now] if self.now else []
        if not moments:
            start = datetime(2000, 1, 1, tzinfo=UTC)
            return start, start + timedelta(days=1)
        first, last = min(moments), max(moments)
        lacking = timedelta(hours=4) - (last - first)
        if lacking > timedelta(0):
            first, last = first - lacking / 2, last + lacking / 2
        return first.astimezone(UTC), last.astimezone(UTC)

    def reach(self) -> tuple[float, float]:
        """Lowest and highest gravity on the chart, with a little room."""
        values = [v for r in self.drawable for v in (r.value, r.low, r.high)]
        values += [v for band in self.bands for v in (*band.low, *band.high)]
        values += list(self.middle.value) if self.middle else []
        values += [value for gate in self.gates for value in (gate.value, *gate.ends)]
        values += [self.ask.value] if self.ask else []
        values = [v for v in values if self.fits(v)] or ([1.0, 1.05] if self.scale == "SG" else [0.0, 12.0])
        low, high = min(values), max(values)
        least = 0.008 if self.scale == "SG" else 2.0
        room = max(0.06 * (high - low), (least - (high - low)) / 2, least / 20)
        below = 0.08 * (high - low) if self.gates else 0.0  # for the words of the lowest gate
        return low - room - below, high + room
