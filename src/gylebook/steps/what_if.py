"""A brew as it would be with one more entry."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept


def with_entry(brew: Brew, at: datetime, event: ev.Event) -> Brew:
    """The brew with an entry that is not written yet; nothing is saved."""
    one: Kept[ev.Event] = Kept(brew.head_seq + 1, at, event)
    return replace(brew, kept=tuple(sorted((*brew.kept, one), key=lambda each: (each.at, each.seq))))
