"""Units: text to number and number to text, at the edges only.

Inside the book every quantity has one unit, carried in its name (`volume_l`, `temp_c`). Here the brewer's
own words become those numbers, and numbers become words again. What was written is kept as written:
`Quantity` holds the text and the unit, and its number is worked out when asked for.

A bare "gal", "pt" or "fl oz" is refused: the UK and the US ones differ by a fifth.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

import msgspec

from gylebook.errors import InputError
from gylebook.phrases import joined, say, say_number, shown


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: value in the dimension's base unit = factor * value + offset."""

    symbol: str
    dimension: str
    factor: float
    offset: float = 0.0
    label: str = ""
    spellings: tuple[str, ...] = ()


# The first unit of each dimension is its base. Factors are exact by definition (SI, the UK Weights and
# Measures Act, NIST Handbook 44) except where a note says so.
_UNITS: tuple[Unit, ...] = (
    Unit("g", "mass", 1.0, label=say("grams"), spellings=("gram", "grams", "gr")),
    Unit("kg", "mass", 1000.0, label=say("kilograms"), spellings=("kilo", "kilos", "kilogram", "kilograms", "kgs")),
    Unit("mg", "mass", 0.001, label=say("milligrams")),
    Unit("oz", "mass", 28.349523125, label=say("ounces"), spellings=("ounce", "ounces")),
    Unit("lb", "mass", 453.59237, label=say("pounds"), spellings=("lbs", "pound", "pounds")),
    Unit("L", "volume", 1.0, label=say("litres"), spellings=("l", "litre", "litres", "liter", "liters", "ltr")),
    Unit("mL", "volume", 0.001, label=say("millilitres"), spellings=("ml", "cc")),
    Unit(
        "imp gal",
        "volume",
        4.54609,
        label=say("imperial gallons"),
        spellings=("uk gal", "imperial gallon", "imperial gallons"),
    ),
    Unit(
        "imp pt",
        "volume",
        0.56826125,
        label=say("imperial pints"),
        spellings=("uk pt", "imperial pint", "imperial pints", "uk pint", "uk pints"),
    ),
    Unit("imp fl oz", "volume", 0.0284130625, label=say("imperial fluid ounces"), spellings=("uk fl oz",)),
    Unit("US gal", "volume", 3.785411784, label=say("US gallons"), spellings=("us gallon", "us gallons")),
    Unit("US qt", "volume", 0.946352946, label=say("US quarts"), spellings=("us quart", "us quarts")),
    Unit("US pt", "volume", 0.473176473, label=say("US pints"), spellings=("us pint", "us pints")),
    Unit("US fl oz", "volume", 0.0295735295625, label=say("US fluid ounces")),
    Unit(
        "°C",
        "temperature",
        1.0,
        label=say("degrees Celsius"),
        spellings=("c", "degc", "deg c", "celsius", "oc", "º c", "ºc"),
    ),
    Unit(
        "°F",
        "temperature",
        5 / 9,
        -160 / 9,
        label=say("degrees Fahrenheit"),
        spellings=("f", "degf", "deg f", "fahrenheit", "of", "ºf"),
    ),
    Unit("SG", "gravity", 1.0, label=say("specific gravity 20/20"), spellings=("sg",)),
    Unit(
        "°P",
        "extract",
        1.0,
        label=say("degrees Plato"),
        spellings=("p", "degp", "deg p", "plato", "°bx", "bx", "brix", "°brix", "ºp"),
    ),
    Unit("h", "time", 1.0, label=say("hours"), spellings=("hour", "hours", "hr", "hrs")),
    Unit("min", "time", 1 / 60, label=say("minutes"), spellings=("minute", "minutes", "mins")),
    Unit("d", "time", 24.0, label=say("days"), spellings=("day", "days")),
    Unit("wk", "time", 168.0, label=say("weeks"), spellings=("week", "weeks")),
    Unit("bar", "pressure", 1.0, label=say("bar above the air's"), spellings=("barg",)),
    Unit("kPa", "pressure", 0.01, label=say("kilopascals above the air's"), spellings=("kpa",)),
    Unit("psi", "pressure", 0.0689475729317, label=say("pounds per square inch above the air's"), spellings=("psig",)),
    Unit("g/L", "concentration", 1.0, label=say("grams per litre"), spellings=("g/l", "g per l", "g per litre")),
    Unit("ppm", "concentration", 0.001, label=say("parts per million (mg/L)"), spellings=("mg/l",)),
    # One volume of CO2 is the gas that fills the beer's own volume at 0 degC and 1.01325 bar: 1.97681 g/L by the
    # reference equation of state, rounded in the trade to 1.96 or 2.0.
    Unit("vol", "co2", 1.0, label=say("volumes of CO2"), spellings=("vols", "volumes", "volume")),
    Unit("g CO2/L", "co2", 1 / 1.97681, label=say("grams of CO2 per litre"), spellings=("g co2/l",)),
    Unit("EBC", "colour", 1.0, label=say("EBC colour"), spellings=("ebc",)),
    Unit("SRM", "colour", 1.9685, label=say("SRM colour"), spellings=("srm",)),
    Unit("IBU", "bitterness", 1.0, label=say("bitterness units"), spellings=("ibu", "ebu", "bu")),
    Unit(
        "% vol",
        "strength",
        1.0,
        label=say("per cent alcohol by volume"),
        spellings=("%", "%vol", "% abv", "abv", "%abv"),
    ),
    Unit("%", "share", 1.0, label=say("per cent"), spellings=("percent", "per cent")),
    Unit("mm", "length", 1.0, label=say("millimetres"), spellings=()),
    Unit("cm", "length", 10.0, label=say("centimetres"), spellings=()),
    Unit("in", "length", 25.4, label=say("inches"), spellings=("inch", "inches")),
    Unit("m³", "room", 1.0, label=say("cubic metres"), spellings=("m3", "cubic metres")),
    Unit("pieces", "pieces", 1.0, label=say("pieces"), spellings=("piece", "pcs", "stück", "stk")),
    Unit("", "count", 1.0, label="", spellings=()),
    Unit("", "number", 1.0, label="", spellings=()),
    Unit("", "money", 1.0, label="", spellings=()),
)

_UNIT_WORDS = {"pieces": say("pieces")}  # all others are signs, the same in every language

_COUNTRYLESS = {
    "gal": say("gallons"),
    "gallon": say("gallons"),
    "gallons": say("gallons"),
    "pt": say("pints"),
    "pint": say("pints"),
    "pints": say("pints"),
    "fl oz": say("fluid ounces"),
    "floz": say("fluid ounces"),
    "qt": say("quarts"),
}

_PLAIN = re.compile(r"-?[0-9]{1,15}(?:\.[0-9]{1,15})?")
_NUMBER = re.compile(r"^(?P<sign>[-+]?)(?P<body>\d[\d.,\s]*|[.,]\d+)$")
_SPLIT = re.compile(r"^\s*(?P<number>[-+−]?\s*(?:\d[\d.,\u00a0\u202f]*(?:\s\d{3})*|[.,]\d+))\s*(?P<unit>[^\d].*?)?\s*$")


def dimensions() -> tuple[str, ...]:
    """Names of all dimensions, in order."""
    return tuple(dict.fromkeys(unit.dimension for unit in _UNITS))


def units_of(dimension: str) -> tuple[Unit, ...]:
    """All units of a dimension; the base unit first."""
    found = tuple(unit for unit in _UNITS if unit.dimension == dimension)
    if not found:
        raise KeyError(dimension)
    return found


@cache
def _spellings(dimension: str) -> dict[str, Unit]:
    table: dict[str, Unit] = {}
    for unit in units_of(dimension):
        for spelling in (unit.symbol, *unit.spellings):
            table[spelling.lower()] = unit
    return table


@cache
def unit_named(symbol: str, dimension: str) -> Unit:
    """The unit with exactly this symbol in this dimension; KeyError for a programmer's slip."""
    for unit in units_of(dimension):
        if unit.symbol == symbol:
            return unit
    raise KeyError(f"{symbol!r} is no unit of {dimension}")


def convert(value: float, unit_from: str, unit_to: str, dimension: str) -> float:
    """Convert between two units of one dimension (offsets of temperature included)."""
    source, target = unit_named(unit_from, dimension), unit_named(unit_to, dimension)
    if source is target:
        return value
    return (source.factor * value + source.offset - target.offset) / target.factor


class Quantity(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A number as it was written, with its unit. The text is never altered.

    Examples
    --------
    >>> Quantity("21,5", "L").number()
    21.5
    """

    text: str
    unit: str

    def number(self) -> float:
        """The number in its own unit."""
        return parse_number(self.text, "number")

    def to(self, unit: str, dimension: str) -> float:
        """The number in another unit of its dimension."""
        return convert(self.number(), self.unit, unit, dimension)

    def resolution(self) -> float:
        """The size of one step of the last written digit, in the quantity's own unit."""
        digits = re.sub(r"[^\d.,]", "", self.text)
        tail = re.split(r"[.,]", digits)[-1] if re.search(r"[.,]", digits) else ""
        return float(10.0 ** -len(tail))

    def __str__(self) -> str:
        return f"{self.text} {self.unit}".rstrip()

    def said(self) -> str:
        """As it was written, for a sentence: in its own unit, and told with the reader's decimal mark."""
        number = say_number(self.text)
        return joined(" ", (number, _UNIT_WORDS.get(self.unit, self.unit))) if self.unit else number


def parse_number(text: str, field: str) -> float:
    """Read one number, decimal point or comma.

    A single comma or point is the decimal mark; with both, the later one is. Spaces group thousands.

    Raises
    ------
    InputError
        Naming the field, when the text is no number.
    """
    if _PLAIN.fullmatch(text):
        return float(text)
    plain = text.strip().replace("−", "-").replace("\u00a0", " ").replace("\u202f", " ")
    sign_free = plain.replace("- ", "-")
    match = _NUMBER.match(sign_free)
    if not match or len(sign_free) > 32:
        written = text.strip()[:40]
        problem = say("“{text}” is not a number", text=written) if written else say("nothing was written")
        raise InputError(field, problem, say("write digits, such as 21.5 or 21,5"))
    body = re.sub(r"\s", "", match["body"])
    last = max(body.rfind("."), body.rfind(","))
    if last >= 0:
        mark = body[last]
        whole, decimals = body[:last], body[last + 1 :]
        grouped = whole.replace("," if mark == "." else ".", "")
        if mark in whole or not re.fullmatch(r"\d*", grouped):
            raise InputError(
                field,
                say("“{text}” has more than one decimal mark", text=text.strip()),
                say("write it without separators"),
            )
        body = f"{grouped or '0'}.{decimals or '0'}"
    return float(match["sign"] + body)


def read_quantity(text: str, dimension: str, field: str, default_unit: str | None = None) -> Quantity:
    """Read "21.5 L", "68F" or a bare number in the default unit, keeping the text.

    Raises
    ------
    InputError
        No number, an unknown unit, or a gallon, pint or fluid ounce without its country.
    """
    match = _SPLIT.match(text)
    if not match:
        parse_number(text, field)  # raises with the right words
        raise InputError(
            field, say("“{text}” was not understood", text=text.strip()[:40]), say("write a number and its unit")
        )
    number_text = match["number"].strip()
    parse_number(number_text, field)
    unit_text = (match["unit"] or "").strip()
    if not unit_text:
        return Quantity(number_text, default_unit if default_unit is not None else units_of(dimension)[0].symbol)
    key = re.sub(r"\s+", " ", unit_text.lower().rstrip("."))
    if dimension == "volume" and key in _COUNTRYLESS:
        measure = _COUNTRYLESS[key]
        raise InputError(
            field,
            say("{measure} differ by a fifth between the UK and the US", measure=measure),
            say("write “imp {key}” or “US {key}”, or give litres", key=key),
        )
    unit = _spellings(dimension).get(key)
    if unit is None:
        known = ", ".join(u.symbol for u in units_of(dimension) if u.symbol) or say("no unit")
        raise InputError(
            field, say("“{word}” is not a unit for this", word=unit_text[:20]), say("use {units}", units=known)
        )
    return Quantity(number_text, unit.symbol)


def show(value: float, digits: int) -> str:
    """A number with fixed decimals and a true minus sign; "not known" for NaN."""
    if value != value:  # noqa: PLR0124 - NaN is the only value unequal to itself
        return say("not known")
    return say_number(shown(value, digits))
