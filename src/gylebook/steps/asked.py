"""What was asked for: values read by fields, defaults where nothing was written, and where each came from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np

from gylebook.errors import InputError, OutOfRange
from gylebook.phrases import say, say_amount, say_number
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.fields import Field, dimension_of
from gylebook.steps.makeup import sg_of
from gylebook.units import Quantity, units_of

NORMAL_90 = 1.645  # half-width of the middle nine tenths of a normal error, in standard deviations


class Asked:
    """Values by field name, defaults filled in.

    Parameters
    ----------
    fields
        The fields that read the values.
    values
        By name; a missing one, None or "" takes the field's default.

    `givens` tells each value with its basis, in the order of the fields; `assumed` says which defaults were used.
    """

    def __init__(self, fields: tuple[Field, ...], values: Mapping[str, Any]) -> None:
        self._fields = {field.name: field for field in fields}
        self._values: dict[str, Any] = {}
        self._givens: dict[str, Given] = {}
        assumed: list[str] = []
        for field in fields:
            value = values.get(field.name)
            basis, where = Basis.ASKED, ""
            if value is None or value == "":
                if not field.default:
                    continue
                value = field.read(field.default)
                basis, where = Basis.ASSUMED, field.reason
                assumed.append(
                    say(
                        "{label}: {in_words} ({reason})",
                        label=field.label,
                        in_words=_of_default(field, value),
                        reason=field.reason,
                    )
                )
            self._values[field.name] = value
            told = _in_words(field, value) if basis is Basis.ASKED else _of_default(field, value)
            self._givens[field.name] = Given(field.label, told, basis, where)
        self.assumed = tuple(assumed)

    def __contains__(self, name: str) -> bool:
        return name in self._values

    @property
    def givens(self) -> tuple[Given, ...]:
        """Every value that is known, told with its basis."""
        return tuple(self._givens.values())

    def given(self, *names: str) -> tuple[Given, ...]:
        """The told values of these names, where they are known."""
        return tuple(self._givens[name] for name in names if name in self._givens)

    def quantity(self, name: str) -> Quantity | None:
        """A quantity as it was written, or None."""
        found: Quantity | None = self._values.get(name)
        return found

    def number(self, name: str) -> float | None:
        """A quantity in the base unit of its dimension, or None."""
        quantity = self.quantity(name)
        if quantity is None:
            return None
        dimension = dimension_of(quantity, self._fields[name].dimensions)
        return quantity.to(units_of(dimension)[0].symbol, dimension)

    def need(self, name: str) -> float:
        """As `number`, where nothing can be reckoned without it.

        Raises
        ------
        InputError
            When nothing was written and there is no default.
        """
        number = self.number(name)
        if number is None:
            raise self.lacking(name)
        return number

    def gravity(self, name: str) -> float | None:
        """A gravity in SG, whichever scale it was written in; None where it was not.

        Raises
        ------
        OutOfRange
            When degrees Plato lie beyond the tables.
        """
        quantity = self.quantity(name)
        if quantity is None:
            return None
        return within(
            sg_of(quantity),
            self.label(name),
            say("{quantity} is beyond the sugar tables", quantity=quantity),
            say("write 0.98 to 1.15 SG, or −5 to 34 °P"),
        )

    def need_gravity(self, name: str) -> float:
        """As `gravity`, where nothing can be reckoned without it.

        Raises
        ------
        InputError
            When nothing was written and there is no default.
        """
        found = self.gravity(name)
        if found is None:
            raise self.lacking(name)
        return found

    def count(self, name: str) -> int | None:
        """A whole number, or None."""
        found: int | None = self._values.get(name)
        return found

    def word(self, name: str) -> str:
        """A choice or a text, "" where there is none."""
        return str(self._values.get(name, ""))

    def flag(self, name: str) -> bool:
        """A yes or no; no where nothing was written."""
        return bool(self._values.get(name, False))

    def label(self, name: str) -> str:
        """The field's label."""
        return self._fields[name].label

    def lacking(self, name: str) -> InputError:
        """The error for a value without which nothing can be reckoned."""
        return InputError(
            self.label(name), say("nothing was written"), say("write it, for nothing can be reckoned without it")
        )


_TOLD_ANEW = frozenset({"g", "kg", "L", "mL", "°C", "bar"})


def _of_default(field: Field, value: Any) -> str:
    """What the book proposes is told in the reader's units; what a brewer typed stays as it was typed."""
    if not isinstance(value, Quantity):
        return _in_words(field, value)
    digits = len(value.text.partition(".")[2])
    if value.unit in _TOLD_ANEW:
        return say_amount(value.number(), digits, value.unit)
    return say("{number} {unit}", number=say_number(value.text), unit=value.unit).rstrip()


def _in_words(field: Field, value: Any) -> str:
    if isinstance(value, bool):
        return say("yes") if value else say("no")
    words = dict(field.choices).get(str(value))
    return words if words is not None else str(value).strip().replace("\n", "; ")


def needed(values: Mapping[str, Any], field: Field) -> Any:
    """A value without which an entry cannot be written.

    Raises
    ------
    InputError
        When it is missing.
    """
    value = values.get(field.name)
    if value is None or value == "":
        raise InputError(field.label, say("nothing was written"), say("write it; it cannot be left out"))
    return value


def within(value: object, field: str, problem: str, remedy: str) -> float:
    """One number out of a sum, or an error that names the range in which the sum holds.

    Raises
    ------
    OutOfRange
        When the sum gave none.
    """
    number = float(np.asarray(value, dtype=np.float64))
    if not np.isfinite(number):
        raise OutOfRange(field, problem, remedy)
    return number


class Shown(NamedTuple):
    """How a figure is shown: its unit, the unit's dimension and the decimals that mean something."""

    unit: str
    dimension: str
    digits: int


SG = Shown("SG", "gravity", 4)
PLATO = Shown("°P", "extract", 2)
POINTS = Shown(say("points"), "", 1)
LITRES, LITRES_2 = Shown("L", "volume", 1), Shown("L", "volume", 2)
MILLILITRES = Shown("mL", "volume", 0)
GRAMS, GRAMS_1 = Shown("g", "mass", 0), Shown("g", "mass", 1)
CELSIUS = Shown("°C", "temperature", 1)
HOURS, DAYS, MINUTES = Shown("h", "time", 1), Shown("d", "time", 0), Shown("min", "time", 0)
VOLUMES = Shown("vol", "co2", 2)
BAR = Shown("bar", "pressure", 1)
STRENGTH = Shown(say("% vol"), "strength", 1)
PER_CENT = Shown("%", "share", 0)
G_PER_L = Shown("g/L", "concentration", 1)
NUMBER, COUNT = Shown("", "number", 1), Shown("", "count", 0)


def figure(
    key: str,
    label: str,
    value: float,
    shown: Shown,
    working: Working,
    *,
    spread: float = 0.0,
    low: float | None = None,
    high: float | None = None,
    interval: str = say("nine times in ten"),
    words: str = "",
) -> Figure:
    """A figure whose interval is value ± spread unless its ends are given."""
    return Figure(
        key,
        label,
        value,
        value - spread if low is None else low,
        value + spread if high is None else high,
        shown.unit,
        shown.dimension,
        shown.digits,
        working,
        interval,
        words,
    )


def tens(value: float) -> str:
    """A number rounded to tens, for sentences."""
    return f"{round(value, -1):.0f}"
