"""The one next thing to do with bottles: wait, open one, move them, or drink; and what a journey uphill adds."""

from __future__ import annotations

from datetime import datetime, timedelta, tzinfo

from gylebook.journal.state import Brew
from gylebook.phrases import capital, say, say_amount
from gylebook.science.carbon_dioxide import ambient_pressure_bar
from gylebook.steps.answers import Basis, Figure, Finding, Given, Urgency, Working
from gylebook.steps.asked import BAR, Asked, figure, within
from gylebook.steps.bottle_age import Age
from gylebook.steps.bottle_check import Check, another_at, moved_since, opened_since, wants_early
from gylebook.steps.bottle_kinds import pressure_bar
from gylebook.steps.bottle_times import BottleTimes
from gylebook.steps.chances import LEAST_SHOWN, chance_words
from gylebook.steps.conditioning_figures import Cellared
from gylebook.steps.decision import Setting
from gylebook.steps.moments import coming_words, day_words, on_words
from gylebook.units import show

MOVE = "Move them to the cool"  # how a headline begins that wants it
FRIDGE_C = 5  # what wants it colder wants a fridge
_COOL_C = 15
_SLOW_C = 15.5
_WARMS_ON_THE_WAY_C = 10.0  # a boot in the sun, where nothing else was supposed: common practice
_WARMEST_C = 50.0
_SLEEPS_C = 10.0  # below it ale yeast may stop

_CHILLS = timedelta(days=1)

Said = tuple[str, Urgency, str]


def next_thing(brew: Brew, setting: Setting, state: Cellared) -> Said:
    """The headline, how soon it is wanted, and why."""
    age, times, check = state.age, state.times, state.check
    why = _why(age, times, setting.now)
    if times.ready is None:
        return _too_cold(check, why)
    slow = setting.now < times.ready and age.mean_c < _SLOW_C and not check.warming_is_danger
    if slow:
        need = max(1.0, 14.0 - age.days_at_20c)
        until = day_words(times.ready, setting.now, setting.zone)
        words = say(
            "Bring them to 20 °C for about {days} days; as they stand it takes until {until}. Add no sugar.",
            days=show(need, 0),
            until=until,
        )
        return words, Urgency.ACT, why
    if not opened_since(brew, times.carbonated[0]):
        return (*_opening(brew, setting, times, check), why)
    again = another_at(brew, times, check)
    if again is not None:
        one = say("Open another, chilled: is it flat too? One may be its cap alone.")
        if setting.now < again:
            on = on_words(again, setting.now, setting.zone)
            one = say("Leave them warm, and open another {on}: one flat bottle may be its cap alone.", on=on)
        return one, Urgency.WAIT if setting.now < again else Urgency.MEASURE, why
    return (*_standing(brew, setting, state), why)


def _why(age: Age, times: BottleTimes, now: datetime) -> str:
    share = [show(100 * end, 0) for end in (age.share.best, age.share.low, age.share.high)]
    words, chance = age.words, times.progress.chance(now)
    why = say(
        "{age}: {share} % of the gas is there ({low} to {high}).",
        age=capital(words),
        share=share[0],
        low=share[1],
        high=share[2],
    )
    if chance <= 1.0 - LEAST_SHOWN:
        why = say(
            "{why} The chance that they are carbonated today is {chance}.",
            why=why,
            chance=chance_words(chance),
        )
    cold = age.mean_c < _SLEEPS_C and age.share.best < 0.9
    return (
        say(
            "{why} Below {temp} ale yeast may stop, and goes on when it is warmed.",
            why=why,
            temp=say_amount(_SLEEPS_C, None, "°C"),
        )
        if cold
        else why
    )


def _too_cold(check: Check, why: str) -> Said:
    if check.warming_is_danger:
        words = say(
            "Too cold to carbonate, and better so: warmed, a bottle may hold too much. Keep them so; open one cold."
        )
        return words, Urgency.MEASURE, why
    words = say("Too cold to carbonate, not before they are warmed: bring them to 18 to 22 °C. Add no sugar.")
    return words, Urgency.ACT, why


def _opening(brew: Brew, setting: Setting, times: BottleTimes, check: Check) -> tuple[str, Urgency]:
    """Until a bottle was opened to see: wait, or open one."""
    early, day = check.early[1], times.open_at[1]
    if wants_early(brew, times, check) and early is not None and setting.now < (times.ready or early):
        if setting.now < early:
            on = on_words(early, setting.now, setting.zone)
            return say("Open one {on}, early and chilled, over a sink: it may become too much.", on=on), Urgency.WAIT
        return say("Chill one for a day, then open it early, over a sink: it may become too much."), Urgency.MEASURE
    if day is not None and setting.now < day:
        on = on_words(day, setting.now, setting.zone)
        if day - setting.now <= _CHILLS:
            return say("Chill one now, and open it {on}: is the fizz there?", on=on), Urgency.MEASURE
        return say("Leave them warm. Open one {on}, not before.", on=on), Urgency.WAIT
    return say("Chill one for a day, then open it: is the fizz there?"), Urgency.MEASURE


def _standing(brew: Brew, setting: Setting, state: Cellared) -> tuple[str, Urgency]:
    """Once a bottle was opened: to the cool, then to the glass."""
    times, now, zone, cool = state.times, setting.now, setting.zone, state.cool
    if not moved_since(brew, times) and cool is not None:
        if now < cool:
            until = coming_words(cool, now, zone)
            return say("Leave them warm until {until}, then move them to the cool.", until=until), Urgency.WAIT
        return say(
            "Move them to the cool, {cool}: they keep longer, and hold less pressure.", cool=_cool(state.keep_c)
        ), Urgency.ACT
    best_from = times.best_from[1]
    if best_from is not None and now < best_from:
        return say("Leave them. At their best from {day}.", day=day_words(best_from, now, zone)), Urgency.NOTHING
    return _drink(times, now, zone), Urgency.NOTHING


def _cool(keep_c: int | None) -> str:
    """How cool: as the trade has it, or as the rescue plan wants it where that is cooler."""
    below = _COOL_C if keep_c is None else min(_COOL_C, keep_c)
    return say("below {temp}", temp=say_amount(below, 0, "°C")) if below >= FRIDGE_C else say("as cold as in a fridge")


def _drink(times: BottleTimes, now: datetime, zone: tzinfo) -> str:
    if now <= times.best_to:
        return say("Drink them: at their best until {day}.", day=day_words(times.best_to, now, zone))
    if now <= times.drink_by:
        return say(
            "Drink them by {day}: past their best, not past drinking.",
            day=day_words(times.drink_by, now, zone),
        )
    return say("Drink them soon: past their best, not past drinking.")


def outside_bar(wanted: Asked, name: str = "altitude") -> float | None:
    """The pressure of the air at a height that was asked for [bar]; None where none was."""
    metres = wanted.number(name)
    if metres is None:
        return None
    label = say("Altitude") if name == "altitude" else wanted.label(name)
    return within(ambient_pressure_bar(metres), label, say("the air is not known there"), say("write −400 to 5000 m"))


def of_height(wanted: Asked, state: Cellared) -> tuple[list[Finding], list[Figure]]:
    """What a journey uphill adds: by the thinner air, and by the warmth of the way."""
    if state.outside is None:
        return [], []
    there, start = wanted.quantity("altitude"), outside_bar(wanted, "from_altitude")
    here_c = state.here.value
    way_c = wanted.number("temp")
    way_c = min(here_c + _WARMS_ON_THE_WAY_C, _WARMEST_C) if way_c is None else way_c
    gas = state.gas.total.best
    stands, up, warmed = (
        pressure_bar(gas, temp, bar).best for temp, bar in ((here_c, start), (here_c, state.outside),
                                                            (way_c, state.outside)))  # fmt: skip
    below = (
        say("than at the sea") if start is None else say("than at {metres} m", metres=wanted.quantity("from_altitude"))
    )
    # At one warmth the closed bottle holds what it held; only the air outside is less.
    text = say(
        "Up at {metres} m the air weighs less: the bottles push {up} harder outward {below}, and foam "
        "more when opened. At {way_c} on the way instead of {here_c} they push {warmed} harder besides: "
        "{then} in place of {stands}, all gas made.",
        metres=there,
        up=say_amount(up - stands, 2, "bar"),
        below=below,
        way_c=say_amount(way_c, 0, "°C"),
        here_c=say_amount(here_c, 0, "°C"),
        warmed=say_amount(warmed - up, 1, "bar"),
        then=say_amount(warmed, 1, "bar"),
        stands=say_amount(stands, 1, "bar"),
    )
    working = Working(
        say("gas shared between beer and headspace in a closed bottle, above the pressure of the air outside"),
        (*state.gas.givens, *wanted.given("altitude", "from_altitude"),
         Given(say("where they stand"), say_amount(here_c, 0, "°C"), Basis.RECKONED),
         Given(say("on the way"), say_amount(way_c, 0, "°C"), Basis.ASKED if "temp" in wanted else Basis.ASSUMED,
               "" if "temp" in wanted else say("ten degrees warmer than they stand"))),
        ("co2_mass_balance", "delange_2011", "standard_atmosphere", "common_practice"),
        (say("by the air {up}, by the warmth {warmed}", up=say_amount(up - stands, 2, "bar"),
             warmed=say_amount(warmed - up, 2, "bar")),),
    )  # fmt: skip
    figures = [
        figure("uphill", say("Harder, by the thinner air"), up - stands, BAR._replace(digits=2), working),
        figure("on_the_way", say("Harder, by the warmth of the way"), warmed - up, BAR, working),
    ]
    check = say("Chill them before the journey and before opening.")
    return [Finding(Urgency.NOTHING, text, check, key="altitude")], figures
