"""What a step decides: entries to write, and what it noticed. It saves nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, tzinfo
from typing import TYPE_CHECKING, Any

from gylebook.journal.events import Bottled, Event
from gylebook.journal.state import Brew, Shelf
from gylebook.steps.answers import Answer, Finding
from gylebook.steps.fields import Field

if TYPE_CHECKING:
    from gylebook.steps.cards import Card
    from gylebook.steps.learned import Learned


def _nothing_learned() -> Learned:
    """Imported only where a brew is asked about: the sums of Reckon do without."""
    from gylebook.steps.learned import NOTHING_LEARNED

    return NOTHING_LEARNED


@dataclass(frozen=True, slots=True)
class Decision:
    """Entries to append, each with the moment it happened, and the findings to show."""

    events: tuple[tuple[datetime, Event], ...]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Setting:
    """What a step may know besides the brew: the moment, the shelf, the zone, what finished brews taught.

    `full_bottles` tells how many bottles of each kind, by its words, stand full of any brew; it is asked only where it
    matters, for it looks at every open brew; so are the cards of all `others` that are open.
    """

    now: datetime
    shelf: Shelf
    zone: tzinfo
    confirmed: frozenset[str] = field(default_factory=frozenset)  # names of fields the brewer insists on
    learned: Learned = field(default_factory=_nothing_learned)
    full_bottles: Callable[[], Mapping[str, int]] = dict
    others: Callable[[], Sequence[Card]] = tuple

    def __post_init__(self) -> None:
        """What was read of places goes with the shelf, so that nobody asks for a place without it."""
        read = self.learned.places_c
        if read and self.shelf.read_c is not read:
            object.__setattr__(self, "shelf", replace(self.shelf, read_c=read))

    @property
    def today(self) -> date:
        """The present day by the brewer's own clock."""
        return self.now.astimezone(self.zone).date()


@dataclass(frozen=True, slots=True)
class Act:
    """One thing a brewer does, the same on the page, the command line and in the library.

    Parameters
    ----------
    name
        One word or two with an underscore: the command's and the form's name ("pitch", "hops_out").
    words
        What the button says ("Pitch the yeast").
    step
        The step whose page offers it.
    fields
        What it asks for. A field `when` (a moment) is added to every act by the page and the command.
    decide
        (brew, values by field name, happened_at, setting) -> Decision; raises InputError or Refused. An act of the
        shelf is given the shelf in place of the brew.
    cautions
        Shown where the hand is.
    bottled
        The same act once the beer is in bottles, where another step then answers it, with other cautions.
    """

    name: str
    words: str
    step: str
    fields: tuple[Field, ...]
    decide: Callable[[Any, Mapping[str, Any], datetime, Setting], Decision]
    cautions: tuple[str, ...] = ()
    about: str = ""
    bottled: Act | None = None

    def of(self, brew: Brew) -> Act:
        """The act as it is for a brew: one in bottles may have its own."""
        return self.bottled if self.bottled is not None and brew.all(Bottled) else self


@dataclass(frozen=True, slots=True)
class Step:
    """One stage of the work, with its question, its answer and what can be written at it.

    Parameters
    ----------
    word
        The step's one word through all layers ("priming").
    title, question
        As the page shows them ("Priming", "How much sugar, for which fizz?").
    answer
        (brew, setting, asked) -> Answer. `asked` holds what-if values read by the fields in `ask`, by name;
        missing ones are taken from the brew or assumed, and the answer says which.
    """

    word: str
    title: str
    question: str
    answer: Callable[[Brew, Setting, Mapping[str, Any]], Answer]
    ask: tuple[Field, ...] = ()
    acts: tuple[Act, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sum:
    """One sum of the Reckon page and of `gylebook reckon`: the same relations as the steps use, without a brew."""

    word: str
    title: str
    question: str
    fields: tuple[Field, ...]
    reckon: Callable[[Mapping[str, Any]], Answer]
    example: Mapping[str, str] = field(default_factory=dict)
