"""What an opened bottle tells of the gas in all the others: draws of a batch weighed by what hand and eye met.

A hand tells five steps of fizz, each a stretch of gas with blurred ends: every brewer has a scale of his own (one shift
for all bottles of the batch) and is not the same every evening. Whether a bottle gushes goes by the gas beyond what the
open beer would hold at its temperature; besides, hop bits and thick sediment make a tame one gush now and then. The
opened bottle is one of many: its own share of the sugar is not known, and is summed over. It may also be the odd one,
with a seal that leaks or dirt in it, which says nothing of the others.

A wild bottle speaks of slips that nobody wrote (bottled early, twice the sugar, sugar not stirred in, something wild),
a flat one of others (slow yeast, too little sugar). They are thought of only when a bottle speaks of them: with no
bottle opened the draws are those of the log alone. How often each slip happens, and where a hand's steps lie, is
common practice: no measured account of either was found.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from gylebook.forecast.answers import Floats
from gylebook.forecast.gas import POINTS, Charge, Draws, Slips
from gylebook.forecast.lattice import normal_level
from gylebook.science.carbonation import equilibrium_volumes

# Gas at which a hand goes over from flat to little, lively, very lively and wild [vol], as it lies in a cool bottle.
# Source: common_practice
FELT_FROM_VOL: Final = (1.4, 2.0, 2.9, 3.6)
HAND_SD_VOL: Final = 0.25  # of one brewer's scale against another's
EVENING_SD_VOL: Final = 0.3  # of one bottle against the next, felt by the same hand
# Gas beyond what open beer holds at which every second bottle gushes, with its spread [vol].
# Source: common_practice
GUSH_BEYOND_VOL: Final = 2.9
GUSH_SD_VOL: Final = 0.45
# Chance that a tame bottle gushes by what lies in it.
# Source: common_practice
GUSH_ANYWAY: Final = {"thin": 0.01, "": 0.02, "usual": 0.02, "thick": 0.06}
GUSH_BY_HOPS: Final = 0.05
LEAKS: Final = 0.03  # chance that this one's seal leaks
DIRTY: Final = 0.01  # chance that this one alone went wild
_LEAKY_FELT: Final = {1: 0.7, 2: 0.3}
_DIRTY_FELT: Final = {4: 0.3, 5: 0.7}
_DIRTY_GUSHES: Final = 0.5
OPENED_C: Final = 8.0  # chilled for a day, as the book asks for; nobody writes how cold
FLAT_FELT, WILD_FELT = 2, 5

LEAST_EFFECTIVE: Final = 200.0
_AS_WRITTEN: Final = 0.5  # of all draws, where slips are thought of; the others are shared evenly
_HAND, _SLIP, _SIZE = 300, 301, 302  # columns of the lattice, far from those of lots
_EARLY_VOL, _MUCH_SUGAR_VOL, _NOT_DONE = 0.8, 2.8, 0.75
_GRID_FROM, _GRID_STEP, _GRID = -2.0, 0.01, 1801


@dataclass(frozen=True, slots=True)
class Seen:
    """One opened bottle.

    Parameters
    ----------
    fizz
        Felt, 1 flat to 5 wild; None where it was not told.
    gushed
        Whether it gushed; None where it was not told.
    sediment
        "thin", "usual", "thick" or "".
    age_days
        Time in the bottle, counted as if at 20 degC [d].
    temp_c
        How warm it was [degC], 0 to 50.
    vents
        How many of the charge's vents came before.
    hops
        Whether the beer was dry-hopped.
    """

    fizz: int | None
    gushed: bool | None
    sediment: str = ""
    age_days: float = 30.0
    temp_c: float = OPENED_C
    vents: int = 0
    hops: bool = False

    @property
    def flat(self) -> bool:
        """Whether it speaks of too little gas."""
        return self.fizz is not None and self.fizz <= FLAT_FELT and not self.gushed

    @property
    def wild(self) -> bool:
        """Whether it speaks of too much."""
        return bool(self.gushed) or (self.fizz is not None and self.fizz >= WILD_FELT)

    @property
    def tells(self) -> bool:
        """Whether anything of its fizz was told."""
        return self.fizz is not None or self.gushed is not None


@dataclass(frozen=True, slots=True)
class Told:
    """A batch as opened bottles leave it.

    `causes` are ranked, each with its share of what is still believed; `effective` is how many of the draws carry the
    rest, and `believed` the power that the bottles' word was raised to, 1 where it counted whole.
    """

    draws: Draws
    causes: tuple[tuple[str, float], ...] = ()
    effective: float = float(POINTS)
    believed: float = 1.0


# Slips by cause: how often they happen, and (what they change, least, most) with even chances in between. "slow" is
# even in its logarithm. Source: common_practice
_Slip = tuple[float, str, float, float]
_WILD_SLIPS: Final[dict[str, _Slip]] = {
    "early": (0.03, "later_vol", 0.5, 3.0),
    "uneven": (0.04, "uneven", 4.0, 6.0),
    "much": (0.02, "sugar", 1.4, 2.2),
    "wild": (0.02, "later_vol", 1.0, 5.0),
}
_FLAT_SLIPS: Final[dict[str, _Slip]] = {
    "slow": (0.06, "slow", 1.6, 12.0),
    "little": (0.04, "sugar", 0.1, 0.7),
}
_UNWRITTEN: Final[_Slip] = (0.2, "later_vol", 0.8, 3.0)
_COLD_TIMES, _THICK_TIMES, _FELL_TIMES = 4.0, 3.0, 10.0


def slips_of(seen: Sequence[Seen], *, sugared: bool, cold: bool = False, fell: bool = False) -> dict[str, _Slip]:
    """The slips that bottles speak of; none where none was flat or wild.

    Parameters
    ----------
    seen
        The opened bottles.
    sugared
        Whether priming sugar is written.
    cold
        Whether they stood so cold that yeast may have stopped.
    fell
        Whether gravity fell below what the make-up can reach.
    """
    found: dict[str, _Slip] = {}
    if any(each.wild for each in seen):
        found |= _WILD_SLIPS
    if any(each.flat for each in seen):
        found |= _FLAT_SLIPS
    if not sugared:
        found = {key: slip for key, slip in found.items() if slip[1] not in {"sugar", "uneven"}}
        if any(each.wild or (each.fizz or 0) > FLAT_FELT for each in seen):
            found["much"] = _UNWRITTEN
    more = {"slow": _COLD_TIMES if cold else 1.0, "wild": _FELL_TIMES if fell else 1.0}
    if any(each.sediment == "thick" for each in seen):
        more["wild"] = max(more["wild"], _THICK_TIMES)
    return {key: (often * more.get(key, 1.0), *rest) for key, (often, *rest) in found.items()}  # type: ignore[misc]


def told(charge: Charge, seen: Sequence[Seen], points: int = POINTS, *, cold: bool = False, fell: bool = False) -> Told:
    """The draws of a batch as opened bottles leave them, each counting alike; untouched where none tells anything.

    Parameters
    ----------
    charge
        What becomes pressure, as written.
    seen
        The opened bottles.
    points
        How many draws.
    cold, fell
        As for `slips_of`.

    Source: common_practice
    """
    seen = [each for each in seen if each.tells]
    if not seen:
        return Told(Draws(charge, points))
    slips = slips_of(seen, sugared=bool(charge.sugars), cold=cold, fell=fell)
    draws, which, prior = _slipped(charge, points, slips)
    likely, leaks, dirty = np.zeros(points), np.zeros(points), np.zeros(points)
    for each in seen:
        usual, odd_leak, odd_dirty = likelihood(draws, each)
        whole = np.maximum(usual + odd_leak + odd_dirty, 1e-30)
        likely += np.log(whole)
        leaks, dirty = np.maximum(leaks, odd_leak / whole), np.maximum(dirty, odd_dirty / whole)
    weight, believed = _weights(prior, likely)
    order = _systematic(weight)
    parts = _Parts(which, leaks, dirty, tuple(slips))
    causes = _ranked(draws, seen, weight, parts)
    return Told(draws.picked(order), causes, float(1.0 / np.sum(weight**2)), believed)


def _slipped(charge: Charge, points: int, slips: dict[str, _Slip]) -> tuple[Draws, NDArray[np.intp], Floats]:
    """Draws with slips in half of them, which slip each has (0 for none), and how much each counts beforehand."""
    plain = Draws(charge, points)
    if not slips:
        return plain, np.zeros(points, dtype=np.intp), np.full(points, 1.0)
    place, size = plain.uniforms(_SLIP), plain.uniforms(_SIZE)
    many = len(slips)
    after = (place - _AS_WRITTEN) / (1.0 - _AS_WRITTEN) * many
    which = np.where(place < _AS_WRITTEN, 0, 1 + np.clip(after, 0, many - 1e-9).astype(np.intp)).astype(np.intp)
    values = {"sugar": np.ones(points), "uneven": np.ones(points), "slow": np.ones(points),
              "later_vol": np.zeros(points)}  # fmt: skip
    often = np.array([1.0 - sum(each[0] for each in slips.values()), *(each[0] for each in slips.values())])
    for number, (_, what, low, high) in enumerate(slips.values(), 1):
        sizes = low * (high / low) ** size if what == "slow" else low + (high - low) * size
        values[what] = np.where(which == number, sizes, values[what])
    drawn = np.array([_AS_WRITTEN, *([(1.0 - _AS_WRITTEN) / many] * many)])
    return Draws(charge, points, slips=Slips(**values)), which, (often / drawn)[which]


def likelihood(draws: Draws, seen: Seen) -> tuple[Floats, Floats, Floats]:
    """How likely what was met is for each draw: from an ordinary bottle, from one that leaks, from a dirty one [1]."""
    share = draws.made(seen.age_days)
    average = draws.dissolved + share * (draws.later + draws.sugar) - draws.let_out(seen.vents)
    by_sugar, least = share * draws.sugar_sd, average - share * draws.sugar
    hand = HAND_SD_VOL * draws.normals(_HAND)
    felt, gushes = _felt_table(seen), _gush_table(seen)
    usual = np.zeros(draws.points)
    for place, part in zip(*_nodes(), strict=True):
        # A share is never less than none; nor does a vent take what is not there.
        gas = np.maximum(np.maximum(average + place * by_sugar, least), 0.0)
        # The brewer's own scale moves what is felt alone: whether a bottle gushes is no matter of hands.
        usual += part * _looked_up(felt, gas + hand) * _looked_up(gushes, gas)
    leaky = _LEAKY_FELT.get(seen.fizz, 0.0) if seen.fizz is not None else 1.0
    leaky *= 0.0 if seen.gushed else 1.0
    foul = _DIRTY_FELT.get(seen.fizz, 0.0) if seen.fizz is not None else 1.0
    foul *= 1.0 if seen.gushed is None else _DIRTY_GUSHES if seen.gushed else 1.0 - _DIRTY_GUSHES
    some = np.ones(draws.points)
    return (1.0 - LEAKS - DIRTY) * usual, LEAKS * leaky * some, DIRTY * foul * some


def _grid() -> Floats:
    return np.asarray(_GRID_FROM + _GRID_STEP * np.arange(_GRID), dtype=np.float64)


def _felt_table(seen: Seen) -> Floats:
    """The likelihood of what was felt by the gas of the bottle on the hand's own scale, on an even grid."""
    if seen.fizz is None:
        return np.ones(_GRID)
    gas, ends = _grid(), (-np.inf, *FELT_FROM_VOL, np.inf)
    low, high = ends[seen.fizz - 1], ends[seen.fizz]
    above = np.ones(_GRID) if np.isinf(low) else normal_level((gas - low) / EVENING_SD_VOL)
    beyond = np.zeros(_GRID) if np.isinf(high) else normal_level((gas - high) / EVENING_SD_VOL)
    return np.maximum(above - beyond, 0.0)


def _gush_table(seen: Seen) -> Floats:
    """The likelihood that it gushed, or did not, by the gas of the bottle itself, on an even grid."""
    if seen.gushed is None:
        return np.ones(_GRID)
    anyway = max(GUSH_ANYWAY[seen.sediment], GUSH_BY_HOPS if seen.hops else 0.0)
    middle = GUSH_BEYOND_VOL + float(equilibrium_volumes(0.0, seen.temp_c))
    gushes = anyway + (1.0 - anyway) * normal_level((_grid() - middle) / GUSH_SD_VOL)
    return gushes if seen.gushed else np.asarray(1.0 - gushes)


def _looked_up(table: Floats, gas: Floats) -> Floats:
    place = np.clip((gas - _GRID_FROM) / _GRID_STEP, 0.0, _GRID - 1.001)
    below = place.astype(np.intp)
    part = place - below
    return np.asarray(table[below] * (1.0 - part) + table[below + 1] * part)


@lru_cache(maxsize=1)
def _nodes() -> tuple[Floats, Floats]:
    """Places and parts that sum a smooth function over a normal."""
    places, parts = np.polynomial.hermite_e.hermegauss(7)
    return places, parts / np.sum(parts)


def _weights(prior: Floats, likely: Floats) -> tuple[Floats, float]:
    """Weights that add up to one, and the power of the likelihood that leaves draws enough to carry them."""

    def at(power: float) -> Floats:
        found = prior * np.exp(power * (likely - np.max(likely)))
        return np.asarray(found / np.sum(found))

    whole = at(1.0)
    if np.sum(whole**2) * LEAST_EFFECTIVE <= 1.0:
        return whole, 1.0
    low, high = 0.0, 1.0
    for _ in range(12):
        middle = (low + high) / 2.0
        enough = np.sum(at(middle) ** 2) * LEAST_EFFECTIVE <= 1.0
        low, high = (middle, high) if enough else (low, middle)
    return at(low), low


def _systematic(weight: Floats) -> NDArray[np.intp]:
    """Which draws are kept, in their order: each as often as its weight asks for, to within one."""
    count = len(weight)
    found = np.searchsorted(np.cumsum(weight), (np.arange(count) + 0.5) / count)
    return np.minimum(found, count - 1).astype(np.intp)


@dataclass(frozen=True, slots=True)
class _Parts:
    which: NDArray[np.intp]
    leaks: Floats
    dirty: Floats
    names: tuple[str, ...]


def _ranked(draws: Draws, seen: Sequence[Seen], weight: Floats, parts: _Parts) -> tuple[tuple[str, float], ...]:
    """What is believed to lie behind it, the likeliest first; nothing where no bottle was flat or wild."""
    flat, wild = any(each.flat for each in seen), any(each.wild for each in seen)
    if not (flat or wild):
        return ()
    found = {name: float(np.sum(weight[parts.which == number])) for number, name in enumerate(parts.names, 1)}
    rest = np.where(parts.which == 0, weight, 0.0)

    def take(name: str, part: Floats) -> None:
        nonlocal rest
        found[name] = found.get(name, 0.0) + float(np.sum(rest * part))
        rest = rest * (1.0 - part)

    if wild:
        take("dirty", parts.dirty)
        take("early", (draws.later > _EARLY_VOL).astype(float))
        take("much", (draws.sugar > _MUCH_SUGAR_VOL).astype(float))
    if flat:
        take("seal", parts.leaks)
        age = min(each.age_days for each in seen if each.flat)
        take("slow", (draws.made(age) < _NOT_DONE).astype(float))
    if any(each.gushed for each in seen):
        take("bits", np.ones(draws.points))
    found["usual"] = float(np.sum(rest))
    return tuple(sorted(found.items(), key=lambda pair: -pair[1]))
