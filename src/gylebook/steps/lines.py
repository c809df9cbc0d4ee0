"""Lists written one item to a line, in plain words: read with errors that name the line, and written back.

    ingredients   1.7 kg liquid malt extract, called light can, solids 80 %, at 18 °C, left 50 g
    bottles       24 x 500 mL brown returnable, first
    hops          25 g Sedgeway, day 7, for 3 days

The words that join an item's parts may be German too (genannt, Extrakt, bei, Rest; zuerst, zuletzt; Tag 7, für 3 Tage);
lines are written back in English. Empty lines are passed over. All faults of a list are told at once.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache
from typing import TypeVar

from gylebook.errors import InputError, InputErrors
from gylebook.journal import events as ev
from gylebook.phrases import say
from gylebook.steps.materials import material_named, plain_name
from gylebook.units import Quantity, read_quantity, units_of

T = TypeVar("T")

INGREDIENTS_HINT = say(
    "One to a line: 1.7 kg liquid malt extract. May go on: , called NAME, solids 80 %, at 18 °C, left 50 g"
)
BOTTLES_HINT = say("One kind to a line: 24 x 500 mL brown returnable. May end in: , first or , last")
HOPS_HINT = say("One to a line: 25 g Sedgeway, day 7, for 3 days")

# How a German line says what the English one does.
_GERMAN = {"genannt": "called", "extrakt": "solids", "bei": "at", "rest": "left"}
_FIRST, _LAST = {"first", "filled first", "zuerst"}, {"last", "filled last", "zuletzt"}
_MOST_LINES = 60
_MOST_BOTTLES = 5000


def each_line(text: str, label: str, read: Callable[[str, str], T]) -> tuple[T, ...]:
    """Read every line that holds something; all faults together."""
    found: list[T] = []
    errors: list[InputError] = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        if number > _MOST_LINES:
            raise InputError(label, say("there are more than {most} lines", most=_MOST_LINES), say("write fewer"))
        try:
            found.append(read(line.strip(), say("{label}, line {number}", label=label, number=number)))
        except InputErrors as several:
            errors += several.errors
        except InputError as error:
            errors.append(error)
    if len(errors) == 1:
        raise errors[0]
    if errors:
        raise InputErrors(errors)
    return tuple(found)


@cache
def _leading_pattern(dimension: str) -> re.Pattern[str]:
    words = sorted({w for u in units_of(dimension) for w in (u.symbol, *u.spellings) if w}, key=len, reverse=True)
    units = "|".join(re.escape(word).replace(r"\ ", r"\s+") for word in words)
    return re.compile(rf"^(?P<number>\d[\d.,]*|[.,]\d+)\s*(?P<unit>{units})\b\.?\s*(?P<rest>.*)$", re.IGNORECASE)


def _leading(text: str, dimension: str, field: str, example: str) -> tuple[Quantity, str]:
    """A quantity at the start of a text, and what follows it."""
    match = _leading_pattern(dimension).match(text.strip())
    if match is None:
        bare = re.match(r"^([\d.,]+\s*[^\W\d]+)", text.strip())
        if bare is not None:
            read_quantity(bare[1], dimension, field)  # raises, and tells a pint without its country
        raise InputError(
            field,
            say("“{text}” does not begin with an amount and its unit", text=text.strip()[:60]),
            say("write such as {example}", example=example),
        )
    quantity = read_quantity(f"{match['number']} {match['unit']}", dimension, field)
    if quantity.number() <= 0:
        raise InputError(
            field,
            say("{quantity} is no amount", quantity=quantity),
            say("write more than nothing, or leave the line out"),
        )
    return quantity, match["rest"].strip()


def amount(text: str, dimension: str, field: str, default_unit: str | None = None) -> Quantity:
    """A quantity that is a whole text."""
    return read_quantity(text.strip(), dimension, field, default_unit)


def _plain(text: str, field: str, what: str) -> str:
    words = " ".join(text.split())
    if not words:
        raise InputError(field, say("{what} is missing", what=what), say("write {what} too", what=what))
    if len(words) > 80:
        raise InputError(field, say("{what} is too long", what=what), say("use fewer words"))
    return words


# --- ingredients ----------------------------------------------------------------------------------------------


def read_ingredients(text: str, label: str = say("Ingredients")) -> tuple[ev.Ingredient, ...]:
    """Read ingredients, one to a line.

    Raises
    ------
    InputError
        Naming the line; several at once as InputErrors.
    """
    return each_line(text, label, read_ingredient)


def read_ingredient(line: str, field: str) -> ev.Ingredient:
    """Read one ingredient.

    Raises
    ------
    InputError
        Naming the field, which names the line.
    """
    first, *more = _parts(line)
    mass, words = _leading(first, "mass", field, "1.7 kg liquid malt extract")
    material = material_named(words)
    if material is None:
        raise InputError(
            field,
            say("“{words}” is no material that is known here", words=words[:40] or say("nothing")),
            _known_materials(),
        )
    given: dict[str, object] = {}
    for part in more:
        key, value = _ingredient_part(part, field)
        if key in given:
            raise InputError(field, say("“{part}” comes a second time", part=part[:40]), say("write it once"))
        given[key] = value
    return ev.Ingredient(material=material, mass=mass, **given)  # type: ignore[arg-type]


def _parts(line: str) -> list[str]:
    """Split at commas, except between two digits, where the comma is a decimal mark."""
    return [part.strip() for part in re.split(r"(?<!\d),|,(?!\d)", line) if part.strip()] or [""]


def _known_materials() -> str:
    return say(
        "use liquid malt extract, dried malt extract, sugar, dextrose, enhancer blend, honey, lactose or maltodextrin"
    )


def _ingredient_part(part: str, field: str) -> tuple[str, object]:
    word, _, rest = part.partition(" ")
    match _GERMAN.get(word.lower(), word.lower()):
        case "called":
            return "name", _plain(rest, field, say("the name"))
        case "solids":
            solids = amount(rest, "share", field, "%")
            if not 1 <= solids.number() <= 100:
                raise InputError(
                    field, say("solids of {solids} cannot be", solids=solids), say("write a share from 1 to 100 %")
                )
            return "solids", solids
        case "at":
            temp = amount(rest, "temperature", field, "°C")
            if not -5 <= temp.to("°C", "temperature") <= 110:
                raise InputError(field, say("{temp} cannot be", temp=temp), say("write a temperature from 0 to 100 °C"))
            return "temp", temp
        case "left":
            left, tail = _leading(rest, "mass", field, "left 50 g")
            if tail and tail.lower() not in {"behind", "in the can", "in der dose"}:
                raise InputError(
                    field, say("“{tail}” was not understood", tail=tail[:40]), say("write such as left 50 g")
                )
            return "left_behind", left
        case _:
            raise InputError(
                field,
                say("“{part}” was not understood", part=part[:40]),
                say("after a comma write called, solids, at or left"),
            )


def ingredients_text(found: tuple[ev.Ingredient, ...]) -> str:
    """Ingredients as lines that read back the same."""
    return "\n".join(ingredient_line(ingredient) for ingredient in found)


def ingredient_line(ingredient: ev.Ingredient) -> str:
    """One ingredient as its line."""
    parts = [f"{ingredient.mass} {plain_name(ingredient.material)}"]
    if ingredient.name:
        parts.append(f"called {ingredient.name}")
    if ingredient.solids is not None:
        parts.append(f"solids {ingredient.solids}")
    if ingredient.temp is not None:
        parts.append(f"at {ingredient.temp}")
    if ingredient.left_behind is not None:
        parts.append(f"left {ingredient.left_behind}")
    return ", ".join(parts)


# --- bottles --------------------------------------------------------------------------------------------------


def read_bottle_lots(
    text: str, label: str = say("Bottles"), kinds: Mapping[str, str] | None = None
) -> tuple[ev.BottleLot, ...]:
    """Read lots of bottles, one kind to a line.

    Parameters
    ----------
    text
        The lines.
    label
        The field's label, for errors.
    kinds
        Words in small letters -> key of the bottle table or name of a kept kind. None takes any words as they are.

    Raises
    ------
    InputError
        Naming the line; several at once as InputErrors.
    """
    return each_line(text, label, lambda line, field: _bottle_lot(line, field, kinds))


def _bottle_lot(line: str, field: str, kinds: Mapping[str, str] | None) -> ev.BottleLot:
    first, *more = _parts(line)
    match = re.match(r"^(?P<count>\d+)\s*(?:x|×|\*|of)\s*(?P<rest>.+)$", first, re.IGNORECASE)
    if match is None:
        raise InputError(
            field,
            say("“{first}” does not begin with how many", first=first[:60]),
            say("write such as 24 x 500 mL brown returnable"),
        )
    count = int(match["count"]) if len(match["count"]) < 7 else _MOST_BOTTLES + 1
    if not 1 <= count <= _MOST_BOTTLES:
        raise InputError(
            field,
            say("{count} bottles cannot be", count=match["count"][:12]),
            say("write a number from 1 to {most}", most=_MOST_BOTTLES),
        )
    size, words = _leading(match["rest"], "volume", field, "24 x 500 mL brown returnable")
    if not 0.05 <= size.to("L", "volume") <= 60:
        raise InputError(field, say("a bottle of {size} cannot be", size=size), say("write its size such as 500 mL"))
    bottle = _plain(words, field, say("the kind of bottle"))
    if kinds is not None:
        key = kinds.get(bottle.lower())
        if key is None:
            known = ", ".join(dict.fromkeys(kinds)) or say("none")
            raise InputError(
                field,
                say("“{bottle}” is no kind of bottle that is known here", bottle=bottle[:40]),
                say("use one of: {known}", known=known),
            )
        bottle = key
    flags = {part.lower() for part in more}
    unknown = sorted(flags - _FIRST - _LAST)
    if unknown:
        raise InputError(
            field,
            say("“{unknown}” was not understood", unknown=unknown[0][:40]),
            say("after a comma write first or last"),
        )
    return ev.BottleLot(
        bottle=bottle,
        count=count,
        size=size,
        first=bool(flags & _FIRST),
        last=bool(flags & _LAST),
    )


def bottle_lots_text(lots: tuple[ev.BottleLot, ...], words: Mapping[str, str] | None = None) -> str:
    """Lots as lines that read back the same; `words` turns keys into what the brewer calls them."""
    lines = []
    for lot in lots:
        name = (words or {}).get(lot.bottle, lot.bottle)
        tail = (", first" if lot.first else "") + (", last" if lot.last else "")
        lines.append(f"{lot.count} x {lot.size} {name}{tail}")
    return "\n".join(lines)


# --- hops -----------------------------------------------------------------------------------------------------


_HOP_TIMES = re.compile(
    r"(?:day|tag)\s+(?P<on>\d{1,3})|(?:(?:for|für)\s+)?(?P<days>\d{1,3})\s+(?:days?|tage?)", re.IGNORECASE
)


def read_hop_plans(text: str, label: str = say("Hops")) -> tuple[ev.HopPlan, ...]:
    """Read doses of hops, one to a line.

    Raises
    ------
    InputError
        Naming the line.
    """
    return each_line(text, label, _hop_plan)


def _hop_plan(line: str, field: str) -> ev.HopPlan:
    first, *more = _parts(line)
    mass, words = _leading(first, "mass", field, "25 g Sedgeway, day 7, for 3 days")
    on_day: int | None = None
    contact: int | None = None
    for part in more:
        match = _HOP_TIMES.fullmatch(part)
        if match is None:
            raise InputError(
                field,
                say("“{part}” was not understood", part=part[:40]),
                say("after a comma write day 7 or for 3 days"),
            )
        if match["on"]:
            on_day = int(match["on"])
        else:
            contact = int(match["days"])
    return ev.HopPlan(name=_plain(words, field, say("the hop's name")), mass=mass, on_day=on_day, contact_days=contact)


def hop_plans_text(hops: tuple[ev.HopPlan, ...]) -> str:
    """Doses of hops as lines that read back the same."""
    lines = []
    for hop in hops:
        day = f", day {hop.on_day}" if hop.on_day is not None else ""
        contact = f", for {hop.contact_days} days" if hop.contact_days is not None else ""
        lines.append(f"{hop.mass} {hop.name}{day}{contact}")
    return "\n".join(lines)
