"""Whether bottles bear the unlikely rest: the gas that comes on top in the worst one case of a hundred."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from gylebook.journal.state import Brew, Shelf
from gylebook.phrases import say, say_amount
from gylebook.science.carbon_dioxide import CO2_G_PER_L_PER_VOLUME
from gylebook.steps.bottle_kinds import bottle_of, weakest
from gylebook.steps.bottle_store import bottles_in_use, store_c
from gylebook.steps.gas_parts import USUAL_VOL
from gylebook.steps.volumes import in_vessel_l
from gylebook.units import Quantity, show

_USUAL_BOTTLE = "returnable_500"
_UNLIKELY = 0.01
_MOST_G_PER_L = 100.0
_HALVINGS = 30  # to a ten millionth of a gram


@dataclass(frozen=True, slots=True)
class Bearing:
    """The unlikely rest [vol], and whether the bottles bear it on top of the fizz that is wanted."""

    rest_vol: float
    holds: bool
    words: str


def bearing(brew: Brew, shelf: Shelf, co2_above: Callable[[float], float]) -> Bearing:
    """Lay the unlikely rest at the bottles that the brew would fill.

    The fizz wanted is held to the cautious habit, as when priming; with the rest on top, which one brew in a hundred
    has, to the boldest. Where no bottles are known, ordinary brown ones are held to the middling habit then.
    """
    rest = unlikely_g_per_l(co2_above) / CO2_G_PER_L_PER_VOLUME
    wanted = brew.plan.co2_wanted.to("vol", "co2") if brew.plan.co2_wanted is not None else USUAL_VOL
    bottles, _ = bottles_in_use(brew, shelf, in_vessel_l(brew, shelf).value)
    store = store_c(brew, shelf).value
    bottle = weakest(bottles) if bottles else bottle_of(_USUAL_BOTTLE, Quantity("500", "mL"), 0, shelf)
    bears = bottle.most_volumes(store)
    room = (bears.high if bottles else bears.best) - min(wanted, bears.low)
    parts = {"rest": show(rest, 1), "room": show(max(room, 0.0), 1), "store": say_amount(store, 0, "°C")}
    if bottles:
        words = say(
            "one chance in a hundred leaves {rest} vol on top of the fizz wanted; the weakest of your bottles "
            "({bottle}) bear {room} vol where it gets {store}",
            bottle=bottle.words,
            **parts,
        )
    else:
        words = say(
            "one chance in a hundred leaves {rest} vol on top of the fizz wanted; ordinary brown bottles (none are "
            "written) bear {room} vol where it gets {store}",
            **parts,
        )
    return Bearing(rest, rest <= room, words)


def unlikely_g_per_l(co2_above: Callable[[float], float]) -> float:
    """The gas [g/L] that is exceeded in one case of a hundred."""
    low, high = 0.0, _MOST_G_PER_L
    if co2_above(low) <= _UNLIKELY:
        return 0.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if co2_above(middle) > _UNLIKELY else (low, middle)
    return high
