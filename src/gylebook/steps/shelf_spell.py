"""Writing down that warm or frosty weather is coming, so that bottles are carried away before it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Shelf
from gylebook.phrases import capital, say, say_amount
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import DATE, LONG_TEXT, QUANTITY, TEXT, Field
from gylebook.steps.place_words import the
from gylebook.steps.warmth import FREEZES_C, celsius, range_c
from gylebook.units import Quantity

LONGEST_DAYS = 60
_SATURDAY, _SUNDAY = 5, 6
_LONGEST_NAME = 80


def weekend(today: date) -> tuple[date, date]:
    """The weekend that is coming, or what is left of this one."""
    first = today + timedelta(days=max(0, _SATURDAY - today.weekday()))
    return first, today + timedelta(days=_SUNDAY - today.weekday())


def days_of(values: Mapping[str, Any], today: date) -> tuple[date, date]:
    """First and last day as they were written; the coming weekend where none was.

    Raises
    ------
    InputError
        Where the last is before the first, or the spell is longer than sixty days.
    """
    first: date | None = values.get("from_on")
    last: date | None = values.get("to_on")
    if first is None:
        start, end = weekend(today)
        first, last = (start, end) if last is None else (min(today, last), last)
    last = last or first
    if last < first:
        raise InputError(
            say("Last day"),
            say("{last} is before the first, {first}", last=last, first=first),
            say("change them round"),
        )
    if (last - first).days >= LONGEST_DAYS:
        remedy = say("write the months of the place instead, under places")
        raise InputError(say("Last day"), say("more than {days} days are a season", days=LONGEST_DAYS), remedy)
    return first, last


def place_of(values: Mapping[str, Any]) -> str:
    """The place as it was written, blanks put in order; "" for everywhere."""
    place = " ".join(str(values.get("place") or "").split())
    if len(place) > _LONGEST_NAME:
        raise InputError(
            say("Place"),
            say("this is too long for a name"),
            say("use at most {most} letters", most=_LONGEST_NAME),
        )
    return "" if place.casefold() in {"everywhere", "überall"} else place


def spell_of(values: Mapping[str, Any], today: date) -> ev.WarmSpell:
    """The spell as it was written, or asked about.

    Raises
    ------
    InputError
        Where its warmest is missing, or below its coldest; and as `days_of` does.
    """
    high: Quantity | None = values.get("high")
    low: Quantity | None = values.get("low")
    if high is None:
        raise InputError(say("As warm as"), say("nothing was written"), say("write it such as 34 °C"))
    if low is not None and celsius(low) > celsius(high):
        raise InputError(
            say("As cold as"), say("{low} is above the warmest, {high}", low=low, high=high), say("change them round")
        )
    first, last = days_of(values, today)
    return ev.WarmSpell(
        high=high, from_on=first, to_on=last, place=place_of(values), low=low, note=values.get("note") or ""
    )


def _warm_spell(shelf: Shelf, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    event = spell_of(values, at.astimezone(setting.zone).date())
    return Decision(((at, event),), tuple(_findings(shelf, event, setting)))


def _findings(shelf: Shelf, event: ev.WarmSpell, setting: Setting) -> list[Finding]:
    found = []
    if event.to_on < setting.now.astimezone(setting.zone).date():
        found.append(
            Finding(Urgency.NOTHING, say("Those days are past: nothing is to be done for them."), key="spell_past")
        )
    if event.low is not None and celsius(event.low) < FREEZES_C:
        text = say("Below −1 °C beer begins to freeze; it swells, and its bottles burst.")
        found.append(Finding(Urgency.ACT, text, say("Where else could they stand, above freezing?"), key="frost"))
    usual = range_c(shelf, event.place, event.from_on.month) if event.place else None
    if usual is not None and event.low is None and celsius(event.high) <= usual[1]:
        text = say(
            "{place} gets {usual} in that month anyway.",
            place=capital(the(event.place)),
            usual=say_amount(usual[1], 0, "°C"),
        )
        found.append(Finding(Urgency.NOTHING, text, key="no_warmer"))
    return found


def _temp(name: str, label: str, *, required: bool = False, hint: str = "") -> Field:
    return Field(
        name, label, QUANTITY, ("temperature",), required=required, possible=(-40.0, 60.0), usual=(-20.0, 45.0),
        hint=hint,
    )  # fmt: skip


WARM_SPELL = Act(
    "warm_spell",
    say("Warm weather is coming"),
    "shelf",
    (
        Field("place", say("Place"), TEXT, hint=say("garage"), reason=say("everywhere")),
        _temp("high", say("As warm as"), required=True, hint=say("as the forecast has it")),
        Field("from_on", say("First day"), DATE, reason=say("the coming weekend")),
        Field("to_on", say("Last day"), DATE, reason=say("the first day alone, or the end of the weekend")),
        _temp("low", say("As cold as"), hint=say("only where frost is coming")),
        Field("note", say("Note"), LONG_TEXT),
    ),
    _warm_spell,
    (say("Carry bottles before it is warm: boxed, upright, caps away from faces."),),
    about=say("What is written for the same place and the same first day takes the old one's place."),
)


def texts_of_spell(spell: ev.WarmSpell) -> dict[str, str]:
    """A spell as the texts its act's fields would have been given."""
    found = {name: getattr(spell, name) for name in ("place", "high", "from_on", "to_on", "low", "note")}
    return {
        name: value.isoformat() if isinstance(value, date) else str(value)
        for name, value in found.items()
        if value not in {None, ""}
    }
