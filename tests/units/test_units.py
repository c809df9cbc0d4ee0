"""Units: exact factors, offsets, decimal commas, countryless gallons, and an independent library's opinion."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.errors import InputError
from gylebook.units import Quantity, convert, dimensions, parse_number, read_quantity, show, units_of

# How the independent library spells our units; the rest have no counterpart in it.
PINT = {
    "g": "gram", "kg": "kilogram", "mg": "milligram", "oz": "ounce", "lb": "pound", "L": "litre", "mL": "millilitre",
    "imp gal": "imperial_gallon", "imp pt": "imperial_pint", "imp fl oz": "imperial_fluid_ounce", "US gal": "gallon",
    "US qt": "quart", "US pt": "pint", "US fl oz": "fluid_ounce", "°C": "degC", "°F": "degF", "h": "hour",
    "min": "minute", "d": "day", "wk": "week", "bar": "bar", "kPa": "kilopascal", "psi": "psi", "mm": "millimetre",
    "cm": "centimetre", "in": "inch", "m³": "metre**3",
}  # fmt: skip


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


PAIRS = [
    (a.symbol, b.symbol, dimension)
    for dimension in dimensions()
    for a in units_of(dimension)
    for b in units_of(dimension)
    if a.symbol in PINT and b.symbol in PINT
]


@pytest.mark.parametrize(("unit_from", "unit_to", "dimension"), PAIRS, ids=str)
def test_every_pair_agrees_with_an_independent_unit_library(registry, unit_from, unit_to, dimension) -> None:
    ours = convert(7.25, unit_from, unit_to, dimension)
    theirs = registry.Quantity(7.25, PINT[unit_from]).to(PINT[unit_to]).magnitude
    assert math.isclose(ours, theirs, rel_tol=1e-11, abs_tol=1e-12)


@given(
    st.sampled_from([(d, a.symbol, b.symbol) for d in dimensions() for a in units_of(d) for b in units_of(d)]),
    st.floats(-1e6, 1e6),
)
def test_there_and_back_gives_the_same_number(pair, value) -> None:
    dimension, here, there = pair
    back = convert(convert(value, here, there, dimension), there, here, dimension)
    assert math.isclose(back, value, rel_tol=1e-12, abs_tol=1e-9)


def test_eighteen_litres_in_pints_and_gallons() -> None:
    """Second-hand check values: 18 L is 31.7 imperial pints and 3.96 imperial gallons."""
    assert round(convert(18, "L", "imp pt", "volume"), 1) == 31.7
    assert round(convert(18, "L", "imp gal", "volume"), 2) == 3.96


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("1.062", 1.062), ("1,062", 1.062), ("21,5", 21.5), ("1 500", 1500.0), ("1,234.5", 1234.5), ("1.234,5", 1234.5),
        (".5", 0.5), ("-3", -3.0), ("−3", -3.0), ("+4", 4.0), ("3.", 3.0),
    ],
)  # fmt: skip
def test_numbers_are_read_with_point_or_comma(text, number) -> None:
    assert parse_number(text, "Gravity") == number


@pytest.mark.parametrize("text", ["", "abc", "1.2.3", "1,2,3", "--3", "1e5", "NaN", "∞", "12..", "0x10", "9" * 40])
def test_what_is_no_number_is_refused_by_name(text) -> None:
    with pytest.raises(InputError, match="Gravity") as caught:
        parse_number(text, "Gravity")
    assert caught.value.remedy


@given(st.text(max_size=30))
def test_any_text_gives_a_quantity_or_a_sentence(text) -> None:
    sentence = ""
    quantity = Quantity("0", "L")
    try:
        quantity = read_quantity(text, "volume", "Volume")
    except InputError as error:
        sentence = str(error)
    assert sentence.startswith("Volume: ") or (not sentence and math.isfinite(quantity.to("L", "volume")))


@pytest.mark.parametrize("text", ["5 gal", "5 gallons", "3 pints", "12 fl oz", "3pt"])
def test_a_gallon_without_its_country_is_refused(text) -> None:
    with pytest.raises(InputError, match="differ by a fifth"):
        read_quantity(text, "volume", "Volume")


def test_what_was_written_is_kept_as_written() -> None:
    quantity = read_quantity(" 1,0440  SG", "gravity", "Gravity")
    assert quantity == Quantity("1,0440", "SG")
    assert quantity.resolution() == pytest.approx(0.0001)
    assert str(quantity) == "1,0440 SG"


def test_fahrenheit_written_beside_the_number_is_understood() -> None:
    assert read_quantity("68F", "temperature", "Temperature").to("°C", "temperature") == pytest.approx(20.0, abs=1e-9)


def test_a_unit_of_another_kind_is_refused_with_the_ones_that_fit() -> None:
    with pytest.raises(InputError, match="use g, kg"):
        read_quantity("3 L", "mass", "Sugar")


def test_numbers_are_shown_with_a_true_minus_and_no_negative_zero() -> None:
    assert show(-1.25, 2) == "−1.25"
    assert show(-0.0004, 2) == "0.00"
    assert show(float("nan"), 2) == "not known"


def test_any_space_groups_thousands_a_tab_too() -> None:
    assert [parse_number(text, "Volume") for text in ("1 000", "1\t000", "1\u00a0000", "1\n000,5")] == [
        1000,
        1000,
        1000,
        1000.5,
    ]
    assert read_quantity("1\t000 mL", "volume", "Volume").to("L", "volume") == 1.0
