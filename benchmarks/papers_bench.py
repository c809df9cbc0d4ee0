"""How fast papers and the calendar are made, inside one process that has made none before."""

from __future__ import annotations

import statistics
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime

from figures import Figure, environment, wall

_NOW = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
_COLD = """
import time; start = time.perf_counter()
import papers_bench
papers_bench.gift_labels()
print(time.perf_counter() - start)
"""


def gift_labels() -> bytes:
    """A sheet of 21 gift labels, each with its code."""
    from gylebook.outputs.label_grids import LABELS
    from gylebook.outputs.label_sheet import label_sheet
    from gylebook.outputs.qr import code_of
    from gylebook.steps.answers import Working
    from gylebook.steps.label import Label

    told = Label(
        name="Harvest supper bitter", number="No. 12", code="HS", maker="A. Maltby", bottled=date(2026, 9, 23),
        best_from=date(2026, 10, 21), best_to=date(2027, 3, 24), strength="about 4.1 % vol", volume="500 mL",
        contains=("BARLEY (gluten)",), hazard="Under pressure: keep it below 25 °C; open it away from faces.", fit=True,
        abv=None, working=Working(""),
    )  # fmt: skip
    return label_sheet(told, "gift", LABELS[0], code_of("12", "https://book.home:8484"), _NOW)


def danger_slip() -> bytes:
    """The slip for bottles that may burst, with what it reckons."""
    from gylebook.outputs.measures import Measures
    from gylebook.outputs.sheets import sheet
    from gylebook.steps.brew_day import danger

    return sheet(danger(), Measures(), _NOW)


def calendar_of_a_year() -> bytes:
    """A calendar with 400 things to do."""
    from datetime import timedelta

    from gylebook.outputs.calendar_file import calendar_file
    from gylebook.steps.agenda import Dated
    from gylebook.steps.answers import Urgency

    dated = [
        Dated(f"uid-{n}", str(n), f"No. {n}: read the gravity", "A flat reading settles it.", Urgency.MEASURE,
              _NOW + timedelta(hours=n), _NOW + timedelta(hours=n + 1), None, n, _NOW)
        for n in range(400)
    ]  # fmt: skip
    return calendar_file(dated, UTC)


def paper_figures() -> Iterator[Figure]:
    """Each paper: the middle of nine; one sheet of labels from a cold start."""
    made: tuple[tuple[str, Callable[[], bytes], str], ...] = (
        ("papers.labels", gift_labels, "21 gift labels with codes"),
        ("papers.danger_slip", danger_slip, "one page"),
        ("papers.calendar", calendar_of_a_year, "400 things to do"),
    )
    for name, work, about in made:
        work()
        yield Figure(name, statistics.median(wall(work) for _ in range(9)), "s", 1.0, about)
    cold = [
        float(subprocess.run([sys.executable, "-c", _COLD], check=True, capture_output=True, text=True, cwd=sys.path[0],
                             env=environment()).stdout)
        for _ in range(3)
    ]  # fmt: skip
    yield Figure("papers.labels_cold", statistics.median(cold), "s", 1.0, "the same, imports included")
