"""How the scripts of the demo book tell one entry."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Told:
    """One entry as the scripts tell it.

    Parameters
    ----------
    act
        Name of an act of a brew, or of the shelf.
    days_ago, clock
        When it happened, counted back from today; the clock in the brewer's own zone.
    texts
        What was written, by the act's fields. A date may be told as "+12 d", that many days after today.
    label
        A word by which a later correction names this entry; "" for none.
    corrects, because
        The label of the entry that this one corrects, and why it was wrong.
    insist
        Fields whose unusual value the brewer confirmed.
    """

    act: str
    days_ago: int
    clock: str
    texts: Mapping[str, str] = field(default_factory=dict)
    label: str = ""
    corrects: str = ""
    because: str = ""
    insist: frozenset[str] = frozenset()
