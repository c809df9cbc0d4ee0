"""Bottling days as they come in houses, and what every single bottle of them comes to: laws that the book does not use.

Beer holds what water holds by the published equation (carroll_1991), times a share that differs from beer to beer; the
book goes by the fit of a brewing chart. Every bottle is drawn by itself. Invented are all shares of households: which
bottles and places they have, how well they measure litres, weigh sugar and stir it in. One litre mark in twenty is far
off. The place's warmest hour is that of its warmest month; the book is told its months to whole degrees.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from gylebook.journal.events import BottlesKept, MonthRange, PlaceKept
from gylebook.journal.state import Shelf
from gylebook.science import carbon_dioxide as gas
from gylebook.science import priming
from gylebook.steps.bottle_kinds import Bottle, bottle_of
from gylebook.steps.warmth import place_range_c
from gylebook.units import Quantity

Floats = NDArray[np.float64]

# Kind, sizes [mL], how often a household has it, the most washes.
STOCK: Final = (
    ("returnable_500", (500,), 0.40, 60),
    ("returnable_330", (330,), 0.10, 60),
    ("one_way", (330, 500), 0.16, 8),
    ("swing_top", (450, 500, 750), 0.12, 30),
    ("pet", (500, 1000), 0.10, 0),
    ("heavy", (750,), 0.06, 10),
    ("unknown_glass", (500, 650), 0.06, 10),
)
# Where bottles stand: mean of the year, how far summer lies above it, and how far a day's heat above its mean [degC].
PLACES: Final = (
    ("cellar", 12.0, 4.0, 0.5),
    ("cupboard", 19.0, 4.0, 1.0),
    ("kitchen", 21.0, 4.0, 2.5),
    ("garage", 13.0, 11.0, 4.0),
    ("loft", 16.0, 13.0, 5.0),
)
SUGARS: Final = ("sucrose", "glucose_monohydrate", "dried_malt_extract")
SUGARS_OFTEN: Final = (0.6, 0.3, 0.1)
BEER_TO_WATER: Final = (0.975, 0.012)  # invented: what beers hold of what water holds, mean and standard deviation
EVENNESS: Final = ((0.04, 0.06, 0.10), (0.5, 0.35, 0.15))  # stirred well, usually, badly
SLIPS_L: Final = ((0.25, 0.8), (0.5, 0.15), (1.0, 0.05))  # standard deviation of a litre mark, and how often it is so
SCALES_G: Final = ((1.0, 0.6), (0.1, 0.3), (5.0, 0.1))  # step of the kitchen's scale, and how often
SPOONED: Final = 0.3  # of those who sugar each bottle, with table sugar
SPOON_G: Final = (4.2, 0.45)  # what a household takes for a level teaspoon
USUAL_SPOON_G: Final = 4.2  # that the book counts it as
SPOON_UNEVEN: Final = (0.10, 0.16)  # a careful hand and a hasty one
AIR_BAR: Final = 0.8  # nitrogen of the air at the most, which the ceilings leave out


@dataclass(frozen=True, slots=True)
class Day:
    """What chance decides of one bottling day, the same for every rule.

    `told` values are what the brewer believes; the others are true.
    """

    seed: int
    litres: float
    told_litres: float
    warmest_off_c: float
    beer_to_water: float
    over_saturated: float
    lots: tuple[Bottle, ...]
    place: str
    warm_c: float
    told_warm_c: float
    wanted: float
    each_bottle: bool
    sugar: str
    sugar_yield: float
    scale_g: float
    scale_gain: float
    spoon_g: float  # 0 where it was weighed
    uneven: float
    headspace: float
    more_per_point: float
    air_bar: float
    first: bool
    habit: float  # from 0 to 1: of two habits or amounts, which one is this household's

    @property
    def count(self) -> int:
        return sum(lot.count for lot in self.lots)


def day_of(chance: np.random.Generator, seed: int, *, first: bool = True) -> Day:
    """One household's bottling day; `first` if no other one bottles the same beer."""
    litres = float(chance.uniform(17.0, 22.5))
    place, warm, told_warm = _place(chance)
    lots = _lots(chance, litres)
    sugar = str(chance.choice(SUGARS, p=SUGARS_OFTEN))
    each_bottle = bool(chance.random() < 0.3) and len({lot.size_l for lot in lots}) == 1
    spooned = bool(chance.random() < SPOONED) and each_bottle
    sugar = "sucrose" if spooned else sugar
    span = priming.PRIMING_SUGARS[sugar].co2_g_per_g
    exact = span.low == span.high
    uneven = float(chance.choice(EVENNESS[0], p=EVENNESS[1]))
    return Day(
        seed=seed,
        litres=litres,
        told_litres=litres + float(chance.normal(0.0, _one_of(chance, SLIPS_L))),
        warmest_off_c=float(chance.normal(0.0, 0.7)),
        beer_to_water=float(chance.normal(*BEER_TO_WATER)),
        over_saturated=float(chance.uniform(0.98, 1.05)),
        lots=lots,
        place=place,
        warm_c=warm,
        told_warm_c=told_warm,
        wanted=float(round(chance.uniform(1.8, 3.0), 1)),
        each_bottle=each_bottle,
        sugar=sugar,
        # Growing yeast keeps a little of pure sugar for itself; of malt nobody knows how far it ferments.
        sugar_yield=span.best * chance.uniform(0.97, 1.0) if exact else float(chance.uniform(span.low, span.high)),
        scale_g=min(_one_of(chance, SCALES_G), 1.0 if each_bottle else 5.0),  # nobody weighs 3 g in steps of 5
        scale_gain=float(chance.normal(1.0, 0.005)),
        spoon_g=max(float(chance.normal(*SPOON_G)), 2.0) if spooned else 0.0,
        uneven=float(chance.choice(SPOON_UNEVEN)) if spooned else 0.03 if each_bottle else uneven,
        headspace=float(chance.uniform(0.03, 0.05)),
        more_per_point=float(chance.uniform(1.0, 1.08)),
        air_bar=float(chance.uniform(0.0, AIR_BAR)),
        first=first,
        habit=float(chance.random()),
    )


def _one_of(chance: np.random.Generator, shares: tuple[tuple[float, float], ...]) -> float:
    return float(chance.choice([value for value, _ in shares], p=[share for _, share in shares]))


def _place(chance: np.random.Generator) -> tuple[str, float, float]:
    """A place: its name, its true warmest, and the warmest that the book finds in the months it was told."""
    name, mean, summer, day = PLACES[chance.integers(len(PLACES))]
    mean, summer = mean + chance.normal(0.0, 1.5), summer * chance.uniform(0.7, 1.3)
    day *= chance.uniform(0.6, 1.4)
    months = [mean + summer * float(np.cos(2 * np.pi * (month - 7) / 12)) for month in range(1, 13)]
    told = tuple(
        MonthRange(month=number, low=_whole(middle - day), high=_whole(middle + day))
        for number, middle in enumerate(months, 1)
    )
    shelf = Shelf(places={name: PlaceKept(name=name, months=told)})
    warmest = [span[1] for month in range(1, 13) if (span := place_range_c(shelf, name, month)) is not None]
    return name, float(max(months) + day), max(warmest)


def _whole(temp_c: float) -> Quantity:
    return Quantity(f"{temp_c:.0f}", "°C")


def _lots(chance: np.random.Generator, litres: float) -> tuple[Bottle, ...]:
    """One to four kinds of bottles, that hold all of the beer; glass washed as often as such a kind is kept."""
    kinds = 1 + int(chance.choice(4, p=(0.4, 0.3, 0.2, 0.1)))
    often = np.array([share for _, _, share, _ in STOCK])
    chosen = chance.choice(len(STOCK), size=kinds, replace=False, p=often / often.sum())
    parts = chance.dirichlet(np.full(kinds, 2.0))
    lots = []
    for place, part in zip(chosen, parts, strict=True):
        kind, sizes, _, most = STOCK[place]
        size = int(chance.choice(sizes))
        count = max(1, int(1000.0 * litres * part / size))
        kept = BottlesKept(
            name=f"lot {kind}",
            kind=kind,
            size=Quantity(str(size), "mL"),
            count=count,
            washes=int(chance.integers(0, most + 1)),
        )
        lots.append(bottle_of(kept.name, kept.size, count, Shelf(bottles={kept.name: kept})))
    return tuple(lots)


# --- what is in the bottles ---------------------------------------------------------------------------------------


def water_g_per_l_per_bar(temp_c: float) -> float:
    """Carbon dioxide in a litre of water for each bar of it above, by Henry's constant and without fugacity."""
    return float(gas.CO2_G_PER_MOL / 18.01528 * 998.0 * 0.1 / gas.henry_mpa(temp_c))


def dissolved_g_per_l(day: Day, warmest_c: float) -> float:
    """What is in the beer after fermentation: in balance with the vessel's own gas, a little over it at times."""
    partial = gas.ATMOSPHERE_BAR - float(gas.vapour_pressure_bar(warmest_c))
    return day.beer_to_water * day.over_saturated * water_g_per_l_per_bar(warmest_c) * partial


def pressures_bar(co2_g_per_l: Floats, headspace: Floats, temp_c: float, beer_to_water: float) -> Floats:
    """Gauge pressure of bottles with so much gas to a litre of beer, beer and headspace in balance."""
    kelvin = temp_c + gas.KELVIN
    virial = float(gas.second_virial_cm3_per_mol(temp_c)) / (gas.GAS_CONSTANT * kelvin)  # 1/bar in these units
    over = headspace * gas.CO2_G_PER_MOL * 1000.0 / (gas.GAS_CONSTANT * kelvin)
    held = beer_to_water * water_g_per_l_per_bar(temp_c)
    partial = co2_g_per_l / (held + over)
    for _ in range(30):  # each round is wrong by a twentieth of the one before
        partial = co2_g_per_l / (held * np.exp(virial * partial) + over / (1.0 + virial * partial))
    return np.asarray(partial + float(gas.vapour_pressure_bar(temp_c)) - gas.ATMOSPHERE_BAR)


@dataclass(frozen=True, slots=True)
class Bottled:
    """What came of a bottling: its worst bottles, lot by lot, in the place's warmest hour, and the gas of every bottle.

    `with_air_bar` is the same with the air that it was capped with and the swelling of warm beer.
    """

    worst_bar: tuple[float, ...]
    with_air_bar: tuple[float, ...]
    vols: Floats

    @property
    def average_vol(self) -> float:
        return float(np.mean(self.vols))


def came_of(day: Day, warmest_c: float, later_g_per_l: float, grams: float) -> Bottled:
    """Every bottle by itself; `grams` are those that the brewer believes in, of all the beer."""
    chance = np.random.default_rng((7, day.seed))
    own = dissolved_g_per_l(day, warmest_c) + max(later_g_per_l, 0.0) * day.more_per_point
    sizes = np.concatenate([np.full(lot.count, lot.size_l) for lot in day.lots])
    many = len(sizes)
    off = day.scale_g * chance.uniform(-0.5, 0.5, many if day.each_bottle else 1)  # a scale rounds
    share = 1.0 + day.uneven * chance.standard_normal(many)
    if day.spoon_g:
        per_litre = grams / many * day.spoon_g / USUAL_SPOON_G * share / sizes
    elif day.each_bottle:
        per_litre = (grams / many + off) * day.scale_gain * share / sizes
    else:
        per_litre = (grams + off) * day.scale_gain * share / day.litres
    per_litre *= grams > 0.0
    total = own + np.maximum(per_litre, 0.0) * day.sugar_yield
    head = np.clip(day.headspace + 0.008 * chance.standard_normal(many), 0.005, 0.2)
    bars = pressures_bar(total, head, day.warm_c, day.beer_to_water)
    swollen = np.clip(head - _swelling(day.warm_c), 0.002, None)
    air = day.air_bar * (day.warm_c + gas.KELVIN) / (20.0 + gas.KELVIN) * head / swollen
    full = pressures_bar(total, swollen, day.warm_c, day.beer_to_water) + air
    ends = np.cumsum([lot.count for lot in day.lots])[:-1]
    worst, aired = ([float(part.max()) for part in np.split(each, ends)] for each in (bars, full))
    return Bottled(tuple(worst), tuple(aired), total / gas.CO2_G_PER_L_PER_VOLUME)


def _swelling(temp_c: float) -> float:
    """Share by which beer swells from 20 degC on: as water does, roughly."""
    return 2.1e-4 * (temp_c - 20.0) + 4.5e-6 * (temp_c - 20.0) ** 2
