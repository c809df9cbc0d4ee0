"""Invented brews and shelves to test steps with; made without a store."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from gylebook.journal import events as ev
from gylebook.journal.codec import kind_of, version_of
from gylebook.journal.state import SHELF, Brew, Entry, Shelf, fold, fold_shelf
from gylebook.steps.decision import Setting
from gylebook.units import Quantity

FIRST = datetime(2026, 11, 2, 12, 0, tzinfo=UTC)  # a Monday


def q(text: str, unit: str) -> Quantity:
    """A quantity as written."""
    return Quantity(text, unit)


def at(hours: float) -> datetime:
    """A moment so many hours after the first one."""
    return FIRST + timedelta(hours=hours)


def material(key: str, kilograms: str, **more: Quantity) -> ev.Ingredient:
    """So many kilograms of a material."""
    return ev.Ingredient(material=key, mass=q(kilograms, "kg"), **more)


ONE_CAN = (material("liquid_malt_extract", "1.7"),)
ONE_CAN_SUGAR = (*ONE_CAN, material("sucrose", "1.0"))
ONE_CAN_GLUCOSE = (*ONE_CAN, material("glucose_monohydrate", "1.0"))
ONE_CAN_MALT = (*ONE_CAN, material("dried_malt_extract", "1.0"))
TWO_CANS = (material("liquid_malt_extract", "3.0"),)
PREMIUM = (material("liquid_malt_extract", "3.6"),)
BOOSTED = (*ONE_CAN, material("dried_malt_extract", "0.5"), material("glucose_monohydrate", "0.3"))


def _entry(brew: str, seq: int, hours: float, event: ev.Event) -> Entry:
    moment = at(hours)
    return Entry(brew, seq, kind_of(event), version_of(event), moment, moment, "owner", "page", f"{brew}-{seq}", event)


def brewed(*written: tuple[float, ev.Event], plan: ev.Planned | None = None) -> Brew:
    """A brew of a plan (entry 1) and (hours, event) pairs after it."""
    events = [(0.0, plan or ev.Planned(name="Invented ale")), *written]
    return fold("b1", [_entry("b1", seq, hours, event) for seq, (hours, event) in enumerate(events, 1)])


def shelf_with(*things: ev.Event) -> Shelf:
    """A shelf that holds these."""
    return fold_shelf([_entry(SHELF, seq, -100.0, thing) for seq, thing in enumerate(things, 1)])


def setting(*things: ev.Event, hours: float = 400.0, confirmed: frozenset[str] = frozenset()) -> Setting:
    """A setting at a moment, with a shelf of these things."""
    return Setting(at(hours), shelf_with(*things), UTC, confirmed)
