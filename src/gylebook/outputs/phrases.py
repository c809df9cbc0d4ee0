"""Pieces of plain sentences: parts that are told only where they were written, counts, reasons."""

from __future__ import annotations

from datetime import date, datetime

from gylebook.outputs.wording import date_text
from gylebook.phrases import joined, say


def join(start: str, *parts: tuple[str, object]) -> str:
    """Start, then each part that was written down, with the word before it."""
    told = [start]
    for before, value in parts:
        if value is None or value in ("", ()):
            continue
        shown = date_text(value) if isinstance(value, date) and not isinstance(value, datetime) else value
        told.append(say("{before} {shown}", before=before, shown=shown).strip())
    return joined(" ", told)


def listed(start: str, *parts: tuple[str, object]) -> str:
    """As `join`, with a comma before each part."""
    return joined(", ", (part for part in (start, *(join("", part).strip() for part in parts)) if part))


WORDS_OF_STAGE = {
    "planned": say("planned"),
    "mixed": say("mixed"),
    "fermenting": say("fermenting"),
    "racked": say("racked"),
    "bottled": say("bottled"),
    "drinking": say("drinking"),
    "closed": say("closed"),
    "dumped": say("dumped"),
}
# What entries are kept under, as words: only these can be told in another language, the brewer's own words cannot.
_WORDS = {
    "ale": say("ale"),
    "beer": say("beer"),
    "bottles": say("bottles"),
    "bottling bucket": say("bottling bucket"),
    "caps": say("caps"),
    "carbonation drop": say("carbonation drop"),
    "cleaner": say("cleaner"),
    "drunk": say("drunk"),
    "everything": say("everything"),
    "extract": say("extract"),
    "fermenter": say("fermenter"),
    "finings": say("finings"),
    "finished": say("finished"),
    "flavour": say("flavour"),
    "heaped teaspoon": say("heaped teaspoon"),
    "hops": say("hops"),
    "hydrometer": say("hydrometer"),
    "infected": say("infected"),
    "instrument": say("instrument"),
    "jug": say("jug"),
    "kit": say("kit"),
    "lager": say("lager"),
    "level teaspoon": say("level teaspoon"),
    "lost": say("lost"),
    "not finished": say("not finished"),
    "nutrient": say("nutrient"),
    "other": say("other"),
    "place": say("place"),
    "room": say("room"),
    "scale": say("scale"),
    "stock": say("stock"),
    "stuck": say("stuck"),
    "sugar": say("sugar"),
    "syringe": say("syringe"),
    "thermometer": say("thermometer"),
    "vessel": say("vessel"),
    "warm weather": say("warm weather"),
    "wheat": say("wheat"),
    "yeast": say("yeast"),
    "volume": say("volume"),
    "mass": say("mass"),
    "temperature": say("temperature"),
    "gravity": say("gravity"),
    "pressure": say("pressure"),
    "co2": say("co2"),
    "currency": say("currency"),
    "time zone": say("time zone"),
    "country": say("country"),
    "brewer": say("brewer"),
    "language": say("language"),
}


def plain(key: str) -> str:
    """A key as words."""
    words = key.replace("_", " ")
    return _WORDS.get(words, words)


def because(text: str) -> str:
    """Why, at the end of a sentence."""
    return say("; because: {text}", text=text) if text else ""
