"""Pieces of plain sentences: parts that are told only where they were written, counts, things and places."""

from __future__ import annotations

from datetime import date, datetime

from gylebook.outputs.wording import date_text

_ARTICLES = {"the", "a", "an", "my", "our", "your", "his", "her", "their"}
_PREPOSITIONS = {
    *("in", "at", "on", "under", "by", "behind", "above", "below", "beside", "beneath", "next", "near", "inside"),
    *("outside", "upstairs", "downstairs", "indoors", "outdoors"),
}


def join(start: str, *parts: tuple[str, object]) -> str:
    """Start, then each part that was written down, with the word before it."""
    told = [start]
    for before, value in parts:
        if value is None or value in ("", ()):
            continue
        shown = date_text(value) if isinstance(value, date) and not isinstance(value, datetime) else str(value)
        told.append(f"{before} {shown}".strip())
    return " ".join(told)


def listed(start: str, *parts: tuple[str, object]) -> str:
    """As `join`, with a comma before each part."""
    return ", ".join(part for part in (start, *(join("", part).strip() for part in parts)) if part)


def counted(number: int, one: str) -> str:
    """A number of things: "1 bottle", "12 bottles"."""
    return f"{number} {one}{'' if number == 1 else 's'}"


def the(name: str) -> str:
    """A vessel or an instrument in a sentence: "the white bucket", but "Bucket A", "my old bin"."""
    common = name[:1].islower() and name.split(maxsplit=1)[0] not in _ARTICLES
    return f"the {name}" if common else name


def at_place(place: str) -> str:
    """Where something stands: "in the garage", "under the stairs", "at Aunt May's"."""
    if not place or place.split(maxsplit=1)[0].lower() in _PREPOSITIONS:
        return place
    return f"{'in' if place[:1].islower() else 'at'} {the(place)}"


def to_place(place: str) -> str:
    """Where something was moved: "to the garage", "under the stairs"."""
    return place if place.split()[:1] and place.split(maxsplit=1)[0].lower() in _PREPOSITIONS else f"to {the(place)}"


def plain(key: str) -> str:
    """A key as words."""
    return key.replace("_", " ")


def because(text: str) -> str:
    """Why, at the end of a sentence."""
    return f"; because: {text}" if text else ""
