"""Server time of the pages that are opened most, with a small and a large book."""

from __future__ import annotations

import statistics
from collections.abc import Iterator
from pathlib import Path

import big_book
from figures import Figure, percentile, wall

from gylebook.journal.book_file import Row

PAGES = {"today": "/", "brews": "/brews/", "brew": "/brews/{brew}/", "cellar": "/cellar/"}
ROUNDS = 60
SMALL, LARGE = 50, 500


def _p95(addresses: list[str], brews: list[int]) -> list[float]:
    """The p95 of each address [ms], asked for in turn so that a busy machine is fair to all."""
    from django.test import Client

    client = Client(SERVER_NAME="127.0.0.1")
    seconds: list[list[float]] = [[] for _ in addresses]
    for index in range(ROUNDS + 5):
        # One running brew after another, so that nothing kept from the last answer helps.
        brew = brews[index % len(brews)]
        for place, address in enumerate(addresses):
            url = address.format(brew=brew)
            seconds[place].append(wall(lambda url=url: _get(client, url)))
    return [percentile(each[5:], 0.95) * 1000 for each in seconds]


def _get(client: object, url: str) -> None:
    answer = client.get(url)  # type: ignore[attr-defined]
    if answer.status_code != 200:
        raise RuntimeError(f"{url} answered {answer.status_code}")


def _fill(book: str, rows_of_brews: Iterator[Row]) -> float:
    """Write the rows and make the cards; seconds for the cards."""
    from django.db import transaction

    from gylebook.store import cards, rows

    with transaction.atomic(using=book):
        rows.insert_many(book, rows_of_brews)
    return wall(lambda: cards.rebuild(book))


def page_figures(home: Path) -> Iterator[Figure]:
    """p95 in a book of 50 brews, and of 500 of which the same thirty are open; all of forty entries each."""
    from gylebook.store.beside import migrate

    migrate("demo")
    running = [n for n in range(1, SMALL + 1) if big_book.of_one_brewer(n, SMALL) == big_book.RUNNING]
    _fill("demo", big_book.book_rows(SMALL))
    _fill("default", big_book.book_rows(SMALL))
    seconds = _fill("default", big_book.book_rows(LARGE, lambda number, brews: big_book.CLOSED, after=SMALL))
    yield Figure("cards.rebuild_500_brews", seconds, "s", 30.0, "all cards from their entries")
    for name, address in PAGES.items():
        small, large = _p95(["/demo" + address, address], running)
        yield Figure(f"web.{name}_p95_500_brews", large, "ms", 60.0, f"50 brews: {small:.1f} ms")
        yield Figure(f"web.{name}_500_to_50", large / small, "ratio", 1.3, "p95 with 50 brews, asked for in turn")
    _fill("demo", big_book.book_rows(LARGE, big_book.of_a_club, after=SMALL))
    running = [n for n in range(SMALL + 1, LARGE + 1) if big_book.of_a_club(n, LARGE) == big_book.RUNNING]
    for name, address in PAGES.items():
        (club,) = _p95(["/demo" + address], running)
        yield Figure(f"web.{name}_p95_300_open", club, "ms", 60.0, "a club's book: 300 of 500 brews are open")


def sensor_figures() -> Iterator[Figure]:
    """The page of a brew with a sensor's readings."""
    from django.db import transaction
    from django.test import Client

    from gylebook.store import cards, rows

    client = Client(SERVER_NAME="127.0.0.1")
    medians = {}
    for number, readings in ((30_001, 250), (30_002, 1000)):
        with transaction.atomic():
            rows.insert_many("default", big_book.sensor_rows(number, readings))
        cards.refresh("default", [str(number)])
        url = PAGES["brew"].format(brew=number)
        medians[readings] = statistics.median([wall(lambda url=url: _get(client, url)) for _ in range(10)][1:])
    plain = f"of 250 readings {medians[250] * 1000:.1f} ms"
    yield Figure("web.brew_1000_readings", medians[1000] * 1000, "ms", 150.0, plain)
