"""Work in parts, in as many processes as the machine may give; the result does not depend on how many."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from multiprocessing import get_context
from typing import TypeVar

Part = TypeVar("Part")
Found = TypeVar("Found")


def in_processes(work: Callable[[Part], Found], parts: Sequence[Part], processes: int) -> Iterator[Found]:
    """What the work makes of each part, in the order of the parts."""
    if processes <= 1:
        yield from map(work, parts)
        return
    # Spawned, not forked: a fork of a process with NumPy's threads in it may never end.
    with get_context("spawn").Pool(processes) as pool:
        yield from pool.imap(work, parts)
