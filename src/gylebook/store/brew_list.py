"""Lists of brews, read from their cards; a card that is out of date is made anew before it is shown."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Literal

from django.db import connections
from django.db.models import F, Q, QuerySet

from gylebook.journal.book_file import entry_of, read_time
from gylebook.journal.state import SHELF, Entry
from gylebook.store import cards, lessons, rows
from gylebook.store.databases import DEFAULT
from gylebook.store.faults import spoken
from gylebook.store.models import BrewCard

_MOST = 500


@dataclass(frozen=True, slots=True)
class Listed:
    """A brew as lists show it. `card` is the steps' card as JSON, empty where it could not be reckoned."""

    brew: str
    number: int
    name: str
    stage: str
    open: bool
    next_due: datetime | None
    card: str


@dataclass(frozen=True, slots=True)
class Page:
    """One page of a list. `before` asks for the next page; None on the last one."""

    brews: tuple[Listed, ...]
    before: int | None


def brews(
    book: str = DEFAULT,
    *,
    open_only: bool | None = None,
    named: str = "",
    before: int | None = None,
    limit: int = 50,
) -> Page:
    """Brews by number, newest first.

    Parameters
    ----------
    book
        Which book.
    open_only
        True for those in which something may still be due, False for the closed ones, None for all.
    named
        Letters that the name contains, or with which the code on the caps begins.
    before
        Only brews with a smaller number: the `before` of the page shown last.
    limit
        How many at most, up to 500.
    """
    limit = min(max(limit, 1), _MOST)
    with spoken(book):
        _ready(book)
        wanted = BrewCard.objects.using(book).order_by("-number")
        if open_only is not None:
            wanted = wanted.filter(open=open_only)
        if named:
            cards.refresh(book, cards.unreckoned(book))
            code = f'"cap_code":"{json.dumps(named, ensure_ascii=False)[1:-1]}'
            wanted = wanted.filter(Q(name__icontains=named) | Q(card__icontains=code))
        if before is not None:
            wanted = wanted.filter(number__lt=before)
        found = _fresh(book, wanted, limit + 1)
    more = len(found) > limit
    return Page(tuple(map(_listed, found[:limit])), found[limit - 1].number if more else None)


def due(book: str = DEFAULT, *, limit: int = 50) -> tuple[Listed, ...]:
    """Open brews in the order in which something is next due; those with nothing due come last."""
    with spoken(book):
        _ready(book)
        cards.refresh(book, cards.unreckoned(book))
        wanted = BrewCard.objects.using(book).filter(open=True)
        ordered = wanted.order_by(F("next_due").asc(nulls_last=True), "-number")
        return tuple(map(_listed, _fresh(book, ordered, min(max(limit, 1), _MOST))))


def newest_of_open(book: str, most: int) -> dict[str, tuple[Entry, ...]]:
    """The newest entries of every open brew by its number, in order; from one look at the book."""
    with spoken(book):
        _ready(book)
        found = map(entry_of, rows.newest_of_open(book, most))
        return {brew: tuple(own) for brew, own in groupby(found, key=lambda entry: entry.brew)}


def count(book: str = DEFAULT) -> dict[Literal["open", "closed"], int]:
    """How many brews are open and how many are closed."""
    with spoken(book):
        _ready(book)
        cards_of = BrewCard.objects.using(book)
        opened = cards_of.filter(open=True).count()
        return {"open": opened, "closed": cards_of.count() - opened}


def _ready(book: str) -> None:
    """Have a card for every brew, folded as this release folds: only then are the lists whole and in order."""
    with connections[book].cursor() as cursor:
        cursor.execute("SELECT COUNT(*) FROM journal_entry WHERE seq = 1 AND brew <> %s", [SHELF])
        brews_held = int(cursor.fetchone()[0])
    if cards.folded_otherwise(book) or BrewCard.objects.using(book).count() != brews_held:
        cards.fold_again(book)


def _fresh(book: str, wanted: QuerySet[BrewCard], limit: int) -> list[BrewCard]:
    """The first cards of a list, those made with another shelf or other lessons made anew first."""
    shelf_seq = rows.head(book, SHELF)
    learned = lessons.renewed(book).print
    found = list(wanted[:limit])
    late = [card.brew for card in found if not cards.current(card, shelf_seq, learned)]
    if not late:
        return found
    cards.refresh(book, late)
    return list(wanted[:limit])


def _listed(card: BrewCard) -> Listed:
    moment = read_time(card.next_due) if card.next_due else None
    return Listed(card.brew, card.number, card.name, card.stage, card.open, moment, card.card)
