"""Learning from finished brews: what one of them teaches, and what all of them say about the next one.

The lessons follow from the journal alone and can be worked out anew at any time; `learned.py` puts them together.
"""

from __future__ import annotations

from collections.abc import Sequence

from gylebook.forecast.evidence import Known
from gylebook.journal.state import Brew
from gylebook.steps.decision import Setting
from gylebook.steps.learned import NOTHING_LEARNED, Learned, Taught, Told, learned, teach
from gylebook.steps.lessons import LESSONS_VERSION, kit_of, taught, yeast_of

__all__ = [
    "LESSONS_VERSION",
    "NOTHING_LEARNED",
    "Learned",
    "Taught",
    "Told",
    "kit_of",
    "learned",
    "learned_for",
    "taught",
    "taught_to",
    "teach",
    "yeast_of",
]


def learned_for(brew: Brew, setting: Setting) -> Learned:
    """What bears on this brew: all that was learned, but nothing for a finished one, which must not teach itself."""
    return setting.learned if brew.open else NOTHING_LEARNED


def taught_to(brew: Brew, setting: Setting, known: Known, hydrometers: Sequence[str]) -> tuple[Known, tuple[str, ...]]:
    """What is known of a brew beforehand, moved by what finished brews taught, and the sentences that say so.

    `hydrometers` are the names by the forecast's instrument numbers.
    """
    return teach(known, learned_for(brew, setting), kit_of(brew), yeast_of(brew), dict(enumerate(hydrometers)))
