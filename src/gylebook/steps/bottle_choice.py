"""Which beer into which bottles: an exact choice from a mixed stock, all of it at one fizz or parted in two.

What is best is settled in this order, and each wish is only heard as far as those before it allow:

1. as little beer as can be is left over, beyond a glass of it (`WASTE_ML`), or beyond what would not fill a half-litre
   bottle (`SPARED_ML`) where all of it then has the wanted fizz: nobody primes twice, or less, for the last glasses;
2. the fizz of all of it, or of the less fizzy part, is as high as the weakest chosen bottle bears, up to the wanted;
3. the beer is parted in two where each part is worth its own sugar (`LEAST_PART_ML`, `LEAST_GAIN`), so that the most
   fizz comes about over all litres;
4. one plastic bottle is among them, to squeeze;
5. as few bottles as can be;
6. as little left over as can be.

All numbers are whole: millilitres, bottles, and tenths of a volume of gas. The solver works in floating point; what it
finds is rounded and held against the same conditions in whole numbers, and its bound against the value that was found.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from gylebook.errors import GylebookError
from gylebook.phrases import say

WASTE_ML = 250  # a glass to taste; less than any bottle worth a cap
SPARED_ML = 499  # not one half litre more: the beer itself is not known so closely
LEAST_PART_ML = 4000  # sugar for less cannot be weighed and stirred in evenly
LEAST_GAIN = 3  # tenths of a volume: less is hardly felt, and not worth priming twice

Counts = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Sort:
    """Empty bottles of one kind: what one holds [mL], how many, and the fizz that they bear [tenths of a volume].

    `bears` counts for the average bottle of the batch, in the warmest place and with the worst bottle in mind; a kind
    that must not be filled bears 0.
    """

    size_ml: int
    count: int
    bears: int
    plastic: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """Beer of one fizz [tenths of a volume], and how many bottles of each sort it fills."""

    fizz: int
    counts: Counts


@dataclass(frozen=True, slots=True)
class Choice:
    """What to fill: one part, or two with the more fizzy one first; none where no bottle is fit or there is no beer.

    `left_ml` stays over in all; `over_ml` of it is more than the glass that may.
    """

    parts: tuple[Part, ...]
    left_ml: int
    over_ml: int

    @property
    def counts(self) -> Counts:
        """How many of each sort are filled, whatever their fizz."""
        return tuple(map(sum, zip(*(part.counts for part in self.parts), strict=True)))

    def litres(self, stock: Sequence[Sort], part: Part) -> float:
        """What a part's bottles hold [L]."""
        return _held(stock, part.counts) / 1000.0


def choose(stock: Sequence[Sort], beer_ml: int, wanted: int, least: int) -> Choice:
    """The best choice, in the order that the module states.

    Parameters
    ----------
    stock
        Empty bottles by sort.
    beer_ml
        Beer to fill [mL].
    wanted
        Fizz that is wanted [tenths of a volume]; none is ever planned beyond it.
    least
        Fizz that the beer makes by itself, without any sugar: bottles that bear less are not fit for it.

    Raises
    ------
    GylebookError
        When the solver proves nothing: a fault of the program, never of what was asked.
    """
    top = max(wanted, least)
    bears = [min(sort.bears, top) if sort.bears >= least else 0 for sort in stock]
    levels = sorted({level for level, sort in zip(bears, stock, strict=True) if level > 0 and sort.count > 0})
    nothing = Choice((), beer_ml, max(0, beer_ml - WASTE_ML))
    if not levels or beer_ml <= WASTE_ML:
        return nothing
    most = _most_held(stock, beer_ml, bears, levels[0])
    if most == 0:
        return nothing
    enough = min(most, beer_ml - WASTE_ML)
    at_top = _most_held(stock, beer_ml, bears, top)
    if at_top and beer_ml - at_top <= SPARED_ML:
        levels, enough = [top], min(at_top, beer_ml - WASTE_ML)
    for level in reversed(levels):
        whole = _Problem(stock, beer_ml, enough, bears, (level,))
        if whole.possible():
            break
    else:
        raise GylebookError(say("The bottles that hold the most beer were not found again."))
    parted = [_Problem(stock, beer_ml, enough, bears, (high, level)) for high in levels if high >= level + LEAST_GAIN]
    best = max((problem.most_fizz() for problem in parted), default=0)
    tied: Iterable[_Problem] = [problem for problem in parted if problem.gain == best] if best else [whole]
    return max((problem.settled(best) for problem in tied), key=lambda found: _rank(stock, found))


def ready_beside(stock: Sequence[Sort], choice: Choice, further_ml: int) -> Counts:
    """Further bottles to keep clean and near: the fewest that hold so much more beer, should there be more of it.

    All that are left and bear the fizz, where even those do not hold it.
    """
    if not choice.parts:
        return ()
    fizz = choice.parts[-1].fizz
    spare = [sort.count - full if sort.bears >= fizz else 0 for sort, full in zip(stock, choice.counts, strict=True)]
    found = [0] * len(spare)
    for place in sorted(range(len(spare)), key=lambda i: -stock[i].size_ml):  # fewest: the largest first
        found[place] = min(spare[place], ceil(max(0, further_ml) / stock[place].size_ml))
        further_ml -= found[place] * stock[place].size_ml
    return tuple(found)


def _held(stock: Sequence[Sort], counts: Counts) -> int:
    return sum(sort.size_ml * count for sort, count in zip(stock, counts, strict=True))


def _rank(stock: Sequence[Sort], found: Choice) -> tuple[bool, int, int, int]:
    counts = found.counts
    indicator = any(sort.plastic and count for sort, count in zip(stock, counts, strict=True))
    return indicator, -sum(counts), -found.left_ml, found.parts[0].fizz


def _most_held(stock: Sequence[Sort], beer_ml: int, bears: Sequence[int], least: int) -> int:
    """The most beer that fit bottles hold when each is filled whole [mL]."""
    every = tuple(sort.count if level >= least else 0 for sort, level in zip(stock, bears, strict=True))
    if _held(stock, every) <= beer_ml:
        return _held(stock, every)
    found = _Problem(stock, beer_ml, 0, bears, (least,)).solve("held", most=True)
    if found is None:
        raise GylebookError(say("Filling no bottle at all was not found possible."))
    return _held(stock, found[0])


class _Problem:
    """Whole bottles for one or two parts of given fizz: between `enough` and all of the beer is in them."""

    def __init__(
        self, stock: Sequence[Sort], beer_ml: int, enough: int, bears: Sequence[int], fizz: tuple[int, ...]
    ) -> None:
        self.stock, self.beer_ml, self.fizz, self.gain = stock, beer_ml, fizz, 0
        kinds, parts = len(stock), len(fizz)
        sizes = np.array([sort.size_ml for sort in stock], dtype=np.int64)
        counts = np.array([sort.count for sort in stock], dtype=np.int64)
        self.upper = np.concatenate([np.where(np.asarray(bears) >= level, counts, 0) for level in fizz])
        nothing = np.zeros(kinds, dtype=np.int64)
        self.rows = {"held": np.tile(sizes, parts), "count": np.ones(kinds * parts, dtype=np.int64)}
        self.rows["plastic"] = np.tile(np.array([int(sort.plastic) for sort in stock], dtype=np.int64), parts)
        self.ends: list[tuple[NDArray[np.int64], int, int]] = [(self.rows["held"], enough, beer_ml)]
        if parts == 2:
            self.rows["first"] = np.concatenate([sizes, nothing])
            self.ends += [(self.rows["first"], LEAST_PART_ML, beer_ml)]
            self.ends += [(np.concatenate([nothing, sizes]), LEAST_PART_ML, beer_ml)]
            both = np.tile(np.eye(kinds, dtype=np.int64), 2)
            self.ends += [(row, 0, int(count)) for row, count in zip(both, counts, strict=True)]

    def solve(self, row: str, *, most: bool = False) -> tuple[Counts, ...] | None:
        """Bottles of each part with the least, or the most, of a row; None where there is no way at all."""
        from scipy.optimize import Bounds, LinearConstraint, milp

        wish = -self.rows[row] if most else self.rows[row]
        rows, low, high = (np.array(column) for column in zip(*self.ends, strict=True))
        found = milp(
            wish,
            integrality=np.ones_like(wish),
            bounds=Bounds(0, self.upper),
            constraints=LinearConstraint(rows, low, high),
            options={"mip_rel_gap": 0.0},
        )
        if found.status == 2:
            return None
        if found.status != 0 or found.x is None:
            raise GylebookError(say("The solver gave up: {message}", message=found.message))
        # Rounded, and looked at again in whole numbers: the solver's own tolerance decides nothing.
        whole = np.rint(found.x).astype(np.int64)
        held = rows @ whole
        fit = bool(np.all((whole >= 0) & (whole <= self.upper)) and np.all((held >= low) & (held <= high)))
        if not fit or int(wish @ whole) > floor(found.mip_dual_bound + 1.0 - 1e-4):
            raise GylebookError(say("The solver's answer does not hold in whole numbers."))
        return tuple(tuple(map(int, part)) for part in np.split(whole, len(self.fizz)))

    def possible(self) -> bool:
        """Whether there is any way."""
        if int(self.rows["held"] @ self.upper) < self.ends[0][1]:
            return False
        return self.solve("count") is not None

    def most_fizz(self) -> int:
        """What parting adds over all of it at the lesser fizz, at the most [mL × tenths]; 0 where it cannot be."""
        found = self.solve("first", most=True)
        self.gain = 0 if found is None else (self.fizz[0] - self.fizz[1]) * _held(self.stock, found[0])
        return self.gain

    def settled(self, gain: int) -> Choice:
        """The best way with so much gained by parting: a plastic one if it can be, fewest, least left."""
        if gain:
            self.ends.append((self.rows["first"], gain // (self.fizz[0] - self.fizz[1]), self.beer_ml))
        self.ends.append((self.rows["plastic"], 1, int(self.upper.sum())))
        fewest = self.solve("count") if bool((self.rows["plastic"] * self.upper).any()) else None
        if fewest is None:
            self.ends.pop()
            fewest = self.solve("count")
        if fewest is None:
            raise GylebookError(say("What was possible before was not found again."))
        count = sum(map(sum, fewest))
        self.ends.append((self.rows["count"], count, count))
        parts = self.solve("held", most=True)
        if parts is None:
            raise GylebookError(say("What was possible before was not found again."))
        left = self.beer_ml - sum(_held(self.stock, part) for part in parts)
        made = tuple(Part(fizz, counts) for fizz, counts in zip(self.fizz, parts, strict=True))
        return Choice(made, left, max(0, left - WASTE_ML))
