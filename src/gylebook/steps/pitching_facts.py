"""What is known of a wort and its yeast: temperature now, surroundings, dose; each with where it comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import say, say_amount, say_range
from gylebook.science.cooling import temp_after_c, time_constant_estimate_h
from gylebook.science.yeast import PITCH_AT_C
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.asked import CELSIUS, Asked, figure
from gylebook.steps.decision import Setting
from gylebook.steps.fields import CHOICE, DATE, QUANTITY, Field
from gylebook.steps.gravity import original_gravity
from gylebook.steps.moments import span_words
from gylebook.steps.volumes import start_l
from gylebook.steps.warm_days import yeast_kind
from gylebook.steps.warmth import BEER, beer_temp_c, celsius, place_at, place_range_c
from gylebook.steps.warmth import log as temperature_log
from gylebook.steps.yeast_dose import Yeast, yeast_for
from gylebook.units import show

_ROOM_C, _ROOM_SD_C = 19.0, 3.0
_LAGER_C = (10.0, 15.0)
_Z90 = 1.645

_TEMP = Field("temp", say("Wort now"), QUANTITY, ("temperature",), possible=(0.0, 105.0), usual=(2.0, 60.0),
              reason=say("the last reading, cooled since"))  # fmt: skip
_ROOM = Field("room", say("Room, or bath it stands in"), QUANTITY, ("temperature",), possible=(-10.0, 45.0),
              reason=say("the place's own range this month"))  # fmt: skip
_MASS = Field("mass", say("Dry yeast"), QUANTITY, ("mass",), possible=(0.1, 1000.0), usual=(2.0, 200.0),
              reason=say("the kit's sachet"))  # fmt: skip
_KIND = Field("kind", say("Kind of yeast"), CHOICE, choices=(("ale", say("ale")), ("lager", say("lager")),
              ("wheat", say("wheat")), ("other", say("other"))), reason=say("the kit's"))  # fmt: skip
_BEST_BEFORE = Field("best_before", say("Date on the sachet"), DATE)
ASK = (_TEMP, _ROOM, _MASS, _KIND, _BEST_BEFORE)


@dataclass(frozen=True, slots=True)
class Wort:
    """What is to be pitched into, or was."""

    temp: Figure | None
    room: Figure
    range_c: tuple[float, float]
    yeast: Yeast
    og_sg: float
    volume: Figure
    assumed: tuple[str, ...]
    room_assumed: int  # how many of `assumed` are about the surroundings, which matter only before pitching


def wort_of(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> Wort:
    """Everything the answers on pitching look at."""
    wanted = Asked(ASK, asked)
    asked_best: date | None = asked.get("best_before")
    volume = start_l(brew, setting.shelf)
    last = brew.last(ev.Pitched)
    kit = brew.plan.kit
    mass = wanted.quantity("mass") or (last.event.mass if last else None) or (kit.yeast_mass if kit else None)
    best = asked_best or (last.event.best_before if last else None) or (kit.best_before if kit else None)
    kind = wanted.word("kind") or yeast_kind(brew)
    yeast = yeast_for(mass, kind, best, volume, setting.now.astimezone(setting.zone).date())
    room, told = _room(brew, setting, wanted)
    assumed = list(told)
    if mass is None:
        assumed.append(
            say("the yeast is a sachet of {mass}, as under most kits' lids", mass=say_amount(yeast.mass_g, 0, "g"))
        )
    og = original_gravity(brew, setting.shelf).value
    temp = _temp_now(brew, setting, wanted, room, volume)
    return Wort(temp, room, _range(brew, kind), yeast, og, volume, tuple(assumed), len(told))


def _range(brew: Brew, kind: str) -> tuple[float, float]:
    """Temperatures to pitch at."""
    kit = brew.plan.kit
    if kit is not None and kit.temp_from is not None and kit.temp_to is not None:
        return celsius(kit.temp_from), celsius(kit.temp_to)
    return _LAGER_C if kind == "lager" else PITCH_AT_C


def _room(brew: Brew, setting: Setting, wanted: Asked) -> tuple[Figure, tuple[str, ...]]:
    asked = wanted.number("room")
    if asked is not None:
        working = Working(say("as asked"), wanted.given("room"))
        return figure("room", say("Surroundings"), asked, CELSIUS, working, spread=1.0), ()
    place = place_at(brew, setting.now)
    span = place_range_c(setting.shelf, place, setting.now.astimezone(setting.zone).month)
    if span is not None:
        given = Given(say("place"), say_range(span[0], span[1], 0, "°C"), Basis.ASSUMED, place)
        mid = sum(span) / 2
        return figure(
            "room",
            say("Surroundings"),
            mid,
            CELSIUS,
            Working(say("the place's range"), (given,)),
            low=span[0],
            high=span[1],
        ), ()
    given = Given(say("room"), say_amount(_ROOM_C, None, "°C"), Basis.ASSUMED, say("an ordinary room"))
    found = figure(
        "room", say("Surroundings"), _ROOM_C, CELSIUS, Working(say("assumed"), (given,)), spread=_Z90 * _ROOM_SD_C
    )
    return found, (
        say("it stands at about {temperature}, an ordinary room", temperature=say_amount(_ROOM_C, None, "°C")),
    )


def _temp_now(brew: Brew, setting: Setting, wanted: Asked, room: Figure, volume: Figure) -> Figure | None:
    """The wort's temperature now: as asked, or the last reading cooled since; None where none was ever read."""
    asked = wanted.number("temp")
    if asked is not None:
        return figure(
            "temp", say("Wort now"), asked, CELSIUS, Working(say("as asked"), wanted.given("temp")), spread=0.5
        )
    if brew.all(ev.Pitched):
        return beer_temp_c(brew, setting.shelf, setting.now)
    seen = [w for w in temperature_log(brew, setting.shelf) if w.of == BEER and w.at <= setting.now]
    if not seen:
        return None
    last = seen[-1]
    hours = (setting.now - last.at) / timedelta(hours=1)
    tau = time_constant_estimate_h(min(max(volume.value, 1.0), 100.0))
    ends = [
        float(temp_after_c(last.temp_c, surroundings, constant, hours))
        for surroundings in (room.low, room.high)
        for constant in (float(tau.low), float(tau.high))
    ]
    value = float(temp_after_c(last.temp_c, room.value, float(tau.best), hours))
    working = Working(
        say("Newton's law of cooling from the last reading"),
        (
            Given(say("last read"), say_amount(last.temp_c, 1, "°C"), last.basis, last.where, last.seq),
            Given(say("surroundings"), room.text(), Basis.ASSUMED),
            Given(say("time since"), span_words(setting.now - last.at), Basis.RECKONED),
        ),
        ("newton_cooling", "vessel_cooling_estimate"),
        (
            say(
                "time constant {best} h ({low} to {high} h)",
                best=show(float(tau.best), 0),
                low=show(float(tau.low), 0),
                high=show(float(tau.high), 0),
            ),
        ),
    )
    return figure(
        "temp", say("Wort now"), value, CELSIUS, working, low=min(*ends, value) - 0.5, high=max(*ends, value) + 0.5
    )
