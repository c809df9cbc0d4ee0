"""Allergens that a beer's label has to name: from what went in, and what only the brewer can tell."""

from __future__ import annotations

import re
from dataclasses import dataclass

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import say
from gylebook.steps.answers import Basis, Given
from gylebook.steps.makeup import makeup_of
from gylebook.steps.materials import allergens_of, plain_name

# Words of a material, in capitals where the law of labels wants them to stand out.
_OF_MATERIAL = {"barley (gluten)": say("BARLEY (gluten)"), "milk": say("MILK (lactose)")}
# What a brewer's own words may name, in English or German; whole words where a longer one may be something else, so
# that nutmeg is no nut and coconut none either.
_OF_WORDS = (
    (r"wheat|\w*weizen\w*", say("WHEAT (gluten)")),
    (r"spelt|dinkel\w*", say("SPELT (gluten)")),
    (r"rye|roggen\w*", say("RYE (gluten)")),
    (r"oats?|oatmeal|hafer\w*", say("OATS (gluten)")),
    (r"lactose|milk|cream|whey|laktose|\w*milch\w*|sahne|molke\w*", say("MILK")),
    (r"\w*sulph?f?ites?|\w*bisulph?f?ites?|\w*sulfit", say("SULPHITES")),
    (r"peanuts?|erdn[uü]ss\w*", say("PEANUTS")),
    (
        r"nuts?|almonds?|(?:hazel|wal)nuts?|pecans?|cashews?|pistachios?|(?:hasel|wal)?n[uü]ss(?:en?)?|mandeln?|pistazien?",
        say("NUTS"),
    ),
    (r"soya?|soybeans?|soja\w*", say("SOYA")),
    (r"eggs?|ei|eier|eiweiß|eigelb", say("EGG")),
    (r"isinglass|fish|hausenblase|fisch\w*", say("FISH (isinglass)")),
    (r"shellfish|oysters?|austern?|muscheln?", say("MOLLUSCS")),
    (r"sesame|sesam", say("SESAME")),
    (r"celery|sellerie", say("CELERY")),
    (r"mustard|senf\w*", say("MUSTARD")),
    (r"lupins?|lupinen?", say("LUPIN")),
)
# The same within a sentence, by the first word of what stands on the label.
_IN_SENTENCE = {
    "WHEAT": say("wheat"),
    "SPELT": say("spelt"),
    "RYE": say("rye"),
    "OATS": say("oats"),
    "MILK": say("milk"),
    "SULPHITES": say("sulphites"),
    "PEANUTS": say("peanuts"),
    "NUTS": say("nuts"),
    "SOYA": say("soya"),
    "EGG": say("egg"),
    "FISH": say("fish"),
    "MOLLUSCS": say("molluscs"),
    "SESAME": say("sesame"),
    "CELERY": say("celery"),
    "MUSTARD": say("mustard"),
    "LUPIN": say("lupin"),
}
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
        _note(
            found, _of_material(primed.event.sugar), say("{name}, for priming", name=name), Basis.MEASURED, primed.seq
        )
    questions = _added(brew, found)
    assumed: tuple[str, ...] = ()
    if not made.ingredients:
        words = say("malt: no ingredients are written")
        _note(found, (say("BARLEY (gluten)"),), words, Basis.ASSUMED)
        assumed = (say("it is made of barley malt, since no ingredients are written"),)
        questions = (say("What went into the wort? The label has to name what people are allergic to."), *questions)
    questions += _named(brew, found)
    return Allergens(tuple(found), tuple(found.values()), questions, assumed)


def _added(brew: Brew, found: dict[str, Given]) -> tuple[str, ...]:
    """Note what later additions bring; the questions that their names leave open."""
    questions = []
    for added in brew.all(ev.Added):
        names = (*_of_material(added.event.material), *_of_words(added.event.what))
        _note(found, names, added.event.what, Basis.MEASURED, added.seq)
        if not names and not added.event.material and added.event.purpose not in _HARMLESS:
            questions.append(
                say("Does the packet of “{what}” name anything people are allergic to?", what=added.event.what)
            )
    return tuple(questions)


def _named(brew: Brew, found: dict[str, Given]) -> tuple[str, ...]:
    """Questions that a name raises: a wheat beer without wheat in the book, a milk stout without milk."""
    kit = brew.plan.kit
    lacking = [
        word
        for word in _of_words(f"{brew.name} {kit.name if kit else ''}")
        if not any(word.split()[0] == each.split()[0] for each in found)
    ]
    return tuple(
        say("The name speaks of {allergen}: is it in the beer?", allergen=_IN_SENTENCE[word.split()[0]])
        for word in dict.fromkeys(lacking)
    )


def _note(found: dict[str, Given], words: tuple[str, ...], of: str, basis: Basis, seq: int | None = None) -> None:
    for word in words:
        # One line for each allergen: MILK and MILK (lactose) are the same.
        if not any(each.split()[0] == word.split()[0] for each in found):
            found[word] = Given(word, of, basis, say("entry {seq}", seq=seq) if seq is not None else "", seq)


def _of_material(key: str) -> tuple[str, ...]:
    return tuple(_OF_MATERIAL[word] for word in allergens_of((key,)))


def _of_words(text: str) -> tuple[str, ...]:
    return tuple(word for pattern, word in _OF_WORDS if re.search(rf"\b(?:{pattern})\b", text, re.IGNORECASE))
