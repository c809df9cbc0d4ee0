"""Stores: everything that a brew is made from and filled into, what must be used first at the top."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from gylebook.journal.state import SHELF, Shelf
from gylebook.outputs.entries import ingredient_words
from gylebook.outputs.wording import date_text
from gylebook.phrases import joined, say
from gylebook.steps.answers import Figure
from gylebook.steps.empties import empties
from gylebook.web.cards import cards_open
from gylebook.web.desk import Desk, desk
from gylebook.web.said import heard
from gylebook.web.stores.kits import kit_url

# Each heading with the words of stock that stand below it.
_SHELVES = (
    (say("Sugar and extract"), ("sugar", "extract")),
    (say("Hops"), ("hops",)),
    (say("Yeast"), ("yeast",)),
    (say("Caps"), ("caps",)),
    (say("Kits in the cupboard"), ("kit",)),
    (say("Cleaner and other things"), ("cleaner", "other")),
)


@dataclass(frozen=True, slots=True)
class Item:
    """One line: what it is, how much, and by when."""

    name: str
    words: str
    best_before: date | None
    past: bool
    url: str
    figure: Figure | None = None

    @property
    def best_before_words(self) -> str:
        """The date in words."""
        return date_text(self.best_before) if self.best_before else ""


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """The stores, heading by heading."""
    at = desk(request)
    today = at.now.astimezone(at.measures.zone).date()
    kits, stock = list(_kits(at.shelf, today)), {heading: list(_stock(at.shelf, of, today)) for heading, of in _SHELVES}
    dated = [item for item in (*kits, *(i for items in stock.values() for i in items)) if item.best_before]
    context = {
        "measures": at.measures,
        "first": sorted(dated, key=_order)[:8],
        "kits": sorted(kits, key=_order),
        "shelves": [(heading, sorted(items, key=_order)) for heading, items in stock.items() if items],
        "bottles": list(_bottles(at)),
        "said": heard(request, at.book, SHELF),
        "entries_at": reverse("shelf_log"),
    }
    return render(request, "stores/stores.html", context)


def _order(item: Item) -> tuple[bool, date, str]:
    """Best before first; what has no date last."""
    return (item.best_before is None, item.best_before or date.max, item.name.lower())


def _kits(shelf: Shelf, today: date) -> Iterator[Item]:
    for kit in shelf.kits.values():
        words = say(
            "{ingredients}; makes {volume}",
            ingredients=joined(", ", map(ingredient_words, kit.ingredients)),
            volume=kit.volume,
        )
        past = kit.best_before is not None and kit.best_before < today
        yield Item(kit.name, words, kit.best_before, past, kit_url(kit.name))


def _stock(shelf: Shelf, of: tuple[str, ...], today: date) -> Iterator[Item]:
    for kept in shelf.stock.values():
        if kept.what in of:
            words = kept.amount.said() if kept.amount is not None else say("amount not written down")
            past = kept.best_before is not None and kept.best_before < today
            yield Item(kept.item, words, kept.best_before, past, _change_url("stock", kept.item))


def _bottles(at: Desk) -> Iterator[Item]:
    for kept, figure in empties(at.shelf, cards_open(at.book)):
        words = say("{count} × {size}", count=kept.count, size=kept.size)
        yield Item(kept.name, words, None, False, _change_url("bottles", kept.name), figure)


def _change_url(page_name: str, name: str) -> str:
    return f"{reverse(page_name)}?{urlencode({'name': name})}#write"
