"""The one next thing to do with bottles: wait, open one, move them, or drink; and what a journey uphill adds."""

from __future__ import annotations

from datetime import datetime, timedelta, tzinfo

from gylebook.journal.state import Brew
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

MOVE = "Move them to the cool"
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
        words = f"Bring them to 20 °C for about {show(need, 0)} days; as they stand it takes until {until}"
        return f"{words}. Add no sugar.", Urgency.ACT, why
    if not opened_since(brew, times.carbonated[0]):
        return (*_opening(brew, setting, times, check), why)
    again = another_at(brew, times, check)
    if again is not None:
        one = "Open another, chilled: is it flat too? One may be its cap alone."
        if setting.now < again:
            on = on_words(again, setting.now, setting.zone)
            one = f"Leave them warm, and open another {on}: one flat bottle may be its cap alone."
        return one, Urgency.WAIT if setting.now < again else Urgency.MEASURE, why
    return (*_standing(brew, setting, state), why)


def _why(age: Age, times: BottleTimes, now: datetime) -> str:
    share = [show(100 * end, 0) for end in (age.share.best, age.share.low, age.share.high)]
    words, chance = age.words, times.progress.chance(now)
    why = f"{words[:1].upper()}{words[1:]}: {share[0]} % of the gas is there ({share[1]} to {share[2]})."
    if chance <= 1.0 - LEAST_SHOWN:
        why = f"{why} The chance that they are carbonated today is {chance_words(chance)}."
    cold = age.mean_c < _SLEEPS_C and age.share.best < 0.9
    return f"{why} Below {_SLEEPS_C:g} °C ale yeast may stop, and goes on when it is warmed." if cold else why


def _too_cold(check: Check, why: str) -> Said:
    if check.warming_is_danger:
        words = "Too cold to carbonate, and better so: warmed, a bottle may hold too much. Keep them so; open one cold"
        return f"{words}.", Urgency.MEASURE, why
    words = "Too cold to carbonate, not before they are warmed: bring them to 18 to 22 °C"
    return f"{words}. Add no sugar.", Urgency.ACT, why


def _opening(brew: Brew, setting: Setting, times: BottleTimes, check: Check) -> tuple[str, Urgency]:
    """Until a bottle was opened to see: wait, or open one."""
    early, day = check.early[1], times.open_at[1]
    if wants_early(brew, times, check) and early is not None and setting.now < (times.ready or early):
        if setting.now < early:
            on = on_words(early, setting.now, setting.zone)
            return f"Open one {on}, early and chilled, over a sink: it may become too much.", Urgency.WAIT
        return "Chill one for a day, then open it early, over a sink: it may become too much.", Urgency.MEASURE
    if day is not None and setting.now < day:
        on = on_words(day, setting.now, setting.zone)
        if day - setting.now <= _CHILLS:
            return f"Chill one now, and open it {on}: is the fizz there?", Urgency.MEASURE
        return f"Leave them warm. Open one {on}, not before.", Urgency.WAIT
    return "Chill one for a day, then open it: is the fizz there?", Urgency.MEASURE


def _standing(brew: Brew, setting: Setting, state: Cellared) -> tuple[str, Urgency]:
    """Once a bottle was opened: to the cool, then to the glass."""
    times, now, zone, cool = state.times, setting.now, setting.zone, state.cool
    if not moved_since(brew, times) and cool is not None:
        if now < cool:
            until = coming_words(cool, now, zone)
            return f"Leave them warm until {until}, then move them to the cool.", Urgency.WAIT
        return f"{MOVE}, {_cool(state.keep_c)}: they keep longer, and hold less pressure.", Urgency.ACT
    best_from = times.best_from[1]
    if best_from is not None and now < best_from:
        return f"Leave them. At their best from {day_words(best_from, now, zone)}.", Urgency.NOTHING
    return _drink(times, now, zone), Urgency.NOTHING


def _cool(keep_c: int | None) -> str:
    """How cool: as the trade has it, or as the rescue plan wants it where that is cooler."""
    below = _COOL_C if keep_c is None else min(_COOL_C, keep_c)
    return f"below {below} °C" if below >= FRIDGE_C else "as cold as in a fridge"


def _drink(times: BottleTimes, now: datetime, zone: tzinfo) -> str:
    if now <= times.best_to:
        return f"Drink them: at their best until {day_words(times.best_to, now, zone)}."
    if now <= times.drink_by:
        return f"Drink them by {day_words(times.drink_by, now, zone)}: past their best, not past drinking."
    return "Drink them soon: past their best, not past drinking."


def outside_bar(wanted: Asked, name: str = "altitude") -> float | None:
    """The pressure of the air at a height that was asked for [bar]; None where none was."""
    metres = wanted.number(name)
    if metres is None:
        return None
    label = "Altitude" if name == "altitude" else wanted.label(name)
    return within(ambient_pressure_bar(metres), label, "the air is not known there", "write −400 to 5000 m")


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
    below = "than at the sea" if start is None else f"than at {wanted.quantity('from_altitude')} m"
    # At one warmth the closed bottle holds what it held; only the air outside is less.
    text = (
        f"Up at {there} m the air weighs less: the bottles push {show(up - stands, 2)} bar harder outward {below}, and "
        f"foam more when opened. At {show(way_c, 0)} °C on the way instead of {show(here_c, 0)} they push "
        f"{show(warmed - up, 1)} bar harder besides: {show(warmed, 1)} bar in place of {show(stands, 1)}, all gas made."
    )
    working = Working(
        "gas shared between beer and headspace in a closed bottle, above the pressure of the air outside",
        (*state.gas.givens, *wanted.given("altitude", "from_altitude"),
         Given("where they stand", f"{show(here_c, 0)} °C", Basis.RECKONED),
         Given("on the way", f"{show(way_c, 0)} °C", Basis.ASKED if "temp" in wanted else Basis.ASSUMED,
               "" if "temp" in wanted else "ten degrees warmer than they stand")),
        ("co2_mass_balance", "delange_2011", "standard_atmosphere", "common_practice"),
        (f"by the air {show(up - stands, 2)} bar, by the warmth {show(warmed - up, 2)} bar",),
    )  # fmt: skip
    figures = [
        figure("uphill", "Harder, by the thinner air", up - stands, BAR._replace(digits=2), working),
        figure("on_the_way", "Harder, by the warmth of the way", warmed - up, BAR, working),
    ]
    check = "Chill them before the journey and before opening."
    return [Finding(Urgency.NOTHING, text, check, key="altitude")], figures
