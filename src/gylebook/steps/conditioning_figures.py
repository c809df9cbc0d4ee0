"""What is reckoned of bottles: gas now, pressure now and at its warmest, the date of the fizz, and the days ahead."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from gylebook.journal.state import Brew
from gylebook.phrases import capital, say, say_amount
from gylebook.science.interval import Span
from gylebook.steps.answers import Basis, Figure, Given, MomentFigure, Option, Working
from gylebook.steps.asked import BAR, DAYS, PER_CENT, VOLUMES, figure
from gylebook.steps.bottle_age import Age, age_at
from gylebook.steps.bottle_check import Check
from gylebook.steps.bottle_kinds import pressure_bar
from gylebook.steps.bottle_moments import moments_of
from gylebook.steps.bottle_times import BottleTimes
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import Fizz
from gylebook.steps.gas_parts import together
from gylebook.steps.moments import day_words
from gylebook.units import show


@dataclass(frozen=True, slots=True)
class Cellared:
    """Everything that the answer rests on: gas, age, dates, where they stand, and how warm it may get.

    `cool` is when they go to the cool, None where that waits for warmth; `outside` is the air's pressure where they go
    [bar], None for the sea's level; `keep_c` the warmest that the rescue plan grants, None where there is none.
    """

    gas: Fizz
    age: Age
    times: BottleTimes
    check: Check
    cool: datetime | None
    here: Figure
    warm: float
    outside: float | None
    keep_c: int | None = None


def gas_at(gas: Fizz, age: Age) -> tuple[float, float, float]:
    """Gas that is there at an age: lowest, middle and highest [vol]; as opened bottles leave it, where any were."""
    if gas.opened is not None:
        found = gas.now(age.days_at_20c)
        return found.low, found.best, found.high
    made = gas.priming.best + gas.to_come.best
    of_made = (Span(*(age.share.best * end for end in part)) for part in (gas.priming, gas.to_come))
    # How far it has come is not known for sure: an independent part of its own, that adds nothing to the likeliest.
    come = Span(*(made * (end - age.share.best) for end in age.share))
    low, now, high = (max(0.0, end - gas.let_out) for end in together(gas.residual, *of_made, come))
    return low, now, high


def days_given(age: Age) -> Given:
    """How long they have been in the bottle, and how warm."""
    return Given(
        say("days in the bottle"),
        say("{days} at {temp} on average", days=show(age.days, 0), temp=say_amount(age.mean_c, 0, "°C")),
        Basis.RECKONED,
    )


def figures_of(state: Cellared, *, hands_off: bool = False) -> tuple[Figure | MomentFigure, ...]:
    """All figures of the step; with `hands_off` no date at which a hand is wanted, for they are dangerous to touch."""
    gas, age = state.gas, state.age
    low, now, high = gas_at(gas, age)
    days = days_given(age)
    curve = Working(
        say(
            "1 − exp(−(age ÷ 6.6 days)^1.4), age counted as if at {warmth}; the pace changes 3.7-fold in ten degrees",
            warmth="20 °C",  # and so are the ten degrees, for every reader
        ),
        (days,),
        ("common_practice",),
        (
            say(
                "{days} days there are like {days_at_20} at 20 °C",
                days=show(age.days, 0),
                days_at_20=show(age.days_at_20c, 0),
            ),
        ),
        (say("Habit of the trade put into a curve; below 10 °C ale yeast may stop."),),
    )
    share = [100 * end for end in age.share]
    return (
        gas.figure(),
        figure("age", say("Days, as if at 20 °C"), age.days_at_20c, DAYS, curve),
        figure("share", say("Of the gas is there"), share[1], PER_CENT, curve, low=share[0], high=share[2]),
        figure("now", say("Gas now"), now, VOLUMES, curve, low=low, high=high),
        *moments_of(state.times, None if hands_off else state.check, state.cool, (days,)),
        _pressure_now(state, now, high),
        _pressure_warm(state),
        replace(state.here, key="here", label=say("Where they stand")),
    )


def _pressure_warm(state: Cellared) -> Figure:
    """Pressure at the warmest, all gas made: the same span as bottling and the cellar tell."""
    span = state.gas.pressure(state.warm, state.outside)
    working = _of_pressure(state, state.warm, pressure_bar(state.gas.worst, state.warm, state.outside).best)
    label = say("Pressure at {temp}, all gas made", temp=say_amount(state.warm, 0, "°C"))
    return figure("pressure_warm", label, span.best, BAR, working, low=span.low, high=span.high)


def _pressure_now(state: Cellared, average: float, worst: float) -> Figure:
    temp = state.here.value
    middle, most = pressure_bar(average, temp, state.outside), pressure_bar(worst, temp, state.outside)
    working = _of_pressure(state, temp, most.best)
    high = max(most.best, middle.high)
    return figure("pressure", say("Pressure now"), middle.best, BAR, working, low=middle.low, high=high)


def _of_pressure(state: Cellared, temp: float, worst_bar: float) -> Working:
    return Working(
        say("gas shared between beer and headspace in a closed bottle, above the pressure of the air outside"),
        (*state.gas.givens, Given(say("temperature"), say_amount(temp, 0, "°C"), Basis.RECKONED)),
        ("co2_mass_balance", "delange_2011", *(("standard_atmosphere",) if state.outside is not None else ())),
        (say("the worst bottle {pressure}", pressure=say_amount(worst_bar, 1, "bar")),),
        (say("Above 25 °C the brewing chart is led on beyond its end."),) if temp > 25 else (),
    )


def days_ahead(brew: Brew, setting: Setting, gas: Fizz, temp: float) -> tuple[Option, ...]:
    """Gas and pressure of the average bottle by date, where they stand."""
    found = []
    for ahead in (0, 2, 4, 7, 14):
        at = setting.now + timedelta(days=ahead)
        age = age_at(brew, setting.shelf, at)
        if age is None:
            continue
        _, now, _ = gas_at(gas, age)
        span = pressure_bar(now, temp)
        working = Working(say("gas made by then, as warm as now"), gas.givens, ("common_practice", "delange_2011"))
        shown = (
            figure(f"gas_{ahead}", say("Gas"), now, VOLUMES, working),
            figure(
                f"bar_{ahead}",
                say("At {temp}", temp=say_amount(temp, 0, "°C")),
                span.best,
                BAR,
                working,
                low=span.low,
                high=span.high,
            ),
        )
        day = day_words(at, setting.now, setting.zone)
        found.append(Option(capital(day), shown))
    return tuple(found)
