"""Replaying the journal: what all entries together amount to, in one hash."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import islice

from django.db import connections

from gylebook.journal.book_file import Row, line
from gylebook.journal.state import SHELF, Brew
from gylebook.store import cards, rows
from gylebook.store.models import BrewCard

_BATCH = 200


@dataclass(frozen=True, slots=True)
class State:
    """What a journal amounts to: how much there is, and a hash of everything folded."""

    entries: int
    brews: int
    hash: str


def replayed(book: str, keep: Callable[[str, list[Brew]], None] | None = None) -> State:
    """Fold every entry again, from the first to the last.

    Parameters
    ----------
    book
        Which book.
    keep
        Is given the folded brews in batches, so that cards can be made on the way.
    """
    entries = brews = 0
    found = hashlib.sha256()
    streams = (cards.load(book, brew) for brew in rows.streams(book))
    while batch := list(islice(streams, _BATCH)):
        for stream in batch:
            entries += len(stream.entries)
            _add(found, stream.id, stream.head_seq, cards.state_hash(stream))
        folded = [stream for stream in batch if stream.id != SHELF]
        brews += len(folded)
        if keep and folded:
            keep(book, folded)
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


def entries_hash(all_rows: Iterable[Row]) -> str:
    """A hash of the entries as the file has them, without its header."""
    found = hashlib.sha256()
    for chunk in _joined(all_rows):
        found.update(chunk)
    return found.hexdigest()


def _joined(all_rows: Iterable[Row]) -> Iterator[bytes]:
    waiting = iter(all_rows)
    while batch := [line(row) for row in islice(waiting, 2000)]:
        yield b"".join(batch)


def _add(found: hashlib._Hash, brew: str, head_seq: int, state: str) -> None:
    found.update(f"{brew} {head_seq} {state}\n".encode())
