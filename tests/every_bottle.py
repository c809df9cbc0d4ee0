"""Every way to fill a small stock, looked at one by one: what the exact choice is held against. It shares no code."""

from __future__ import annotations

from itertools import product
from random import Random

from gylebook.steps.bottle_choice import LEAST_GAIN, LEAST_PART_ML, SPARED_ML, WASTE_ML, Choice, Sort

SIZES_ML = (250, 330, 341, 355, 500, 568, 650, 750, 1000, 2000)


def value(stock: tuple[Sort, ...], beer_ml: int, first: tuple[int, ...], second: tuple[int, ...], fizz: tuple[int, int],
          *, top: int) -> tuple[int, int, int, int, int, int, int]:  # fmt: skip
    """How good a way is, the more the better, wish by wish; `second` is empty of bottles where it is not parted."""
    in_first = sum(sort.size_ml * n for sort, n in zip(stock, first, strict=True))
    in_second = sum(sort.size_ml * n for sort, n in zip(stock, second, strict=True))
    left = beer_ml - in_first - in_second
    plastic = any(sort.plastic and (a or b) for sort, a, b in zip(stock, first, second, strict=True))
    lesser = fizz[1] if in_second else fizz[0]
    gain = (fizz[0] - fizz[1]) * in_first if in_second else 0
    over = max(0, left - WASTE_ML)
    told = 0 if lesser == top and left <= SPARED_ML else over
    return -told, lesser, -over, gain, int(plastic), -sum(first) - sum(second), -left


def best_of_all(stock: tuple[Sort, ...], beer_ml: int, wanted: int, least: int) -> tuple[int, ...] | None:
    """The value of the best way; None where nothing can be filled."""
    top = max(wanted, least)
    levels = sorted({min(sort.bears, top) for sort in stock if sort.bears >= least and sort.bears > 0})
    found = None
    none = tuple(0 for _ in stock)
    for high, low in product(levels, repeat=2):
        if high != low and high - low < LEAST_GAIN:
            continue
        for first in product(*(range(sort.count + 1 if sort.bears >= high else 1) for sort in stock)):
            held = sum(sort.size_ml * n for sort, n in zip(stock, first, strict=True))
            if held > beer_ml or not any(first):
                continue
            if high == low:
                found = _better(found, value(stock, beer_ml, first, none, (high, low), top=top))
                continue
            if held < LEAST_PART_ML:
                continue
            for second in product(
                *(range(sort.count - n + 1 if sort.bears >= low else 1) for sort, n in zip(stock, first, strict=True))
            ):
                rest = sum(sort.size_ml * n for sort, n in zip(stock, second, strict=True))
                if LEAST_PART_ML <= rest <= beer_ml - held:
                    found = _better(found, value(stock, beer_ml, first, second, (high, low), top=top))
    return found


def _better(old, new):
    return new if old is None or new > old else old


def value_of(stock: tuple[Sort, ...], beer_ml: int, top: int, choice: Choice) -> tuple[int, ...] | None:
    """How good a choice is, by the same measure."""
    if not choice.parts:
        return None
    none = tuple(0 for _ in stock)
    first = choice.parts[0]
    second = choice.parts[1] if len(choice.parts) == 2 else None
    fizz = (first.fizz, (second or first).fizz)
    return value(stock, beer_ml, first.counts, second.counts if second else none, fizz, top=top)


def small_stock(dice: Random) -> tuple[tuple[Sort, ...], int, int, int]:
    """A stock of one to four kinds that can be looked through, with beer that it holds or not quite."""
    kinds = dice.randint(1, 4)
    most = {1: 40, 2: 14, 3: 6, 4: 3}[kinds]
    sizes, least_beer = (SIZES_ML, 0.0) if dice.random() < 0.5 else ((1000, 1500, 2000), 0.7)  # the large may be parted
    stock = tuple(
        Sort(dice.choice(sizes), dice.randint(0, most), dice.choice((0, 15, 20, 22, 24, 26, 30, 40)),
             plastic=dice.random() < 0.3)
        for _ in range(kinds)
    )  # fmt: skip
    held = sum(sort.size_ml * sort.count for sort in stock)
    beer_ml = dice.randint(int(least_beer * held), max(1, int(1.2 * held)))
    if dice.random() < 0.3:
        beer_ml = round(beer_ml, -2)
    return stock, beer_ml, dice.choice((20, 23, 24, 28, 35)), dice.choice((8, 9, 16, 21))


def check(stock: tuple[Sort, ...], beer_ml: int, wanted: int, least: int, choice: Choice) -> str:
    """What is wrong with a choice; "" where nothing is."""
    for part in choice.parts:
        for sort, count in zip(stock, part.counts, strict=True):
            if count and (sort.bears < part.fizz or part.fizz > max(wanted, least)):
                return "a bottle is filled with more fizz than it bears, or than was wanted"
    filled = choice.counts if choice.parts else tuple(0 for _ in stock)
    if any(not 0 <= count <= sort.count for sort, count in zip(stock, filled, strict=True)):
        return "more bottles are filled than there are"
    if choice.left_ml != beer_ml - sum(sort.size_ml * n for sort, n in zip(stock, filled, strict=True)):
        return "what is left over does not add up"
    best = best_of_all(stock, beer_ml, wanted, least) if beer_ml > WASTE_ML else None
    got = value_of(stock, beer_ml, max(wanted, least), choice)
    return "" if got == best else f"{got} is not the best, {best}"
