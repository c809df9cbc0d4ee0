"""The parts of a bottle's gas as sums of spans: what is dissolved, what sugar gives, and what the worst bottle has.

A span's ends hold the middle nine tenths. No brew is needed here: the sums of Reckon use the same.
"""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from gylebook.science import carbonation, priming
from gylebook.science.carbon_dioxide import CO2_G_PER_L_PER_VOLUME
from gylebook.science.interval import Span

if TYPE_CHECKING:  # SciPy stands behind it, which most sums do without
    from gylebook.forecast.gas import Charge, Draws, Later, Sugar, Vent

# How far one bottle's share of the sugar strays from another's [1], standard deviation: common practice.
UNEVEN = {"whole batch": 0.06, "each bottle": 0.08}
NOTHING = Span(0.0, 0.0, 0.0)
USUAL_BOTTLES = 40  # of half a litre, what a kit fills
_MORE_IN_BOTTLE = 1.05 / 0.97  # gas of a point in a bottle over that in the vessel, at most
USUAL_VOL = 2.3  # an ordinary ale, where no fizz was asked for


def together(*parts: Span) -> Span:
    """Sum of independent parts: middles add up, the distances to the ends add in squares."""
    best = sum(part.best for part in parts)
    low = best - sqrt(sum((part.best - part.low) ** 2 for part in parts))
    high = best + sqrt(sum((part.high - part.best) ** 2 for part in parts))
    return Span(max(0.0, low), best, high)


def residual_of(warmest: Span) -> Span:
    """What is dissolved after fermentation, from the warmest that the beer has been since [°C]: volumes."""
    held = [carbonation.residual_volumes_interval(min(max(t, 0.0), 35.0)) for t in warmest]
    return Span(float(held[2].low), float(held[1].best), float(held[0].high))


def sugared(sugar_g: float, sugar: str, litres: Span) -> Span:
    """Volumes that sugar (a key of the table of priming sugars) gives when it is shared over so many litres."""
    found = priming.volumes_from_sugar(sugar_g, max(litres.best, 0.05), sugar)
    best = float(found.best)
    more = (litres.best - litres.low) / max(litres.best, 0.05)
    less = (litres.high - litres.best) / max(litres.best, 0.05)
    low = best - sqrt((best - float(found.low)) ** 2 + (best * less) ** 2)
    high = best + sqrt((float(found.high) - best) ** 2 + (best * more) ** 2)
    return Span(max(0.0, low), best, high)


def sucrose_equivalent_g_per_l(sugar_g: float, sugar: str, litres: float) -> float:
    """The dose as grams of table sugar a litre that would give as much gas."""
    share = priming.PRIMING_SUGARS[sugar].co2_g_per_g.best / priming.PRIMING_SUGARS["sucrose"].co2_g_per_g.best
    return sugar_g * share / max(litres, 0.05)


def worst_of(
    residual: Span,
    sugar: Span,
    to_come: Span,
    uneven: float,
    bottles: int = USUAL_BOTTLES,
    *,
    later: Later | None = None,
) -> float:
    """Gas of the worst of so many bottles, passed in one batch of twenty: as gas of a bottle filled as usual [vol]."""
    return worst_vol(charge_of(residual, sugar, to_come, uneven, later=later), bottles)


def charge_of(
    residual: Span,
    sugar: Span,
    to_come: Span,
    uneven: float,
    *,
    vents: tuple[Vent, ...] = (),
    later: Later | None = None,
) -> Charge:
    """What is drawn for a batch from its parts [vol]; `later`, where it is known better, is never taken as less."""
    from gylebook.forecast import gas

    by_span = gas.later_of_span(Span(*(end * CO2_G_PER_L_PER_VOLUME for end in _in_vessel(to_come))))
    whole = by_span if later is None else later.or_more(by_span)
    return gas.Charge(residual, whole, (_as_sugar(sugar, uneven),) if sugar.best > 0 else (), vents=vents)


def worst_vol(charge: Charge, bottles: int, draws: Draws | None = None) -> float:
    """The worst of so many bottles of a batch, as `worst_of`; of these draws of it where there are some."""
    import numpy as np

    from gylebook.forecast.gas import Draws

    draws = Draws(charge) if draws is None else draws
    return float(np.quantile(draws.worst_as_usual_vol(max(bottles, 1)), 0.95))


def _in_vessel(to_come: Span) -> Span:
    """The same gas before the bottle's own higher yield is counted, which only the upper end has in it."""
    return Span(to_come.low, to_come.best, max(to_come.best, to_come.high / _MORE_IN_BOTTLE))


def _as_sugar(part: Span, uneven: float) -> Sugar:
    """Sugar that gives so much gas to a litre, more or less of which would have the gas at its ends."""
    from gylebook.forecast.gas import Sugar

    grams = part.best * CO2_G_PER_L_PER_VOLUME / priming.PRIMING_SUGARS["sucrose"].co2_g_per_g.best
    low, high = max(part.low, 0.1 * part.best), max(part.high, part.best)
    return Sugar(grams, "sucrose", Span(part.best / high, 1.0, part.best / low), 0.0, uneven)
