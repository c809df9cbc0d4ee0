"""All sums that need no brew: for the page Reckon and for `gylebook reckon`, by their one word."""

from __future__ import annotations

from gylebook.steps import (
    sums_bottle,
    sums_gas,
    sums_gravity,
    sums_heat,
    sums_strength,
    sums_units,
    sums_yeast_hops,
)
from gylebook.steps.decision import Sum

# In the order of the work.
SUMS: dict[str, Sum] = {
    each.word: each
    for each in (
        *sums_gravity.SUMS,
        *sums_strength.SUMS,
        *sums_heat.SUMS,
        *sums_yeast_hops.SUMS,
        *sums_bottle.SUMS,
        *sums_gas.SUMS,
        *sums_units.SUMS,
    )
}
