"""Which bottles for a beer: against looking at every way, and how long it takes with a full shed."""

from __future__ import annotations

import statistics
import sys
from collections.abc import Iterator
from pathlib import Path
from random import Random

from figures import Figure, wall

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

_SHED = ((500, 31), (330, 31), (341, 24), (355, 23), (568, 26), (750, 35), (650, 20), (1000, 35))  # mL, tenths borne
_BEER_ML = (4_500, 12_345, 20_000, 22_417, 41_300, 90_000, 150_000, 200_000)


def choice_figures() -> Iterator[Figure]:
    """Small stocks in which the choice is not the best there is, and the median time for 400 bottles of 8 kinds."""
    from every_bottle import check, small_stock
    from gylebook.steps.bottle_choice import Sort, choose

    dice, wrong, parted = Random(20261125), 0, 0
    for _ in range(1000):
        stock, beer_ml, wanted, least = small_stock(dice)
        found = choose(stock, beer_ml, wanted, least)
        parted += len(found.parts) == 2
        wrong += bool(check(stock, beer_ml, wanted, least, found))
    yield Figure("bottles.not_the_best_of_1000", wrong, "stocks", 0.0, f"{parted} of them parted in two")
    shed = tuple(Sort(size, 50, bears, plastic=size == 1000) for size, bears in _SHED)
    times = [statistics.median(wall(lambda ml=ml: choose(shed, ml, 35, 9)) for _ in range(7)) for ml in _BEER_ML]
    yield Figure(
        "bottles.choice_400_of_8_kinds",
        max(times) * 1000,
        "ms",
        200.0,
        f"the slowest of {len(times)} volumes of beer, each a median of 7",
    )
