"""Keeping a thing of the shelf anew: under another name, and never over another thing without asking."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any, Literal

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Shelf
from gylebook.phrases import say
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.shelf_lines import name_of

Thing = Literal["kit", "instrument", "vessel", "place", "bottles", "stock"]

_TABLES: dict[Thing, str] = {
    "kit": "kits",
    "instrument": "instruments",
    "vessel": "vessels",
    "place": "places",
    "bottles": "bottles",
    "stock": "stock",
}


def held(shelf: Shelf, thing: Thing) -> Mapping[str, Any]:
    """Everything of one sort on the shelf, by name."""
    found: Mapping[str, Any] = getattr(shelf, _TABLES[thing])
    return found


def changing(act: Act, thing: Thing, was: str = "") -> Act:
    """An act that keeps a thing, made to know which one it changes.

    Parameters
    ----------
    act
        The act that keeps things of this sort; its first field is the name.
    thing
        Which sort.
    was
        The name under which it is kept so far; empty for a new one.

    Returns
    -------
    Act
        As `act`, but a name that belongs to another thing is asked about, and the old name goes when it was changed.
    """
    naming = act.fields[0]

    def decide(shelf: Shelf, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
        decision = act.decide(shelf, values, at, setting)
        name, table = name_of(values, naming.name, naming.label), held(shelf, thing)
        if name == was:
            return decision
        if name in table and naming.name not in setting.confirmed:
            raise InputError(
                naming.label,
                say("“{name}” is on the shelf already", name=name),
                say("choose another name, or confirm that this one takes its place"),
            )
        if was not in table:
            return decision
        return replace(decision, events=(*decision.events, (at, ev.Forgotten(thing=thing, name=was))))

    return replace(act, decide=decide)
