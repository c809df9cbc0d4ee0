"""The cellar's view of one brew: what is left of each lot, where it stands, and the pressure in it when it is warmest.

The pressure is that of the worst bottle, in the warmest month of the place; the words say what the bottle is
fit for, and under which condition.
"""

from __future__ import annotations

from dataclasses import dataclass

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.science.interval import Span
from gylebook.steps.bottle_kinds import Bottle, bottle_of, pressure_bar
from gylebook.steps.bottle_store import store_c
from gylebook.steps.fizz import Fizz
from gylebook.steps.warmth import place_at, place_range_c


@dataclass(frozen=True, slots=True)
class Lot:
    """Bottles of one kind of one brew."""

    bottle: Bottle
    filled: int
    left: int
    worst_volumes: float
    pressure: Span  # gauge, average bottle at the warmest that the place gets [bar]
    worst_pressure: Span  # the same for the worst bottle [bar]
    fit: str

    @property
    def is_fit(self) -> bool:
        """Whether it may stand where it is, all year."""
        return self.fit == "fit"


@dataclass(frozen=True, slots=True)
class Store:
    """Where bottles stand: the warmest month and temperature of the place; `known` is False where it is assumed."""

    place: str
    month: int | None
    temp_c: float
    known: bool


def counts(brew: Brew) -> tuple[tuple[ev.BottleLot, int], ...]:
    """Each lot and how many of it are left; bottles of no named kind are taken from the largest lot."""
    lots = [lot for kept in brew.all(ev.Bottled) for lot in kept.event.lots]
    left = [lot.count for lot in lots]
    for kept in brew.kept:
        gone, kind = _gone(kept.event)
        while gone > 0 and any(left):
            index = _which(lots, left, kind)
            taken = min(gone, left[index])
            left[index] -= taken
            gone -= taken
    return tuple(zip(lots, left, strict=True))


def _gone(event: ev.Event) -> tuple[int, str]:
    match event:
        case ev.TakenOut(count=count, bottle=bottle):
            return count, bottle
        case ev.Opened(bottle=bottle) | ev.Burst(bottle=bottle):
            return 1, bottle
        case _:
            return 0, ""


def _which(lots: list[ev.BottleLot], left: list[int], kind: str) -> int:
    named = [i for i, lot in enumerate(lots) if left[i] and kind and lot.bottle.lower() == kind.lower()]
    return max(named or [i for i in range(len(lots)) if left[i]], key=lambda i: left[i])


def bottles_left(brew: Brew) -> int:
    """Bottles of the brew that are not drunk, given, lost or burst."""
    return sum(left for _, left in counts(brew))


def lots_left(brew: Brew, shelf: Shelf) -> tuple[Bottle, ...]:
    """Every lot in order, each counting the bottles that are left; 0 where all of it is gone."""
    return tuple(bottle_of(lot.bottle, lot.size, left, shelf) for lot, left in counts(brew))


def store_of(brew: Brew, shelf: Shelf) -> Store:
    """The place of the bottles and its warmest month."""
    place = place_at(brew)
    found = [(span[1], month) for month in range(1, 13) if (span := place_range_c(shelf, place, month)) is not None]
    top = store_c(brew, shelf)
    if not found:
        return Store(place, None, top.value, known=False)
    warmest, month = max(found, key=lambda pair: (pair[0], -pair[1]))
    same_all_year = len({high for high, _ in found}) == 1
    return Store(place, None if same_all_year else month, warmest, known=True)


def lots_of(brew: Brew, shelf: Shelf, gas: Fizz) -> tuple[Lot, ...]:
    """Every lot with what is left and the pressure in it."""
    store = store_of(brew, shelf)
    found = []
    span, worst = gas.pressure(store.temp_c), pressure_bar(gas.worst, store.temp_c)
    for lot, left in counts(brew):
        bottle = bottle_of(lot.bottle, lot.size, lot.count, shelf)
        words = bottle.fit_words(gas.total.best, gas.worst, store.temp_c)
        found.append(Lot(bottle, lot.count, left, gas.worst, span, worst, words))
    return tuple(found)
