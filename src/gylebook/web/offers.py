"""What the shelf has for a field, to pick from while typing."""

from __future__ import annotations

from gylebook.journal.state import Shelf


def offers(shelf: Shelf) -> dict[str, tuple[str, ...]]:
    """Names that are kept on the shelf, by the name of the field that may take them."""
    hydrometers = tuple(name for name, kept in shelf.instruments.items() if kept.what == "hydrometer")
    return {
        "instrument": hydrometers,
        "vessel": tuple(shelf.vessels),
        "place": tuple(shelf.places),
        "bottle": tuple(shelf.bottles),
        "kit": tuple(shelf.kits),
        "hop": tuple(name for name, kept in shelf.stock.items() if kept.what == "hops"),
        "yeast": tuple(name for name, kept in shelf.stock.items() if kept.what == "yeast"),
    }
