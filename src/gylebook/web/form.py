"""A form made from fields: drawn empty, read as it was sent, and given back with its faults and every word typed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import tzinfo
from typing import Any

from django.http import QueryDict

from gylebook.errors import InputError, InputErrors
from gylebook.outputs.wording import Preferences, bare_unit
from gylebook.phrases import say
from gylebook.steps.fields import Field
from gylebook.units import Quantity, units_of
from gylebook.web.asked import Asked


class Confirmable(InputError):
    """A fault that the brewer may overrule by ticking the field's box."""

    @classmethod
    def of(cls, error: InputError) -> Confirmable:
        """The same fault, open to being overruled."""
        return cls(error.field, error.problem, error.remedy, error.suggestion)


@dataclass(frozen=True, slots=True)
class Form:
    """Fields with what was written in them, and what that came to.

    Parameters
    ----------
    asked
        The fields as parts/form.html draws them.
    values
        By field name, of those that could be read.
    confirmed
        Names of the fields on which the brewer insists.
    faults
        Sentences that belong to no single field.
    """

    asked: tuple[Asked, ...]
    values: Mapping[str, Any]
    confirmed: frozenset[str] = frozenset()
    faults: tuple[str, ...] = ()

    @property
    def fine(self) -> bool:
        """Whether nothing was wrong."""
        return not self.faults and not any(each.error for each in self.asked)

    @property
    def wrong(self) -> str:
        """The mark of the first field that was wrong; empty where none was."""
        return next((each.mark for each in self.asked if each.error), "")

    def refused(self, error: InputError) -> Form:
        """The same form with a fault beside the field that it names, or above them all where it names none."""
        asked, rest = list(self.asked), []
        for each in error.errors if isinstance(error, InputErrors) else [error]:
            place = next((n for n, at in enumerate(asked) if _is_about(each, at.field)), None)
            if place is None:
                rest.append(str(each))
            else:
                asked[place] = _faulted(asked[place], each)
        return replace(self, asked=tuple(asked), faults=(*self.faults, *rest))


def _is_about(error: InputError, field: Field) -> bool:
    """Whether the fault names the field, or a line of it ("Ingredients, line 2")."""
    named = error.field.partition(", line ")[0].lower()
    return named in (field.label.lower(), field.name.replace("_", " "))


def _faulted(at: Asked, error: InputError) -> Asked:
    """The field with one more fault beside it."""
    found = Asked.of(at.field, at.text, at.unit, error)
    line = error.field.partition(", line ")[2]
    told = say("Line {line}: {error}", line=line, error=found.error) if line else found.error
    return replace(
        at,
        error=say("{error} {told}", error=at.error, told=told).strip(),
        suggestion=at.suggestion or found.suggestion,
        confirmable=at.confirmable or isinstance(error, Confirmable),
    )


def blank(
    fields: Iterable[Field],
    prefs: Preferences,
    texts: Mapping[str, str] | None = None,
    offers: Mapping[str, tuple[str, ...]] | None = None,
    group: str = "",
) -> Form:
    """A form to begin from: `texts` puts words in, `offers` comes from the shelf, `group` tells forms apart."""
    asked = []
    for field in fields:
        text, unit = _split(field, (texts or {}).get(field.name, ""), prefs)
        asked.append(_bound(field, text, unit, offers, group))
    return Form(tuple(asked), {})


def sent(
    fields: Iterable[Field],
    data: QueryDict,
    prefs: Preferences,
    offers: Mapping[str, tuple[str, ...]] | None = None,
    group: str = "",
) -> Form:
    """A form as it was sent: every field read, every fault gathered, every word kept."""
    confirmed = frozenset(data.getlist("confirm"))
    asked: list[Asked] = []
    values: dict[str, Any] = {}
    for field in fields:
        taken = data.get(f"use-{field.name}")
        text = (data.get(field.name, "") if taken is None else taken).replace("\r\n", "\n").replace("\0", "")
        unit = _unit(field, data.get(f"{field.name}-unit", ""), prefs)
        insists = field.name in confirmed
        bound = _bound(field, text, unit, offers, group, confirmed=insists)
        try:
            values[field.name] = field.read(text, unit=unit or None, confirmed=insists, zone=prefs.zone)
        except InputError as error:
            can = not insists and _passes(field, text, unit, prefs.zone)
            asked.append(Form((bound,), {}).refused(Confirmable.of(error) if can else error).asked[0])
        else:
            asked.append(bound)
    return Form(tuple(asked), values, confirmed)


def _bound(
    field: Field,
    text: str,
    unit: str,
    offers: Mapping[str, tuple[str, ...]] | None,
    group: str,
    *,
    confirmed: bool = False,
) -> Asked:
    asked = Asked.of(field, text, unit, confirmed=confirmed)
    return replace(asked, offers=(offers or {}).get(field.name, ()), group=group)


def _unit(field: Field, sent_unit: str, prefs: Preferences) -> str:
    """The unit chosen beside a number, or the brewer's own; one that the field does not know counts as none."""
    known = {unit.symbol for dimension in field.dimensions for unit in units_of(dimension)}
    return sent_unit if sent_unit and sent_unit in known else bare_unit(field, prefs) or ""


def _split(field: Field, text: str, prefs: Preferences) -> tuple[str, str]:
    """A quantity's number and unit, so that each stands in its own box."""
    usual = bare_unit(field, prefs) or ""
    if not text or not field.dimensions:
        return text, usual
    try:
        quantity = field.read(text, unit=usual or None, confirmed=True)
    except InputError:
        return text, usual
    return (quantity.text, quantity.unit) if isinstance(quantity, Quantity) else (text, usual)


def _passes(field: Field, text: str, unit: str, zone: tzinfo) -> bool:
    """Whether the text would be taken if the brewer insisted."""
    try:
        field.read(text, unit=unit or None, confirmed=True, zone=zone)
    except InputError:
        return False
    return True
