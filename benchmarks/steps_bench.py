"""The sums and the steps, inside one process."""

from __future__ import annotations

import statistics
from collections.abc import Iterator

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
