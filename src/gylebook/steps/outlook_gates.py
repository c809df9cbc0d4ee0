"""What stands between a brew and "finished".

The forecast must leave less than one chance in a hundred of more gas than primed bottles bear. Beside it stand the
cautions that no forecast from gravities knows of: a halt in the cold, yeast stirred up a moment ago, hops given no
days of their own, a reading that contradicts, and the plain rule that one reading is none.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from gylebook.forecast.answers import UNSAFE_CO2_G_PER_L, Story
from gylebook.phrases import say, say_amount
from gylebook.science.carbon_dioxide import CO2_G_PER_L_PER_VOLUME
from gylebook.science.hops import hop_creep_points
from gylebook.steps.chances import with_article
from gylebook.steps.outlook_bottles import Bearing
from gylebook.steps.outlook_evidence import is_odd
from gylebook.steps.outlook_facts import DAY, Facts
from gylebook.steps.stretch import LIGHT, SPACED_DAYS
from gylebook.units import show

if TYPE_CHECKING:  # SciPy stands behind it, and nothing but a forecast needs that
    from gylebook.forecast.forecast import Forecast

RULE = say(
    "A forecast: every course of fermentation that explains the readings, each weighed by how well it does. What is "
    "taken for likely before any reading is a choice, and a halt looks like an end to any hydrometer."
)
MOST_UNSAFE = 0.01
UNTRUSTED = frozenset({"below_possible", "cold", "unexplained"})  # what is lacking where no sum is to be trusted
DOUBTFUL_GROSS = 0.3
LEAST_MISFIT = 0.01
AGAINST_UNSAFE = 0.5
LEAST_WARM_DAYS = 5.0
WAKE_DAYS = 2.0
HEAVY_HOPS_G_PER_L = 5.0
HOP_DAYS_LIGHT, HOP_DAYS_HEAVY = 3.0, 5.0

_COOLED_BY_C = 3.0
_COLD_LOOK_BACK = 1.5  # days before a reading that stands alone
_FORCED_MARGIN_POINTS = 1.5
_BELOW_POSSIBLE_POINTS = 1.0
_BELOW_CHANCE = 0.5
_CREEP_DAYS = 10.0


@dataclass(frozen=True, slots=True)
class Lack:
    """One thing that speaks against "finished", or is not known yet."""

    key: str
    text: str
    against: bool  # True: the evidence says no; False: it is only missing


@dataclass(frozen=True, slots=True)
class Seen:
    """A brew and what is forecast of it.

    `doubt` is the chance that its last reading is grossly wrong; `doubts` tells whether another one is likely to be.
    """

    facts: Facts
    forecast: Forecast
    bearing: Bearing
    doubt: float = 0.0
    doubts: bool = False

    @property
    def is_explained(self) -> bool:
        """Whether the forecast's sum is to be trusted, and explains the readings but for a last one to be repeated."""
        found = self.forecast.diagnostics
        return found.good and (found.misfit >= LEAST_MISFIT or (self.is_doubtful and not self.doubts))

    @property
    def is_doubtful(self) -> bool:
        """Whether the last reading is to be repeated before anything is made of it."""
        last = self.facts.last
        return last is not None and (self.doubt >= DOUBTFUL_GROSS or is_odd(last))


def warm_days(facts: Facts, until: datetime | None = None) -> float:
    """Days in the warmth since the yeast went in, up to the last fresh reading."""
    if facts.pitched_at is None:
        return 0.0
    known = facts.fresh[-1].at if facts.fresh else facts.now
    return facts.track.warm_days(facts.pitched_at, until or known)


def limit_points(facts: Facts) -> float:
    """The highest gravity that still counts as the end: by the forced sample, else by the make-up."""
    if facts.forced is not None:
        return facts.forced.points + _FORCED_MARGIN_POINTS
    return 1000 * (facts.fg.high - 1)


def is_above(facts: Facts) -> bool:
    """Whether the gravity is higher than this wort should end at."""
    now = facts.now_points
    return now is not None and now[0] > limit_points(facts)


def is_flat(facts: Facts) -> bool:
    """Whether readings far enough apart show no fall."""
    return facts.line is not None and not facts.line.falls and facts.line.firm_span_days >= SPACED_DAYS


def is_below_possible(facts: Facts) -> bool:
    """Whether it is lower than the make-up can reach with brewing yeast, beyond the last reading's own error."""
    if not facts.readings:
        return False
    last = facts.readings[-1]
    spread = 1000 * last.sd_sg * (LIGHT if last.lightly else 1.0)
    lowest = 1000 * (facts.fg.low - 1) - _BELOW_POSSIBLE_POINTS - _most_creep_points(facts)
    return 1000 * (last.gravity_sg - 1) + 1.645 * spread < lowest


def _most_creep_points(facts: Facts) -> float:
    """Points that hops can take a beer lower at the most: that much lower is their doing and no other yeast's."""
    if not facts.hops_g or facts.hopped_at is None:
        return 0.0
    days = max(_CREEP_DAYS, facts.hop_contact_days or 0.0)
    temp = min(max(facts.track.mean_c(facts.hopped_at, facts.hopped_at + days * DAY), 0.0), 35.0)
    return float(hop_creep_points(min(facts.hops_g_per_l, 30.0), min(days, 60.0), temp).high)


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


def lacks(seen: Seen | None) -> tuple[Lack, ...]:
    """Everything that stands between this brew and "finished"; empty where the evidence holds."""
    if seen is None:
        return (Lack("pitch", say("no yeast has been written down"), against=True),)
    facts, forecast = seen.facts, seen.forecast
    if is_below_possible(facts) or (facts.readings and forecast.stories[Story.BELOW] >= _BELOW_CHANCE):
        return (Lack("below_possible", say("the gravity is lower than this make-up can reach"), against=True),)
    found = [*_of_gravity(seen), *_of_time(facts)]
    unexplained = not seen.is_explained and bool(facts.readings)
    if unexplained:
        found.insert(0, Lack("unexplained", say("nothing in the model explains these readings"), against=False))
    if facts.readings and not unexplained:
        found += _of_chance(seen, others=bool(found))
    return tuple(found)


def _of_chance(seen: Seen, *, others: bool) -> list[Lack]:
    unsafe = seen.forecast.unsafe
    if unsafe >= MOST_UNSAFE:
        gas = say(
            "{grams} g/L of gas ({volumes} vol)",
            grams=show(UNSAFE_CO2_G_PER_L, 0),
            volumes=show(UNSAFE_CO2_G_PER_L / CO2_G_PER_L_PER_VOLUME, 0),
        )
        text = say("there is {a_chance} of more than {gas} still to come", a_chance=with_article(unsafe), gas=gas)
        # Of what went in since the last reading nothing was seen yet: that is no evidence against.
        return [Lack("chance", text, against=unsafe >= AGAINST_UNSAFE and bool(seen.facts.fresh))]
    # Once it is primed, the bottles themselves are judged, with the sugar that really went in.
    if not others and not seen.bearing.holds and seen.facts.closed_at is None:
        return [Lack("bottles", seen.bearing.words, against=False)]
    return []


def _of_gravity(seen: Seen) -> list[Lack]:
    facts, found = seen.facts, list[Lack]()
    now, line = facts.now_points, facts.line
    if now is None:
        return [Lack("reading", say("no reading since the yeast went in"), against=False)]
    limit = limit_points(facts)
    if seen.is_doubtful:
        text = say("the last reading does not go with the others, and counts only once it is repeated")
        found.append(Lack("doubtful", text, against=False))
    elif now[0] > limit and seen.forecast.unsafe >= MOST_UNSAFE:
        sg, highest = _sg(now[0]), _sg(limit)
        text = say("{sg} is above {highest}, the highest end that the make-up explains", sg=sg, highest=highest)
        if facts.forced:
            text = say(
                "{sg} is above {highest}, the highest end that the forced sample explains", sg=sg, highest=highest
            )
        found.append(Lack("above", text, against=True))
    if line is not None and line.falls:
        found.append(
            Lack(
                "falls", say("it still falls by about {points} points a day", points=show(-line.slope, 1)), against=True
            )
        )
    if not facts.fresh:
        text = say("no reading since the last addition went in")
        if facts.reopened:
            text = say("no reading since the {what} went in", what=facts.reopened.words)
        found.append(Lack("fresh", text, against=False))
    elif not _are_enough(facts):
        found.append(_pair(facts))
    return found


def _are_enough(facts: Facts) -> bool:
    """Two readings that count in full, days apart; or one, and a forced sample."""
    # Water gives the yeast no new food: the readings before it, scaled to the volume after it, still count.
    watered = facts.reopened is not None and facts.reopened.by == "water"
    firm = [r.at for r in (facts.readings if watered else facts.fresh) if not r.lightly]
    if facts.forced is not None and firm:
        return True
    return bool(firm) and firm[-1] - firm[0] >= SPACED_DAYS * DAY


def _pair(facts: Facts) -> Lack:
    light = sum(r.lightly for r in facts.fresh)
    if light and len(facts.fresh) - light < 2:
        text = say("two readings that count in full, at least two days apart: fizzy or odd ones count lightly")
    elif len(facts.fresh) == 1:
        text = say("a second reading, at least two days after the first")
    else:
        text = say("two readings at least two days apart")
    return Lack("pair", text, against=False)


def _of_time(facts: Facts) -> list[Lack]:
    found: list[Lack] = []
    days = warm_days(facts)
    if days < LEAST_WARM_DAYS:
        text = say(
            "{days} days in the warmth at the last look; {wanted} are wanted",
            days=show(days, 1),
            wanted=show(LEAST_WARM_DAYS, 0),
        )
        found.append(Lack("early", text, against=False))
    if facts.hops_g and facts.hopped_at is not None:
        wanted = hop_days_wanted(facts)
        since = facts.track.warm_days(facts.hopped_at, facts.fresh[-1].at) if facts.fresh else 0.0
        if since < wanted:
            text = say(
                "hops can wake the yeast: a reading {wanted} warm days or more after they went in",
                wanted=show(wanted, 0),
            )
            found.append(Lack("hops", text, against=False))
    if facts.woken_at is not None and facts.readings:
        since = facts.track.warm_days(facts.woken_at, facts.readings[-1].at)
        if since < WAKE_DAYS:
            found.append(
                Lack("woken", say("a reading two days or more after the yeast was roused or renewed"), against=False)
            )
    if is_cold(facts) and (facts.forced is None or is_above(facts)):
        text = say(
            "the beer was cold: below {too_cold_c} level readings may only be a halt",
            too_cold_c=say_amount(facts.track.too_cold_c, 1, "°C"),
        )
        found.append(Lack("cold", text, against=False))
    return found


def _sg(points: float) -> str:
    return show(1 + points / 1000, 4)
