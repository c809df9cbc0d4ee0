"""American English, from British: spellings, and the words of the trade that differ. Standing: common usage."""

from __future__ import annotations

import re

# Whole words, in small letters; what stands in a template's braces is never touched. A stem ends with "-".
WORDS = {
    "litre": "liter", "litres": "liters", "half-litre": "half-liter", "millilitre": "milliliter",
    "millilitres": "milliliters", "centimetre": "centimeter", "centimetres": "centimeters", "metre": "meter",
    "metres": "meters", "millimetre": "millimeter", "millimetres": "millimeters",
    "sanitise": "sanitize", "sanitised": "sanitized", "sanitiser": "sanitizer", "sanitisers": "sanitizers",
    "sanitising": "sanitizing", "sanitises": "sanitizes", "unsanitised": "unsanitized",
    "colour": "color", "colours": "colors", "coloured": "colored", "flavour": "flavor", "flavours": "flavors",
    "odour": "odor", "odours": "odors", "vapour": "vapor", "grey": "gray", "mould": "mold", "moulds": "molds",
    "mouldy": "moldy", "sulphur": "sulfur", "sulphite": "sulfite", "sulphites": "sulfites", "fibre": "fiber",
    "metabisulphite": "metabisulfite", "aluminium": "aluminum", "oxidised": "oxidized", "oxidise": "oxidize",
    "oxidises": "oxidizes", "recognise": "recognize", "recognised": "recognized", "organise": "organize",
    "organised": "organized", "crystallisation": "crystallization",
    "favourite": "favorite", "neighbour": "neighbor", "neighbours": "neighbors", "behaviour": "behavior",
    "centre": "center", "catalogue": "catalog", "programme": "program", "practise": "practice", "licence": "license",
    "labelled": "labeled", "labelling": "labeling", "levelled": "leveled",
    "travelled": "traveled", "cancelled": "canceled", "modelled": "modeled", "judgement": "judgment",
    "washing-up": "dish", "tin": "can", "tins": "cans", "treacle": "molasses", "jug": "pitcher", "jugs": "pitchers",
}  # fmt: skip
_PHRASES = (
    ("washing-up liquid", "dish soap"),
    ("sticking plaster", "adhesive bandage"),
    ("dextrose (glucose), monohydrate: the usual brewing sugar", "corn sugar (dextrose, a glucose monohydrate)"),
    ("dextrose (glucose), anhydrous", "corn sugar (dextrose), anhydrous"),
    ("crown caps", "bottle caps"),
    ("crown cap", "bottle cap"),
    ("demijohn", "glass jug"),
    ("maize", "corn"),
    ("car boot", "car trunk"),
    ("ten degrees", "ten degrees Celsius"),
    ("five degrees are", "five degrees Celsius are"),
    ("each degree is", "each degree Celsius is"),
)
_PHRASE = re.compile(
    r"\b(?:" + "|".join(re.escape(words) for words, _ in sorted(_PHRASES, key=lambda p: -len(p[0]))) + r")",
    re.IGNORECASE,
)
_WORD = re.compile(r"\{[^{}]*\}|[A-Za-z]+(?:-[A-Za-z]+)*")
_KNOWN = dict(_PHRASES)


def american(british: str) -> str:
    """A template of British English as an American reads it."""
    pieces, done = [], 0
    for found in _PHRASE.finditer(british):
        pieces += [_words(british[done : found.start()]), _like(found[0], _KNOWN.get(found[0].lower(), found[0]))]
        done = found.end()
    return "".join([*pieces, _words(british[done:])])


def _words(text: str) -> str:
    return _WORD.sub(lambda found: _like(found[0], WORDS.get(found[0].lower(), found[0])), text)


def _like(british: str, found: str) -> str:
    """With a capital where the British one has it."""
    if british.isupper() and len(british) > 1:
        return found.upper()
    return found[:1].upper() + found[1:] if british[:1].isupper() else found
