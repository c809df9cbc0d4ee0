"""How the book speaks to one reader: a language from the catalogue, and the reader's units in every sentence.

Sentences are written in British English and metric units (see `phrases`). A voice tells them in another language from
the gettext catalogue of that language, with its decimal mark, and every amount in the units that were chosen. American
English has no catalogue: it is the British one with other spellings and other words of the trade.
"""

from __future__ import annotations

import gettext
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache, lru_cache
from pathlib import Path

from gylebook.outputs.american import american
from gylebook.outputs.measures import Measures, digits_in
from gylebook.phrases import Voice, shown, turn
from gylebook.units import convert

LOCALE = Path(__file__).parent.parent / "locale"
DOMAIN = "django"  # the name under which Django looks for the words of the pages; the sentences stand beside them

BRITISH, AMERICAN, GERMAN = "en-GB", "en-US", "de"

_DIMENSIONS = {"g": "mass", "kg": "mass", "L": "volume", "mL": "volume", "°C": "temperature", "bar": "pressure"}
_FINEST = {"US gal": 2, "US qt": 1, "US pt": 1, "US fl oz": 1, "imp gal": 2, "imp pt": 1, "imp fl oz": 1, "lb": 2,
           "oz": 1, "psi": 1, "°F": 1}  # fmt: skip
_FAHRENHEIT_STEP = 1.8
# An amount that stands in a template itself, as in "a room of 20 °C". Bounds of scales and formulas are left alone.
_FIXED = re.compile(
    r"(?<![\w.,{}/×·−-])(\d+(?:[.,]\d+)?)(?: (to|and|or|bis|und|oder) (\d+(?:[.,]\d+)?))? "
    r"(°C|L|mL|kg|g|bar)(?![\w/°²³])(?! CO2)"
)
# A template that names an amount in both systems, as "20 °C, or 68 °F", is left as it is.
_BOTH = re.compile(r"\d (?:°F|oz|imp gal|US gal|US-Gal)")
_DIGITS = re.compile(r"(?<![\w.])(\d+)\.(\d+)(?![\w.])")


@dataclass(slots=True)
class Speaker:
    """A voice: `language` as in the settings ("en-GB", "en-US", "de").

    `measures` are asked for when the first amount is told, so that a page without one reads no settings.
    """

    language: str
    measures: Callable[[], Measures]
    _templates: dict[str, str] = field(default_factory=dict)
    _own: Measures | None = None

    def template(self, english: str) -> str:
        """A template in this language, with the amounts in it in the reader's units."""
        known = self._templates.get(english)
        if known is None:
            known = self._templates[english] = self._fixed(
                *_translated(catalogue(self.language), self.language, english)
            )
        return known

    def plural(self, one: str, more: str, number: int) -> str:
        """The template for that many."""
        if self.language == GERMAN:
            return self._fixed(*_counted(catalogue(GERMAN), one, more, number == 1))
        return self.template(one if number == 1 else more)

    def number(self, text: str) -> str:
        """A number with this language's decimal mark."""
        return _DIGITS.sub(r"\1,\2", text) if self.language == GERMAN and "." in text else text

    def amount(self, values: tuple[float, ...], digits: int, unit: str, between: str, english: str) -> str:
        """An amount in the reader's units."""
        own = self._read()
        if unit == "Δ°C":
            if own.temperature != "°F":
                return self._amount(list(values), digits, "°C", between)
            return self._amount([value * _FAHRENHEIT_STEP for value in values], digits, "°F", between)
        dimension = _DIMENSIONS.get(unit, "")
        wanted = self._unit(values, unit)
        if wanted == unit:
            return self._amount(list(values), digits, unit, between) if between else self.number(english)
        found = [convert(value, unit, wanted, dimension) for value in values]
        fine = min(digits_in(wanted, unit, dimension, digits), max(digits, _FINEST.get(wanted, digits)))
        return self._amount(found, fine, wanted, between)

    def turned(self, how: str, text: str) -> str:
        """A change at the beginning or the end; German nouns keep their capitals."""
        if self.language == GERMAN and how in {"lower", "small"}:
            return text
        if self.language == GERMAN and how == "capitalize":
            return turn("capital", text)
        return turn(how, text)

    def _unit(self, values: tuple[float, ...], unit: str) -> str:
        """The unit in which the reader wants such an amount told."""
        dimension = _DIMENSIONS.get(unit, "")
        return self._read().unit_for(max(values, key=abs), unit, dimension) if dimension else unit

    def _read(self) -> Measures:
        if self._own is None:
            self._own = self.measures()
        return self._own

    def _amount(self, values: list[float], digits: int, unit: str, between: str) -> str:
        return self.number(f" {between} ".join(shown(value, digits) for value in values)) + f" {unit}"

    def _fixed(self, template: str, has_amounts: bool) -> str:
        return _FIXED.sub(self._fixed_amount, template) if has_amounts else template

    def _fixed_amount(self, found: re.Match[str]) -> str:
        low, between, high, unit = found.groups()
        numbers = [number.replace(",", ".") for number in (low, high) if number]
        values = tuple(map(float, numbers))
        if self._unit(values, unit) == unit:
            return found[0]  # as it stands there: "7 to 8.3 mL" has fewer decimals at one end
        digits = max(len(number.partition(".")[2]) for number in numbers)
        return self.amount(values, digits, unit, between or "", found[0])


# A voice is made for each request, and a template is the same for all of them: room for more than there are.
@lru_cache(maxsize=10_000)
def _translated(words: gettext.NullTranslations, language: str, english: str) -> tuple[str, bool]:
    """A template in a language, and whether amounts stand in it that are told in the reader's units."""
    if not english.strip():
        return english, False
    found = american(english) if language == AMERICAN else words.gettext(english)
    return found, _has_amounts(found)


@lru_cache(maxsize=2_000)
def _counted(words: gettext.NullTranslations, one: str, more: str, is_one: bool) -> tuple[str, bool]:
    """The same by a number; in German only one thing has a form of its own."""
    found = words.ngettext(one, more, 1 if is_one else 2)
    return found, _has_amounts(found)


def _has_amounts(template: str) -> bool:
    return _FIXED.search(template) is not None and _BOTH.search(template) is None


@cache
def catalogue(language: str) -> gettext.NullTranslations:
    """The catalogue of a language, read once; an empty one where there is none."""
    return gettext.translation(DOMAIN, LOCALE, [language], fallback=True)


def voice(language: str, measures: Callable[[], Measures]) -> Voice:
    """The voice for a language of the settings; British English for one that is not known."""
    known = language if language in {BRITISH, AMERICAN, GERMAN} else BRITISH
    return Speaker(known, measures)


def best_language(wanted: str) -> str:
    """The language for what a browser asks for ("de-AT,de;q=0.9,en;q=0.8"), the first that the book speaks.

    The order in which a browser writes them is taken for the order in which they are wanted, as all browsers do.
    """
    for each in wanted.split(","):
        tag = each.partition(";")[0].strip().lower()
        if tag == "de" or tag.startswith("de-"):
            return GERMAN
        if tag == "en-us":
            return AMERICAN
        if tag == "en" or tag.startswith("en-"):
            return BRITISH
    return BRITISH
