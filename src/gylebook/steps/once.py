"""What several answers ask of one brew and one shelf: worked out once, and forgotten with the brew."""

from __future__ import annotations

from collections.abc import Callable
from functools import update_wrapper
from typing import Concatenate, ParamSpec, TypeVar

from gylebook.journal.state import Brew, Shelf

P = ParamSpec("P")
T = TypeVar("T")
_Of = Callable[Concatenate[Brew, Shelf, P], T]


def once(work: _Of[P, T]) -> _Of[P, T]:
    """Have a function of brew, shelf and anything else that can be a key do its work once for the same of each.

    Brew and shelf never change, and the brew itself holds the result: nothing outlives it, and a brew with one entry
    more, or another shelf, is worked out anew. What is returned must not change either.
    """

    def answer(brew: Brew, shelf: Shelf, /, *args: P.args, **kwargs: P.kwargs) -> T:
        key = (work, id(shelf), args, tuple(kwargs.items()))
        # The shelf is held beside what it led to, so that no other can come to have its id.
        return brew.once(key, lambda: (shelf, work(brew, shelf, *args, **kwargs)))[1]

    update_wrapper(answer, work)
    return answer
