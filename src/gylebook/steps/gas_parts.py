"""The parts of a bottle's gas as sums of spans: what is dissolved, what sugar gives, and what the worst bottle has.

A span's ends hold the middle nine tenths. No brew is needed here: the sums of Reckon use the same.
"""

from __future__ import annotations

from math import sqrt

from gylebook.science import carbonation, priming
from gylebook.science.interval import Span
from gylebook.steps.asked import NORMAL_90

# How far one bottle's share of the sugar strays from another's [1], standard deviation: common practice.
UNEVEN = {"whole batch": 0.06, "each bottle": 0.08}
NOTHING = Span(0.0, 0.0, 0.0)
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


def worst_of(residual: Span, sugar: Span, to_come: Span, uneven: float) -> float:
    """Volumes in the one bottle in twenty: the batch's own high end, and more than its share of the sugar."""
    total = together(residual, sugar, to_come)
    spread = sqrt((total.high - total.best) ** 2 + (NORMAL_90 * uneven * sugar.best) ** 2)
    return total.best + spread
