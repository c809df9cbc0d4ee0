"""The demo book: invented brews, kits, bottles and places, written through the same acts as anyone's.

Everything here is made up, and the book that holds it says so. The entries are told in days before now, so that the
book is always as old as a used one; for one moment and zone they are always the same.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, time, timedelta, tzinfo

from gylebook.steps.demo_brews import BREWS
from gylebook.steps.demo_shelf import SHELF_ENTRIES
from gylebook.steps.demo_told import Told

SHELF = "shelf"


@dataclass(frozen=True, slots=True)
class DemoEntry:
    """One entry to be written: whose, by which act, when it happened, and the texts of the act's fields.

    `brew` is SHELF for the shelf, else a word of the script's own that stands for a brew; the first entry of each
    brew is its plan. `corrects` is the `label` of an earlier entry of the same brew: then `act` and `texts` are what
    should have been written. Each entry is to be decided as of its own moment, with the shelf as it is by then.
    """

    brew: str
    act: str
    at: datetime
    texts: Mapping[str, str]
    label: str = ""
    corrects: str = ""
    because: str = ""
    insist: frozenset[str] = frozenset()


def demo_entries(now: datetime, zone: tzinfo) -> tuple[DemoEntry, ...]:
    """All entries of the demo book, in the order in which they were written."""
    found = [_entry(SHELF, told, now, zone) for told in SHELF_ENTRIES]
    for brew, entries in BREWS.items():
        found += [_entry(brew, told, now, zone) for told in entries]
    return tuple(found)


def _entry(brew: str, told: Told, now: datetime, zone: tzinfo) -> DemoEntry:
    today = now.astimezone(zone).date()
    hour, minute = (int(part) for part in told.clock.split(":"))
    at = datetime.combine(today - timedelta(days=told.days_ago), time(hour, minute), zone)
    texts = {name: _dated(text, now, zone) for name, text in told.texts.items()}
    at = at.astimezone(now.tzinfo)
    return DemoEntry(brew, told.act, at, texts, told.label, told.corrects, told.because, told.insist)


def _dated(text: str, now: datetime, zone: tzinfo) -> str:
    """A date told as so many days from today, else the text as it is."""
    if not (text[:1] in "+-" and text.endswith(" d") and text[1:-2].isdigit()):
        return text
    return (now.astimezone(zone).date() + timedelta(days=int(text[:-2]))).isoformat()
