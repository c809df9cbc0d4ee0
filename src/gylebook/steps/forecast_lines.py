"""Readings and temperatures typed in by day, one to a line, without a brew behind them.

    readings       day 4: 1.020          4 1.020          day 7: 1.013 at 21 °C, fizzy
    temperature    20 °C                 day 3: 18 °C

Days count from the moment the yeast went in; day 0 is the wort. The words may be German too, as in
Tag 7: 1,013 bei 21 °C, schal.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from gylebook.errors import InputError
from gylebook.phrases import say, say_number
from gylebook.steps import sums_fields
from gylebook.steps.lines import each_line
from gylebook.units import Quantity, parse_number

MOST_DAYS = 120.0
MOST_READINGS = 24
_DAY = re.compile(r"^(?:(?:day|tag)\s*)?(?P<day>\d+(?:[.,]\d+)?)(?:\s*[:;]\s*|\s+)(?P<rest>\S.*)$", re.IGNORECASE)
_AT = re.compile(r" (?:at|bei) ")
_NOTES = {
    word: note
    for note, words in {
        "flat": ("flat", "degassed", "schal", "entgast"),
        "some": ("some", "some fizz", "etwas"),
        "fizzy": ("fizzy", "gassy", "sprudelnd"),
    }.items()
    for word in words
}
_COLD_C, _HOT_C = 0.0, 40.0


@dataclass(frozen=True, slots=True)
class DayReading:
    """A reading as it was typed: its day, what was read, the sample's temperature and its fizz ("" where untold)."""

    day: float
    gravity: Quantity
    temp: Quantity | None
    fizz: str
    line: str


def read_readings(text: str, label: str) -> tuple[DayReading, ...]:
    """Readings in the order of their days.

    Raises
    ------
    InputError
        Naming the line; several at once as InputErrors.
    """
    found = each_line(text, label, _reading)
    if len(found) > MOST_READINGS:
        raise InputError(
            label,
            say("there are {count} of them", count=len(found)),
            say("write the {most} that matter most", most=MOST_READINGS),
        )
    return tuple(sorted(found, key=lambda reading: reading.day))


def _reading(line: str, field: str) -> DayReading:
    day, rest = _split(line, field, "day 4: 1.020")
    rest, _, note = rest.partition(", ") if ", " in rest else (rest, "", "")
    fizz = _NOTES.get(note.strip().lower(), None if note.strip() else "")
    if fizz is None:
        raise InputError(
            field,
            say("“{note}” was not understood", note=note.strip()[:40]),
            say("after a comma write flat, some or fizzy"),
        )
    read, *temps = _AT.split(rest, maxsplit=1)
    temp = temps[0] if temps else ""
    if temps and not temp.strip():
        raise InputError(field, say("the temperature is missing"), say("write it, such as 1.013 at 21 °C"))
    gravity: Quantity = sums_fields.gravity("gravity", field, required=True).read(read)
    return DayReading(day, gravity, _celsius(temp, field) if temps else None, fizz, line)


def read_warmth(text: str, label: str) -> tuple[tuple[float, float], ...]:
    """Days and the temperatures [°C] that hold from them on, in order; a line without a day holds from the first.

    Raises
    ------
    InputError
        Naming the line; several at once as InputErrors.
    """
    found = dict(each_line(text, label, _warmth))
    return tuple(sorted(found.items()))


def _warmth(line: str, field: str) -> tuple[float, float]:
    if re.match(r"^(?:day|tag)\b|^[\d.,]+\s*[:;]", line, re.IGNORECASE):
        day, rest = _split(line, field, "day 3: 18 °C")
    else:
        day, rest = 0.0, line
    return day, _celsius(rest, field).to("°C", "temperature")


def _celsius(text: str, field: str) -> Quantity:
    quantity: Quantity = sums_fields.temperature("temp", field, required=True, possible=(_COLD_C, _HOT_C)).read(text)
    return quantity


def _split(line: str, field: str, example: str) -> tuple[float, str]:
    match = _DAY.match(line)
    if match is None:
        raise InputError(
            field,
            say("“{line}” does not begin with a day", line=line[:60]),
            say("write such as {example}", example=example),
        )
    day = parse_number(match["day"], field)
    if day > MOST_DAYS:
        raise InputError(
            field,
            say("day {day} cannot be", day=match["day"]),
            say("write days since the yeast went in, at most {most}", most=say_number(f"{MOST_DAYS:g}")),
        )
    return day, match["rest"].strip()
