"""One thing a form asks for, ready to be drawn by parts/form.html."""

from __future__ import annotations

import re
from dataclasses import dataclass

from gylebook.errors import InputError
from gylebook.phrases import joined, say, say_amount, say_number, untold
from gylebook.steps import fields as kinds
from gylebook.steps.fields import Field
from gylebook.units import Unit, units_of

# Up to this many choices stand open on the page, to be hit with a wet thumb; more fold into a list.
OPEN_CHOICES = 5
# The group of a form in which something is supposed: there nothing is written down, so nothing can be missing.
SUPPOSED = "ask"
_AMOUNT = re.compile(r"(\d+(?:\.\d+)?) ?(\D*)")  # a default is written with a decimal point
_TOLD_UNITS = {"L", "mL", "kg", "g", "°C", "bar"}
YES_OR_NO = (("yes", say("yes")), ("no", say("no")))


@dataclass(frozen=True, slots=True)
class Asked:
    """A field with what was written in it and what was wrong with that.

    The names in the form: NAME for the text, NAME-unit for the chosen unit, `confirm` = NAME for a value that the
    brewer insists on, `use-NAME` = text for the suggestion taken.
    """

    field: Field
    text: str = ""
    unit: str = ""
    error: str = ""
    suggestion: str = ""
    confirmable: bool = False
    confirmed: bool = False
    units: tuple[Unit, ...] = ()
    offers: tuple[str, ...] = ()  # what the shelf has for it, to pick from while typing
    group: str = ""  # tells the fields of one form on the page from another's

    @classmethod
    def of(
        cls, field: Field, text: str = "", unit: str = "", error: InputError | None = None, *, confirmed: bool = False
    ) -> Asked:
        """Bind a field; an unusual value that is possible can be confirmed."""
        units = tuple(u for d in field.dimensions for u in units_of(d) if u.symbol)
        return cls(
            field,
            untold(text),
            unit or (units[0].symbol if units else ""),
            say("{problem}; {remedy}.", problem=error.problem, remedy=error.remedy) if error else "",
            untold(error.suggestion or "") if error else "",
            confirmable=confirmed or (error is not None and "unusual" in error.problem),
            confirmed=confirmed,
            units=units,
        )

    @property
    def mark(self) -> str:
        """The field's part of every id on the page."""
        return f"{self.group}-{self.field.name}" if self.group else self.field.name

    @property
    def explained(self) -> bool:
        """Whether anything is said about the field before it is filled in."""
        return bool(self.field.hint or self.field.default or self.field.reason)

    @property
    def kind(self) -> str:
        """What the template draws: line, lines, options, list, date or moment."""
        kind = self.field.kind
        if kind in (kinds.CHOICE, kinds.FLAG):
            return "options" if len(self.choices) <= OPEN_CHOICES + 1 else "list"
        return {kinds.LONG_TEXT: "lines", kinds.DATE: "date", kinds.MOMENT: "moment"}.get(kind, "line")

    @property
    def choices(self) -> tuple[tuple[str, str], ...]:
        """What can be chosen; leaving it open is always among them unless an answer is required."""
        choices = self.field.choices if self.field.kind == kinds.CHOICE else YES_OR_NO
        return (
            choices
            if self.field.required
            else (("", say("as it is") if self.group == SUPPOSED else say("not written down")), *choices)
        )

    @property
    def chosen(self) -> str:
        """The choice that is ticked."""
        return self.text if any(self.text == value for value, _ in self.choices) else ""

    @property
    def default_words(self) -> str:
        """What is taken when nothing is written: as the choice is called, an amount in the reader's units."""
        taken = self.field.default
        amount = _AMOUNT.fullmatch(taken) if self.field.kind in (kinds.QUANTITY, kinds.COUNT) else None
        if amount is None:
            return dict(self.field.choices).get(taken, taken)
        number, unit = amount.groups()
        if unit not in _TOLD_UNITS:
            return joined(" ", (say_number(number), unit)) if unit else say_number(number)
        return say_amount(float(number), len(number.partition(".")[2]), unit)

    @property
    def keypad(self) -> str:
        """The keypad a phone should open; the one with digits alone has no minus sign."""
        if self.field.kind == kinds.COUNT:
            return "numeric"
        lowest = (self.field.usual or self.field.possible or (0.0, 0.0))[0]
        below_zero = lowest < 0 and "gravity" not in self.field.dimensions  # no glass reads a gravity below zero
        return "decimal" if self.field.kind == kinds.QUANTITY and not below_zero else "text"

    @property
    def described_by(self) -> str:
        """Ids of what explains the field to a screen reader."""
        parts = [f"h-{self.mark}"] if self.explained else []
        return " ".join([*parts, f"e-{self.mark}"] if self.error else parts)
