"""Where bottles stand and how warm it gets there; and which bottles a brew is meant for, or is in."""

from __future__ import annotations

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.science.glass import bottles_filled
from gylebook.steps import warmth
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.asked import CELSIUS, figure
from gylebook.steps.bottle_kinds import Bottle, bottle_of, bottles_of, owned
from gylebook.steps.decision import Setting

_ASSUMED_C, _ASSUMED_FROM_C, _ASSUMED_TO_C = 25.0, 18.0, 30.0


def store_c(brew: Brew, shelf: Shelf) -> Figure:
    """The warmest that bottles will stand, in any month of their place; 25 °C where the place is not known."""
    place = warmth.place_at(brew)
    ranges = [found for month in range(1, 13) if (found := warmth.place_range_c(shelf, place, month)) is not None]
    if not ranges:
        given = Given("warmest store", f"{_ASSUMED_C:g} °C", Basis.ASSUMED, "a room in summer; no place is known")
        working = Working("assumed", (given,), ("common_practice",))
        return figure("store", "Warmest store", _ASSUMED_C, CELSIUS, working, low=_ASSUMED_FROM_C, high=_ASSUMED_TO_C)
    top = max(high for _, high in ranges)
    given = Given("warmest store", f"{top:g} °C", Basis.ASSUMED, f"{place}, its warmest month")
    working = Working("the highest of the place's months", (given,), ("common_practice",))
    return figure("store", "Warmest store", top, CELSIUS, working, low=top - 2.0, high=top + 3.0)


def present_c(brew: Brew, setting: Setting) -> float:
    """As warm as it gets where the bottles stand in the present month; as the log has it where no place is known."""
    month = setting.now.astimezone(setting.zone).month
    span = warmth.place_range_c(setting.shelf, warmth.place_at(brew), month)
    return span[1] if span is not None else warmth.beer_temp_c(brew, setting.shelf, setting.now).value


def planned(litres: float, shelf: Shelf) -> tuple[Bottle, ...]:
    """The bottles that so much beer would fill from the shelf, in the order of filling."""
    kinds = owned(shelf)
    found = bottles_filled(litres, [kind.size_l for kind in kinds], [kind.count for kind in kinds])
    return tuple(
        bottle_of(kind.name, kind.size, count, shelf)
        for kind, count in zip(kinds, found.full, strict=True)
        if count > 0
    )


def bottles_in_use(brew: Brew, shelf: Shelf, litres: float) -> tuple[tuple[Bottle, ...], Basis]:
    """The bottles that a brew is in, else those of the shelf that it would fill; empty where none are known."""
    lots = tuple(lot for kept in brew.all(ev.Bottled) for lot in kept.event.lots)
    if lots:
        return bottles_of(lots, shelf), Basis.MEASURED
    return planned(litres, shelf), Basis.ASSUMED
