"""What finished brews taught, kept beside their cards: derived, and made anew wherever it no longer fits.

A lesson fits as long as the brew has no entry more, the things it was worked out with are kept on the shelf as they
were, and the reckoning is the same. Only the newest finished brews teach, so that a book of any size is read quickly.
"""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache

import msgspec
from django.db import connections, transaction

from gylebook.journal.book_file import entry_of
from gylebook.journal.state import SHELF, Shelf, fold, fold_shelf
from gylebook.phrases import untold
from gylebook.steps.learned import EVERYTHING, NOTHING_LEARNED, Learned, Taught, learned
from gylebook.store import rows
from gylebook.store.models import BrewCard

MOST_LESSONS = 200  # newest finished brews; what was learned before them has faded
_log = logging.getLogger(__name__)
# Lessons are kept for every reader, and their print must not depend on who happened to ask first.
_encoder = msgspec.json.Encoder(order="deterministic", enc_hook=untold)
_BATCH = 50


@dataclass(frozen=True, slots=True)
class Ready:
    """What was learned, and a short print of it: a card made with another print is out of date."""

    learned: Learned
    print: str


_NOTHING = Ready(NOTHING_LEARNED, "")


def ready(book: str, shelf: Shelf) -> Ready:
    """From the lessons that stand ready. One that is missing is left for the next reader: no writer waits for it."""
    wanted = _Wanted(shelf)
    return _together(wanted, [row for row in _finished(book) if wanted.fits(row)])


def renewed(book: str, shelf: Shelf | None = None) -> Ready:
    """From all lessons, those made first that are missing or fit no more; within a transaction as `ready` does."""
    found = _finished(book)
    if not found:
        return _NOTHING
    wanted = _Wanted(shelf if shelf is not None else _shelf(book))
    late = [row for row in found if not wanted.fits(row)]
    if connections[book].in_atomic_block:
        return _together(wanted, [row for row in found if wanted.fits(row)])
    for begin in range(0, len(late), _BATCH):
        with transaction.atomic(using=book):
            for row in sorted(late[begin : begin + _BATCH], key=lambda row: row.number):
                _make(book, row, wanted)
    return _together(wanted, found)


class _Wanted:
    """What a lesson must have been made from to fit."""

    def __init__(self, shelf: Shelf) -> None:
        from gylebook.steps.learning import LESSONS_VERSION
        from gylebook.store.cards import cards_version

        self.shelf = shelf
        gear = (sorted(shelf.instruments.items()), sorted(shelf.vessels.items()), sorted(shelf.places.items()))
        self._made_from = f"{LESSONS_VERSION}-{cards_version()}-{_print([_encoder.encode(gear)])}"

    def of(self, head_seq: int) -> str:
        """The mark of a lesson made from so many entries."""
        return f"{head_seq}-{self._made_from}"

    def fits(self, row: BrewCard) -> bool:
        """Whether a row's lesson was made from this."""
        return row.lesson_of == self.of(row.head_seq)


def _finished(book: str) -> list[BrewCard]:
    wanted = BrewCard.objects.using(book).filter(stage="closed").order_by("-number")
    return list(wanted.only("brew", "number", "head_seq", "lesson", "lesson_of")[:MOST_LESSONS])


def _shelf(book: str) -> Shelf:
    return fold_shelf(map(entry_of, rows.page(book, SHELF)))


def _make(book: str, row: BrewCard, wanted: _Wanted) -> None:
    """Work a lesson out and keep it; one that cannot be worked out teaches nothing until something has changed."""
    from gylebook.steps.learning import taught

    brew = fold(row.brew, map(entry_of, rows.page(book, row.brew)))
    try:
        lesson = taught(brew, wanted.shelf)
        row.lesson = _encoder.encode(lesson).decode() if lesson is not None else ""
        if row.lesson:
            msgspec.json.decode(row.lesson, type=Taught)
    except Exception:  # noqa: BLE001 - a brew that cannot be reckoned must not hide the others
        _log.exception("What brew %s teaches could not be reckoned", row.brew)
        row.lesson = ""
    row.lesson_of = wanted.of(brew.head_seq)
    BrewCard.objects.using(book).filter(brew=row.brew).update(lesson=row.lesson, lesson_of=row.lesson_of)


def _together(wanted: _Wanted, found: Iterable[BrewCard]) -> Ready:
    forgotten = dict(wanted.shelf.forgotten)
    since = forgotten.pop((EVERYTHING, ""), None)
    lessons = tuple(row.lesson for row in found if row.lesson)
    return _learned(lessons, since, tuple(sorted((*key, at) for key, at in forgotten.items()))) if lessons else _NOTHING


@lru_cache(maxsize=8)
def _learned(
    lessons: tuple[str, ...], since: datetime | None, forgotten: tuple[tuple[str, str, datetime], ...]
) -> Ready:
    """The sum itself, kept: it changes only when a brew is finished."""
    decoded = [msgspec.json.decode(lesson, type=Taught) for lesson in lessons]
    told = learned(decoded, since, {(thing, name): at for thing, name, at in forgotten})
    return (
        Ready(told, _print([*map(str.encode, lessons), repr((since, forgotten)).encode()]))
        if told.lessons
        else _NOTHING
    )


def _print(parts: Iterable[bytes]) -> str:
    found = hashlib.sha256()
    for part in parts:
        found.update(len(part).to_bytes(8, "big") + part)
    return found.hexdigest()[:16]
