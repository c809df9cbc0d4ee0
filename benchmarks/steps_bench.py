"""The sums and the steps, inside one process."""

from __future__ import annotations

import statistics
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, timedelta
from pathlib import Path

import big_book
from figures import Figure, wall


def sum_figures() -> Iterator[Figure]:
    """Strength of four thousand pairs of gravities, and a brew's card from cold."""
    import numpy as np

    from gylebook.journal.book_file import entry_of
    from gylebook.journal.state import Shelf, fold
    from gylebook.science.alcohol import alcohol_by_volume, mass_fraction_from_abv
    from gylebook.steps.cards import card

    original, final = np.linspace(1.03, 1.08, 4000), np.full(4000, 1.01)
    seconds = statistics.median(wall(lambda: alcohol_by_volume(original, final)) for _ in range(9))
    plain = statistics.median(wall(lambda: mass_fraction_from_abv(np.linspace(3, 9, 4000))) for _ in range(9))
    yield Figure(
        "science.strength_4000", seconds * 1000, "ms", 10.0, f"% vol to % mass of as many {plain * 1000:.2f} ms"
    )

    brews = [fold(str(n), map(entry_of, big_book.brew_rows(n, big_book.of_a_club(n, 60)))) for n in range(1, 61)]
    shelf = Shelf()
    card(brews[0], shelf)
    times = sorted(wall(lambda brew=brew: card(brew, shelf)) for brew in brews)
    yield Figure(
        "steps.card_p95", times[int(0.95 * len(times))] * 1000, "ms", 25.0, "each brew seen for the first time"
    )


def sensor_figures() -> Iterator[Figure]:
    """A brew with a sensor's readings: its card, and one more reading written into it."""
    from gylebook.journal.book_file import entry_of
    from gylebook.journal.state import Shelf, fold
    from gylebook.steps.cards import card

    shelf = Shelf()
    medians = {}
    for readings in (200, 400):
        brew = fold("1", map(entry_of, big_book.sensor_rows(1, readings)))
        # A brew of its own each time: what was worked out from one is of no use to another.
        medians[readings] = statistics.median(wall(lambda brew=brew: card(replace(brew), shelf)) for _ in range(9))
    plain = f"of 400 readings {medians[400] * 1000:.1f} ms"
    yield Figure("steps.card_200_readings", medians[200] * 1000, "ms", 8.0, plain)
    with tempfile.TemporaryDirectory() as scratch:
        small, large = (_change_seconds(Path(scratch) / f"{readings}.sqlite3", readings) for readings in (250, 1000))
    yield Figure(
        "steps.change_1000_readings", large * 1000, "ms", 60.0, f"a reading more; at 250 readings {small * 1000:.1f} ms"
    )


def _change_seconds(path: Path, readings: int) -> float:
    """Median of writing one reading more, from the journal to the new card."""
    from django.db import transaction

    from gylebook.steps.catalogue import act
    from gylebook.steps.decision import Setting
    from gylebook.store import brew_log, cards, rows
    from gylebook.store.beside import migrate, opened
    from gylebook.units import Quantity

    with opened(path) as book:
        migrate(book)
        with transaction.atomic(using=book):
            rows.insert_many(book, big_book.sensor_rows(1, readings))
        cards.rebuild(book)
        reading = act("reading")
        values = {"gravity": Quantity("1.0105", "SG"), "temp": Quantity("19", "°C")}

        def write(number: int) -> None:
            at = big_book.NOW + timedelta(minutes=number)
            setting = Setting(at, brew_log.read_shelf(book=book), UTC)
            decide = lambda brew: reading.decide(brew, values, at, setting)  # noqa: E731
            brew_log.change("1", decide, actor="bench", source="device", command_id=f"c-{number}", now=at, book=book)

        return statistics.median([wall(lambda number=number: write(number)) for number in range(10)][1:])
