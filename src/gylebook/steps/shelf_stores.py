"""Keeping places, bottles and stock."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Shelf
from gylebook.phrases import say, say_amount
from gylebook.science.glass import BOTTLES, size_is_fit
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import CHOICE, COUNT, DATE, LONG_TEXT, QUANTITY, TEXT, Field
from gylebook.steps.shelf_lines import (
    MONTHS_HINT,
    name_field,
    name_of,
    read_months,
)
from gylebook.steps.warmth import celsius
from gylebook.units import Quantity


def _keep_place(_shelf: Shelf, values: Mapping[str, Any], at: datetime, _setting: Setting) -> Decision:
    low: Quantity | None = values.get("low")
    high: Quantity | None = values.get("high")
    months = read_months(values.get("months") or "", say("Months"))
    if (low is None) != (high is None):
        raise InputError(
            say("Lowest") if low is None else say("Highest"), say("only one of the two was written"), say("write both")
        )
    if low is not None and high is not None and celsius(low) > celsius(high):
        raise InputError(
            say("Lowest"), say("{low} is above the highest, {high}", low=low, high=high), say("change them round")
        )
    event = ev.PlaceKept(name=name_of(values), low=low, high=high, months=months, room_volume=values.get("room_volume"))
    tops = [celsius(m.high) for m in months] + ([celsius(high)] if high is not None else [])
    found = []
    if tops and max(tops) >= 30:
        found.append(
            Finding(
                Urgency.WAIT,
                say(
                    "It goes up to {high}: no place for full bottles, whose pressure rises with every degree.",
                    high=say_amount(max(tops), 0, "°C"),
                ),
                say("Where else could bottles stand then?"),
                key="hot_place",
            )
        )
    if not tops:
        found.append(
            Finding(
                Urgency.NOTHING,
                say("Without its temperatures it helps little."),
                say("What are its lowest and highest temperatures?"),
                key="no_temps",
            )
        )
    return Decision(((at, event),), tuple(found))


def _temp(name: str, label: str) -> Field:
    return Field(name, label, QUANTITY, ("temperature",), possible=(-30.0, 60.0), usual=(-10.0, 45.0))


KEEP_PLACE = Act(
    "keep_place",
    say("Keep a place"),
    "shelf",
    (
        name_field(say("garage")),
        _temp("low", say("Lowest, all the year")),
        _temp("high", say("Highest, all the year")),
        Field("months", say("By month, where it differs"), LONG_TEXT, hint=MONTHS_HINT),
        Field(
            "room_volume",
            say("Size of the room"),
            QUANTITY,
            ("room",),
            possible=(0.1, 10_000.0),
            hint=say("for the carbon dioxide in it"),
        ),
    ),
    _keep_place,
    (say("Fermenting beer gives off carbon dioxide: a place for it can be aired."),),
)


def _keep_bottles(_shelf: Shelf, values: Mapping[str, Any], at: datetime, _setting: Setting) -> Decision:
    kind, size, count = values.get("kind") or "", values.get("size"), values.get("count")
    if kind not in BOTTLES:
        raise InputError(say("Kind"), say("no kind was chosen"), say("choose one of {known}", known=", ".join(BOTTLES)))
    if size is None:
        raise InputError(say("Size"), say("nothing was written"), say("write it such as 500 mL"))
    if count is None:
        raise InputError(say("How many"), say("nothing was written"), say("count them; 0 is an answer"))
    event = ev.BottlesKept(name=name_of(values), kind=kind, size=size, count=count, washes=values.get("washes"))
    found = []
    if not bool(size_is_fit(kind, size.to("L", "volume"))):
        found.append(
            Finding(
                Urgency.DANGER,
                say(
                    "{label}, {size}: never for beer that works in the bottle. {note}",
                    label=BOTTLES[kind].label,
                    size=size,
                    note=BOTTLES[kind].note,
                ),
                say("Use them for still drinks only."),
                key="never",
            )
        )
    return Decision(((at, event),), tuple(found))


KEEP_BOTTLES = Act(
    "keep_bottles",
    say("Keep bottles"),
    "shelf",
    (
        name_field(say("brown halves")),
        Field(
            "kind",
            say("Kind"),
            CHOICE,
            required=True,
            choices=tuple((kind.key, kind.label) for kind in BOTTLES.values()),
        ),
        Field(
            "size",
            say("Size"),
            QUANTITY,
            ("volume",),
            required=True,
            possible=(0.05, 60.0),
            usual=(0.15, 5.0),
            hint="500 mL",
        ),
        Field("count", say("How many are owned"), COUNT, required=True, possible=(0, 100_000)),
        Field("washes", say("Times used, about"), COUNT, possible=(0, 500)),
    ),
    _keep_bottles,
    (say("Leave out every chipped, cracked or scuffed bottle, and any that never held a fizzy drink."),),
)


def _keep_stock(_shelf: Shelf, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    best: date | None = values.get("best_before")
    event = ev.StockKept(
        item=name_of(values, "item", say("Item")),
        what=values.get("what") or "other",
        amount=values.get("amount"),
        best_before=best,
        cost=values.get("cost") or "",
    )
    found = []
    if (
        best is not None
        and best < setting.now.astimezone(setting.zone).date()
        and event.what in {"kit", "yeast", "hops"}
    ):
        text = {
            "kit": say(
                "A kit past its date is darker and a little tangy; its yeast ages faster: use fresh. A bulging or "
                "leaking can is thrown away unopened."
            ),
            "yeast": say("Yeast past its date may be weak: keep a fresh sachet beside it."),
            "hops": say("Hops past their date have lost aroma."),
        }[event.what]
        found.append(Finding(Urgency.WAIT, text, key="past_date"))
    return Decision(((at, event),), tuple(found))


KEEP_STOCK = Act(
    "keep_stock",
    say("Keep stock"),
    "shelf",
    (
        Field("item", say("Item"), TEXT, required=True, hint=say("table sugar")),
        Field(
            "what",
            say("What it is"),
            CHOICE,
            default="other",
            reason=say("where none of them fits"),
            choices=(
                ("kit", say("kit")),
                ("sugar", say("sugar")),
                ("extract", say("extract")),
                ("hops", say("hops")),
                ("yeast", say("yeast")),
                ("caps", say("caps")),
                ("cleaner", say("cleaner")),
                ("other", say("other")),
            ),
        ),
        Field(
            "amount",
            say("How much is there"),
            QUANTITY,
            ("mass", "volume", "pieces"),
            possible=(0.0, 10_000_000.0),
            hint=say("2 kg, or 140 pieces"),
        ),
        Field("best_before", say("Best before"), DATE),
        Field("cost", say("Cost"), TEXT),
    ),
    _keep_stock,
)
