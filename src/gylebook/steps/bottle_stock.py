"""Bottles on the shelf: how many of each kind are empty, which of them some beer would fill, and how many that is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from gylebook.journal.state import Shelf
from gylebook.science.glass import bottles_filled
from gylebook.steps.bottle_kinds import Bottle, bottle_of, owned

_USUAL_BOTTLE_L = 0.5


def empty_ones(shelf: Shelf, full: Mapping[str, int]) -> tuple[Bottle, ...]:
    """Every kind kept on the shelf with how many are empty, where so many of each kind, by its words, stand full."""
    return tuple(replace(each, count=max(0, each.count - full.get(each.words, 0))) for each in owned(shelf))


def planned(litres: float, shelf: Shelf, full: Mapping[str, int] | None = None) -> tuple[Bottle, ...]:
    """The bottles that so much beer would fill from the shelf, in the order of filling; `full` ones are left out."""
    kinds = empty_ones(shelf, full or {})
    found = bottles_filled(litres, [kind.size_l for kind in kinds], [kind.count for kind in kinds])
    return tuple(
        bottle_of(kind.name, kind.size, count, shelf)
        for kind, count in zip(kinds, found.full, strict=True)
        if count > 0
    )


def count_for(litres: float, bottles: tuple[Bottle, ...]) -> int:
    """How many bottles so much beer fills: these in their order, then more of their mean size; halves where none are.

    At least one, for whoever asks about the worst bottle.
    """
    fit = [bottle for bottle in bottles if not bottle.never and bottle.size_l > 0]
    found = bottles_filled(max(litres, 0.0), [b.size_l for b in fit], [b.count for b in fit])
    held_l, count = sum(b.size_l * b.count for b in fit), sum(b.count for b in fit)
    size = held_l / count if count else fit[0].size_l if fit else _USUAL_BOTTLE_L
    return max(1, sum(found.full) + int(found.left_l / size + 1e-9))
