"""Cards as lists show them."""

from __future__ import annotations

import msgspec

from gylebook.steps.cards import Card
from gylebook.store.brew_log import Listed

_decoder = msgspec.json.Decoder(Card)


def card_of(listed: Listed) -> Card | None:
    """The brew's card; None where it could not be reckoned."""
    return _decoder.decode(listed.card) if listed.card else None
