"""Which batches a mix holds: the abrupt halts alone, or on top of them what the yeast of `andres_toro` does by itself.

That model was made for 11 to 15 degC. Run warmer, as a home is, its yeast dies in about a quarter of the batches, and
they stop: a defect of the model, and no statement about beer. A mix that is to have a stated share of stalls leaves
these out and puts others of the same kind in their place.
"""

from __future__ import annotations

from forecast.batches import Batch, Kind, make
from gylebook.forecast.evidence import Hops


def mixed(
    count: int,
    seed: int,
    kind: Kind = "both",
    *,
    stalls: float = 0.12,
    misread: float = 0.0,
    hops: float | Hops = 0.0,
    own_stops: bool = False,
) -> list[Batch]:
    """Random batches as `make` gives them; without `own_stops` none that would stop if nobody stopped it.

    Who is left out is told from a twin that is neither halted nor hopped, so that leaving out changes neither the
    share of halts nor that of hops.
    """
    if own_stops:
        return make(count, seed, kind, stalls=stalls, misread=misread, hops=hops)
    more = 2 * count + 8
    while True:
        twins = make(more, seed, kind, stalls=0.0)
        chosen = _chosen(twins, count, kind)
        if len(chosen) == count:
            break
        more *= 2
    made = make(max(chosen) + 1, seed, kind, stalls=stalls, misread=misread, hops=hops)
    return [made[number] for number in chosen]


def _chosen(twins: list[Batch], count: int, kind: Kind) -> list[int]:
    """Places of the first that do not stop by themselves, as many of each model as without leaving any out."""
    wanted = {"toro": (count + 1) // 2, "gee": count // 2} if kind == "both" else {kind: count}
    chosen: list[int] = []
    for model, number in wanted.items():
        going = [twin.number for twin in twins if twin.kind == model and not twin.sticks]
        chosen += going[:number]
    return sorted(chosen)
