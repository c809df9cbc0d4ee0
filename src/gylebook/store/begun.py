"""The brews of one calendar year, found by their cards and read from their logs."""

from __future__ import annotations

from datetime import datetime, tzinfo

import msgspec

from gylebook.journal.state import Brew
from gylebook.store import brew_log
from gylebook.store.brew_list import brews
from gylebook.store.databases import DEFAULT


class _Started(msgspec.Struct):
    """The one thing of a card that is looked at here."""

    started: datetime | None = None


_decoder = msgspec.json.Decoder(_Started)


def begun_in(year: int, zone: tzinfo, *, book: str = DEFAULT) -> tuple[Brew, ...]:
    """Every brew that was mixed, else pitched, in that calendar year by the clock of `zone`, the newest first.

    A brew whose card could not be reckoned is read too: its own log tells when it was made.
    """
    found: list[Brew] = []
    before: int | None = None
    while True:
        page = brews(book, before=before, limit=500)
        for listed in page.brews:
            started = _decoder.decode(listed.card).started if listed.card else None
            if not listed.card or (started is not None and started.astimezone(zone).year == year):
                found.append(brew_log.read(listed.brew, book=book))
        if page.before is None:
            return tuple(found)
        before = page.before
