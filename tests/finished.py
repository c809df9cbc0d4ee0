"""Invented brews late in their life: finished, primed, bottled. Moments are in days after mixing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brewing import TWO_CANS, brewed, q
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.steps.decision import Act, Decision, Setting, Step
from gylebook.steps.fields import Field

DAY = 24.0


def by_days(*later: tuple[float, ev.Event], volume: str = "22.4", plan: ev.Planned | None = None) -> Brew:
    """Three kilograms of malt extract, mixed and pitched; later entries by days."""
    start = (
        (0.5, ev.Mixed(ingredients=TWO_CANS, volume=q(volume, "L"), stirred="well")),
        (1.0, ev.Pitched(yeast="house ale", mass=q("11", "g"), temp=q("20", "°C"), kind="ale")),
    )
    return brewed(*start, *((days * DAY, event) for days, event in later), plan=plan)


def read(gravity: str, temp: str = "20", **more: Any) -> ev.Measured:
    """A degassed reading."""
    return ev.Measured(gravity=q(gravity, "SG"), temp=q(temp, "°C"), fizz="flat", **more)


def beer_at(temp: str) -> ev.TempSeen:
    """A temperature of the beer."""
    return ev.TempSeen(of="beer", temp=q(temp, "°C"))


LEVEL = (
    (4.0, beer_at("20")),
    (8.0, read("1.0125")),
    (9.0, beer_at("20")),
    (10.0, read("1.012")),
    (12.0, read("1.012")),
    (14.0, read("1.012")),
)


def primed(grams: str = "126", litres: str = "20.6", **more: Any) -> tuple[float, ev.Event]:
    """Primed with table sugar on day 15."""
    return 15.0, ev.Primed(sugar="sucrose", mass=q(grams, "g"), volume=q(litres, "L"), **more)


def lot(bottle: str = "returnable_500", count: int = 40, size: str = "500", **more: Any) -> ev.BottleLot:
    """Bottles of one kind."""
    return ev.BottleLot(bottle=bottle, count=count, size=q(size, "mL"), **more)


def bottled(place: str = "room", *lots: ev.BottleLot) -> tuple[float, ev.Event]:
    """Bottled on day 15."""
    return 15.1, ev.Bottled(lots=lots or (lot(),), place=place)


ROOM = ev.PlaceKept(name="room", low=q("19", "°C"), high=q("21", "°C"))
COLD = ev.PlaceKept(name="cold", low=q("12", "°C"), high=q("14", "°C"))
GARAGE = ev.PlaceKept(name="garage", low=q("10", "°C"), high=q("34", "°C"))


def asked(of: Step | tuple[Field, ...], **texts: str) -> dict[str, Any]:
    """What-if values, read as a page reads them."""
    fields = {field.name: field for field in (of.ask if isinstance(of, Step) else of)}
    return {name: fields[name].read(text) for name, text in texts.items()}


def act(one: Act, brew: Brew, moment: Any, where: Setting, texts: Mapping[str, str]) -> Decision:
    """Write something as a page writes it: every field read, then decided."""
    values = {field.name: field.read(texts.get(field.name, "")) for field in one.fields}
    return one.decide(brew, values, moment, where)


def keys(found: Any) -> list[str]:
    """Keys of the findings of an answer or a decision."""
    return [finding.key for finding in found.findings]
