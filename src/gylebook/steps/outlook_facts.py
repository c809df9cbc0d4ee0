"""What the outlook looks at: readings, temperatures, hops, the forced sample and the leaflet, gathered once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import isfinite

import msgspec

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept, Shelf
from gylebook.phrases import say
from gylebook.steps.answers import Figure
from gylebook.steps.gravity import TrueReading, original_gravity, readings
from gylebook.steps.makeup import final_gravity_expected, ingredients_of, leaflet_gates, leaflet_volume_l, sg_of
from gylebook.steps.stretch import LIGHT, Line, Point, last_stretch, level_stretch, line_through
from gylebook.steps.volumes import Z90, in_vessel_l
from gylebook.steps.warm_days import Track, track

DAY = timedelta(days=1)
_ORDINARY_OG, _ORDINARY_OG_SD = 1.042, 0.006
_FAR_OG = 0.02
_FORCED_SD_POINTS = 1.0  # a small warm sample and its brew do not end on the very same point


@dataclass(frozen=True, slots=True)
class Reopened:
    """Something that gave the yeast new food or changed the gravity: earlier readings no longer tell the end."""

    at: datetime
    seq: int
    by: str  # "hops", "sugar" or "water"
    what: str

    @property
    def words(self) -> str:
        """What it was, to stand behind "the"."""
        return say("hops") if self.by == "hops" else self.what


@dataclass(frozen=True, slots=True)
class Forced:
    """What a small, warm, over-yeasted sample came down to."""

    seq: int
    at: datetime
    points: float
    sd: float


@dataclass(frozen=True, slots=True)
class Facts:
    """All of it. Gravities in points; `fresh` are the readings since the question was last opened anew."""

    now: datetime
    og: Figure
    fg: Figure
    track: Track
    gates: ev.Gates
    pitched_at: datetime | None
    closed_at: datetime | None  # primed or bottled: later readings are not of this question
    readings: tuple[TrueReading, ...]
    fresh: tuple[TrueReading, ...]
    stretch: tuple[Point, ...]
    level: tuple[Point, ...]
    line: Line | None
    now_points: tuple[float, float] | None  # gravity now and its spread
    reopened: Reopened | None
    woken_at: datetime | None
    hops_g: float
    hops_g_per_l: float
    hopped_at: datetime | None
    hop_contact_days: float | None  # as it was, or as planned
    forced: Forced | None
    judged: Kept[ev.Judged] | None
    lactose: bool

    @property
    def last(self) -> TrueReading | None:
        """The latest reading."""
        return self.readings[-1] if self.readings else None

    @property
    def fg_points(self) -> tuple[float, float]:
        """Expected final gravity and its spread (standard deviation) in points."""
        return 1000 * (self.fg.value - 1), max(0.3, 1000 * (self.fg.high - self.fg.low) / 2 / Z90)

    @property
    def end_points(self) -> tuple[float, float]:
        """Where it should end: by the forced sample where one holds, else by the make-up."""
        if self.forced is not None:
            return self.forced.points, self.forced.sd
        return self.fg_points


def gather(brew: Brew, shelf: Shelf, now: datetime) -> Facts:
    """Everything that the outlook looks at."""
    pitched = brew.first(ev.Pitched)
    closed = next((k.at for k in brew.kept if isinstance(k.event, ev.Primed | ev.Bottled)), None)
    reopened = _reopened(brew, pitched, closed)
    seen = tuple(r for r in readings(brew, shelf) if _counts(r, pitched, closed))
    fresh = tuple(r for r in seen if reopened is None or r.at > reopened.at)
    warmth = track(brew, shelf)
    points = _points(fresh or seen)
    stretch, level = last_stretch(points), level_stretch(points)
    line = line_through(stretch)
    og = _with_ends(original_gravity(brew, shelf))
    hops = _dry_hops(brew, pitched, closed)
    grams = sum(k.event.mass.to("g", "mass") for k in hops)
    made = ingredients_of(brew)
    gates = leaflet_gates(brew)
    return Facts(
        now=now,
        og=og,
        fg=_expected_fg(brew, made, og, gates),
        track=warmth,
        gates=gates,
        pitched_at=pitched.at if pitched else None,
        closed_at=closed,
        readings=seen,
        fresh=fresh,
        stretch=stretch,
        level=level,
        line=line,
        now_points=_now_points(level, line),
        reopened=reopened,
        woken_at=_woken(brew, pitched),
        hops_g=grams,
        hops_g_per_l=grams / max(in_vessel_l(brew, shelf, with_sediment=True).value, 1.0) if grams else 0.0,
        hopped_at=hops[-1].at if hops else None,
        hop_contact_days=_contact_days(brew, hops[-1]) if hops else None,
        forced=_forced(brew, shelf, reopened),
        judged=brew.last(ev.Judged),
        lactose=any(i.material == "lactose" for i in made),
    )


def _now_points(level: tuple[Point, ...], line: Line | None) -> tuple[float, float] | None:
    """The mean of a level run, else the last reading."""
    if not level:
        return None
    if len(level) > 1 and line is not None and not line.falls:
        run = line_through(level)
        if run is not None:
            return run.level, run.level_sd
    return level[-1].points, level[-1].sd


def _with_ends(og: Figure) -> Figure:
    """The original gravity; where an end of its interval lies beyond any wort, a wide one in its place."""
    if isfinite(og.low) and isfinite(og.high):
        return og
    return replace(og, low=og.value - _FAR_OG, high=og.value + _FAR_OG)


def _expected_fg(brew: Brew, made: tuple[ev.Ingredient, ...], og: Figure, gates: ev.Gates) -> Figure:
    """As the make-up has it; as for an ordinary beer where no beer can have that original gravity."""
    litres = leaflet_volume_l(brew)
    found = final_gravity_expected(made, og.value, (og.high - og.low) / 2 / Z90, gates, leaflet_volume_l=litres)
    if isfinite(found.value):
        return found
    return final_gravity_expected((), _ORDINARY_OG, _ORDINARY_OG_SD)


def gate_sg(gates: ev.Gates) -> float | None:
    """The gravity at or below which the leaflet bottles, None where it names none."""
    return sg_of(gates.bottle_at_or_below) if gates.bottle_at_or_below is not None else None


def _counts(reading: TrueReading, pitched: Kept[ev.Pitched] | None, closed: datetime | None) -> bool:
    return pitched is not None and reading.at > pitched.at and (closed is None or reading.at <= closed)


def _points(seen: tuple[TrueReading, ...]) -> tuple[Point, ...]:
    return tuple(
        Point(
            (r.at - seen[0].at) / DAY,
            1000 * (r.gravity_sg - 1),
            1000 * r.sd_sg * (LIGHT if r.lightly else 1.0),
            firm=not r.lightly,
            seq=r.seq,
        )
        for r in seen
    )


def _dry_hops(brew: Brew, pitched: Kept[ev.Pitched] | None, closed: datetime | None) -> tuple[Kept[ev.Hopped], ...]:
    return tuple(
        k
        for k in brew.all(ev.Hopped)
        if pitched is not None and k.at >= pitched.at and (closed is None or k.at <= closed)
    )


def _reopened(brew: Brew, pitched: Kept[ev.Pitched] | None, closed: datetime | None) -> Reopened | None:
    found: Reopened | None = None
    for kept in brew.kept:
        if pitched is None or kept.at < pitched.at or (closed is not None and kept.at > closed):
            continue
        match kept.event:
            case ev.Hopped(hop=hop):
                found = Reopened(kept.at, kept.seq, "hops", hop)
            case ev.Added(what=what, purpose="fermentable"):
                found = Reopened(kept.at, kept.seq, "sugar", what)
            case ev.ToppedUp():
                found = Reopened(kept.at, kept.seq, "water", say("water"))
            case _:
                pass
    return found


def _woken(brew: Brew, pitched: Kept[ev.Pitched] | None) -> datetime | None:
    """When the yeast was last roused or renewed, after the first pitching."""
    found = [
        k.at
        for k in brew.kept
        if isinstance(k.event, ev.Roused | ev.Pitched) and (pitched is None or k.seq != pitched.seq)
    ]
    return found[-1] if found else None


def _contact_days(brew: Brew, hops: Kept[ev.Hopped]) -> float | None:
    out = next((k.at for k in brew.all(ev.HopsRemoved) if k.at >= hops.at), None)
    if out is not None:
        return (out - hops.at) / DAY
    return float(hops.event.planned_days) if hops.event.planned_days is not None else None


def _forced(brew: Brew, shelf: Shelf, reopened: Reopened | None) -> Forced | None:
    """The latest forced sample, unless the beer got new food after it was read."""
    for reading in reversed(_forced_readings(brew, shelf)):
        if reopened is None or reading.at > reopened.at:
            spread = max(_FORCED_SD_POINTS, 1000 * reading.sd_sg) * (LIGHT if reading.lightly else 1.0)
            return Forced(reading.seq, reading.at, 1000 * (reading.gravity_sg - 1), spread)
    return None


def _forced_readings(brew: Brew, shelf: Shelf) -> tuple[TrueReading, ...]:
    """Forced samples, corrected as any other sample is, but apart from the readings of the brew itself."""
    kept: list[Kept[ev.Event]] = []
    for k in brew.kept:
        if not isinstance(k.event, ev.Measured):
            kept.append(k)
        elif k.event.sample_from == "forced sample":
            kept.append(replace(k, event=msgspec.structs.replace(k.event, sample_from="jar")))
    if not any(isinstance(k.event, ev.Measured) for k in kept):
        return ()
    return readings(replace(brew, kept=tuple(kept)), shelf)
