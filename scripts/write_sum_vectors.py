"""Write what the book answers to many sums, as vectors that the phone's sums must meet.

    python scripts/write_sum_vectors.py          writes tests/web/pocket/vectors.json
    python scripts/write_sum_vectors.py --check  says whether that file is as it would be written

The same makes as many further questions as a test wants, from a seed: amounts in every unit, with point and comma, at
and beyond the edges of what can be, and things that nobody should write.
"""

from __future__ import annotations

import hashlib
import json
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from random import Random
from typing import Any

from gylebook.errors import InputError, InputErrors
from gylebook.steps.answers import Answer, Figure, Option
from gylebook.steps.bottle_kinds import NAMES
from gylebook.steps.decision import Sum
from gylebook.steps.fields import CHOICE, COUNT, LONG_TEXT, QUANTITY, Field
from gylebook.steps.sums import SUMS
from gylebook.units import Unit, convert, dimensions, units_of

FILE = Path(__file__).parents[1] / "tests" / "web" / "pocket" / "vectors.json"
SEED = 20_261_130
EACH = 200
WORDS = (
    "reading",
    "strength",
    "priming",
    "pressure",
    "boiling_water",
    "dilution",
    "bottles",
    "hop_dose",
    "gravity",
    "units",
)
# Where a field's possible range says little of what is written in it, in the base unit.
_USUAL = {
    ("reading", "reading"): (0.985, 1.12),
    ("reading", "original"): (1.02, 1.12),
    ("strength", "original"): (1.02, 1.12),
    ("strength", "final"): (0.99, 1.03),
    ("strength", "bottle"): (0.2, 2.0),
    ("strength", "priming"): (0.0, 12.0),
    ("priming", "volume"): (1.0, 60.0),
    ("priming", "co2"): (1.2, 4.5),
    ("priming", "points"): (0.0, 6.0),
    ("priming", "mass"): (1.0, 300.0),
    ("priming", "bought_for"): (5.0, 40.0),
    ("pressure", "co2"): (0.5, 7.0),
    ("pressure", "altitude"): (0.0, 2000.0),
    ("boiling_water", "extract"): (0.0, 4000.0),
    ("boiling_water", "dry"): (0.0, 2000.0),
    ("boiling_water", "volume"): (5.0, 30.0),
    ("boiling_water", "tap"): (4.0, 25.0),
    ("boiling_water", "target"): (8.0, 30.0),
    ("boiling_water", "least"): (0.0, 4.0),
    ("boiling_water", "boiling"): (0.0, 12.0),
    ("dilution", "gravity"): (1.0, 1.09),
    ("dilution", "target"): (1.0, 1.09),
    ("dilution", "volume"): (1.0, 40.0),
    ("dilution", "water"): (0.0, 10.0),
    ("bottles", "volume"): (0.0, 50.0),
    ("hop_dose", "hops"): (0.0, 300.0),
    ("hop_dose", "volume"): (1.0, 40.0),
    ("hop_dose", "days"): (0.0, 1500.0),
}
_BAD = (
    *("abc", "12..3", "1,2,3", "1.234.567", "5 gal", "10 pt", "3 fl oz", "2 quarts", "1 000 L", "1.000,5", "1,000.5"),
    *("1.000,5 L", "−5", "- 5", "+3", "1e5", "12 foo", ".5", ",5", "5.", "007", "1062", "1040", "42", "68", "0", "-0"),
    *("1 234 567", "1 23", "x" * 400, "9" * 40, "9" * 30, "99999", "1.0425 sg", "12 °P.", "12 ° P", "5 US  gal"),
    *("5 UK Gal.", "20C", "68F", "68 °f", "🍺", "½", "5 🍺", "1\t000 L", "#", "nan", "inf", "1.04.", "0x10", "12 %"),
    *("3 g/L", "2.5 vol", "5 g CO2/L", "0,5 kg", "1 lb 4 oz", "5 pints.", "12 OZ", "100 %VOL"),
)
_BAD_LINES = (
    *("bottles", "24", "24 x", "24 x 500", "24 x 500 mL", "0 x 500 mL brown", "6000 x 500 mL brown"),
    *("12345678 x 500 mL brown", "24 x 1 pt brown", "24 x 500 furlong brown", "24 x 500 mL nonsense"),
    *("24 x 500 mL brown, maybe", "24 x 90 L demijohn", "24 x 0 mL brown", "3 × 1,5 L PET", "two x 500 mL brown"),
    *("3 of 0,75 L champagne, last", "12 * 12 US fl oz longneck, first", "24 x 500mL brown returnable, filled first"),
    *("5 X 50 cl brown", "8 x 33.0.1 mL brown", "x 500 mL brown", "2 x 500 ml. brown", "7 x .5 l Glass"),
    *("1 x 500 ml " + "a" * 90, "2 x 3 L brown", "3 x 5 L swing-top", ",", "9 x 500 mL,brown", "10x500ml brown"),
)


def questions(word: str, seed: object, count: int) -> Iterator[dict[str, str]]:
    """So many questions to a sum, the same for the same seed: texts by the name of the field."""
    chance = Random(f"{seed} {word}")  # noqa: S311 - the same again is what is wanted
    of = SUMS[word]
    yield dict(of.example)
    for _ in range(count - 1):
        yield _question(of, chance)


def _question(of: Sum, chance: Random) -> dict[str, str]:
    if of.word == "units":
        return _units_question(chance)
    asked = {}
    wrong = chance.random() < 0.12
    for field in of.fields:
        if chance.random() > (0.99 if field.required else 0.5):
            continue
        asked[field.name] = _bad(field, chance) if wrong and chance.random() < 0.4 else _text(of.word, field, chance)
    return asked


def _bad(field: Field, chance: Random) -> str:
    if field.kind == LONG_TEXT:
        return "\n".join(chance.choices(_BAD_LINES, k=chance.randint(1, 3)))
    return chance.choice(_BAD)


def _text(word: str, field: Field, chance: Random) -> str:
    if field.kind == CHOICE:
        value, words = chance.choice(field.choices)
        return chance.choice((value, words, value.upper(), value.replace("_", " ")))
    if field.kind == COUNT:
        return str(chance.randint(0, 60))
    if field.kind == LONG_TEXT:
        return _lines(chance)
    assert field.kind == QUANTITY
    low, high = _USUAL.get((word, field.name)) or field.possible or (0.0, 100.0)
    if chance.random() < 0.08:
        low, high = field.possible or (low, high)
    at = chance.choice((low, high)) if chance.random() < 0.06 else chance.uniform(low, high)
    return _amount(at, chance.choice(_units(field.dimensions, chance)), field.dimensions[0], chance)


def _units(names: tuple[str, ...], chance: Random) -> tuple[Unit, ...]:
    return units_of(names[0]) if chance.random() < 0.8 or len(names) == 1 else units_of(names[1])


def _amount(base: float, unit: Unit, dimension: str, chance: Random) -> str:
    """An amount of the base unit, written in a unit as somebody may write it."""
    if unit.dimension == dimension:
        value = convert(base, units_of(dimension)[0].symbol, unit.symbol, dimension)
    else:
        value = (base - 1) * 250  # a gravity in degrees Plato, nearly
    digits = 4 if unit.dimension == "gravity" else chance.choice((0, 0, 1, 1, 2, 3))
    number = f"{value:.{digits}f}"
    if chance.random() < 0.3:
        number = number.replace(".", ",")
    if number.startswith("-") and chance.random() < 0.5:
        number = "−" + number[1:]
    symbol = chance.choice((unit.symbol, *unit.spellings))
    if unit is units_of(dimension)[0] and chance.random() < 0.5:
        symbol = ""
    if chance.random() < 0.1:
        symbol = symbol.upper()
    return f"{number}{chance.choice(('', ' ', ' '))}{symbol}{chance.choice(('', '', '', '.'))}".strip()


def _lines(chance: Random) -> str:
    found = []
    for _ in range(chance.randint(1, 4)):
        size = chance.choice(
            ("500 mL", "330 mL", "0,5 l", "1 L", "0.75 L", "568 ml", "1.5 L", "12 US fl oz", "1 imp pt", "2 L", "355mL")
        )
        kind = chance.choice(chance.choice(list(NAMES.values())))
        tail = chance.choice(("", "", "", ", first", ", last"))
        found.append(f"{chance.randint(1, 50)} {chance.choice('x×*')} {size} {kind}{tail}")
    return "\n".join(found)


def _units_question(chance: Random) -> dict[str, str]:
    if chance.random() < 0.1:
        return {"amount": chance.choice(_BAD), "to": chance.choice(("", "L", "kg", "°P", "furlong", *_BAD[:6]))}
    names = [name for name in dimensions() if name not in {"pieces", "count", "number", "money"}]
    dimension = chance.choice(names)
    unit = chance.choice(units_of(dimension))
    base = chance.uniform(0.98, 1.15) if dimension == "gravity" else chance.uniform(-20, 300)
    asked = {"amount": _amount(base, unit, dimension, chance)}
    if chance.random() < 0.7:
        into = chance.choice(units_of(dimension if chance.random() < 0.8 else chance.choice(names)))
        asked["to"] = chance.choice((into.symbol, *into.spellings))
    return asked


def answered(word: str, texts: Mapping[str, str]) -> dict[str, Any]:
    """What the book says to a question, in the form in which the phone's sums tell it: every word that is shown."""
    of = SUMS[word]
    values, errors = {}, []
    for field in of.fields:
        try:
            values[field.name] = field.read(texts.get(field.name, ""))
        except InputError as error:
            errors.append(error)
    if errors:
        return _refused(errors)
    try:
        return told(of.reckon(values))
    except InputErrors as several:
        return _refused(several.errors)
    except InputError as error:
        return _refused([error])


def _refused(errors: list[InputError]) -> dict[str, Any]:
    return {"errors": [str(error) for error in errors]}


def told(answer: Answer) -> dict[str, Any]:
    """An answer, as far as it is shown."""
    return {
        "headline": answer.headline,
        "why": answer.why,
        "urgency": answer.urgency.value,
        "figures": [_figure(each) for each in answer.figures if isinstance(each, Figure)],
        "findings": [[each.urgency.value, each.key, each.text, each.check] for each in answer.findings],
        "options": [_option(each) for each in answer.options],
        "missing": answer.missing,
        "assumed": list(answer.assumed),
        "cautions": list(answer.cautions),
        "rule_of_thumb": answer.rule_of_thumb,
    }


def _option(option: Option) -> list[Any]:
    figures = [_figure(each) for each in option.figures]
    return [option.name, option.words, option.chosen, figures]


def _figure(figure: Figure) -> list[Any]:
    of = figure.working
    inputs = [[each.name, each.value, each.basis.value, each.where] for each in of.inputs]
    working = [of.relation, inputs, list(of.sources), list(of.steps), list(of.cautions)]
    return [figure.key, figure.label, figure.text(), figure.interval, figure.unit, figure.digits, working]


def print_of(found: Mapping[str, Any]) -> str:
    """A short print of everything that is shown, workings too."""
    whole = json.dumps(found, ensure_ascii=False, separators=(",", ":"))  # as JSON.stringify writes it
    return hashlib.sha256(whole.encode()).hexdigest()[:16]


def kept(found: Mapping[str, Any]) -> dict[str, Any]:
    """What is kept of an answer: what is read first in words, the rest as its print."""
    if "errors" in found:
        return dict(found)
    figures = {each[0]: each[2] for each in found["figures"]}
    return {"headline": found["headline"], "figures": figures, "print": print_of(found)}


def text() -> str:
    """The file as it should be."""
    lines = []
    for word in WORDS:
        for asked in questions(word, SEED, EACH):
            vector = {"sum": word, "asked": asked, "answer": kept(answered(word, asked))}
            lines.append(json.dumps(vector, ensure_ascii=False, separators=(",", ":")))
    return "[\n" + ",\n".join(lines) + "\n]\n"


def main() -> int:
    if "--check" in sys.argv[1:]:
        fresh = FILE.exists() and FILE.read_text(encoding="utf-8") == text()
        print("fresh" if fresh else "stale: run python scripts/write_sum_vectors.py")
        return 0 if fresh else 1
    FILE.write_text(text(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
