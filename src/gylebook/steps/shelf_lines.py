"""Lists of the shelf, one item to a line: marks of a vessel, months of a place, alternatives of a kit.

marks         23 L holds 22.4 L
months        1: 4 to 9 °C
alternatives  sugar: 1 kg sugar; bottle at 1.006; final 1.004 to 1.006; cost 1.20

The words may be German too (fasst, bis, März; abfüllen bei, hopfen bei, ende, kosten, nichts); lines are written back
in English.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.phrases import say
from gylebook.steps.fields import TEXT, Field
from gylebook.steps.lines import amount, each_line, ingredient_line, read_ingredient
from gylebook.units import Quantity, parse_number, read_quantity

MARKS_HINT = say("One to a line: 23 L holds 22.4 L")
MONTHS_HINT = say("One month to a line, by its number: 1: 4 to 9 °C")
ALTERNATIVES_HINT = say(
    "One to a line: sugar: 1 kg sugar; bottle at 1.006; hop at 1.010; final 1.004 to 1.006; cost 1.20 "
    "(several additions with +)"
)

_MARKS, _MONTHS_LABEL, _ALTERNATIVES, _NAME = say("Marks"), say("Months"), say("Alternatives"), say("Name")
_MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
           "november", "december")  # fmt: skip
_GERMAN_MONTHS = ("januar", "februar", "märz", "april", "mai", "juni", "juli", "august", "september", "oktober",
                  "november", "dezember")  # fmt: skip
_TO = re.compile(r"\s+(?:to|bis)\s+")
_COST = re.compile(r"(?:kosten|cost)(.*)", re.IGNORECASE)
_GATE = re.compile(r"(?P<what>hop|bottle|final|hopfen|abfüllen|ende)\s+(?:(?:at|bei)\s+)?(?P<value>.+)", re.IGNORECASE)
_GERMAN_GATES = {"hopfen": "hop", "abfüllen": "bottle", "ende": "final"}


def gravity(text: str, field: str) -> Quantity:
    try:
        quantity = read_quantity(text.strip(), "gravity", field, "SG")
    except InputError:
        quantity = read_quantity(text.strip(), "extract", field)
    low, high = (0.98, 1.16) if quantity.unit == "SG" else (-5.0, 34.0)
    if not low <= quantity.number() <= high:
        raise InputError(field, say("{quantity} is no gravity", quantity=quantity), say("write such as 1.006"))
    return quantity


# --- marks and months -----------------------------------------------------------------------------------------


def read_marks(text: str, label: str = _MARKS) -> tuple[ev.Mark, ...]:
    """Read a vessel's marks and what they really hold, one to a line.

    Raises
    ------
    InputError
        Naming the line.
    """
    return each_line(text, label, _mark)


def _mark(line: str, field: str) -> ev.Mark:
    parts = re.split(r"\s+(?:holds|fasst)\s+|\s*=\s*", line, flags=re.IGNORECASE)
    if len(parts) != 2:
        raise InputError(
            field, say("“{line}” was not understood", line=line[:60]), say("write such as 23 L holds 22.4 L")
        )
    mark, holds = (amount(part, "volume", field, "L") for part in parts)
    one, two = mark.to("L", "volume"), holds.to("L", "volume")
    if one <= 0 or two <= 0 or abs(two - one) > 0.3 * one:
        raise InputError(
            field,
            say("a mark of {mark} that holds {holds} cannot be", mark=mark, holds=holds),
            say("weigh the water again, and check units"),
        )
    return ev.Mark(mark=mark, holds=holds)


def marks_text(found: tuple[ev.Mark, ...]) -> str:
    """Marks as lines that read back the same."""
    return "\n".join(f"{m.mark} holds {m.holds}" for m in found)


def read_months(text: str, label: str = _MONTHS_LABEL) -> tuple[ev.MonthRange, ...]:
    """Read a place's lowest and highest temperature by month, one to a line.

    Raises
    ------
    InputError
        Naming the line; a month twice is refused.
    """
    found = each_line(text, label, _month)
    seen: set[int] = set()
    for entry in found:
        if entry.month in seen:
            raise InputError(
                label, say("month {month} comes a second time", month=entry.month), say("write each month once")
            )
        seen.add(entry.month)
    return found


def _month(line: str, field: str) -> ev.MonthRange:
    match = re.match(r"^(?P<month>\d{1,2}|[^\W\d_]{3,9})\s*[:,]?\s+(?P<low>.+?)\s+(?:to|bis)\s+(?P<high>.+)$", line)
    if match is None:
        raise InputError(field, say("“{line}” was not understood", line=line[:60]), say("write such as 1: 4 to 9 °C"))
    month = _month_number(match["month"], field)
    high = amount(match["high"], "temperature", field, "°C")
    low = amount(match["low"], "temperature", field, high.unit)
    if low.to("°C", "temperature") > high.to("°C", "temperature"):
        raise InputError(field, say("{low} is above {high}", low=low, high=high), say("write the lower one first"))
    if not (low.to("°C", "temperature") >= -30 and high.to("°C", "temperature") <= 60):
        raise InputError(field, say("{low} to {high} cannot be", low=low, high=high), say("check the unit"))
    return ev.MonthRange(month=month, low=low, high=high)


def _month_number(word: str, field: str) -> int:
    if word.isdecimal() and 1 <= int(word) <= 12:
        return int(word)
    both = zip(_MONTHS, _GERMAN_MONTHS, strict=True)
    named = [number for number, names in enumerate(both, 1) if any(n.startswith(word.lower()) for n in names)]
    if word.isdecimal() or len(named) != 1:
        raise InputError(field, say("“{word}” is no month", word=word), say("write its number, 1 to 12"))
    return named[0]


def months_text(found: tuple[ev.MonthRange, ...]) -> str:
    """Months as lines that read back the same."""
    return "\n".join(f"{m.month}: {m.low} to {m.high}" for m in found)


# --- alternatives of a kit ------------------------------------------------------------------------------------


def read_alternatives(text: str, label: str = _ALTERNATIVES) -> tuple[ev.Alternative, ...]:
    """Read what may be added to a kit, one choice to a line, each with its own gates.

    Raises
    ------
    InputError
        Naming the line; two of one name are refused.
    """
    found = each_line(text, label, _alternative)
    keys = [a.key for a in found]
    for key in keys:
        if keys.count(key) > 1:
            raise InputError(label, say("“{key}” is there twice", key=key), say("give each choice its own name"))
    return found


def key_of(name: str) -> str:
    """A plain key made from a name."""
    return re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")


def _alternative(line: str, field: str) -> ev.Alternative:
    name, colon, rest = line.partition(":")
    key = key_of(name)
    if not colon or not key or len(name) > 60:
        raise InputError(
            field,
            say("“{line}” does not begin with a name and a colon", line=line[:60]),
            say("write such as sugar: 1 kg sugar"),
        )
    first, *more = [part.strip() for part in rest.split(";")]
    nothing = first.lower() in {"", "nothing", "nichts"}
    additions = () if nothing else tuple(read_ingredient(part.strip(), field) for part in first.split("+"))
    gates: dict[str, Quantity] = {}
    cost = ""
    for part in more:
        priced = _COST.match(part)
        if priced is not None:
            cost = priced[1].strip()
            parse_number(cost, say("{field}, cost", field=field))
        elif part:
            gates |= _gate(part, field)
    return ev.Alternative(key=key, name=" ".join(name.split()), additions=additions, gates=ev.Gates(**gates), cost=cost)


def _gate(part: str, field: str) -> dict[str, Quantity]:
    match = _GATE.fullmatch(part)
    if match is None:
        raise InputError(
            field, say("“{part}” was not understood", part=part[:40]), say("write hop at, bottle at, final or cost")
        )
    what, value = _GERMAN_GATES.get(match["what"].lower(), match["what"].lower()), match["value"]
    if what == "final":
        low, *high = _TO.split(value, maxsplit=1)
        start = gravity(low, field)
        end = gravity(high[0], field) if high else start
        return {"final_from": start, "final_to": end}
    return {f"{what}_at_or_below": gravity(value, field)}


def alternatives_text(found: tuple[ev.Alternative, ...]) -> str:
    """Alternatives as lines that read back the same."""
    lines = []
    for choice in found:
        parts = [" + ".join(ingredient_line(i) for i in choice.additions) or "nothing"]
        if choice.gates.hop_at_or_below is not None:
            parts.append(f"hop at {choice.gates.hop_at_or_below}")
        if choice.gates.bottle_at_or_below is not None:
            parts.append(f"bottle at {choice.gates.bottle_at_or_below}")
        if choice.gates.final_from is not None:
            end = choice.gates.final_to or choice.gates.final_from
            parts.append(f"final {choice.gates.final_from} to {end}")
        if choice.cost:
            parts.append(f"cost {choice.cost}")
        lines.append(f"{choice.name}: {'; '.join(parts)}")
    return "\n".join(lines)


# --- names ----------------------------------------------------------------------------------------------------


_NAME_LONGEST = 80


def name_of(values: Mapping[str, Any], key: str = "name", label: str = _NAME) -> str:
    """A thing's name as written, blanks put in order.

    Raises
    ------
    InputError
        Where nothing was written, or a whole tale.
    """
    name = " ".join(str(values.get(key) or "").split())
    if not name:
        raise InputError(label, say("nothing was written"), say("give it the name you call it by"))
    if len(name) > _NAME_LONGEST:
        raise InputError(
            label,
            say("this is too long for a name"),
            say("use at most {most} letters", most=_NAME_LONGEST),
        )
    return name


def name_field(hint: str) -> Field:
    """The field for a thing's name."""
    return Field("name", say("Name"), TEXT, required=True, hint=hint)
