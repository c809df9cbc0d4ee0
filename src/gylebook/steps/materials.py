"""The words for materials: what a brewer may call each on a line of text, and the allergen it brings.

The figures of each material stand in `gylebook.science.materials`.
"""

from __future__ import annotations

from gylebook.phrases import say
from gylebook.science.materials import MATERIALS

# The plain name first: it is the one that is written back. The German ones are read only.
NAMES: dict[str, tuple[str, ...]] = {
    "liquid_malt_extract": (
        say("liquid malt extract"),
        "liquid extract",
        "malt extract",
        "lme",
        "flüssigmalz",
        "flüssigmalzextrakt",
    ),
    "dried_malt_extract": (
        say("dried malt extract"),
        "dried extract",
        "dry malt extract",
        "dry extract",
        "dme",
        "trockenmalz",
        "trockenmalzextrakt",
    ),
    "sucrose": (
        say("sugar"),
        "table sugar",
        "white sugar",
        "cane sugar",
        "beet sugar",
        "granulated sugar",
        "zucker",
        "haushaltszucker",
    ),
    "glucose_monohydrate": (
        say("glucose monohydrate"),
        "dextrose monohydrate",
        "dextrose",
        "glucose",
        "brewing sugar",
        "traubenzucker",
        "traubenzucker-monohydrat",
    ),
    "glucose_anhydrous": (
        say("glucose anhydrous"),
        "anhydrous glucose",
        "dextrose anhydrous",
        "anhydrous dextrose",
        "wasserfreier traubenzucker",
    ),
    "enhancer_blend": (say("enhancer blend"), "enhancer", "blend", "brauzuckermischung"),
    "honey": (say("honey"), "honig"),
    "lactose": (say("lactose"), "milk sugar", "laktose", "milchzucker"),
    "maltodextrin": (say("maltodextrin"),),
}

_ALLERGENS = {
    "liquid_malt_extract": say("barley (gluten)"),
    "dried_malt_extract": say("barley (gluten)"),
    "enhancer_blend": say("barley (gluten)"),
    "lactose": say("milk"),
}


def material_named(words: str) -> str | None:
    """The key of the material that a brewer's words mean; None where they mean none."""
    wanted = " ".join(words.lower().replace("_", " ").split())
    for key, names in NAMES.items():
        if wanted in {*names, key.replace("_", " "), MATERIALS[key].label.lower()}:
            return key
    return None


def plain_name(key: str) -> str:
    """The name that is written back for a material."""
    names = NAMES.get(key)
    return names[0] if names else key.replace("_", " ")


def allergens_of(keys: tuple[str, ...]) -> tuple[str, ...]:
    """Allergens that materials bring, in the words of a label, each once."""
    return tuple(dict.fromkeys(_ALLERGENS[key] for key in keys if key in _ALLERGENS))


def choices() -> tuple[tuple[str, str], ...]:
    """Pairs (key, words) for a form."""
    return tuple((key, names[0]) for key, names in NAMES.items())
