"""Allergens that a beer's label has to name: from what went in, and what only the brewer can tell."""

from __future__ import annotations

import re
from dataclasses import dataclass

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.steps.answers import Basis, Given
from gylebook.steps.makeup import makeup_of
from gylebook.steps.materials import allergens_of, plain_name

# Words of a material, in capitals where the law of labels wants them to stand out.
_OF_MATERIAL = {"barley (gluten)": "BARLEY (gluten)", "milk": "MILK (lactose)"}
# What a brewer's own words may name; whole words only, so that nutmeg is no nut and coconut none either.
_OF_WORDS = (
    (r"wheat|weizen", "WHEAT (gluten)"),
    (r"spelt", "SPELT (gluten)"),
    (r"rye", "RYE (gluten)"),
    (r"oats?|oatmeal", "OATS (gluten)"),
    (r"lactose|milk|cream|whey", "MILK"),
    (r"\w*sulph?f?ites?|\w*bisulph?f?ites?", "SULPHITES"),
    (r"peanuts?", "PEANUTS"),
    (r"nuts?|almonds?|hazelnuts?|walnuts?|pecans?|cashews?|pistachios?", "NUTS"),
    (r"soya?|soybeans?", "SOYA"),
    (r"eggs?", "EGG"),
    (r"isinglass|fish", "FISH (isinglass)"),
    (r"shellfish|oysters?", "MOLLUSCS"),
    (r"sesame", "SESAME"),
    (r"celery", "CELERY"),
    (r"mustard", "MUSTARD"),
    (r"lupins?", "LUPIN"),
)
_HARMLESS = {"finings", "nutrient"}


@dataclass(frozen=True, slots=True)
class Allergens:
    """What the label names, where each came from, and what is still to be asked."""

    words: tuple[str, ...]
    inputs: tuple[Given, ...]
    questions: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()


def allergens(brew: Brew) -> Allergens:
    """Allergens of a brew, each once. A beer without ingredients in the book is taken for one of barley malt."""
    found: dict[str, Given] = {}
    made = makeup_of(brew)
    for each in made.ingredients:
        name = each.name or plain_name(each.material)
        _note(found, _of_material(each.material), name, Basis.MEASURED if made.measured else Basis.LEAFLET)
        _note(found, _of_words(each.name), name, Basis.MEASURED if made.measured else Basis.LEAFLET)
    for primed in brew.all(ev.Primed):
        name = plain_name(primed.event.sugar)
        _note(found, _of_material(primed.event.sugar), f"{name}, for priming", Basis.MEASURED, primed.seq)
    questions = _added(brew, found)
    assumed: tuple[str, ...] = ()
    if not made.ingredients:
        words = "malt: no ingredients are written"
        _note(found, ("BARLEY (gluten)",), words, Basis.ASSUMED)
        assumed = ("it is made of barley malt, since no ingredients are written",)
        questions = ("What went into the wort? The label has to name what people are allergic to.", *questions)
    questions += _named(brew, found)
    return Allergens(tuple(found), tuple(found.values()), questions, assumed)


def _added(brew: Brew, found: dict[str, Given]) -> tuple[str, ...]:
    """Note what later additions bring; the questions that their names leave open."""
    questions = []
    for added in brew.all(ev.Added):
        names = (*_of_material(added.event.material), *_of_words(added.event.what))
        _note(found, names, added.event.what, Basis.MEASURED, added.seq)
        if not names and not added.event.material and added.event.purpose not in _HARMLESS:
            questions.append(f"Does the packet of “{added.event.what}” name anything people are allergic to?")
    return tuple(questions)


def _named(brew: Brew, found: dict[str, Given]) -> tuple[str, ...]:
    """Questions that a name raises: a wheat beer without wheat in the book, a milk stout without milk."""
    kit = brew.plan.kit
    lacking = [
        word
        for word in _of_words(f"{brew.name} {kit.name if kit else ''}")
        if not any(word.split()[0] == each.split()[0] for each in found)
    ]
    return tuple(f"The name speaks of {word.split()[0].lower()}: is it in the beer?" for word in dict.fromkeys(lacking))


def _note(found: dict[str, Given], words: tuple[str, ...], of: str, basis: Basis, seq: int | None = None) -> None:
    for word in words:
        # One line for each allergen: MILK and MILK (lactose) are the same.
        if not any(each.split()[0] == word.split()[0] for each in found):
            found[word] = Given(word, of, basis, f"entry {seq}" if seq is not None else "", seq)


def _of_material(key: str) -> tuple[str, ...]:
    return tuple(_OF_MATERIAL[word] for word in allergens_of((key,)))


def _of_words(text: str) -> tuple[str, ...]:
    return tuple(word for pattern, word in _OF_WORDS if re.search(rf"\b(?:{pattern})\b", text, re.IGNORECASE))
