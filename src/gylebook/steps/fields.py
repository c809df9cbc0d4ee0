"""Fields: what a form, a command option and an import column ask for, described once.

A field reads text. Text that cannot be read, or cannot be true, is an InputError that names the field; text that
is readable but most likely a slip ("1062" for 1.062, 68 for 20 °C) is an InputError with a suggestion, which the
brewer confirms or overrules.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from typing import Any

from gylebook.errors import InputError
from gylebook.phrases import joined, say, say_number
from gylebook.units import Quantity, convert, parse_number, read_quantity, show, units_of

QUANTITY, COUNT, TEXT, LONG_TEXT, CHOICE, FLAG, DATE, MOMENT = (
    "quantity",
    "count",
    "text",
    "long text",
    "choice",
    "flag",
    "date",
    "moment",
)


@dataclass(frozen=True, slots=True)
class Field:
    """One thing asked for.

    Parameters
    ----------
    name
        Python name; the form's and the option's name too (`--tap-temp`).
    label
        As the brewer reads it.
    kind
        QUANTITY, COUNT, TEXT, LONG_TEXT, CHOICE, FLAG, DATE or MOMENT.
    dimensions
        For a quantity: accepted dimensions, the usual one first (gravity takes "gravity" and "extract").
    possible, usual
        In the base unit of the first dimension. Outside `possible` is refused; outside `usual` is asked about.
    default, reason
        Text put in when nothing is written, and why that is a fair guess.
    choices
        Pairs (value, words).
    """

    name: str
    label: str
    kind: str
    dimensions: tuple[str, ...] = ()
    required: bool = False
    possible: tuple[float, float] | None = None
    usual: tuple[float, float] | None = None
    default: str = ""
    reason: str = ""
    hint: str = ""
    choices: tuple[tuple[str, str], ...] = ()

    def read(self, text: str, *, unit: str | None = None, confirmed: bool = False, zone: tzinfo = UTC) -> Any:
        """Read what was written; None (or "" for text) where nothing was and nothing is required.

        Raises
        ------
        InputError
            With the field's label, the fault, the remedy and, where there is an obvious reading, the suggestion.
        """
        text = text.strip()
        if not text:
            if self.required:
                raise InputError(self.label, say("nothing was written"), say("write it; it cannot be left out"))
            return "" if self.kind in {TEXT, LONG_TEXT, CHOICE} else None
        if len(text) > (20_000 if self.kind == LONG_TEXT else 300):
            raise InputError(self.label, say("this is too long to keep"), say("shorten it"))
        if self.kind == QUANTITY:
            return self._quantity(text, unit, confirmed=confirmed)
        if self.kind == COUNT:
            return self._count(text, confirmed=confirmed)
        if self.kind == CHOICE:
            return self._choice(text)
        if self.kind == FLAG:
            return self._flag(text)
        if self.kind == DATE:
            return read_date(text, self.label)
        if self.kind == MOMENT:
            return read_moment(text, self.label, zone)
        return text

    def _quantity(self, text: str, unit: str | None, *, confirmed: bool) -> Quantity:
        quantity = _read_any(text, self.dimensions, self.label, unit)
        dimension = dimension_of(quantity, self.dimensions)
        if dimension != self.dimensions[0]:
            return quantity  # another scale (degP for SG): the step checks it
        value = quantity.to(units_of(dimension)[0].symbol, dimension)
        suggestion = _likely(value, quantity, dimension, self.usual or self.possible)
        if self.possible and not self.possible[0] <= value <= self.possible[1]:
            low, high = (_plain(v) for v in self.possible)
            base = units_of(dimension)[0].symbol
            raise InputError(
                self.label,
                say("{quantity} cannot be", quantity=quantity),
                say("write a value from {low} to {high} {base}", low=low, high=high, base=base).rstrip(),
                suggestion,
            )
        if self.usual and not confirmed and not self.usual[0] <= value <= self.usual[1]:
            raise InputError(
                self.label,
                say("{quantity} would be most unusual", quantity=quantity),
                say("check it, and confirm it if it is true"),
                suggestion,
            )
        return quantity

    def _count(self, text: str, *, confirmed: bool) -> int:
        number = parse_number(text, self.label)
        if number != int(number):
            raise InputError(self.label, say("“{text}” is not a whole number", text=text), say("count whole ones"))
        low, high = self.possible or (0, 1_000_000)
        if not low <= number <= high:
            raise InputError(
                self.label,
                say("{text} cannot be", text=text),
                say(
                    "write a whole number from {low} to {high}",
                    low=say_number(f"{low:g}"),
                    high=say_number(f"{high:g}"),
                ),
            )
        if self.usual and not confirmed and not self.usual[0] <= number <= self.usual[1]:
            raise InputError(
                self.label,
                say("{text} would be most unusual", text=text),
                say("check it, and confirm it if it is true"),
            )
        return int(number)

    def _choice(self, text: str) -> str:
        key = text.lower()
        for value, words in self.choices:
            if key in {value.lower(), words.lower(), value.lower().replace("_", " ")}:
                return value
        known = joined(", ", (value for value, _ in self.choices))
        raise InputError(
            self.label,
            say("“{text}” is not one of the choices", text=text[:40]),
            say("choose one of: {known}", known=known),
        )

    def _flag(self, text: str) -> bool:
        key = text.lower()
        if key in {"yes", "y", "true", "on", "1"}:
            return True
        if key in {"no", "n", "false", "off", "0"}:
            return False
        raise InputError(self.label, say("“{text}” is neither yes nor no", text=text[:40]), say("write yes or no"))


def dimension_of(quantity: Quantity, dimensions: tuple[str, ...]) -> str:
    """Which of the dimensions the quantity's unit belongs to."""
    for dimension in dimensions:
        if any(unit.symbol == quantity.unit for unit in units_of(dimension)):
            return dimension
    raise KeyError(quantity.unit)


def _read_any(text: str, dimensions: tuple[str, ...], label: str, unit: str | None) -> Quantity:
    first: InputError | None = None
    for dimension in dimensions:
        default = unit if unit in {u.symbol for u in units_of(dimension)} else None
        try:
            quantity = read_quantity(text, dimension, label, default)
        except InputError as error:
            first = first or error
            continue
        if unit and default is None and quantity.unit == units_of(dimension)[0].symbol and text[-1:].isdigit():
            continue  # a bare number, and the unit chosen beside it belongs to another dimension
        return quantity
    assert first is not None
    raise first


def _plain(value: float) -> str:
    return show(value, 3).rstrip("0").rstrip(".")


def _likely(value: float, quantity: Quantity, dimension: str, usual: tuple[float, float] | None) -> str | None:
    """The obvious reading of a slip, in words to be confirmed; None where there is none."""
    if usual is None or usual[0] <= value <= usual[1]:
        return None
    if dimension == "gravity":
        for guess in (value / 1000, 1 + value, 1 + value / 1000):
            # no scale on the stem reads finer than half a point, so 1.0001 is nobody's reading
            if usual[0] <= guess <= usual[1] and abs(guess * 2000 - round(guess * 2000)) < 1e-6:
                return show(guess, 4).rstrip("0").ljust(5, "0")
    if dimension == "temperature" and quantity.unit == "°C":
        celsius = convert(value, "°F", "°C", "temperature")
        if usual[0] <= celsius <= usual[1]:
            return f"{quantity.text} °F"
    if dimension in {"mass", "volume"} and quantity.unit in {"g", "kg", "L", "mL"}:
        other = {"g": "kg", "kg": "g", "L": "mL", "mL": "L"}[quantity.unit]
        swapped = Quantity(quantity.text, other)
        if usual[0] <= swapped.to(units_of(dimension)[0].symbol, dimension) <= usual[1]:
            return str(swapped)
    return None


def read_date(text: str, label: str) -> date:
    """An ISO 8601 date; other orders are refused since 3/4 is March to some and April to others."""
    try:
        found = date.fromisoformat(text.strip())
    except ValueError:
        raise InputError(
            label, say("“{text}” is not a date", text=text[:40]), say("write year-month-day, such as 2026-11-03")
        ) from None
    if not 1950 <= found.year <= 2100:
        raise InputError(label, say("the year {year} cannot be", year=found.year), say("check the year"))
    return found


def read_moment(text: str, label: str, zone: tzinfo) -> datetime:
    """An ISO 8601 date and time, in the brewer's zone where none is written; a bare date means noon."""
    plain = text.strip().replace(" ", "T", 1)
    try:
        found = datetime.fromisoformat(plain)
    except ValueError:
        raise InputError(
            label, say("“{text}” is not a date and time", text=text[:40]), say("write it such as 2026-11-03 18:30")
        ) from None
    if len(plain) <= 10:
        found += timedelta(hours=12)
    if found.tzinfo is None:
        found = found.replace(tzinfo=zone)
    if not 1950 <= found.year <= 2100:
        raise InputError(label, say("the year {year} cannot be", year=found.year), say("check the year"))
    return found.astimezone(UTC)
