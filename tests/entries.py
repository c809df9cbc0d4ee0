"""Entries to test with. All invented."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from django.db import transaction

from gylebook.journal import events as ev
from gylebook.journal.book_file import Row, row_of
from gylebook.store import rows
from gylebook.units import Quantity

NOON = datetime(2026, 11, 3, 12, 0, tzinfo=UTC)


def at(hours: float) -> datetime:
    """A moment so many hours after the first noon."""
    return NOON + timedelta(hours=hours)


def row(brew: str, seq: int, event: ev.Event, *, hours: float | None = None, command_id: str | None = None) -> Row:
    """One row, written an hour after the one before it."""
    moment = at(seq if hours is None else hours)
    return row_of(
        brew,
        seq,
        moment,
        event,
        now=moment + timedelta(minutes=1),
        by="owner",
        source="page",
        command_id=command_id or f"{brew}-{seq}",
    )


def planned(brew: str, *, seq: int = 1, command_id: str | None = None) -> Row:
    """The plan of an invented brew."""
    return row(brew, seq, ev.Planned(name=f"Harvest Ale {brew}"), command_id=command_id or f"plan-{brew}")


def measured(gravity: str, temp: str = "20") -> ev.Measured:
    """A hydrometer reading as it would be written."""
    return ev.Measured(gravity=Quantity(gravity, "SG"), temp=Quantity(temp, "°C"), instrument="long hydrometer")


def write_rows(book: str, *written: Row) -> None:
    """Put rows straight into a book, past the door."""
    with transaction.atomic(using=book):
        rows.insert(book, written)
