"""What an act asks for, as data: for a form on a phone, and as JSON Schema for the description of the API."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from msgspec import Struct

from gylebook.outputs.wording import Preferences, bare_unit
from gylebook.steps.decision import Act
from gylebook.steps.fields import CHOICE, COUNT, DATE, FLAG, LONG_TEXT, MOMENT, QUANTITY, Field
from gylebook.steps.sums_fields import POSSIBLE_SG
from gylebook.units import units_of
from gylebook.web.asked import YES_OR_NO
from gylebook.web.brews.writing import AT_ONCE, FEW

_LONGEST, _LONGEST_LINES = 300, 20_000


class Choice(Struct, frozen=True):
    """What is sent, and how it is called."""

    value: str
    words: str


class FieldTold(Struct, frozen=True):
    """One thing that an act asks for.

    `unit` is that of a number without one, the first of `units` the one in which `possible` and `usual` are; outside
    `possible` a value is refused, outside `usual` it is asked about. A gravity is kept however odd, as it was read, so
    its `usual` is what a phone should ask about while the hydrometer is still at hand. `at_once` stands open on the
    page; `offers` are names from the shelf.
    """

    name: str
    label: str
    kind: str
    required: bool
    units: tuple[str, ...]
    unit: str
    possible: tuple[float, float] | None
    usual: tuple[float, float] | None
    choices: tuple[Choice, ...]
    default: str
    reason: str
    hint: str
    at_once: bool
    offers: tuple[str, ...] = ()


class ActTold(Struct, frozen=True):
    """One thing that can be written down, with its cautions."""

    name: str
    words: str
    step: str
    about: str
    cautions: tuple[str, ...]
    fields: tuple[FieldTold, ...]


def act_told(act: Act, measures: Preferences, offers: Mapping[str, tuple[str, ...]]) -> ActTold:
    """An act with its fields."""
    open_names = AT_ONCE.get(act.name, tuple(field.name for field in act.fields[:FEW]))
    return ActTold(
        act.name,
        act.words,
        act.step,
        act.about,
        act.cautions,
        tuple(
            field_told(field, measures, offers.get(field.name, ()), at_once=field.required or field.name in open_names)
            for field in act.fields
        ),
    )


def field_told(field: Field, measures: Preferences, offers: tuple[str, ...], *, at_once: bool) -> FieldTold:
    """A field."""
    return FieldTold(
        field.name,
        field.label,
        field.kind,
        field.required,
        _units(field),
        bare_unit(field, measures) or "",
        field.possible,
        field.usual or (POSSIBLE_SG if field.dimensions[:1] == ("gravity",) else None),
        tuple(Choice(value, words) for value, words in _choices(field)),
        field.default,
        field.reason,
        field.hint,
        at_once,
        offers,
    )


def field_schema(field: Field) -> dict[str, Any]:
    """The JSON Schema of a field's text. What the text means is read by the book, as on the page."""
    told: dict[str, Any] = {"type": "string", "title": field.label, "description": _described(field)}
    told["maxLength"] = _LONGEST_LINES if field.kind == LONG_TEXT else _LONGEST
    choices = [value for value, _ in _choices(field)]
    if choices:
        told["examples"] = choices
    if field.default:
        told["default"] = field.default
    return told


def _described(field: Field) -> str:
    kinds = {
        QUANTITY: "a number with or without its unit",
        COUNT: "a whole number",
        DATE: "a day, such as 2026-11-03",
        MOMENT: "a moment with its zone",
        FLAG: "yes or no",
        CHOICE: f"one of: {', '.join(value for value, _ in field.choices)}",
        LONG_TEXT: "text of several lines",
    }
    parts = [kinds.get(field.kind, "text"), field.hint]
    if _units(field):
        parts.append(f"in {', '.join(_units(field))}")
    if field.possible:
        parts.append(f"from {field.possible[0]:g} to {field.possible[1]:g} {(*_units(field), '')[0]}".rstrip())
    if field.usual:
        parts.append(f"asked about outside {field.usual[0]:g} to {field.usual[1]:g}")
    if field.default and field.reason:
        parts.append(f"left out, {field.default} is taken: {field.reason}")
    return "; ".join(part for part in parts if part)


def _units(field: Field) -> tuple[str, ...]:
    return tuple(unit.symbol for dimension in field.dimensions for unit in units_of(dimension) if unit.symbol)


def _choices(field: Field) -> tuple[tuple[str, str], ...]:
    return YES_OR_NO if field.kind == FLAG else field.choices
