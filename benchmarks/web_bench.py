"""Server time of the pages that are opened most, with a small and a large book."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import big_book
from figures import Figure, percentile, wall

PAGES = {"today": "/", "brews": "/brews/", "brew": "/brews/{brew}/", "cellar": "/cellar/"}
ROUNDS = 60


def _p95(address: str, brews: int) -> float:
    from django.test import Client

    client = Client(SERVER_NAME="127.0.0.1")
    seconds = []
    for index in range(ROUNDS + 5):
        # One running brew after another, so that nothing kept from the last answer helps.
        url = address.format(brew=5 * (1 + index % (brews // 5)))
        seconds.append(wall(lambda url=url: _get(client, url)))
    return percentile(seconds[5:], 0.95) * 1000


def _get(client: object, url: str) -> None:
    answer = client.get(url)  # type: ignore[attr-defined]
    if answer.status_code != 200:
        raise RuntimeError(f"{url} answered {answer.status_code}")


def page_figures(home: Path) -> Iterator[Figure]:
    """p95 with 50 brews and with 500, both of forty entries each."""
    from django.db import transaction

    from gylebook.store import cards, rows

    with transaction.atomic():
        rows.insert_many("default", big_book.book_rows(50))
    cards.rebuild("default")
    small = {name: _p95(address, 50) for name, address in PAGES.items()}
    with transaction.atomic():
        rows.insert_many("default", (r for n in range(51, 501) for r in big_book.brew_rows(n)))
    seconds = wall(lambda: cards.rebuild("default"))
    yield Figure("cards.rebuild_500_brews", seconds, "s", 30.0, "all cards from their entries")
    for name, address in PAGES.items():
        large = _p95(address, 500)
        yield Figure(f"web.{name}_p95_500_brews", large, "ms", 60.0, f"50 brews: {small[name]:.1f} ms")
        yield Figure(f"web.{name}_500_to_50", large / small[name], "ratio", 1.3, "p95 with 50 brews, same run")
