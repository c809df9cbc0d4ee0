"""What one finished brew teaches: how far it went, how fast, what its hydrometer and its vessel did.

A brew teaches once it is closed: by then its bottles have shown whether it was finished. One that was thrown away,
judged infected, burst or gushed teaches nothing, and a number teaches only where it was really read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import hypot, isfinite

from gylebook.forecast.evidence import USUAL_OFFSET_SD_SG
from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept, Shelf
from gylebook.steps.answers import Figure
from gylebook.steps.gravity import TrueReading, readings
from gylebook.steps.learned import ATTENUATION_SD, Taught, Told
from gylebook.steps.lesson_pace import Fall, log_pace
from gylebook.steps.makeup import (
    final_gravity_expected,
    ingredients_of,
    leaflet_gates,
    leaflet_volume_l,
    makeup_of,
    og_by_weight,
)
from gylebook.steps.outlook_facts import DAY, Facts, gather
from gylebook.steps.place_lesson import places_told
from gylebook.steps.stretch import Point, level_stretch, line_through
from gylebook.steps.volumes import Z90, in_vessel_l, litres, vessel_name

LESSONS_VERSION = 2  # raised whenever a brew would teach otherwise from the same entries

_LEAST_PROMISE_SD = 0.02
_CONTRADICTS = 4.0  # spreads away from what is promised: a wrong entry, another yeast, or sugar that is not written
_LEVEL_DAYS = 1.0
_LATE_WARM_DAYS = 8.0
_ONE_READING_SD = 0.0015  # what may still have gone after a single late reading
_HOPS_SD = 0.002  # what sugar freed by hops may have taken the end down by
_GROSS = 3.0  # spreads between wort as read and by weights: layers, not a hydrometer's error
_FILL_SD = 0.01  # bottles are filled to a finger's breadth, more or less
_SUGAR_L_PER_G = 0.00062  # what dissolved sugar adds to the volume
_MOST_LOST_L = 6.0


def kit_of(brew: Brew) -> str:
    """The name that a brew's kit is learned under, "" without a kit."""
    return brew.plan.kit.name if brew.plan.kit is not None else ""


def yeast_of(brew: Brew) -> str:
    """The name that a brew's yeast is learned under: as pitched, else the kit's own; "" where neither was written."""
    pitched, kit = brew.first(ev.Pitched), brew.plan.kit
    return (pitched.event.yeast if pitched is not None else "") or (kit.yeast if kit is not None else "")


def taught(brew: Brew, shelf: Shelf) -> Taught | None:
    """One brew's lessons; None where it teaches nothing."""
    closed = brew.last(ev.Closed)
    if closed is None or brew.stage != "closed":
        return None
    # A thermometer on the wall was right whatever became of the beer: a garage in which bottles burst teaches most.
    places = places_told(brew, shelf)
    found = None if _went_wrong(brew) else _of_beer(brew, shelf, closed)
    if found is None:
        return Taught(brew=brew.id, ended=closed.at, places=places) if places else None
    return replace(found, places=places)


def _of_beer(brew: Brew, shelf: Shelf, closed: Kept[ev.Closed]) -> Taught | None:
    """The lessons of how it went; None where there are none, or it went as no beer does."""
    facts = gather(brew, shelf, closed.at)
    mixed = brew.last(ev.Mixed)
    end = _end(brew, facts)
    drop = _attenuation(brew, shelf, facts, end[0]) if end is not None and _was_left_alone(brew, facts) else None
    if drop is not None and drop.contradicts:
        return None
    gap, glass = _offset(brew, shelf)
    ended_by = end[1] if end is not None else ""
    found = Taught(
        brew=brew.id,
        ended=closed.at,
        kit=kit_of(brew),
        yeast=yeast_of(brew),
        vessel=vessel_name(brew, mixed.at if mixed is not None else None),
        hydrometer=ended_by if drop is not None else "",
        attenuation=drop.told if drop is not None else None,
        promised_sd=drop.promised_sd if drop is not None else ATTENUATION_SD,
        offset_bears=drop.offset_bears if drop is not None else 0.0,
        log_pace=_pace(facts, end[0]) if drop is not None and end is not None else None,
        offset=gap,
        offset_of=glass if gap is not None else "",
        checked=tuple(sorted({n for n in (ended_by, glass) if n and _is_checked(shelf, n)})),
        lost_l=_lost(brew, shelf),
    )
    told = (found.attenuation, found.log_pace, found.offset, found.lost_l)
    return found if any(one is not None for one in told) else None


def _went_wrong(brew: Brew) -> bool:
    """Whether what happened to it contradicts that it was an ordinary beer, finished when it was bottled."""
    judged = {k.event.verdict for k in brew.all(ev.Judged)}
    return "infected" in judged or bool(brew.all(ev.Burst)) or any(k.event.gushed for k in brew.all(ev.Opened))


def _was_left_alone(brew: Brew, facts: Facts) -> bool:
    """Whether nothing but hops went in while it fermented, and its brewer did not give it up unfinished."""
    if facts.pitched_at is None:
        return False
    for kept in brew.kept:
        if kept.at <= facts.pitched_at or (facts.closed_at is not None and kept.at > facts.closed_at):
            continue
        if isinstance(kept.event, ev.ToppedUp):
            return False
        if isinstance(kept.event, ev.Added) and kept.event.purpose == "fermentable":
            return False
    last = brew.last(ev.Judged)
    return last is None or last.event.verdict == "finished"


# --- how far ----------------------------------------------------------------------------------------------------


def _end(brew: Brew, facts: Facts) -> tuple[Told, str] | None:
    """Where it came to rest [SG], and the hydrometer that read it; None where that was not read.

    A forced sample tells it best. Else a level run of readings before the hops; else one to the end, or a single late
    reading, with what hops or time may still have taken.
    """
    if facts.forced is not None:
        return Told(1 + facts.forced.points / 1000, facts.forced.sd / 1000), ""
    firm = [r for r in facts.readings if not r.lightly]
    hopped = [k.at for k in brew.all(ev.Hopped) if facts.pitched_at is not None and k.at > facts.pitched_at]
    before = [r for r in firm if not hopped or r.at <= hopped[0]]
    level = _level(before)
    if level is not None:
        return level, _glass(before[-1])
    level = _level(firm)
    if level is None and firm and _is_late(firm[-1], facts):
        level = Told(firm[-1].gravity_sg, hypot(firm[-1].sd_sg, _ONE_READING_SD))
    if level is None:
        return None
    return Told(level.value, hypot(level.sd, _HOPS_SD) if hopped else level.sd), _glass(firm[-1])


def _level(firm: Sequence[TrueReading]) -> Told | None:
    if len(firm) < 2:
        return None
    begin = firm[0].at
    points = [
        Point(
            (r.at - begin) / DAY,
            1000 * (r.gravity_sg - 1),
            1000 * r.sd_sg,
            firm=True,
            seq=r.seq,
        )
        for r in firm
    ]
    line = line_through(level_stretch(points))
    if line is None or line.falls or line.firm_span_days < _LEVEL_DAYS:
        return None
    return Told(1 + line.level / 1000, line.level_sd / 1000)


def _is_late(reading: TrueReading, facts: Facts) -> bool:
    return facts.pitched_at is not None and facts.track.warm_days(facts.pitched_at, reading.at) >= _LATE_WARM_DAYS


def _glass(reading: TrueReading) -> str:
    """The hydrometer's name; "" for one that was not named and is not the only one on the shelf."""
    glass = reading.sample.glass
    return glass.name if reading.seen.event.instrument or glass.known else ""


def _is_checked(shelf: Shelf, name: str) -> bool:
    kept = shelf.instruments.get(name)
    return kept is not None and kept.offset is not None


class _Drop:
    """How far the gravity fell, against what the make-up promised."""

    def __init__(self, og: Figure, end: Told, promised: Figure, *, by_weight: bool) -> None:
        fall, left = og.value - 1, end.value - 1
        og_sd = (og.high - og.low) / 2 / Z90
        self.promised_sd = max((promised.high - promised.low) / 2 / Z90 / fall, _LEAST_PROMISE_SD)
        self.told = Told((promised.value - end.value) / fall, hypot(end.sd / fall, left * og_sd / fall**2))
        self.offset_bears = -1 / fall if by_weight else -1 / fall + left / fall**2
        spread = hypot(self.promised_sd, self.told.sd, self.offset_bears * USUAL_OFFSET_SD_SG)
        self.contradicts = abs(self.told.value) > _CONTRADICTS * spread


def _attenuation(brew: Brew, shelf: Shelf, facts: Facts, end: Told) -> _Drop | None:
    """The promise is the one that the forecast of a brew begins with: make-up and leaflet, at this original gravity."""
    made, gates, volume_l = ingredients_of(brew), leaflet_gates(brew), leaflet_volume_l(brew)
    if not made or not isfinite(facts.og.value) or facts.og.value < 1.01:
        return None
    promised = final_gravity_expected(made, facts.og.value, 0.0, gates, leaflet_volume_l=volume_l)
    if not isfinite(promised.value):
        return None
    return _Drop(facts.og, end, promised, by_weight=isfinite(og_by_weight(brew, shelf).value))


def _pace(facts: Facts, end: Told) -> Told | None:
    """Against the general pace; only readings until something was changed tell it."""
    assert facts.pitched_at is not None
    falls = [
        Fall((r.at - facts.pitched_at) / DAY, r.gravity_sg, r.sd_sg)
        for r in facts.readings
        if not r.lightly and (facts.reopened is None or r.at <= facts.reopened.at)
    ]
    return log_pace(falls, facts.og.value, end, facts.track, facts.pitched_at)


# --- hydrometer and vessel --------------------------------------------------------------------------------------


def _offset(brew: Brew, shelf: Shelf) -> tuple[Told | None, str]:
    """Wort as read less the wort by weights and volume, where both were really measured."""
    by_weight = og_by_weight(brew, shelf)
    mixed = brew.last(ev.Mixed)
    if not makeup_of(brew).measured or mixed is None or mixed.event.volume is None or not isfinite(by_weight.value):
        return None, ""
    wort = [r for r in readings(brew, shelf) if r.before_pitch and not r.lightly and _glass(r)]
    best = min(wort, key=lambda r: r.sd_sg, default=None)
    if best is None:
        return None, ""
    gap = best.gravity_sg - by_weight.value
    sd = hypot(best.sd_sg, (by_weight.high - by_weight.low) / 2 / Z90)
    if not isfinite(sd) or abs(gap) > _GROSS * sd:
        return None, ""
    return Told(gap, sd), _glass(best)


def _lost(brew: Brew, shelf: Shelf) -> Told | None:
    """Beer that there was to bottle, with its sediment, less what came into the bottles."""
    bottled, mixed = brew.all(ev.Bottled), brew.last(ev.Mixed)
    if not bottled or mixed is None or mixed.event.volume is None or brew.all(ev.Racked) or not vessel_name(brew):
        return None
    there = in_vessel_l(brew, shelf, bottled[0].at, with_sediment=True)
    filled = sum(_filled_l(kept) for kept in bottled)
    lost = there.value + sum(_primed_l(k.event) for k in brew.all(ev.Primed)) - filled
    if not filled > 0 or not -1.0 <= lost <= _MOST_LOST_L:
        return None
    return Told(lost, hypot((there.high - there.low) / 2 / Z90, _FILL_SD * filled))


def _filled_l(bottled: Kept[ev.Bottled]) -> float:
    if bottled.event.volume is not None:
        return litres(bottled.event.volume)
    return sum(lot.count * litres(lot.size) for lot in bottled.event.lots)


def _primed_l(primed: ev.Primed) -> float:
    """What sugar and its water added to the beer; sugar put into each bottle takes the bottle's own room."""
    water = litres(primed.syrup_water) if primed.syrup_water is not None else 0.0
    return water + _SUGAR_L_PER_G * primed.mass.to("g", "mass")
