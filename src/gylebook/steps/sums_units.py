"""The sum on units: any amount in any unit of its kind, and the warning that gallons have a country."""

from __future__ import annotations

from collections.abc import Mapping
from math import floor, isfinite, log10
from typing import Any

from gylebook.errors import InputError
from gylebook.phrases import joined, say, say_amount
from gylebook.science.extract import plato_from_sg, sg_from_plato
from gylebook.steps.answers import Answer, Figure, Finding, Urgency, Working
from gylebook.steps.asked import Asked, Shown, figure, within
from gylebook.steps.decision import Sum
from gylebook.steps.fields import TEXT, Field
from gylebook.units import Quantity, Unit, dimensions, read_quantity, show, units_of

_FIELDS = (
    Field("amount", say("Amount with its unit"), TEXT, required=True, hint=say("5 US gal")),
    Field("to", say("Into"), TEXT, hint=say("L; empty for every unit of its kind")),
)
_UNITLESS = {"pieces", "count", "number", "money"}
_COUNTRY = {"US": "imp", "imp": "US"}


def _units(values: Mapping[str, Any]) -> Answer:
    asked = Asked(_FIELDS, values)
    text, wanted = asked.word("amount"), asked.word("to").strip()
    quantity, dimension = _read(text, wanted)
    targets = _targets(wanted, dimension)
    figures = tuple(_converted(quantity, dimension, unit, asked) for unit in targets)
    findings = tuple(_country(quantity, dimension))
    shown = joined(", ", (say("{value} {unit}", value=show(f.value, f.digits), unit=f.unit) for f in figures[:3]))
    return Answer(
        say("{quantity} is {shown}.", quantity=quantity, shown=shown),
        say("Factors are exact by definition, except volumes of CO2 and the sugar tables."),
        Urgency.NOTHING,
        figures,
        findings,
        assumed=asked.assumed,
    )


def _read(text: str, wanted: str) -> tuple[Quantity, str]:
    """The amount and its dimension; where a symbol belongs to two, the one that the target belongs to."""
    country: InputError | None = None
    found: list[tuple[Quantity, str]] = []
    for dimension in dimensions():
        if dimension in _UNITLESS:
            continue
        try:
            quantity = read_quantity(text, dimension, say("Amount"), default_unit="")
        except InputError as error:
            if "UK and the US" in error.problem or "is not a number" in error.problem:
                country = country or error
            continue
        if quantity.unit:
            found.append((quantity, dimension))
    fitting = [pair for pair in found if not wanted or _unit_in(wanted, pair[1]) or _across(pair[1], wanted)]
    if fitting:
        return fitting[0]
    if found:
        known = joined(", ", (u.symbol for u in units_of(found[0][1])))
        raise InputError(
            say("Into"),
            say("“{wanted}” does not go with {amount}", wanted=wanted[:20], amount=found[0][0]),
            say("use one of {known}", known=known),
        )
    if country is not None:
        raise country
    raise InputError(
        say("Amount"),
        say("“{text}” was not understood", text=text[:40]),
        say("write a number and its unit, such as 5 US gal"),
    )


def _unit_in(symbol: str, dimension: str) -> Unit | None:
    try:
        quantity = read_quantity(f"1 {symbol}", dimension, say("Into"))
    except InputError:
        return None
    return next((u for u in units_of(dimension) if u.symbol == quantity.unit), None)


def _across(dimension: str, symbol: str) -> bool:
    other = {"gravity": "extract", "extract": "gravity"}.get(dimension)
    return other is not None and _unit_in(symbol, other) is not None


def _targets(wanted: str, dimension: str) -> tuple[tuple[Unit, str], ...]:
    if not wanted:
        own = tuple((unit, dimension) for unit in units_of(dimension))
        other = {"gravity": "extract", "extract": "gravity"}.get(dimension)
        return own + (tuple((unit, other) for unit in units_of(other)) if other else ())
    unit = _unit_in(wanted, dimension)
    if unit is not None:
        return ((unit, dimension),)
    other = {"gravity": "extract", "extract": "gravity"}[dimension]
    across = _unit_in(wanted, other)
    assert across is not None  # _read chose a dimension to which the target belongs
    return ((across, other),)


def _converted(quantity: Quantity, dimension: str, target: tuple[Unit, str], asked: Asked) -> Figure:
    unit, to_dimension = target
    sources: tuple[str, ...] = ("unit_definitions",)
    if to_dimension != dimension:
        change = plato_from_sg if to_dimension == "extract" else sg_from_plato
        value = within(
            change(quantity.number()),
            say("Amount"),
            say("{quantity} is beyond the sugar tables", quantity=quantity),
            say("write 0.98 to 1.15 SG"),
        )
        sources = ("nbs_c440", "sg_plato_fit")
    else:
        value = quantity.to(unit.symbol, dimension)
    if dimension == "co2":
        sources = ("co2_gas_density",)
    working = Working(say("{label} from {unit}", label=unit.label, unit=quantity.unit), asked.givens, sources)
    shown = Shown(unit.symbol, to_dimension, _digits(value, to_dimension))
    # The unit is what was asked for: in words, lest the page turn it into the units that its reader prefers.
    return figure(
        unit.symbol,
        unit.label,
        value,
        shown,
        working,
        words=say("{value} {unit}", value=show(value, shown.digits), unit=shown.unit),
    )


def _digits(value: float, dimension: str) -> int:
    """Four figures that mean something; gravity always to four decimals."""
    if dimension == "gravity":
        return 4
    if value == 0 or not isfinite(value):
        return 1
    return max(0, min(6, 3 - floor(log10(abs(value)))))


def _country(quantity: Quantity, dimension: str) -> list[Finding]:
    country = quantity.unit.split(" ")[0]
    if dimension != "volume" or country not in _COUNTRY:
        return []
    other = quantity.unit.replace(country, _COUNTRY[country], 1)
    if all(u.symbol != other for u in units_of("volume")):
        return []
    if "fl oz" in other:
        return []
    litres = Quantity(quantity.text, other).to("L", "volume")
    return [
        Finding(
            Urgency.NOTHING,
            say(
                "Were it {amount}, it would be {litres}: the two differ by a fifth.",
                amount=Quantity(quantity.text, other),
                litres=say_amount(litres, 2, "L"),
            ),
            say("Which country is the recipe from?"),
            key="gallon_country",
        )
    ]


SUMS = (
    Sum(
        "units",
        say("Units"),
        say("What is that in another unit?"),
        _FIELDS,
        _units,
        {"amount": "5 US gal", "to": "L"},
    ),
)
