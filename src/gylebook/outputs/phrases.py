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
        shown = date_text(value) if isinstance(value, date) and not isinstance(value, datetime) else str(value)
        told.append(say("{before} {shown}", before=before, shown=shown).strip())
    return joined(" ", told)


def listed(start: str, *parts: tuple[str, object]) -> str:
    """As `join`, with a comma before each part."""
    return joined(", ", (part for part in (start, *(join("", part).strip() for part in parts)) if part))


def plain(key: str) -> str:
    """A key as words."""
    return key.replace("_", " ")


def because(text: str) -> str:
    """Why, at the end of a sentence."""
    return say("; because: {text}", text=text) if text else ""
