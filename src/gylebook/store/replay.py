"""Replaying the journal: what all entries together amount to, in one hash."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass

from django.db import connections

from gylebook.journal.book_file import Row, entry_of
from gylebook.journal.state import SHELF, Brew, fold
from gylebook.store import cards, rows
from gylebook.store.models import BrewCard

_BATCH = 200


@dataclass(frozen=True, slots=True)
class State:
    """What a journal amounts to: how much there is, and a hash of everything folded."""

    entries: int
    brews: int
    hash: str


def replayed(
    book: str,
    keep: Callable[[str, list[Brew]], None] | None = None,
    look: Callable[[Row], None] | None = None,
) -> State:
    """Fold every entry again, from the first to the last.

    Parameters
    ----------
    book
        Which book.
    keep
        Is given the folded brews in batches, so that cards can be made on the way.
    look
        Is given every row in the order of the file, before it is folded.
    """
    entries = brews = 0
    found = hashlib.sha256()
    waiting: list[Brew] = []
    for brew in rows.streams(book):
        page = rows.page(book, brew)
        if look:
            for row in page:
                look(row)
        state = fold(brew, map(entry_of, page))
        entries += len(page)
        _add(found, brew, state.head_seq, cards.state_hash(state))
        if brew == SHELF:
            continue
        brews += 1
        if keep:
            waiting.append(state)
            if len(waiting) == _BATCH:
                keep(book, waiting)
                waiting = []
    if keep and waiting:
        keep(book, waiting)
    return State(entries, brews, found.hexdigest())


def noted(book: str) -> State | None:
    """The same from the hashes that were kept with each brew when it was written; None where they do not fit.

    Restoring and checking replay in earnest and compare: a brew that no longer folds as it did then is found out.
    """
    with connections[book].cursor() as cursor:
        cursor.execute("SELECT brew, MAX(seq) FROM journal_entry GROUP BY brew")
        heads: dict[str, int] = dict(cursor.fetchall())
    kept = {card.brew: card for card in BrewCard.objects.using(book).only("brew", "head_seq", "fold", "state_hash")}
    found = hashlib.sha256()
    for brew in rows.streams(book):
        if brew == SHELF:
            _add(found, SHELF, heads[SHELF], cards.state_hash(cards.load(book, SHELF)))
            continue
        card = kept.get(brew)
        if card is None or card.head_seq != heads[brew] or card.fold != cards.fold_version():
            return None
        _add(found, brew, card.head_seq, card.state_hash)
    return State(sum(heads.values()), len(heads.keys() - {SHELF}), found.hexdigest())


def _add(found: hashlib._Hash, brew: str, head_seq: int, state: str) -> None:
    found.update(f"{brew} {head_seq} {state}\n".encode())
