"""Where bottles stand and how warm it gets there; and which bottles a brew is meant for, or is in."""

from __future__ import annotations

from collections.abc import Mapping

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.steps import warmth
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.asked import CELSIUS, figure
from gylebook.steps.bottle_kinds import Bottle, bottles_of
from gylebook.steps.bottle_stock import planned
from gylebook.steps.decision import Setting

_ASSUMED_C, _ASSUMED_FROM_C, _ASSUMED_TO_C = 25.0, 18.0, 30.0
# Places whose name tells that they get hotter than a room in summer; none is taken to be cooler by its name alone.
# Source: common_practice
_HOT_C = {"garage": 30.0, "shed": 32.0, "airing cupboard": 32.0, "attic": 35.0, "loft": 35.0, "conservatory": 38.0,
          "greenhouse": 40.0}  # fmt: skip


def store_c(brew: Brew, shelf: Shelf) -> Figure:
    """The warmest that bottles will stand, in any month of their place, or as it was read there when that is more.

    25 °C where the place is not known; more where its name alone tells that it gets hot.
    """
    place = warmth.place_at(brew)
    ranges = [found for month in range(1, 13) if (found := warmth.place_range_c(shelf, place, month)) is not None]
    read = _warmest_read(brew, shelf, place)
    if not ranges and read is None:
        top, named = _by_name(place)
        where = f"{named} in summer, by common practice" if named else "a room in summer; no place is known"
        given = Given("warmest store", f"{top:g} °C", Basis.ASSUMED, where)
        working = Working("assumed", (given,), ("common_practice",))
        low, high = _ASSUMED_FROM_C - _ASSUMED_C + top, _ASSUMED_TO_C - _ASSUMED_C + top
        return figure("store", "Warmest store", top, CELSIUS, working, low=low, high=high)
    top = max((high for _, high in ranges), default=_by_name(place)[0])
    given = Given("warmest store", f"{top:g} °C", Basis.ASSUMED, f"{place}, its warmest month")
    if read is not None and read.high_c > top:
        top = read.high_c
        given = Given(
            "warmest store", f"{top:g} °C", read.basis, f"{place}, {read.where}: warmer than stated", read.seq
        )
    working = Working("the highest of the place's months, and of what was read there", (given,), ("common_practice",))
    return figure("store", "Warmest store", top, CELSIUS, working, low=top - 2.0, high=top + 3.0)


def _warmest_read(brew: Brew, shelf: Shelf, place: str) -> warmth.Warm | None:
    """The warmest reading written of this brew's room or bottles since they came to stand at the place."""
    bottled = brew.first(ev.Bottled)
    if bottled is None:
        return None
    since = [w for w in warmth.log(brew, shelf) if w.at > bottled.at and w.of != warmth.PLACE]
    return max((w for w in since if warmth.place_at(brew, w.at) == place), key=lambda w: w.high_c, default=None)


def _by_name(place: str) -> tuple[float, str]:
    """How warm a place without temperatures is taken to get [°C], and the word of its name that says so, or ""."""
    words = place.lower()
    named = [(top, word) for word, top in _HOT_C.items() if word in words]
    return max(named, default=(_ASSUMED_C, ""))


def present_c(brew: Brew, setting: Setting) -> float:
    """As warm as it gets where the bottles stand in the present month; as the log has it where no place is known."""
    month = setting.now.astimezone(setting.zone).month
    span = warmth.place_range_c(setting.shelf, warmth.place_at(brew), month)
    return span[1] if span is not None else warmth.beer_temp_c(brew, setting.shelf, setting.now).value



def bottles_in_use(
    brew: Brew, shelf: Shelf, litres: float, full: Mapping[str, int] | None = None
) -> tuple[tuple[Bottle, ...], Basis]:
    """The bottles that a brew is in, else those of the shelf that it would fill; empty where none are known.

    Those that stand `full`, by the words of their kind, are not there to be filled.
    """
    lots = tuple(lot for kept in brew.all(ev.Bottled) for lot in kept.event.lots)
    if lots:
        return bottles_of(lots, shelf), Basis.MEASURED
    return planned(litres, shelf, full), Basis.ASSUMED
