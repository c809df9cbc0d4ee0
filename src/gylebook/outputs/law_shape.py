"""A card of the law as plain values for machines."""

from __future__ import annotations

from gylebook import sources
from gylebook.outputs.shapes import Plain, answer_shape, source_shape
from gylebook.steps.answers import Answer
from gylebook.steps.law import EVERYWHERE, standing_words, title_of
from gylebook.steps.law_lines import LawCard


def law_shape(card: LawCard | None, year: Answer | None) -> Plain:
    """A card with what was brewed this year; without a card only what holds everywhere."""
    return {
        "country": card.country if card is not None else None,
        "title": title_of(card),
        "standing": standing_words(card),
        "authority": card.authority if card is not None else None,
        "lines": [
            {
                "topic": line.topic,
                "text": line.text,
                "as_of": line.as_of,
                "from_memory": {(False, False): "no", (True, False): "in part", (True, True): "yes"}[line.recalled],
                "sources": [source_shape(sources.get(key)) for key in line.sources],
            }
            for line in (card.lines if card is not None else ())
        ],
        "everywhere": list(EVERYWHERE),
        "this_year": answer_shape(year) if year is not None else None,
    }
