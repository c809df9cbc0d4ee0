"""How the book speaks to one brewer: units, gravity scale, money, zone and near days, from the shelf's settings.

Figures are worded by `measures.py`; here stand the choices that a brewer makes, and what follows from them for a
number that is written without its unit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, tzinfo
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from gylebook.errors import InputError
from gylebook.journal.events import SettingsKept
from gylebook.outputs.measures import Measures, Words
from gylebook.phrases import joined, say
from gylebook.steps.answers import Figure, MomentFigure
from gylebook.steps.fields import QUANTITY, Field
from gylebook.steps.moments import date_words
from gylebook.units import dimensions, units_of

# Each unit setting with the dimensions whose units it may name.
CHOSEN_UNITS = {
    "volume": ("volume",),
    "mass": ("mass",),
    "temperature": ("temperature",),
    "gravity": ("gravity", "extract"),
    "pressure": ("pressure",),
    "co2": ("co2",),
}


@dataclass(frozen=True, slots=True)
class Preferences(Measures):
    """What one brewer reads: the measures, the gravity scale ("SG" or "°P") and the name of the money."""

    gravity: str = "SG"
    currency: str = ""

    def figure(self, figure: Figure | MomentFigure) -> Words:
        """A figure with its interval, on the brewer's gravity scale and in the brewer's money."""
        if isinstance(figure, Figure):
            if self.gravity == "°P" and figure.dimension == "gravity":
                figure = _in_plato(figure)
            elif figure.dimension == "money" and self.currency:
                words = Measures.figure(self, figure)
                return Words(self._money(words.value), words.interval)
        return Measures.figure(self, figure)

    def _money(self, amount: str) -> str:
        """A sign stands before the amount ("£24.50"), a name or a code after it ("24.50 EUR")."""
        if any(letter.isalnum() for letter in self.currency):
            return say("{amount} {currency}", amount=amount, currency=self.currency)
        return say("{sign}{amount}", sign=self.currency, amount=amount)

    def unit(self, dimension: str) -> str:
        """The unit of a bare number of that dimension: the chosen one, else the base unit."""
        if dimension == "gravity" or dimension not in CHOSEN_UNITS:
            return units_of(dimension)[0].symbol
        return str(getattr(self, dimension))


def preferences(settings: SettingsKept, zone_name: str = "UTC", now: datetime | None = None) -> Preferences:
    """The preferences that the shelf's settings amount to.

    Parameters
    ----------
    settings
        As folded from the shelf; what was never set keeps the metric default.
    zone_name
        The zone where the settings name none, such as this computer's.
    now
        The present moment: days of its year are told without the year.

    Raises
    ------
    InputError
        When a setting names a unit or a zone that this release does not know.
    """
    units = {name: unit for name in CHOSEN_UNITS if (unit := getattr(settings, name))}
    for name, unit in units.items():
        if not any(unit in {u.symbol for u in units_of(dimension)} for dimension in CHOSEN_UNITS[name]):
            raise InputError(
                say("the setting {name}", name=name),
                say("“{unit}” is not a unit for it", unit=unit),
                say("choose another in the settings"),
            ) from None
    here = zone(settings.time_zone or zone_name)
    this_year = now.astimezone(here).year if now is not None else 0
    return Preferences(**units, currency=settings.currency or "", zone=here, this_year=this_year)


def zone(name: str) -> tzinfo:
    """The time zone of that name.

    Raises
    ------
    InputError
        When this computer knows no such zone.
    """
    if name == "UTC":
        return UTC
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise InputError(
            say("time zone"), say("“{name}” is no time zone", name=name[:40]), say("write one such as Europe/London")
        ) from None


def with_unit(prefs: Preferences, unit: str) -> Preferences:
    """The same preferences with one unit chosen by its symbol or spelling ("US gal", "°F", "°P").

    Raises
    ------
    InputError
        When it is no unit that can be chosen.
    """
    for name, of in CHOSEN_UNITS.items():
        for dimension in of:
            for known in units_of(dimension):
                if unit.strip().lower() in {known.symbol.lower(), *known.spellings}:
                    changed: dict[str, Any] = {name: known.symbol}
                    return replace(prefs, **changed)
    known_units = joined(", ", (u.symbol for of in CHOSEN_UNITS.values() for d in of for u in units_of(d)))
    raise InputError(
        say("unit"),
        say("“{unit}” is not a unit that can be chosen", unit=unit[:40]),
        say("choose one of: {known_units}", known_units=known_units),
    )


def bare_unit(field: Field, prefs: Preferences) -> str | None:
    """The unit of a number written without one: the preferred one, where the field takes it."""
    if field.kind != QUANTITY or not field.dimensions:
        return None
    if prefs.gravity == "°P" and field.dimensions[0] == "gravity" and "extract" in field.dimensions:
        return "°P"
    return prefs.unit(field.dimensions[0])


def _in_plato(figure: Figure) -> Figure:
    """The same gravity in degrees Plato; two decimals less than the specific gravity has, since 0.0001 is 0.025 °P."""
    from gylebook.science.extract import plato_from_sg  # NumPy only where a brewer asked for this scale

    value, low, high = (
        float(plato_from_sg(v)) if math.isfinite(v) else v for v in (figure.value, figure.low, figure.high)
    )
    half = tuple(float(plato_from_sg(v)) for v in figure.half) if figure.half is not None else None
    digits = max(0, figure.digits - 2)
    changed: dict[str, Any] = {"value": value, "low": low, "high": high, "half": half}
    return replace(figure, unit="°P", dimension="extract", digits=digits, **changed)


# --- words ----------------------------------------------------------------------------------------------------


def date_text(day: date, *, year: bool = True) -> str:
    """A day in words that read aloud: "Thu 12 Nov 2026"."""
    return date_words(day, year=year)


def unit_words(dimension: str) -> str:
    """The units of a dimension in one line, for a hint ("L, mL, imp gal …"); empty where there are none."""
    if dimension not in dimensions():
        return ""
    return joined(", ", (unit.symbol for unit in units_of(dimension) if unit.symbol))
