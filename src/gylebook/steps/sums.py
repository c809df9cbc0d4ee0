"""All sums that need no brew: for the page Reckon and for `gylebook reckon`, by their one word.

Each module of sums is imported when one of its words is first asked for, so that a single sum on the command line does
not wait for all the others.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module

from gylebook.steps.decision import Sum

# The words of each module, in the order of the work.
_WORDS: dict[str, tuple[str, ...]] = {
    "sums_gravity": ("gravity", "reading", "original_gravity", "dilution"),
    "sums_strength": ("strength",),
    "sums_heat": ("boiling_water", "cooling"),
    "sums_forecast": ("forecast",),
    "sums_yeast_hops": ("yeast_dose", "hop_dose"),
    "sums_bitter_colour": ("bitterness", "colour"),
    "sums_bottle": ("residual_co2", "priming", "pressure", "bottles"),
    "sums_choice": ("bottle_choice",),
    "sums_gas": ("co2_in_room", "sanitiser"),
    "sums_units": ("units",),
}
_MODULE_OF = {word: module for module, words in _WORDS.items() for word in words}


class _Sums(Mapping[str, Sum]):
    """The sums by their word, as a mapping that reads a module at its first use."""

    def __getitem__(self, word: str) -> Sum:
        found: tuple[Sum, ...] = import_module(f"gylebook.steps.{_MODULE_OF[word]}").SUMS
        return next(each for each in found if each.word == word)

    def __iter__(self) -> Iterator[str]:
        return iter(_MODULE_OF)

    def __len__(self) -> int:
        return len(_MODULE_OF)


SUMS: Mapping[str, Sum] = _Sums()
