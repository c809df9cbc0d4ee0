"""Who bottles when, with how much sugar: the book's gate and budget, and what brewers go by.

Each batch of beer is bottled once by everyone, on the same household's bottling day (`bottlings.Day`). By the book:
when the gate opens, with the book's dose, no more fizz than it calls every bottle fit for. Beside it two who take only
the chance that the book states: one obeys the gate and wants the fizz he wants; one bottles on two equal readings.
Last the customary rules, which state none. Hopped beer is bottled when its hops have been in for the days the gate
wants, by custom once they are out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final, cast

import numpy as np
from bottlings import USUAL_SPOON_G, Day, came_of
from forecast.batches import Batch
from forecast.customary import RULES, Rule
from forecast.decisions import LAST_DAY, LOOK_DAYS, READ_SEED
from forecast.forecaster import GATE_UNSAFE

from gylebook.forecast.constants import CO2_G_PER_L_PER_SG
from gylebook.forecast.evidence import Evidence
from gylebook.forecast.forecast import Forecast, forecast
from gylebook.forecast.gas import Draws, later_of_mixture
from gylebook.journal.events import InstrumentKept
from gylebook.journal.state import Shelf
from gylebook.science import carbonation, priming
from gylebook.science.carbon_dioxide import CO2_G_PER_L_PER_VOLUME
from gylebook.science.interval import Span
from gylebook.steps.bottle_kinds import Bottle
from gylebook.steps.fizz import Fizz
from gylebook.steps.gas_budget import Budget
from gylebook.steps.gas_parts import charge_of, residual_of, sugared, together, worst_vol
from gylebook.steps.outlook_gates import HEAVY_HOPS_G_PER_L, HOP_DAYS_HEAVY, HOP_DAYS_LIGHT, LEAST_WARM_DAYS
from gylebook.steps.priming_measure import LEVEL, SCALE, Dosed, dosed
from gylebook.steps.stretch import SPACED_DAYS
from gylebook.units import Quantity

BOOK: Final = "the book's gate and bottles"
WISHED: Final = "the book's gate, any fizz in any bottle"
EARLY: Final = "two equal readings, the book only asked"
STATED: Final = (BOOK, WISHED, EARLY)
LEAST_VOL: Final = 1.6
PRINTED_VOL: Final = 2.3
FALLS_SG: Final = 0.003
PROOF_BAR: Final = 10.0  # what used bottles are proved to for a minute; past it a burst is to be expected
FLAT_VOL: Final = 1.6
BUBBLE_G_PER_L_PER_DAY: Final = 0.35  # about one bubble in a minute over 20 L; invented, as are leaking lids
LEAKY: Final = 0.3
LEAK_G_PER_L_PER_DAY: Final = 4.0  # what a lid that leaks lets out without a bubble


@dataclass(frozen=True, slots=True)
class Sealed:
    """One bottling: the chance stated for its worst bottle (NaN by a rule that states none), and what came of it.

    `past` is whether the worst of any lot passed the ceiling of its kind; `past_with_air` the same with the air that
    it was capped with.
    """

    rule: str
    stated: float
    past: bool
    past_with_air: bool
    worst_bar: float
    average_vol: float
    hopped: bool
    first: bool  # of its batch's households: those alone are independent of each other

    @property
    def burst(self) -> bool:
        return self.worst_bar > PROOF_BAR

    @property
    def flat(self) -> bool:
        return self.average_vol < FLAT_VOL


# --- when ---------------------------------------------------------------------------------------------------------


def gate_from(batch: Batch) -> float:
    """The first day on which the gate can open whatever is forecast: warm days, and two readings after the hops."""
    if batch.hops is None:
        return LEAST_WARM_DAYS
    wanted = HOP_DAYS_HEAVY if batch.hops.dose_g_per_l >= HEAVY_HOPS_G_PER_L else HOP_DAYS_LIGHT
    fresh = next((day for day in LOOK_DAYS if day >= batch.hops.day), LAST_DAY)
    return max(LEAST_WARM_DAYS, batch.hops.day + wanted, fresh + SPACED_DAYS)


def looked(batch: Batch, day: float) -> Evidence:
    """What is known at one of the days on which the beer is read."""
    return batch.evidence(tuple(each for each in LOOK_DAYS if each <= day), day, READ_SEED)


def opened(batch: Batch) -> tuple[float, Forecast] | None:
    """The first look at which the gate is open, and the forecast then."""
    for day in LOOK_DAYS[1:]:
        if day >= gate_from(batch) and not still_falls(looked(batch, day)):
            seen = forecast(looked(batch, day))
            if seen.unsafe < GATE_UNSAFE:
                return day, seen
    return None


def still_falls(evidence: Evidence) -> bool:
    """Whether the last two readings tell it plainly, so that no forecast is asked for."""
    one, two = evidence.readings[-2:]
    return one.gravity_sg - two.gravity_sg > FALLS_SG


def custom_from(batch: Batch) -> float:
    """The first day on which custom would bottle it: hops are out."""
    return 0.0 if batch.hops is None else float(batch.hops.out_day or LAST_DAY)


def by_readings(batch: Batch, rule: Rule) -> float | None:
    """The first look at which a rule for readings says yes."""
    days = (day for day in LOOK_DAYS if day >= custom_from(batch))
    return next((day for day in days if rule(looked(batch, day))), None)


def airlock_still(batch: Batch, leaky: bool) -> float | None:
    """The first day from the fourth on without a bubble in a minute; gas that leaves by the lid is not seen."""
    least = LEAK_G_PER_L_PER_DAY if leaky else BUBBLE_G_PER_L_PER_DAY
    for day in np.arange(max(4.0, np.ceil(custom_from(batch))), LAST_DAY + 1.0):
        if batch.co2_left_g_per_l(float(day) - 0.5) - batch.co2_left_g_per_l(float(day)) < 0.5 * least:
            return float(day)
    return None


def warmest_c(batch: Batch, day: float) -> float:
    """The warmest of the three days before, when little was still fermenting."""
    return float(np.max(batch.temp_c[max(0, round(24 * (day - 3))) : round(24 * day)]))


# --- how much -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Told:
    """What the book takes the beer to be: dissolved, still to come, litres."""

    residual: Span
    to_come: Span
    seen: Forecast
    day: Day

    @property
    def litres(self) -> Span:
        """As for sugar with a volume that was written."""
        if self.day.each_bottle:
            held = sum(lot.size_l * lot.count for lot in self.day.lots)
            return Span(0.98 * held, held, 1.02 * held)
        return Span(self.day.told_litres - 0.5, self.day.told_litres, self.day.told_litres + 0.5)

    def dosed(self, grams: float) -> Dosed:
        """As for a dose that was written, with the scale on the shelf."""
        each = self.day.each_bottle
        mass = Quantity(f"{max(grams / self.day.count if each else grams, 0.1):.2f}", "g")
        scale = InstrumentKept(name="scale", what="scale", step=Quantity(f"{self.day.scale_g:g}", "g"))
        how = "each bottle" if each else "whole batch"
        measured = LEVEL if self.day.spoon_g else SCALE
        return dosed(measured, self.day.sugar, how, mass, Shelf(instruments={scale.name: scale}))

    def grams(self, wanted: float) -> float:
        """The dose for a fizz, less what the beer itself still makes."""
        return weighed(self.day, max(wanted - self.to_come.best, 0.0), self.residual.best, self.day.told_litres)

    def fit_lots(self, wanted: float) -> tuple[Bottle, ...]:
        """The bottles that the book calls fit for a fizz in that place."""
        _, average, worst = self.budget(self.grams(wanted))
        warm = self.day.told_warm_c
        return tuple(lot for lot in self.day.lots if lot.fit_words(average.best, worst, warm) == "fit")

    def budget(self, grams: float) -> tuple[Budget, Span, float]:
        """What the book draws for a dose; the gas of the average bottle; that of the worst."""
        measured = self.dosed(grams)
        gas = measured.of(sugared(grams, self.day.sugar, self.litres))
        later = later_of_mixture(*self.seen.left_sg, self.seen.weight, CO2_G_PER_L_PER_SG)
        charge = charge_of(self.residual, gas, self.to_come, measured.uneven, later=later)
        # Nothing but its words comes of a budget's Fizz, and none are asked for.
        warm = self.day.told_warm_c
        found = Budget(cast(Fizz, None), Draws(charge), self.day.lots, self.day.count, warm, warm, None)
        return found, together(self.residual, gas, self.to_come), worst_vol(charge, self.day.count)


def told_of(day: Day, seen: Forecast, warmest: float) -> _Told:
    """The beer as the book has it, after a thermometer that is off."""
    told_c = warmest + day.warmest_off_c
    points = seen.points_left
    most = max(points.q95, 1.0)
    best = max(points.q50, 0.0) * 0.97 / CO2_G_PER_L_PER_VOLUME
    to_come = Span(0.0, best, max(best, most * 1.05 / CO2_G_PER_L_PER_VOLUME))
    return _Told(residual_of(Span(told_c - 0.8, told_c, told_c + 1.5)), to_come, seen, day)


def weighed(day: Day, wanted: float, residual: float, litres: float) -> float:
    """The dose by the printed rule for a fizz, as the scale shows it: of all the beer [g]."""
    if day.each_bottle:
        size = day.lots[0].size_l
        one = float(priming.customary_sugar_g(size, wanted, residual, 0.0, day.sugar))
        step = USUAL_SPOON_G / 4 if day.spoon_g else day.scale_g  # a quarter of a spoon can just be told
        return round(one / step) * step * day.count
    whole = float(priming.customary_sugar_g(litres, wanted, residual, 0.0, day.sugar))
    return round(whole / day.scale_g) * day.scale_g


def _sealed(rule: str, stated: float, batch: Batch, day: Day, *, at: float, grams: float) -> Sealed:
    """What comes of so much sugar in beer that is bottled so early."""
    left, lots = batch.co2_left_g_per_l(at), day.lots
    came = came_of(day, warmest_c(batch, at), left, grams)
    return Sealed(
        rule=rule,
        stated=stated,
        past=any(bar > lot.limit_bar.high for bar, lot in zip(came.worst_bar, lots, strict=True)),
        past_with_air=any(bar > lot.limit_bar.high for bar, lot in zip(came.with_air_bar, lots, strict=True)),
        worst_bar=max(came.worst_bar),
        average_vol=came.average_vol,
        hopped=batch.hops is not None,
        first=day.first,
    )


def by_book(batch: Batch, day: Day, at: float, seen: Forecast, *, rule: str) -> Sealed | None:
    """Bottled with the book's dose.

    By `BOOK` no fizzier than all bottles are fit for, and those that are fit for next to none are left out; None where
    no other bottles are there. The others prime to the fizz that is wanted, and only hear the chance.
    """
    told = told_of(day, seen, warmest_c(batch, at))
    wanted = day.wanted
    if rule == BOOK:
        least = told.fit_lots(LEAST_VOL)
        if not least:
            return None
        day = replace(day, lots=least)
        told = replace(told, day=day)
        while len(told.fit_lots(wanted)) < len(least) and wanted > LEAST_VOL:
            wanted = max(wanted - 0.1, LEAST_VOL)
    grams = told.grams(wanted)
    stated = told.budget(grams)[0].chance_past(day.told_warm_c)
    return _sealed(rule, stated, batch, day, at=at, grams=grams)


@dataclass(frozen=True, slots=True)
class Custom:
    """A customary rule: the day on which it bottles a batch, and its dose [g] for beer that was as warm as told."""

    words: str
    when: Callable[[Batch, Day], float | None]
    dose: Callable[[Day, float], float]


def _printed(day: Day, told_c: float) -> float:
    return weighed(day, PRINTED_VOL, float(carbonation.residual_volumes(min(max(told_c, 0.0), 35.0))), day.told_litres)


def _fixed(day: Day, told_c: float) -> float:
    """6 to 7 g/L of whatever sugar, whatever the beer, and the fizz that is wanted, be."""
    return (6.0 + day.habit) * day.told_litres


def _for_the_cold(day: Day, told_c: float) -> float:
    """As if the beer had the gas of its last, cold days."""
    return _printed(day, 3.0)


_TWO = RULES["two equal readings"]
CUSTOMS: Final = (
    *(Custom(name, lambda batch, day, rule=rule: by_readings(batch, rule), _printed) for name, rule in RULES.items()),
    Custom("day 14, nothing read", lambda batch, day: max(14.0, np.ceil(custom_from(batch))), _printed),
    Custom("the airlock is still", lambda batch, day: airlock_still(batch, day.habit < LEAKY), _printed),
    Custom("two equal readings, 6 to 7 g/L", lambda batch, day: by_readings(batch, _TWO), _fixed),
    Custom("two equal readings, primed for the cold", lambda batch, day: by_readings(batch, _TWO), _for_the_cold),
)


def by_custom(batch: Batch, day: Day, custom: Custom) -> Sealed | None:
    """Bottled by a customary rule in whatever bottles are there; None where it never says yes."""
    at = custom.when(batch, day)
    if at is None:
        return None
    grams = custom.dose(day, warmest_c(batch, at) + day.warmest_off_c)
    return _sealed(custom.words, float("nan"), batch, day, at=at, grams=grams)
