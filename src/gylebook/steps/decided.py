"""Which entry closed a decision last: what tells the second reading that is due from the first one.

A date that moves, a number that changes and words that are put otherwise leave a decision what it is. It is another one
once the work was done: written down, and not withdrawn.
"""

from __future__ import annotations

from gylebook.journal import events as ev
from gylebook.journal.state import Brew

# By the name of an act, the kinds of entry with which it is done.
DONE_BY: dict[str, tuple[type[ev.Event], ...]] = {
    "plan": (ev.Planned,),
    "mix": (ev.Mixed,),
    "pitch": (ev.Pitched,),
    "reading": (ev.Measured,),
    "note": (ev.Noted,),
    "rouse": (ev.Roused,),
    "hop": (ev.Hopped,),
    "hops_out": (ev.HopsRemoved,),
    "prime": (ev.Primed,),
    "bottle": (ev.Bottled,),
    "move": (ev.Moved,),
    "open_bottle": (ev.Opened,),
    "vent": (ev.Vented,),
    "taste": (ev.Tasted,),
    "take_out": (ev.TakenOut,),
    "close": (ev.Closed,),
}


def done_last(brew: Brew, act: str) -> int:
    """The number of the entry with which this work was done last; 0 where it never was.

    Parameters
    ----------
    brew
        The brew; an entry that was withdrawn does not count, a corrected one counts as the one that it corrects.
    act
        The name of an act. One that is done by no entry of its own gives 0: it is one decision for the brew's life.
    """
    return max((kept.seq for kind in DONE_BY.get(act, ()) for kept in brew.all(kind)), default=0)
