"""The gas of a bottled brew as a budget: its average bottle, its worst, and how likely that passes its ceiling.

Everything is drawn many times over: what was dissolved, what the forecast leaves open, the sugar and its weighing, the
litres, how evenly it was stirred in, and how high each bottle was filled. The worst bottle is the worst of all that
are left, and its ceiling the boldest habit for its kind, which for glass never goes above the one published figure.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cached_property

import numpy as np

from gylebook.forecast.gas import Bottles, Draws, spread_ends
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import say, say_amount
from gylebook.science.carbon_dioxide import ATMOSPHERE_BAR
from gylebook.science.conditioning import days_at_20c
from gylebook.science.interval import Span
from gylebook.steps import warmth
from gylebook.steps.answers import Basis, Figure, Given, MomentFigure, Working
from gylebook.steps.asked import BAR, VOLUMES, Shown, figure
from gylebook.steps.bottle_age import age_at
from gylebook.steps.bottle_kinds import Bottle, limit_words
from gylebook.steps.bottle_store import present_c, store_c
from gylebook.steps.cellar import lots_left
from gylebook.steps.chances import LEAST_SHOWN, chance_figure
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import Fizz, fizz_of

DAY = timedelta(days=1)
WARMEST_DRAWN_C = 50.0
LIKELY = 0.05  # the chance from which a date is told
_EVENS = 0.5
_POINTS_AHEAD = 2048  # for dates: a chance of one in twenty needs no more
_AHEAD_DAYS = (0, 7, 14, 21, 28, *range(45, 366, 15))
_SOURCES = ("co2_mass_balance", "delange_2011", "co2_reference_gas", "draper_hibberd_1996", "co2_stoichiometry",
            "error_propagation", "common_practice")  # fmt: skip
_RELATION = say("everything that is not known of the batch and of its bottles, drawn many times over")
_EXTRAPOLATED = say("Above 25 °C the brewing chart is led on beyond its end, and the range made wider.")


@dataclass(frozen=True)
class Budget:
    """The gas of all bottles of a brew that are left, `warm_c` being the warmest that their place gets.

    `lots` are all that were filled, in order; of one that is gone the count is 0.
    """

    gas: Fizz
    draws: Draws
    lots: tuple[Bottle, ...]
    count: int
    warm_c: float
    now_c: float
    age_days: float | None
    outside_bar: float = ATMOSPHERE_BAR

    def with_draws(self, points: int) -> Budget:
        """The same with fewer draws, for dates and whole degrees."""
        return replace(self, draws=self.draws.fewer(points))

    def worst(self, temp_c: float, age_days: float | None = None) -> Bottles:
        """The worst bottle of all at a temperature; `age_days` None when all gas is made."""
        return self.draws.worst(self.count, _drawn(temp_c), age_days, ambient_bar=self.outside_bar)

    def chance_past(self, temp_c: float, age_days: float | None = None) -> float:
        """Chance that any bottle has more pressure than the boldest habit grants its kind; none where none is left."""
        past = np.zeros(self.draws.points, dtype=bool)
        for number, lot in enumerate(self.lots):
            if not lot.count:
                continue
            if lot.never:
                return 1.0
            found = self.draws.worst(lot.count, _drawn(temp_c), age_days, lot=number, ambient_bar=self.outside_bar)
            past |= found.pressure_bar > lot.limit_bar.high
        return float(np.mean(past))

    @cached_property
    def figures(self) -> tuple[Figure, ...]:
        """Average and worst bottle, pressure of the worst now and at its warmest, and the chance of too much."""
        average, worst = (spread_ends(each) for each in (self.draws.average_vol(), self.worst(25.0).total))
        now = spread_ends(self.worst(self.now_c, self.age_days).pressure_bar)
        return (
            _of("budget_average", say("Gas of the average bottle"), average, VOLUMES, self._working()),
            _of("budget_worst", say("Gas of the worst of {count}", count=self.count), worst, VOLUMES, self._working()),
            _of(
                "worst_now",
                say("Pressure now, the worst of {count}", count=self.count),
                now,
                BAR,
                self._working(self.now_c),
            ),
            self.worst_warm,
            self.chance,
        )

    @cached_property
    def worst_warm(self) -> Figure:
        """Pressure of the worst bottle when all gas is made and it is warmest, key "worst_warm"."""
        span = spread_ends(self.worst(self.warm_c).pressure_bar)
        label = say("At {warm_c}, the worst of {count}", warm_c=say_amount(self.warm_c, 0, "°C"), count=self.count)
        return _of("worst_warm", label, span, BAR, self._working(self.warm_c))

    @cached_property
    def chance(self) -> Figure:
        """Chance [%] that the worst bottle passes its ceiling when all gas is made and it is warmest, key "past"."""
        lines = tuple(
            say("{count} of {bottle}: {limit}", count=lot.count, bottle=lot.words, limit=limit_words(lot))
            for lot in self.lots
            if lot.count
        )
        working = self._working(self.warm_c, *lines, sources=("british_glass_tec7",))
        return chance_figure("past", say("Chance that one is past its ceiling"), self.chance_past(self.warm_c), working)

    def _working(self, temp_c: float | None = None, *steps: str, sources: tuple[str, ...] = ()) -> Working:
        givens = (
            *self.gas.givens,
            Given(say("bottles"), str(self.count), Basis.MEASURED if self.lots else Basis.ASSUMED),
        )
        if temp_c is not None:
            givens = (*givens, Given(say("temperature"), say_amount(temp_c, 0, "°C"), Basis.RECKONED))
        cautions = [say("Without the air that a bottle is capped with, as the ceilings are.")]
        cautions += [_EXTRAPOLATED] if temp_c is not None and temp_c > 25 else []
        opened = self.gas.opened.steps if self.gas.opened is not None else ()
        lines = (
            say("{points} draws; a headspace of 3 to 5 %, ± 0.8 % from bottle to bottle", points=self.draws.points),
            *opened,
            *steps,
        )
        return Working(_RELATION, givens, (*_SOURCES, *sources), lines, tuple(cautions))


def budget(brew: Brew, setting: Setting, gas: Fizz | None = None) -> Budget | None:
    """The budget of a brew that is in bottles; None before. Its gas need not be reckoned anew where it is known."""
    lots = lots_left(brew, setting.shelf)
    if not lots:
        return None
    gas = fizz_of(brew, setting) if gas is None else gas
    age = age_at(brew, setting.shelf, setting.now)
    return Budget(
        gas,
        gas.draws(),
        lots,
        sum(lot.count for lot in lots),
        store_c(brew, setting.shelf, setting.today).value,
        present_c(brew, setting),
        age.days_at_20c if age is not None else None,
    )


@dataclass(frozen=True, slots=True)
class Ahead:
    """A day to come: as warm as its month gets there, the worst bottle's pressure, the chance of too much."""

    at: datetime
    temp_c: float
    worst_bar: Span
    chance: float


def ahead(found: Budget, brew: Brew, setting: Setting, on_days: tuple[int, ...] = _AHEAD_DAYS) -> tuple[Ahead, ...]:
    """The worst bottle over the year to come, as its gas is made and its place's months go by."""
    place, days = warmth.place_at(brew), []
    found = found if found.draws.points == _POINTS_AHEAD else found.with_draws(_POINTS_AHEAD)
    age, before = found.age_days or 0.0, 0
    spells = warmth.spells_of(setting.shelf, place, setting.today)
    told = {day for spell in spells for day in _told_days(setting, spell)}
    for day in sorted({*on_days, *(day for day in told if day <= on_days[-1])}):
        at = setting.now + day * DAY
        on = at.astimezone(setting.zone).date()
        span = warmth.place_range_c(setting.shelf, place, on.month, on)
        low, high = span if span is not None else (found.now_c, found.now_c)
        age += float(days_at_20c(day - before, min(max((low + high) / 2, 0.0), 45.0)))
        before = day
        worst = spread_ends(found.worst(high, age).pressure_bar)
        days.append(Ahead(at, high, worst, found.chance_past(high, age)))
    return tuple(days)


def _told_days(setting: Setting, spell: ev.WarmSpell) -> tuple[int, ...]:
    """The first and the last day of warm weather and the day after it, counted from now, within the year to come."""
    first, last = ((day - setting.today).days for day in (spell.from_on, spell.to_on))
    return tuple(day for day in (max(first, 0), last, last + 1) if day <= _AHEAD_DAYS[-1])


def reaches(found: Budget, brew: Brew, setting: Setting, days: tuple[Ahead, ...], chance: float) -> datetime | None:
    """The day, counted from now, on which a chance is first reached where they stand; None where it never is."""
    number = next((number for number, day in enumerate(days) if day.chance >= chance), None)
    if not number:
        return None if number is None else days[0].at
    before, after = ((days[each].at - setting.now) // DAY for each in (number - 1, number))
    known = tuple((day.at - setting.now) // DAY for day in days[:number])
    closer = ahead(found, brew, setting, (*known, *range(before + 1, after + 1)))
    return next((day.at for day in closer if day.chance >= chance), days[number].at)


def past_by(found: Budget, days: tuple[Ahead, ...]) -> MomentFigure | None:
    """When the chance that a bottle is past its ceiling first reaches one in twenty; None where it stays below."""
    first = next((day for day in days if day.chance >= LIKELY), None)
    if first is None:
        return None
    working = found.chance.working
    sooner = next(day for day in days if day.chance >= min(LEAST_SHOWN, LIKELY))
    evens = next((day for day in days if day.chance >= _EVENS), None)
    name = say("A bottle may be past its ceiling")
    words = (
        say("one in a hundred to evens")
        if evens is not None
        else say("one in a hundred to the end of the year looked at")
    )
    return MomentFigure("past_by", name, first.at, sooner.at, (evens or days[-1]).at, working, words)


def _of(key: str, label: str, span: Span, shown: Shown, working: Working) -> Figure:
    return figure(key, label, span.best, shown, working, low=span.low, high=span.high)


def _drawn(temp_c: float) -> float:
    return min(max(temp_c, 0.0), WARMEST_DRAWN_C)
