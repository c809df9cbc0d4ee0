"""What a card knows of a brew in bottles: its lots, their dates, and how warm it may get where they stand.

Above all how warm: so that a list over the whole cellar can be asked about any temperature without reading a log, a
card holds at which temperatures the first of its bottles passes its ceiling, as quantiles of the gas budget's draws.
"""

from __future__ import annotations

from datetime import datetime
from typing import Final

import msgspec
import numpy as np

from gylebook.forecast.gas import Draws, spread_ends
from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.phrases import Plain, Words, joined, say
from gylebook.science.interval import Span
from gylebook.steps.answers import Figure, Working
from gylebook.steps.bottle_kinds import PLASTIC_WARMEST_C
from gylebook.steps.bottle_times import bottle_times
from gylebook.steps.cellar import Lot, store_of
from gylebook.steps.fizz import Fizz, charge_of_fizz

LEVELS: Final = (0.01, 0.02, 0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.99)
FIT_CHANCE: Final = (
    0.01  # a brew is fit for a place while the chance that one of its bottles is too full stays under it
)
WARMEST_C: Final = 50.0  # nothing is drawn beyond
_TEMPS_C: Final = (0.0, 8.0, 16.0, 22.0, 28.0, 34.0, 42.0, WARMEST_C)  # pressure is as good as straight in between
_POINTS = 2048
_NEVER_C, _ALWAYS_C = 99.0, -20.0  # no bottle at any temperature that is drawn, and every one


class Short(msgspec.Struct, frozen=True):
    """A figure in short: its text with the interval, the numbers for another unit, and its working in lines.

    `sources` are keys of sources.toml. Cards that an earlier reckoning made have no working yet.
    """

    key: str
    label: Words
    text: Words
    value: float
    low: float
    high: float
    unit: str
    dimension: str
    digits: int
    working: tuple[Words, ...] = ()
    sources: tuple[str, ...] = ()


class CardLot(msgspec.Struct, frozen=True):
    """A lot of bottles: pressures in bar (gauge) at the warmest that its place gets, of the worst bottle.

    `fit_below_c` is the warmest at which it is fit for all its gas, None where it is at no temperature above freezing.
    """

    bottle: Words
    kind: Words
    filled: int
    left: int
    pressure_low: float
    pressure: float
    pressure_high: float
    worst_pressure: float
    limit_bar: float
    fit: Words
    is_fit: bool
    fit_below_c: float | None = None


class CardWarm(msgspec.Struct, frozen=True):
    """Pressure of the worst of all bottles left at a temperature, all gas made [bar, gauge]: nine times in ten."""

    temp_c: float
    low_bar: float
    bar: float
    high_bar: float


class CardBottles(msgspec.Struct, frozen=True):
    """A brew in bottles: its lots, the warmest that their place gets, and its dates.

    `past_c` holds the temperatures at which the first bottle passes its ceiling, at the probabilities of `LEVELS`.
    """

    filled: int
    left: int
    cap_code: str
    lots: tuple[CardLot, ...]
    co2: Short
    place: Words
    warmest_month: int | None  # None where every month is as warm, or the place is not known
    warmest_c: float
    store_known: bool
    carbonated: tuple[datetime | None, datetime | None, datetime | None]  # None is not before they are warmed
    best_from: datetime | None
    best_to: datetime
    drink_by: datetime
    carbonated_last: datetime | None = None  # the latest day that can be told, and how sure it is
    carbonated_words: Words = Plain("")
    carbonated_ever: float = 1.0
    fit_below_c: float | None = None
    past_c: tuple[float, ...] = ()
    worst: tuple[CardWarm, ...] = ()

    def chance_past(self, temp_c: float) -> float:
        """Chance that one of the bottles left is past its ceiling at a temperature, when all gas is made."""
        if not self.past_c or temp_c < self.past_c[0]:
            return 0.0
        if temp_c > self.past_c[-1]:
            return 1.0
        return float(np.interp(temp_c, self.past_c, LEVELS))

    def worst_bar(self, temp_c: float) -> Span | None:
        """Pressure of the worst bottle at a temperature [bar, gauge]; None where no bottle is left."""
        if not self.worst:
            return None
        temps = [each.temp_c for each in self.worst]
        ends = ([each.low_bar for each in self.worst], [each.bar for each in self.worst],
                [each.high_bar for each in self.worst])  # fmt: skip
        return Span(*(float(np.interp(temp_c, temps, end)) for end in ends))


def short(figure: Figure) -> Short:
    """A figure with its working in lines."""
    return Short(
        figure.key,
        figure.label,
        figure.text(),
        figure.value,
        figure.low,
        figure.high,
        figure.unit,
        figure.dimension,
        figure.digits,
        lines_of_working(figure.working),
        figure.working.sources,
    )


def lines_of_working(working: Working) -> tuple[str, ...]:
    """A working in lines of words: the relation, each input with where it came from, the arithmetic, the cautions."""
    given = [
        say(
            "{name}: {value} ({origin})",
            name=each.name,
            value=each.value,
            origin=joined(", ", (part for part in (each.basis.value, each.where) if part)),
        )
        for each in working.inputs
    ]
    return (working.relation, *given, *working.steps, *working.cautions)


def bottles_of_card(brew: Brew, shelf: Shelf, gas: Fizz, lots: tuple[Lot, ...]) -> CardBottles:
    """The bottles of a brew as its card keeps them."""
    store = store_of(brew, shelf)
    times = bottle_times(brew, shelf, gas.outlook.original.value)
    assert times is not None
    first, by_lot, worst = _warm(gas, lots)
    return CardBottles(
        filled=sum(lot.filled for lot in lots),
        left=sum(lot.left for lot in lots),
        cap_code=next((k.event.cap_code for k in reversed(brew.all(ev.Bottled)) if k.event.cap_code), ""),
        lots=tuple(_lot(lot, fit) for lot, fit in zip(lots, by_lot, strict=True)),
        co2=short(gas.figure()),
        place=store.place,
        warmest_month=store.month,
        warmest_c=store.temp_c,
        store_known=store.known,
        carbonated=times.carbonated,
        best_from=times.best_from[1],
        best_to=times.best_to,
        drink_by=times.drink_by,
        carbonated_last=times.last_ready,
        carbonated_words=times.last_ready_words,
        carbonated_ever=times.ever,
        fit_below_c=_of_all(lots, by_lot, first),
        past_c=first,
        worst=worst,
    )


def _lot(lot: Lot, fit_below_c: float | None) -> CardLot:
    average: Span = lot.pressure
    return CardLot(
        lot.bottle.words,
        lot.bottle.kind.key,
        lot.filled,
        lot.left,
        average.low,
        average.best,
        average.high,
        lot.worst_pressure.best,
        lot.bottle.limit_bar.low,
        lot.fit,
        lot.is_fit,
        fit_below_c,
    )


def _of_all(lots: tuple[Lot, ...], by_lot: tuple[float | None, ...], first: tuple[float, ...]) -> float | None:
    """How warm all bottles that are left may get; None where some are fit for no warmth, or none is left."""
    fits = [fit for lot, fit in zip(lots, by_lot, strict=True) if lot.left]
    fits += [_fit_c(first[0])] if first else []
    known = [fit for fit in fits if fit is not None]
    return min(known) if known and len(known) == len(fits) else None


def _fit_c(past_c: float) -> float | None:
    return min(past_c, WARMEST_C) if past_c >= 0.0 else None


def _warm(gas: Fizz, lots: tuple[Lot, ...]) -> tuple[tuple[float, ...], tuple[float | None, ...], tuple[CardWarm, ...]]:
    """Where the first bottle passes its ceiling, how warm each lot may get, and the worst bottle's pressure."""
    draws = Draws(charge_of_fizz(gas), _POINTS)
    past, pressures, by_lot = [], [], []
    for number, lot in enumerate(lots):
        bars = np.array([draws.worst(lot.filled, temp, lot=number).pressure_bar for temp in _TEMPS_C])
        found = (
            np.full(_POINTS, _ALWAYS_C) if lot.bottle.never else _crossing(bars, lot.bottle.limit_bar.high)
        )  # fmt: skip
        fit = _fit_c(float(np.quantile(found, FIT_CHANCE)))
        by_lot.append(fit if fit is None or lot.bottle.kind.glass else min(fit, PLASTIC_WARMEST_C))
        if lot.left:
            past.append(found)
            pressures.append(bars)
    if not past:
        return (), tuple(by_lot), ()
    first = tuple(float(each) for each in np.quantile(np.min(past, axis=0), LEVELS))
    spans = [spread_ends(each) for each in np.max(pressures, axis=0)]
    worst = tuple(CardWarm(temp, *span) for temp, span in zip(_TEMPS_C, spans, strict=True))
    return first, tuple(by_lot), worst


def _crossing(bars: np.ndarray, limit_bar: float) -> np.ndarray:
    """For each draw the temperature at which its pressure, a column that rises with the rows, reaches the limit."""
    temps = np.array(_TEMPS_C)
    below = np.sum(bars <= limit_bar, axis=0)
    at = np.clip(below, 1, len(temps) - 1)
    here = np.arange(bars.shape[1])
    low, high = bars[at - 1, here], bars[at, here]
    found = temps[at - 1] + (limit_bar - low) / np.maximum(high - low, 1e-9) * (temps[at] - temps[at - 1])
    return np.where(below == 0, _ALWAYS_C, np.where(below == len(temps), _NEVER_C, found))
