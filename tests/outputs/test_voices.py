"""How one reader is spoken to: a language, and the reader's units in every sentence."""

from __future__ import annotations

import pytest

from gylebook.outputs.american import american
from gylebook.outputs.measures import Measures
from gylebook.outputs.voices import best_language, voice
from gylebook.phrases import say, say_amount, say_count, say_number, say_range, tell
from gylebook.units import Quantity

US = Measures(mass="oz", volume="US gal", temperature="°F", pressure="psi")
UK = Measures(mass="g", volume="imp pt", temperature="°C", pressure="psi")


def told(text: str, language: str = "en-GB", measures: Measures = US) -> str:
    return tell(text, voice(language, lambda: measures))


@pytest.mark.parametrize(
    ("text", "metric", "us"),
    [  # conversions by definition: US gallon 3.785411784 L, pound 453.59237 g, 1 bar = 14.5038 psi, °F = 1.8 °C + 32
        (say_amount(19.5, 1, "L"), "19.5 L", "5.15 US gal"),
        (say_amount(112.4, 0, "g"), "112 g", "4.0 oz"),
        (say_amount(1.7, 1, "kg"), "1.7 kg", "3.7 lb"),
        (say_amount(20.0, 0, "°C"), "20 °C", "68 °F"),
        (say_amount(4.7, 1, "bar"), "4.7 bar", "68 psi"),
        (say_range(18, 22, 0, "°C"), "18 to 22 °C", "64 to 72 °F"),
        (say_amount(2.0, 0, "Δ°C"), "2 °C", "4 °F"),
        (say("a room of 20 °C"), "a room of 20 °C", "a room of 68 °F"),
        (say("between 18 and 22 °C"), "between 18 and 22 °C", "between 64 and 72 °F"),
        (say("bottle, 500 mL"), "bottle, 500 mL", "bottle, 16.9 US fl oz"),
        (say_amount(7, 0, "g"), "7 g", "7 g"),  # a sachet of yeast: a tenth of an ounce is too coarse for it
        (say_range(1, 2, 0, "mL"), "1 to 2 mL", "1 to 2 mL"),  # a dose of bleach
        (say("20 °C, or 68 °F"), "20 °C, or 68 °F", "20 °C, or 68 °F"),
        (say("5.5 to 6 g/L for each volume"), "5.5 to 6 g/L for each volume", "5.5 to 6 g/L for each volume"),
        (say("{n} g CO2/L", n=say_number("3.9")), "3.9 g CO2/L", "3.9 g CO2/L"),
    ],
)
def test_amounts_are_told_in_the_readers_units(text: str, metric: str, us: str) -> None:
    assert told(text, measures=Measures()) == metric == text
    assert told(text) == us


@pytest.mark.parametrize("text", ["7 to 8.3 mL of beer a gram", "1 or 1.5 L", "from 0.25 to 1 bar"])
def test_an_amount_in_a_sentence_keeps_its_decimals_where_the_unit_stays(text: str) -> None:
    assert told(say(text), measures=Measures()) == text


def test_british_units_stay_with_grams_and_degrees_celsius() -> None:
    made = say("{v} at {t} with {m}", v=say_amount(23, 0, "L"), t=say_amount(20, 0, "°C"), m=say_amount(110, 0, "g"))
    assert told(made, measures=UK) == "5.1 imp gal at 20 °C with 110 g"


def test_what_was_typed_stays_as_it_was_typed() -> None:
    assert told(say("Racked {volume}.", volume="20,5 L")) == "Racked 20,5 L."


def test_numbers_have_the_decimal_mark_of_the_language() -> None:
    made = say("{sg} at {temp}", sg=say_number("1.012"), temp=say_amount(19.5, 1, "°C"))
    assert told(made, "de", Measures()).startswith("1,012 ")
    assert "19,5 °C" in told(made, "de", Measures())
    assert told(made, "en-US", Measures()) == "1.012 at 19.5 °C"


@pytest.mark.parametrize(
    ("british", "us"),
    [
        ("Sanitise it; a litre of grey mould.", "Sanitize it; a liter of gray mold."),
        ("Colour and flavour, {colour} of them", "Color and flavor, {colour} of them"),
        ("Crown caps fit; a crown cap does", "Bottle caps fit; a bottle cap does"),
        ("It smells of sticking plaster", "It smells of adhesive bandage"),
        ("Nothing to change", "Nothing to change"),
    ],
)
def test_american_spells_and_calls_things_otherwise(british: str, us: str) -> None:
    assert american(british) == us


def test_american_words_are_told_in_counts_too() -> None:
    assert told(say_count(2, "{n} litre", "{n} litres"), "en-US", Measures()) == "2 liters"


@pytest.mark.parametrize(
    ("asked", "language"),
    [
        ("de-AT,de;q=0.9,en;q=0.8", "de"),
        ("fr,en-US;q=0.7,de;q=0.3", "en-US"),
        ("en-GB", "en-GB"),
        ("en-AU,en;q=0.9", "en-GB"),
        ("fr", "en-GB"),
        ("", "en-GB"),
        ("de_DE", "en-GB"),
        ("de-DE", "de"),
    ],
)
def test_a_browser_is_answered_in_the_first_language_that_the_book_speaks(asked: str, language: str) -> None:
    assert best_language(asked) == language


def test_what_was_written_has_the_readers_decimal_mark_and_its_own_unit() -> None:
    read = say("{gravity}, {volume}", gravity=Quantity("1.012", "SG"), volume=Quantity("20.5", "L"))
    assert read == "1.012 SG, 20.5 L"
    assert told(read, "de") == "1,012 SG, 20,5 L"
    assert told(read) == read
