"""Empty bottles: those owned, less those that stand full in the cellar."""

from __future__ import annotations

from collections.abc import Iterable

from gylebook.journal.events import BottlesKept
from gylebook.journal.state import Shelf
from gylebook.phrases import say
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.asked import COUNT, figure
from gylebook.steps.cards import Card


def empties(shelf: Shelf, cards: Iterable[Card]) -> tuple[tuple[BottlesKept, Figure], ...]:
    """Each kind of bottle on the shelf with how many of it are empty, by the cards of all open brews.

    A brew's bottles count for a kind where they were written down by its name; bottles written down by other words
    are not taken off, and the working says so.
    """
    full: dict[str, list[Given]] = {}
    counts: dict[str, int] = {}
    for card in cards:
        for lot in card.bottles.lots if card.bottles is not None else ():
            if lot.left:
                given = Given(
                    say("No. {number} {name}", number=card.number, name=card.name),
                    say("{count} full", count=lot.left),
                    Basis.RECKONED,
                    say("its log"),
                )
                full.setdefault(lot.bottle, []).append(given)
                counts[lot.bottle] = counts.get(lot.bottle, 0) + lot.left
    return tuple((kept, _empty(kept, full, counts)) for kept in shelf.bottles.values())


def full_bottles(cards: Iterable[Card]) -> dict[str, int]:
    """Bottles that stand full, by the words of their kind ("500 mL brown halves"), by the cards of all open brews."""
    found: dict[str, int] = {}
    for card in cards:
        for lot in card.bottles.lots if card.bottles is not None else ():
            found[lot.bottle] = found.get(lot.bottle, 0) + lot.left
    return found


def _empty(kept: BottlesKept, full: dict[str, list[Given]], counts: dict[str, int]) -> Figure:
    words = f"{kept.size} {kept.name}"
    owned = Given(say("owned"), str(kept.count), Basis.MEASURED, say("as kept on the shelf"))
    working = Working(
        say("owned − full"),
        (owned, *full.get(words, ())),
        ("by_definition",),
        cautions=(say("Only bottles that were written down under this name when they were filled are taken off."),),
    )
    return figure("empty", say("Empty"), float(max(0, kept.count - counts.get(words, 0))), COUNT, working)
