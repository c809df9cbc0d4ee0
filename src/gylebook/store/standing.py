"""What stands full in the cellar, from the cards of every open brew."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from gylebook.steps.cards import Card, card_read
from gylebook.steps.empties import full_bottles
from gylebook.store.brew_list import brews
from gylebook.store.databases import DEFAULT


def standing_full(*, book: str = DEFAULT) -> Mapping[str, int]:
    """How many bottles of each kind, by its words, stand full of any brew."""
    return full_bottles(_cards(book))


def standing_cards(*, book: str = DEFAULT) -> tuple[Card, ...]:
    """The cards of every open brew, the newest first."""
    return tuple(_cards(book))


def _cards(book: str) -> Iterator[Card]:
    before: int | None = None
    while True:
        page = brews(book, open_only=True, before=before, limit=500)
        yield from (card_read(listed.card) for listed in page.brews if listed.card)
        if page.before is None:
            return
        before = page.before
