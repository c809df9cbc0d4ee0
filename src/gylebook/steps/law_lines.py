"""The lines of a card of the law, and those that many cards share.

Law changes: a line is a note of what was read or recalled, never the law itself. A line whose sources were only
recalled says so wherever it is shown.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

from gylebook import sources
from gylebook.phrases import say
from gylebook.sources import Standing

AS_OF = "2026-11"
RECALLED = ("home_brewing_law_recalled",)
EU_LABEL = ("eu_1169_2011", "eu_1169_allergens")

# The topics of a card, in its order.
TOPICS: Mapping[str, str] = {
    "making": say("Brewing at home"),
    "amount": say("How much"),
    "notice": say("Telling the authority"),
    "selling": say("Selling"),
    "giving": say("Giving it away"),
    "event": say("Taking it to an event"),
    "distilling": say("Distilling"),
    "age": say("Age"),
    "label": say("Label"),
}


@dataclass(frozen=True)
class Line:
    """One line of a card: its topic of TOPICS, what it says, keys of its sources, the month it is from."""

    topic: str
    text: str
    sources: tuple[str, ...] = RECALLED
    as_of: str = AS_OF

    @cached_property
    def recalled(self) -> tuple[bool, bool]:
        """Whether any of it, and whether all of it, is recalled only."""
        found = [sources.get(key).standing is Standing.FROM_MEMORY for key in self.sources]
        return any(found), all(found)

    @property
    def when(self) -> str:
        """From which month it is, and how much of it was looked up."""
        some, everything = self.recalled
        if everything:
            return say("As of {month}, from memory: not looked up.", month=self.as_of)
        if some:
            return say("As of {month}, in part from memory.", month=self.as_of)
        return say("As of {month}.", month=self.as_of)


@dataclass(frozen=True, slots=True)
class Allowed:
    """An amount that may be brewed in a calendar year: for whom, in litres, as the law words it, its sources."""

    key: str
    who: str
    litres: float
    as_written: str
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LawCard:
    """The card of one country: whom to ask, what is allowed, and the amounts where there are any."""

    country: str
    authority: str
    lines: tuple[Line, ...]
    allowed: tuple[Allowed, ...] = ()

    @property
    def topics(self) -> tuple[tuple[str, tuple[Line, ...]], ...]:
        """The titles of the card in order, each with its lines."""
        return tuple((TOPICS[topic], tuple(lines)) for topic, lines in groupby(self.lines, key=lambda line: line.topic))


GIFT = Line(
    "label",
    say(
        "A gift should tell: what it is and of which brew, when it was bottled, about how strong, how much, that it "
        "contains barley (gluten) and what else people are allergic to, that it is under pressure, how to keep and "
        "pour it, and that it was made at home and is not for sale. Its strength is an estimate."
    ),
    ("common_practice",),
)
EU_SOLD = Line(
    "label",
    say(
        "For sale, above 1.2 % vol: the strength as “x % vol” with one decimal at most, and the allergens so that "
        "they stand out. Barley, wheat, rye and oats are among them, milk, nuts, and sulphites above 10 mg/kg."
    ),
    EU_LABEL,
)
FREEZING = say("Making beer stronger by freezing water out may count as the same: leave it.")
NO_SPIRITS = Line(
    "distilling",
    say("Not without a licence, whatever the amount and even for yourself. {freezing}", freezing=FREEZING),
)
NOT_SOLD = say("None of it may be sold, nor exchanged for anything, without the permission and the tax of a brewery.")
# What European law says of beer that leaves the brewer's hands, where a country's own words were not read.
EU_HANDED_ON = (
    Line("selling", NOT_SOLD, ("eu_92_83", *RECALLED)),
    Line(
        "giving",
        say("European law names family and guests, who drink it with you. What leaves the house, ask about."),
        ("eu_92_83",),
    ),
    Line("event", say("Ask the authority and whoever holds the event; nothing may be taken for it.")),
)
CHILDREN = say("Beer is not for children, whoever brewed it.")
