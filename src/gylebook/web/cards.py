"""Cards as lists show them."""

from __future__ import annotations

from gylebook.phrases import joined, say
from gylebook.steps.cards import Card, card_read
from gylebook.store import brew_log
from gylebook.store.brew_log import Listed


def card_of(listed: Listed) -> Card | None:
    """The brew's card; None where it could not be reckoned."""
    return card_read(listed.card) if listed.card else None


def cards_open(book: str) -> list[Card]:
    """The cards of every brew in which something may still be due, or bottles may be left."""
    found: list[Card] = []
    before: int | None = None
    while True:
        page = brew_log.brews(book, open_only=True, before=before, limit=500)
        found += [card for listed in page.brews if (card := card_of(listed)) is not None]
        if page.before is None:
            return found
        before = page.before


def where(card: Card) -> str:
    """Where hands find the brew: its vessel and place, or once it is in bottles their place and their caps."""
    if card.bottles is not None:
        parts = (card.place, say("caps {cap_code}", cap_code=card.bottles.cap_code) if card.bottles.cap_code else "")
    else:
        parts = (card.vessel, card.place)
    return joined(", ", (part for part in parts if part))
