"""When hops go in and when they come out: as planned, as the leaflet says, else as custom has it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept
from gylebook.steps.makeup import leaflet_gates, sg_of
from gylebook.steps.outlook import Outlook

CONTACT_DAYS = 3  # two to four are enough; most of the aroma is out after one
NEAR_END_POINTS = 3.0  # above the expected end: later than this, gas carries less of the aroma away
DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class HopsIn:
    """Hops that are in the beer: since when, and when they are to come out."""

    kept: Kept[ev.Hopped]
    out_at: datetime
    planned: bool  # the brewer or the leaflet named the days


def waiting(brew: Brew) -> tuple[ev.HopPlan, ...]:
    """Doses of the kit that have not gone in; one written hop takes the first dose of its name, else the first."""
    kit = brew.plan.kit
    left = list(kit.hops) if kit is not None else []
    for kept in brew.all(ev.Hopped):
        found = next((plan for plan in left if plan.name.lower() == kept.event.hop.lower()), left[0] if left else None)
        if found is not None:
            left.remove(found)
    return tuple(left)


def hops_in(brew: Brew) -> tuple[HopsIn, ...]:
    """Hops that went in and have not come out; bottling or racking ends it too."""
    ended = [
        (k.at, k.event.hop if isinstance(k.event, ev.HopsRemoved) else "")
        for k in brew.kept
        if isinstance(k.event, ev.HopsRemoved | ev.Racked | ev.Bottled)
    ]
    found = []
    for kept in brew.all(ev.Hopped):
        if any(at >= kept.at and hop.lower() in {"", kept.event.hop.lower()} for at, hop in ended):
            continue
        days = _contact(brew, kept)
        found.append(HopsIn(kept, kept.at + DAY * (days or CONTACT_DAYS), planned=days is not None))
    return tuple(found)


def _contact(brew: Brew, kept: Kept[ev.Hopped]) -> int | None:
    if kept.event.planned_days is not None:
        return kept.event.planned_days
    kit = brew.plan.kit
    plans = kit.hops if kit is not None else ()
    named = next((p for p in plans if p.name.lower() == kept.event.hop.lower()), None)
    return named.contact_days if named is not None else None


def is_near_end(brew: Brew, found: Outlook) -> bool:
    """Whether hops may go in: by the leaflet's own gravity, else within a few points of the expected end."""
    if found.now_sg is None:
        return False
    gate = leaflet_gates(brew).hop_at_or_below
    if gate is not None:
        return found.now_sg.value <= sg_of(gate) + 0.0005
    return found.now_sg.value <= found.expected_fg.value + NEAR_END_POINTS / 1000


def in_at(brew: Brew, found: Outlook) -> datetime | None:
    """When the next dose should go in: the leaflet's day, else when the beer nears its end; None where none waits."""
    plans = waiting(brew)
    pitched = brew.first(ev.Pitched)
    if not plans or pitched is None:
        return None
    on_days = [plan.on_day for plan in plans if plan.on_day is not None]
    if on_days:
        return pitched.at + DAY * min(on_days)
    if is_near_end(brew, found) and found.now_sg is not None:
        return found.level_since or pitched.at + 5 * DAY
    return found.by.value if found.by is not None else found.next_reading_at
