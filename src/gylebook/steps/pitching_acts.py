"""Writing down the yeast, and what is done to a fermenting brew: roused, moved, something added."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import say, say_amount
from gylebook.science.yeast import PITCH_KILL_C, PITCH_STRESS_C
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.bottle_kinds import GLASS_CAUTIONS
from gylebook.steps.bottle_place import CARRY, moved_findings
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import CHOICE, DATE, QUANTITY, TEXT, Field
from gylebook.steps.materials import choices as material_choices
from gylebook.steps.materials import material_named, plain_name
from gylebook.steps.readings import latest_first
from gylebook.steps.volumes import start_l
from gylebook.steps.warm_days import yeast_kind
from gylebook.steps.warmth import celsius, place_range_c
from gylebook.steps.what_if import with_entry
from gylebook.steps.yeast_dose import is_tenfold
from gylebook.units import show

CAUTIONS = (
    say("Sanitise scissors, sachet and spoon; splash air in before the yeast, never after."),
    say("Fermentation gives off carbon dioxide: ventilate cupboards, cellars, small rooms; never lean into a chest."),
)
_SLOW_C = {"ale": 15.0, "wheat": 15.0, "lager": 7.0}
_HOT_ROOM_C = {"ale": 26.0, "wheat": 27.0, "lager": 18.0}


def _pitch(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    mass = values.get("mass")
    volume = start_l(brew, setting.shelf)
    if mass is not None and is_tenfold(mass.to("g", "mass"), volume.value) and "mass" not in setting.confirmed:
        dose = mass.to("g", "mass") / volume.value
        raise InputError(
            say("Dry yeast"),
            say(
                "{mass} in {volume} is {dose} g/L, some ten times what instruction sheets print",
                mass=mass,
                volume=say_amount(volume.value, 0, "L"),
                dose=show(dose, 0),
            ),
            say("check grams and litres, and confirm it if it is true"),
        )
    event = ev.Pitched(
        yeast=values.get("yeast") or "",
        mass=mass,
        kind=values.get("kind") or "",
        best_before=values.get("best_before"),
        how=values.get("how") or "",
        temp=values.get("temp"),
    )
    return Decision(((at, event),), _pitch_findings(event))


def _pitch_findings(event: ev.Pitched) -> tuple[Finding, ...]:
    if event.temp is None:
        return ()
    temp = celsius(event.temp)
    if temp >= PITCH_KILL_C:
        return (
            Finding(
                Urgency.ACT,
                say(
                    "At {temp} part or all of the yeast may die. Cool it, and keep fresh yeast ready.", temp=event.temp
                ),
                say("Stand it in cold water now."),
                key="hot_pitch",
            ),
        )
    if temp > PITCH_STRESS_C:
        return (
            Finding(
                Urgency.ACT,
                say(
                    "{temp} is warm for the yeast, not deadly: cool it to 20 °C within half a day; the first one or "
                    "two days set the taste.",
                    temp=event.temp,
                ),
                say("Stand it in cold water with a wet towel."),
                key="hot_pitch",
            ),
        )
    return ()


PITCH = Act(
    "pitch",
    say("Pitch the yeast"),
    "pitching",
    (
        Field("yeast", say("Yeast"), TEXT, reason=say("the kit's")),
        Field("mass", say("Dry yeast"), QUANTITY, ("mass",), possible=(0.1, 5000.0), usual=(2.0, 500.0), hint="11 g"),
        Field(
            "kind",
            say("Kind of yeast"),
            CHOICE,
            choices=(("ale", say("ale")), ("lager", say("lager")), ("wheat", say("wheat")), ("other", say("other"))),
        ),
        Field("best_before", say("Date on the sachet"), DATE),
        Field(
            "how",
            say("How"),
            CHOICE,
            choices=(
                ("sprinkled", say("sprinkled dry")),
                ("rehydrated", say("woken in water")),
                ("liquid", say("liquid yeast")),
            ),
        ),
        Field("temp", say("Wort now"), QUANTITY, ("temperature",), possible=(0.0, 105.0), usual=(2.0, 45.0)),
    ),
    _pitch,
    CAUTIONS,
    about=say("The moment alone is enough; the wort's temperature is the most useful of the rest."),
)


def _rouse(brew: Brew, values: Mapping[str, Any], at: datetime, _setting: Setting) -> Decision:
    event = ev.Roused(how=values.get("how") or "")
    found = []
    if not any(k.at <= at for k in brew.all(ev.Pitched)):
        found.append(
            Finding(Urgency.WAIT, say("No yeast is written before this."), say("When was it pitched?"), key="no_yeast")
        )
    return Decision(((at, event),), tuple(found))


ROUSE = Act(
    "rouse",
    say("Rouse the yeast"),
    "pitching",
    (Field("how", say("How"), TEXT, hint=say("swirled with the lid closed; warmed")),),
    _rouse,
    (say("Swirl it closed: no air may come in now, and foam can rise quickly."),),
)


def _move(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    place = values.get("place") or ""
    if not place:
        raise InputError(say("To"), say("no place was written"), say("write where it stands now, such as garage"))
    event = ev.Moved(place=place, temp=values.get("temp"))
    found = _place_findings(brew, setting, event, at)
    if any(kept.at <= at for kept in brew.all(ev.Bottled)):
        found += moved_findings(with_entry(brew, at, event), setting)
    return Decision(((at, event),), latest_first(tuple(found)))


def _place_findings(brew: Brew, setting: Setting, event: ev.Moved, at: datetime) -> list[Finding]:
    month = at.astimezone(setting.zone).month
    span = place_range_c(setting.shelf, event.place, month)
    if span is None:
        known = event.place in setting.shelf.places
        return [
            Finding(
                Urgency.NOTHING,
                say("How warm “{place}” is in this month is not written on the shelf.", place=event.place)
                if known
                else say("How warm “{place}” is is not written on the shelf.", place=event.place),
                say("What are its lowest and highest temperatures?"),
                key="place_unknown",
            )
        ]
    if brew.stage not in {"mixed", "fermenting"}:
        return []
    kind = yeast_kind(brew)
    low, high = span
    found = []
    if low < _SLOW_C.get(kind, 15.0):
        found.append(
            Finding(
                Urgency.WAIT,
                say(
                    "{place} goes down to {low} in this month: the yeast slows or sleeps, and a stalled beer looks "
                    "finished.",
                    place=event.place,
                    low=say_amount(low, 0, "°C"),
                ),
                say("Is there a warmer place until it is done?"),
                key="cold_place",
            )
        )
    if high > _HOT_ROOM_C.get(kind, 26.0):
        found.append(
            Finding(
                Urgency.WAIT,
                say(
                    "{place} goes up to {high} in this month, and a fermenting vessel is warmer still.",
                    place=event.place,
                    high=say_amount(high, 0, "°C"),
                ),
                say("Is there a cooler place for the first days?"),
                key="hot_place",
            )
        )
    return found


_CARRIED = (CARRY, *GLASS_CAUTIONS[:2])
_MOVE = Act(
    "move",
    say("Move it"),
    "pitching",
    (
        Field("place", say("To"), TEXT, required=True, hint=say("garage")),
        Field(
            "temp", say("How warm it is there"), QUANTITY, ("temperature",), possible=(-30.0, 60.0), usual=(-5.0, 40.0)
        ),
    ),
    _move,
    (say("A full bucket weighs more than 24 kg: two carry it, or it is racked there."),),
    about=say(
        "Once it is in bottles, conditioning answers: the pressure in that place, and whether they are fit for it."
    ),
)
MOVE = replace(
    _MOVE, bottled=replace(_MOVE, words=say("Move the bottles"), step="conditioning", cautions=_CARRIED, about="")
)


def _add(brew: Brew, values: Mapping[str, Any], at: datetime, _setting: Setting) -> Decision:
    what = values.get("what") or ""
    if not what:
        raise InputError(say("What"), say("nothing was written"), say("write what went in"))
    purpose: Any = values.get("purpose") or "other"
    material = values.get("material") or ""
    if purpose == "fermentable" and not material:
        material = material_named(what) or ""
        if not material:
            raise InputError(
                say("Material"),
                say("“{what}” is no material that is known here", what=what[:40]),
                say("choose the one it is nearest to"),
            )
    event = ev.Added(what=what, mass=values.get("mass"), purpose=purpose, material=material)
    return Decision(((at, event),), tuple(_added_findings(brew, event, at)))


def _added_findings(brew: Brew, event: ev.Added, at: datetime) -> list[Finding]:
    if event.purpose != "fermentable":
        return []
    found = []
    if event.mass is None:
        found.append(
            Finding(
                Urgency.MEASURE,
                say("Without its weight the gravities can no longer be reckoned."),
                say("How much {material} was it?", material=plain_name(event.material)),
                key="no_mass",
            )
        )
    if any(k.at <= at for k in brew.all(ev.Pitched)):
        found.append(
            Finding(
                Urgency.WAIT,
                say("Sugar added now ferments too: what the readings said about being finished counts no longer."),
                say("Read again in some days."),
                key="reopened",
            )
        )
    return found


ADD = Act(
    "add",
    say("Add something"),
    "pitching",
    (
        Field("what", say("What"), TEXT, required=True, hint=say("sugar, finings, nutrient, orange peel")),
        Field("mass", say("How much"), QUANTITY, ("mass",), possible=(0.0, 50_000.0)),
        Field(
            "purpose",
            say("As"),
            CHOICE,
            default="other",
            reason=say("nothing that ferments"),
            choices=(
                ("fermentable", say("something that ferments")),
                ("finings", say("finings")),
                ("nutrient", say("nutrient")),
                ("flavour", say("flavour")),
                ("other", say("something else")),
            ),
        ),
        Field("material", say("Material"), CHOICE, choices=material_choices()),
    ),
    _add,
    (),
    about=say("Not for hops, yeast or priming sugar: each has its own entry."),
)
