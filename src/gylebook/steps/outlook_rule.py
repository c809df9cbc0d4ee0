"""The rule of thumb behind the outlook: how many points are left, and what is still lacking before "finished".

Cautious on purpose, and not calibrated on real brews. It asks for all of this: yeast given time in the warmth; two
readings at least two days apart since anything last changed; no fall beyond their errors; a gravity that the make-up
(or a forced sample) can explain; not merely a cold halt; hops given days of their own. Then the points left must be
at most two, nineteen times in twenty.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from math import hypot

from gylebook.science.hops import hop_creep_points
from gylebook.steps.outlook_facts import DAY, Facts, gate_sg
from gylebook.steps.stretch import SPACED_DAYS, Left, left_above_zero, together
from gylebook.units import show

RULE = (
    "A rule of thumb, cautious on purpose and not calibrated on real brews: expected final gravity for the make-up, "
    "slope over spaced readings with its error, days in the warmth, days since hops."
)
MOST_LEFT_POINTS = 2.0
LEAST_WARM_DAYS = 5.0
VOLUMES_PER_POINT = 0.5  # one point of gravity is about 0.98 g of carbon dioxide in a litre
VOLUMES_PER_POINT_HIGH = 0.53

# The tail of a fermentation: what share of the rest goes in one warm day. A level slope is laid at the slow side of
# what brews do, for the slower the tail, the more may hide behind a level.
TAIL_SLOW, TAIL_PER_WARM_DAY, TAIL_FAST = 0.3, 0.5, 0.9
TAIL_BEHIND_A_LEVEL, TAIL_AFTER_HOPS = 0.45, 0.35
_COOLED_BY_C = 3.0
_COLD_LOOK_BACK = 1.5  # days before a reading that stands alone
_LEAST_UPPER_POINTS = 1.0  # a hydrometer cannot promise less

# Hop creep: the freed sugar needs some days after the hops came out, and a share of it is never quite ruled out.
_AFTER_CONTACT_DAYS = 3.0
_USUAL_CONTACT_DAYS = 7.0
_NEVER_RULED_OUT = 0.15
HEAVY_HOPS_G_PER_L = 5.0
HOP_DAYS_LIGHT, HOP_DAYS_HEAVY = 3.0, 5.0

_WAKE_DAYS = 2.0
_FORCED_MARGIN_POINTS = 1.5
_BELOW_POSSIBLE_POINTS = 1.0

# Share of the whole fall that is left after warm days: middle, and the ends of what is usual; a stall can leave a
# quarter whenever one looks. Common practice, from the logs of kit brewers at 16, 19 and 22 °C.
_LEFT_BY_DAYS = (
    (0.0, 1.0, 1.0, 1.0),
    (0.5, 0.9, 0.97, 1.0),
    (1.0, 0.62, 0.83, 0.97),
    (2.0, 0.2, 0.45, 0.8),
    (3.0, 0.06, 0.24, 0.6),
    (5.0, 0.0, 0.07, 0.35),
    (8.0, 0.0, 0.02, 0.25),
    (12.0, 0.0, 0.01, 0.25),
)


@dataclass(frozen=True, slots=True)
class Lack:
    """One thing that speaks against "finished", or is not known yet."""

    key: str
    text: str
    against: bool  # True: the evidence says no; False: it is only missing


@dataclass(frozen=True, slots=True)
class Reckoned:
    """Points left with the lines of how they were reached."""

    left: Left
    steps: tuple[str, ...]


def evidence_at(facts: Facts) -> datetime:
    """The moment up to which anything is known: the last fresh reading, else now."""
    return facts.fresh[-1].at if facts.fresh else facts.now


def warm_days(facts: Facts, until: datetime | None = None) -> float:
    """Days in the warmth since the yeast went in, up to the last reading."""
    if facts.pitched_at is None:
        return 0.0
    return facts.track.warm_days(facts.pitched_at, until or evidence_at(facts))


def limit_points(facts: Facts) -> float:
    """The highest gravity that still counts as the end: by the forced sample, else by the make-up."""
    if facts.forced is not None:
        return facts.forced.points + _FORCED_MARGIN_POINTS
    return 1000 * (facts.fg.high - 1)


def is_above(facts: Facts) -> bool:
    """Whether the gravity is higher than this wort should end at."""
    now = facts.now_points
    return now is not None and now[0] > limit_points(facts)


def is_below_possible(facts: Facts) -> bool:
    """Whether it is lower than the make-up can reach with brewing yeast, beyond the last reading's own error."""
    if not facts.readings:
        return False
    last = facts.readings[-1]
    spread = 1000 * last.sd_sg * (3.0 if last.lightly else 1.0)
    creep = creep_points(facts, whole=True)[1] if facts.hops_g else 0.0
    lowest = 1000 * (facts.fg.low - 1) - _BELOW_POSSIBLE_POINTS - creep
    return 1000 * (last.gravity_sg - 1) + 1.645 * spread < lowest


def is_cold(facts: Facts) -> bool:
    """Whether the level readings were taken while the beer was too cold for its yeast, or had just been cooled."""
    if not facts.readings or facts.pitched_at is None:
        return False
    window = SPACED_DAYS * DAY
    level = facts.readings[-len(facts.level) :]
    spaced = [r.at for r in level if not r.lightly and r.at - window >= level[0].at]
    if not spaced:
        end = facts.readings[-1].at
        return _cold_between(facts, max(facts.pitched_at, end - _COLD_LOOK_BACK * DAY), end)
    return all(_cold_between(facts, at - window, at) for at in spaced)


def _cold_between(facts: Facts, begin: datetime, end: datetime) -> bool:
    mean = facts.track.mean_c(begin, end)
    if mean < facts.track.too_cold_c:
        return True
    assert facts.pitched_at is not None
    before = facts.track.mean_c(facts.pitched_at, begin)
    return mean <= before - _COOLED_BY_C and mean < facts.track.works_c - 2.0


def hop_days_wanted(facts: Facts) -> float:
    """Warm days that a dose of hops wants before the question can be answered again."""
    return HOP_DAYS_HEAVY if facts.hops_g_per_l >= HEAVY_HOPS_G_PER_L else HOP_DAYS_LIGHT


def creep_points(facts: Facts, *, whole: bool = False) -> tuple[float, float]:
    """Points that hops may still wake: what is likely, and the upper end; `whole` counts from the day they went in.

    The published case is one hop; others had a quarter of its effect, so the likely figure lies between the two.
    """
    if not facts.hops_g or facts.hopped_at is None:
        return 0.0, 0.0
    seen = facts.fresh[-1].at if facts.fresh and not whole else facts.hopped_at
    elapsed = (seen - facts.hopped_at) / DAY
    contact = facts.hop_contact_days
    if contact is None:
        contact = max(_USUAL_CONTACT_DAYS, elapsed + _AFTER_CONTACT_DAYS)
    total_days = contact + _AFTER_CONTACT_DAYS
    temp = min(max(facts.track.mean_c(facts.hopped_at, facts.hopped_at + total_days * DAY), 0.0), 35.0)
    found = hop_creep_points(min(facts.hops_g_per_l, 30.0), [total_days, min(elapsed, total_days)], temp)
    low, best, high = (
        max(float(ends[0] - ends[1]), _NEVER_RULED_OUT * float(ends[0])) for ends in (found.low, found.best, found.high)
    )
    return (low + best) / 2, high


def now_ends(facts: Facts) -> tuple[float, float, float] | None:
    """Gravity now with its ends, in points. Gas in a sample can only have lifted the glass: it widens one side."""
    now = facts.now_points
    if now is None:
        return None
    used = facts.readings[-len(facts.level) :] if len(facts.level) > 1 else facts.readings[-1:]
    if len(used) == 1 and used[0].lifted:
        alone = used[0].figure()
        return 1000 * (alone.low - 1), now[0], 1000 * (alone.high - 1)
    half = 1.645 * now[1]
    high = min([now[0] + half, *(1000 * (r.ceiling_sg - 1) for r in used if r.lifted)])
    return now[0] - half, now[0], max(high, now[0])


def points_left(facts: Facts) -> Reckoned:
    """Points still to fall, with a cautious interval."""
    now, ends = facts.now_points, now_ends(facts)
    if now is None or ends is None:
        return _left_by_time(facts)
    if is_below_possible(facts):
        return _left_when_wild(now[0])
    end = facts.end_points
    guess = (now[0] - end[0], hypot((now[0] - ends[0]) / 1.645, end[1]))
    steps = [f"now {show(now[0], 1)} − expected end {show(end[0], 1)} = {show(guess[0], 1)} points by the make-up"]
    likely, upper = creep_points(facts)
    creep = (likely, (upper - likely) / 1.645)
    waits_for_fresh = facts.reopened is not None and not facts.fresh
    if upper and not waits_for_fresh:
        guess = (guess[0] + creep[0], hypot(guess[1], creep[1]))
        steps.append(f"hops may still wake {show(likely, 1)} (up to {show(upper, 1)}) points")
    slope = _left_by_slope(facts)
    if slope is not None:
        guess = together(guess, slope)
        steps.append(
            f"the slope leaves {show(slope[0], 1)} ± {show(slope[1], 1)}; weighed together {show(guess[0], 1)}"
        )
    if upper and waits_for_fresh:
        guess = (max(guess[0], 0.0) + creep[0], hypot(guess[1], creep[1]))
        steps.append(f"no reading since the hops, which may wake {show(likely, 1)} (up to {show(upper, 1)}) points")
    left = left_above_zero(*guess)
    steps.append("gravity does not rise again, so the guess is cut at zero")
    high = left.high
    if any(r.lifted for r in facts.readings[-max(len(facts.level), 1) :]):
        # Gas lifted the glass: no more can fall than lies between the highest it may stand at and its lowest end.
        high = min(high, max(ends[2] - (end[0] - 1.645 * end[1]) + upper, left.middle))
    high = max(high, _LEAST_UPPER_POINTS)
    return Reckoned(Left(left.low, left.middle, high), tuple(steps))


def _left_by_slope(facts: Facts) -> tuple[float, float] | None:
    """Points left if the readings' slope is a tail running out; None where it may be a halt instead."""
    line = facts.line
    if line is None or line.firm_span_days < SPACED_DAYS or is_above(facts):
        return None
    tail = TAIL_AFTER_HOPS if facts.hops_g else TAIL_BEHIND_A_LEVEL
    return max(0.0, -line.warm_slope) / tail, line.warm_slope_se / tail


def _left_when_wild(now: float) -> Reckoned:
    left = Left(0.0, max(0.0, (now + 1.0) / 2), max(2.0, now + 2.0))
    return Reckoned(left, ("below what brewing yeast can reach: something else may go on down to 0.998",))


def _left_by_time(facts: Facts) -> Reckoned:
    whole = max(0.0, facts.og_points - facts.end_points[0])
    most = max(0.0, 1000 * (facts.og.high - 1) - 1000 * (facts.fg.low - 1))
    days = warm_days(facts, facts.now)
    low, middle, high = _share_left(days)
    steps = (f"no reading: {show(days, 1)} days in the warmth leave {show(100 * middle, 0)} % of the fall, by custom",)
    return Reckoned(Left(low * whole, middle * whole, high * most), steps)


def _share_left(days: float) -> tuple[float, float, float]:
    rows = _LEFT_BY_DAYS
    for (d0, *one), (d1, *two) in pairwise(rows):
        if days < d1:
            share = (days - d0) / (d1 - d0)
            low, middle, high = (a + share * (b - a) for a, b in zip(one, two, strict=True))
            return low, middle, high
    return rows[-1][1], rows[-1][2], rows[-1][3]


def lacks(facts: Facts, left: Left) -> tuple[Lack, ...]:
    """Everything that stands between this brew and "finished"; empty where the evidence holds."""
    if facts.pitched_at is None:
        return (Lack("pitch", "no yeast has been written down", against=True),)
    found = [*_of_gravity(facts), *_of_time(facts)]
    if not found and left.high > MOST_LEFT_POINTS:
        text = f"up to {show(left.high, 1)} points may be left; the readings do not lie far enough apart to say less"
        found.append(Lack("spread", text, against=False))
    return tuple(found)


def _of_gravity(facts: Facts) -> list[Lack]:
    found: list[Lack] = []
    now, line = facts.now_points, facts.line
    if is_below_possible(facts):
        return [Lack("below_possible", "the gravity is lower than this make-up can reach", against=True)]
    if now is None:
        return [Lack("reading", "no reading since the yeast went in", against=False)]
    limit = limit_points(facts)
    if now[0] > limit:
        by = "the forced sample" if facts.forced else "the make-up"
        text = f"{_sg(now[0])} is above {_sg(limit)}, the highest end that {by} explains"
        found.append(Lack("above", text, against=True))
    if line is not None and line.falls:
        found.append(Lack("falls", f"it still falls by about {show(-line.slope, 1)} points a day", against=True))
    if not facts.fresh:
        what = facts.reopened.words if facts.reopened else "last addition"
        found.append(Lack("fresh", f"no reading since the {what} went in", against=False))
    elif line is None or line.firm_span_days < SPACED_DAYS:
        found.append(_pair(facts))
    gate = gate_sg(facts.gates)
    if gate is not None and facts.forced is None and now[0] <= limit:
        gate_points = 1000 * (gate - 1)
        if now[0] > gate_points + 0.5 and gate >= facts.fg.low:
            found.append(Lack("gate", f"the leaflet bottles at or below {_sg(gate_points)}", against=False))
    return found


def _pair(facts: Facts) -> Lack:
    light = sum(r.lightly for r in facts.fresh)
    if light and len(facts.fresh) - light < 2:
        text = "two readings that count in full, at least two days apart: fizzy or odd ones count lightly"
    elif len(facts.fresh) == 1:
        text = "a second reading, at least two days after the first"
    else:
        text = "two readings at least two days apart"
    return Lack("pair", text, against=False)


def _of_time(facts: Facts) -> list[Lack]:
    found: list[Lack] = []
    days = warm_days(facts)
    if days < LEAST_WARM_DAYS:
        text = f"{show(days, 1)} days in the warmth at the last look; {show(LEAST_WARM_DAYS, 0)} are wanted"
        found.append(Lack("early", text, against=False))
    if facts.hops_g and facts.hopped_at is not None:
        wanted = hop_days_wanted(facts)
        since = facts.track.warm_days(facts.hopped_at, facts.fresh[-1].at) if facts.fresh else 0.0
        if since < wanted:
            text = f"hops can wake the yeast: a reading {show(wanted, 0)} warm days or more after they went in"
            found.append(Lack("hops", text, against=False))
    if facts.woken_at is not None and facts.readings:
        since = facts.track.warm_days(facts.woken_at, facts.readings[-1].at)
        if since < _WAKE_DAYS:
            found.append(
                Lack("woken", "a reading two days or more after the yeast was roused or renewed", against=False)
            )
    if is_cold(facts) and (facts.forced is None or is_above(facts)):
        text = f"the beer was cold: below {show(facts.track.too_cold_c, 1)} °C level readings may only be a halt"
        found.append(Lack("cold", text, against=False))
    return found


def _sg(points: float) -> str:
    return show(1 + points / 1000, 4)
