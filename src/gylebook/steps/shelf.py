"""The shelf: kits, instruments, vessels, places, bottles, stock and settings, entered once.

An entry under a name that is already there takes the old one's place; the old one stays readable in the journal.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

from gylebook.errors import InputError, NotFound
from gylebook.journal import events as ev
from gylebook.journal.state import Shelf
from gylebook.phrases import joined, say
from gylebook.steps.chosen import COUNTRIES, LANGUAGES, UNIT_SETS, units_of_set
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import CHOICE, TEXT, Field
from gylebook.steps.shelf_gear import KEEP_INSTRUMENT, KEEP_VESSEL
from gylebook.steps.shelf_kit import KEEP_KIT, texts_of_kit
from gylebook.steps.shelf_lessons import KEEP_LESSONS
from gylebook.steps.shelf_lines import (
    marks_text,
    months_text,
    name_field,
    name_of,
)
from gylebook.steps.shelf_spell import WARM_SPELL
from gylebook.steps.shelf_stores import KEEP_BOTTLES, KEEP_PLACE, KEEP_STOCK
from gylebook.units import Quantity, units_of

_THING_WORDS = {
    "kit": say("kit"),
    "instrument": say("instrument"),
    "vessel": say("vessel"),
    "place": say("place"),
    "bottles": say("bottles"),
    "stock": say("stock"),
    "warm weather": say("warm weather"),
}
THINGS = tuple(_THING_WORDS)


def _units(*dimensions: str) -> tuple[tuple[str, str], ...]:
    return tuple((unit.symbol, unit.label or unit.symbol) for d in dimensions for unit in units_of(d))


def _keep_settings(shelf: Shelf, values: Mapping[str, Any], at: datetime, _setting: Setting) -> Decision:
    given = {
        key: value
        for key, value in values.items()
        if value not in {None, ""} and key in ev.SettingsKept.__struct_fields__
    }
    if values.get("units"):
        before = {name: getattr(shelf.settings, name) for name in ev.SettingsKept.__struct_fields__}
        given |= units_of_set(values["units"], given, before)
    if not given:
        raise InputError(say("Settings"), say("nothing was written"), say("change at least one of them"))
    zone = given.get("time_zone")
    if zone is not None and zone not in available_timezones():
        raise InputError(
            say("Time zone"),
            say("“{zone}” is no time zone", zone=str(zone)[:40]),
            say("write it such as Europe/London"),
        )
    if zone is not None:
        ZoneInfo(str(zone))
    return Decision(((at, ev.SettingsKept(**given)),))


KEEP_SETTINGS = Act(
    "keep_settings",
    say("Change how the book speaks"),
    "shelf",
    (
        Field("language", say("Language"), CHOICE, choices=LANGUAGES),
        Field(
            "units",
            say("All units of"),
            CHOICE,
            choices=UNIT_SETS,
            hint=say("volumes, weights, temperatures and pressures at once; a single one that you change stands"),
        ),
        Field("volume", say("Volumes in"), CHOICE, choices=_units("volume")),
        Field("mass", say("Weights in"), CHOICE, choices=_units("mass")),
        Field("temperature", say("Temperatures in"), CHOICE, choices=_units("temperature")),
        Field("gravity", say("Gravities in"), CHOICE, choices=_units("gravity", "extract")),
        Field("pressure", say("Pressures in"), CHOICE, choices=_units("pressure")),
        Field("co2", say("Fizz in"), CHOICE, choices=_units("co2")),
        Field("time_zone", say("Time zone"), TEXT, hint="Europe/London"),
        Field(
            "country",
            say("Whose labels and limits"),
            CHOICE,
            choices=COUNTRIES,
        ),
        Field("brewer", say("Brewer's name on labels"), TEXT),
        Field("currency", say("Currency"), TEXT, hint="£"),
    ),
    _keep_settings,
    about=say("What is left empty stays as it was."),
)

_TABLES = {"kit": "kits", "instrument": "instruments", "vessel": "vessels", "place": "places", "bottles": "bottles",
           "stock": "stock", "warm weather": "spells"}  # fmt: skip


def _forget(shelf: Shelf, values: Mapping[str, Any], at: datetime, _setting: Setting) -> Decision:
    thing: Any = values.get("thing") or ""
    if thing not in THINGS:
        known = joined(", ", _THING_WORDS.values())
        raise InputError(say("What"), say("nothing was chosen"), say("choose one of {known}", known=known))
    name = name_of(values)
    table: Mapping[str, object] = getattr(shelf, _TABLES[thing])
    if name not in table:
        known = joined(", ", table) or say("none")
        raise NotFound(
            say(
                "There is no {thing} called “{name}” on the shelf; there are: {known}.",
                thing=_THING_WORDS[thing],
                name=name,
                known=known,
            )
        )
    return Decision(((at, ev.Forgotten(thing=thing, name=name)),))


FORGET = Act(
    "forget",
    say("Take something off the shelf"),
    "shelf",
    (
        Field("thing", say("What"), CHOICE, required=True, choices=tuple(_THING_WORDS.items())),
        name_field(say("as it is called on the shelf")),
    ),
    _forget,
    about=say("Brews that used it keep what they knew of it."),
)

SHELF_ACTS: tuple[Act, ...] = (
    KEEP_KIT, KEEP_INSTRUMENT, KEEP_VESSEL, KEEP_PLACE, KEEP_BOTTLES, KEEP_STOCK, KEEP_SETTINGS, KEEP_LESSONS,
    WARM_SPELL, FORGET,
)  # fmt: skip


def act_for(name: str) -> Act:
    """The shelf's act of that name.

    Raises
    ------
    NotFound
        When there is none.
    """
    for act in SHELF_ACTS:
        if act.name == name:
            return act
    raise NotFound(
        say(
            "The shelf has no act called “{name}”; it has {known}.",
            name=name,
            known=", ".join(act.name for act in SHELF_ACTS),
        )
    )


def texts_of_thing(thing: object) -> dict[str, str]:
    """What is kept of a thing, as the texts its act's fields would have been given; for a form to begin from."""
    if isinstance(thing, ev.Kit):
        return texts_of_kit(thing)
    found: dict[str, str] = {}
    for name in getattr(thing, "__struct_fields__", ()):
        value = getattr(thing, name)
        if name == "marks":
            found[name] = marks_text(value)
        elif name == "months":
            found[name] = months_text(value)
        elif isinstance(value, date):
            found[name] = value.isoformat()
        elif value is not None:
            found[name] = str(value)
    offset = found.pop("offset", "")
    if offset:
        found["shows_in_water"] = f"{1 + Quantity(offset.split()[0], 'SG').number():.4f}"
    return {name: text for name, text in found.items() if text}
