"""Keeping hydrometers and vessels: a check in water, and what each mark really holds."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Shelf
from gylebook.phrases import say
from gylebook.science.hydrometer import reading_sg
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import CHOICE, LONG_TEXT, QUANTITY, Field
from gylebook.steps.readings import latest_first
from gylebook.steps.shelf_lines import (
    MARKS_HINT,
    name_field,
    name_of,
    read_marks,
)
from gylebook.steps.warmth import celsius
from gylebook.units import Quantity, show


def _keep_instrument(shelf: Shelf, values: Mapping[str, Any], at: datetime, _setting: Setting) -> Decision:
    name = name_of(values)
    shown: Quantity | None = values.get("shows_in_water")
    ref: Quantity | None = values.get("ref_temp")
    what: Any = values.get("what") or "hydrometer"
    offset = _offset(shown, values.get("water_temp"), ref) if shown is not None and what == "hydrometer" else None
    event = ev.InstrumentKept(name=name, what=what, ref_temp=ref, offset=offset, step=values.get("step"))
    found = []
    if offset is not None and abs(offset.number()) > 0.005:
        found.append(
            Finding(
                Urgency.MEASURE,
                say(
                    "It is {points} points out in plain water: the paper scale may have slipped, and may slip again.",
                    points=show(1000 * offset.number(), 1),
                ),
                say("Check it in water again next week."),
                key="slipped",
            )
        )
    if what == "hydrometer" and ref is None:
        found.append(
            Finding(
                Urgency.NOTHING,
                say("Its scale is taken as a 20 °C one."),
                say("What temperature is printed on it, 20 or 15.6 °C?"),
                key="ref_unknown",
            )
        )
    before = shelf.instruments.get(name)
    if before is not None and before.offset is not None and shown is None:
        found.append(
            Finding(
                Urgency.NOTHING,
                say("Its earlier check in water no longer counts; nothing was written for it now."),
                key="check_gone",
            )
        )
    return Decision(((at, event),), latest_first(tuple(found)))


def _offset(shown: Quantity, water_temp: Quantity | None, ref: Quantity | None) -> Quantity:
    """What it shows in plain water less what a true one would show there."""
    ref_c = celsius(ref) if ref is not None else 20.0
    temp_c = celsius(water_temp) if water_temp is not None else ref_c
    true = float(reading_sg(1.0, temp_c, ref_c))
    if true != true:  # noqa: PLR0124 - NaN is the only value unequal to itself
        raise InputError(
            say("Water was at"),
            say("{water_temp} is no temperature to check at", water_temp=water_temp),
            say("use water of about 20 °C"),
        )
    return Quantity(f"{shown.number() - true:.4f}", "SG")


KEEP_INSTRUMENT = Act(
    "keep_instrument",
    say("Keep an instrument"),
    "shelf",
    (
        name_field(say("the long hydrometer")),
        Field(
            "what",
            say("What it is"),
            CHOICE,
            choices=(
                ("hydrometer", say("hydrometer")),
                ("thermometer", say("thermometer")),
                ("scale", say("scale")),
            ),
            default="hydrometer",
            reason=say("the one whose scale matters most"),
        ),
        Field(
            "ref_temp",
            say("Temperature printed on its scale"),
            QUANTITY,
            ("temperature",),
            possible=(10.0, 30.0),
            default="20 °C",
            reason=say("the commonest; older ones say 15.6 °C or 60 °F"),
        ),
        Field(
            "shows_in_water", say("Shows in plain water"), QUANTITY, ("gravity",), possible=(0.98, 1.02), hint="1.000"
        ),
        Field(
            "water_temp",
            say("Water was at"),
            QUANTITY,
            ("temperature",),
            possible=(1.0, 40.0),
            reason=say("the temperature printed on its scale"),
        ),
        Field("step", say("Smallest step of its scale"), QUANTITY, ("gravity", "temperature", "mass"), hint="0.002"),
    ),
    _keep_instrument,
    (say("A hydrometer is thin glass: keep it in its tube, and read it out of the tube."),),
    about=say("Float it in plain water once, and again when a reading looks wrong."),
)


def _keep_vessel(_shelf: Shelf, values: Mapping[str, Any], at: datetime, _setting: Setting) -> Decision:
    capacity: Quantity | None = values.get("capacity")
    marks = read_marks(values.get("marks") or "", say("Marks"))
    if capacity is not None:
        holds = capacity.to("L", "volume")
        over = next((m for m in marks if m.holds.to("L", "volume") > 1.1 * holds), None)
        if over is not None:
            raise InputError(
                say("Marks"),
                say("the mark of {mark} holds more than the vessel's {capacity}", mark=over.mark, capacity=capacity),
                say("check which is right"),
            )
    event = ev.VesselKept(
        name=name_of(values),
        what=values.get("what") or "fermenter",
        capacity=capacity,
        marks=marks,
        trub_loss=values.get("trub_loss"),
    )
    found = (
        ()
        if marks
        else (
            Finding(
                Urgency.NOTHING,
                say("Its marks are taken as read, half a litre either way."),
                say("Fill it once by a one-litre jug or on a scale, and write what each mark holds."),
                key="no_marks",
            ),
        )
    )
    return Decision(((at, event),), found)


KEEP_VESSEL = Act(
    "keep_vessel",
    say("Keep a vessel"),
    "shelf",
    (
        name_field(say("the white bucket")),
        Field(
            "what",
            say("What it is"),
            CHOICE,
            choices=(("fermenter", say("fermenter")), ("bottling bucket", say("bottling bucket"))),
            default="fermenter",
            reason=say("the commoner one"),
        ),
        Field("capacity", say("Holds to the brim"), QUANTITY, ("volume",), possible=(1.0, 2000.0), usual=(5.0, 120.0)),
        Field("marks", say("Marks"), LONG_TEXT, hint=MARKS_HINT),
        Field(
            "trub_loss",
            say("Stays behind under tap and siphon"),
            QUANTITY,
            ("volume",),
            possible=(0.0, 20.0),
            reason=say("1.4 L where nothing is written"),
        ),
    ),
    _keep_vessel,
    (),
    about=say("Half a litre wrong on a bucket's mark is a gravity point; a jug and ten minutes mend it for good."),
)
