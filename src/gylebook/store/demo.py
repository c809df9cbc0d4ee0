"""The demo book: filled through the one door beside the book in use, then put in its place at one stroke."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, tzinfo
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import connections

from gylebook.steps.catalogue import act as act_named
from gylebook.steps.correcting import correct
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.demo_book import SHELF, DemoEntry, demo_entries
from gylebook.steps.shelf import act_for
from gylebook.store import beside, brew_log
from gylebook.store.brew_log import Change
from gylebook.store.databases import DEMO
from gylebook.store.faults import spoken

_SOURCE = "demo"
_BREWER = "Wren"


def fill(book: str = DEMO, now: datetime | None = None) -> None:
    """Fill the demo book anew; what had been tried in it is gone, and it is whole at every moment.

    Parameters
    ----------
    book
        The book to fill; an SQLite one, as the demo book always is.
    now
        The moment that its entries lead up to; the present by default.
    """
    moment = now or datetime.now(UTC)
    with (
        spoken(book),
        tempfile.TemporaryDirectory(prefix="gylebook-demo-") as folder,
        beside.opened(Path(folder) / "demo.sqlite3") as fresh,
    ):
        beside.migrate(fresh)
        write(fresh, moment, ZoneInfo(settings.TIME_ZONE))
        _replace(fresh, book)


def is_empty(book: str = DEMO) -> bool:
    """Whether nothing is in it yet."""
    counts = brew_log.count(book)
    return not counts["open"] and not counts["closed"]


def write(book: str, now: datetime, zone: tzinfo) -> None:
    """Write the script's entries into an empty book, each decided as of its own moment."""
    script = _Script(book, zone)
    for place, entry in enumerate(demo_entries(now, zone), 1):
        script.write(place, entry)


@dataclass(slots=True)
class _Script:
    """The script as far as it is written: the numbers of its brews, and the entries that it has names for."""

    book: str
    zone: tzinfo
    numbers: dict[str, str] = field(default_factory=dict)
    labels: dict[tuple[str, str], int] = field(default_factory=dict)

    def write(self, place: int, entry: DemoEntry) -> None:
        """Write one entry."""
        done = self._change(place, entry)
        self.numbers.setdefault(entry.brew, done.brew)
        if entry.label:
            self.labels[entry.brew, entry.label] = done.entries[0].seq

    def _change(self, place: int, entry: DemoEntry) -> Change:
        stamp: dict[str, Any] = {
            "actor": _BREWER,
            "source": _SOURCE,
            "command_id": f"demo-{place}",
            "now": entry.at,
            "book": self.book,
        }
        decide = self._deciding(entry)
        if entry.brew == SHELF:
            return brew_log.change_shelf(decide, **stamp)
        if entry.brew not in self.numbers:
            return brew_log.start_brew(decide, **stamp)
        return brew_log.change(self.numbers[entry.brew], decide, **stamp)

    def _deciding(self, entry: DemoEntry) -> Callable[[Any], Decision]:
        act = act_for(entry.act) if entry.brew == SHELF else act_named(entry.act)
        values = _read(act, entry, self.zone)
        setting = Setting(entry.at, brew_log.read_shelf(book=self.book), self.zone, entry.insist)

        def decide(state: Any) -> Decision:
            if entry.corrects:
                seq = self.labels[entry.brew, entry.corrects]
                return correct(state, seq, act, values, setting, because=entry.because)
            decided: Callable[..., Decision] = act.decide
            return decided(state, values, entry.at, setting)

        return decide


def _read(act: Act, entry: DemoEntry, zone: tzinfo) -> dict[str, Any]:
    return {
        each.name: each.read(entry.texts.get(each.name, ""), confirmed=each.name in entry.insist, zone=zone)
        for each in act.fields
    }


def _replace(fresh: str, book: str) -> None:
    """Copy one SQLite book over another, page by page, under the engine's own lock."""
    for each in (fresh, book):
        connections[each].ensure_connection()
    connections[fresh].connection.backup(connections[book].connection)
