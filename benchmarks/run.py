"""Measure, print one JSON object a figure, keep them in build/bench.jsonl, and fail when one is not ok.

`python benchmarks/run.py forecast` measures one area; more than one may be named, none means all.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from figures import KEPT, Figure


def _start(home: Path) -> Iterator[Figure]:
    import start_bench

    yield from start_bench.command_figures()
    yield from start_bench.serve_figures()


def _steps(home: Path) -> Iterator[Figure]:
    import bottles_bench
    import steps_bench

    yield from steps_bench.sum_figures()
    yield from steps_bench.sensor_figures()
    yield from bottles_bench.choice_figures()


def _book(home: Path) -> Iterator[Figure]:
    """The pages fill the book that the journal is measured by."""
    import journal_bench
    import web_bench

    yield from journal_bench.fold_figures()
    yield from web_bench.page_figures(home)
    yield from journal_bench.book_figures(home)
    yield from web_bench.sensor_figures()


def _api(home: Path) -> Iterator[Figure]:
    import api_bench

    yield from api_bench.api_figures()


def _pages(home: Path) -> Iterator[Figure]:
    import pages_bench

    yield from pages_bench.page_figures(home)


def _papers(home: Path) -> Iterator[Figure]:
    import papers_bench

    yield from papers_bench.paper_figures()


def _gas(home: Path) -> Iterator[Figure]:
    import bottlings_opened
    import bottlings_scores
    import gas_bench

    yield from gas_bench.sum_figures()
    yield from bottlings_scores.figures()
    yield from bottlings_opened.opened_figures()


def _forecast(home: Path) -> Iterator[Figure]:
    import forecast_bench

    yield from forecast_bench.running_figures()
    yield from forecast_bench.accuracy_figures()
    yield from forecast_bench.spread_figures()
    yield from forecast_bench.gate_figures()
    yield from forecast_bench.hop_figures()
    yield from forecast_bench.measured_figures()


# In this order; the forecaster comes last, since it adds brews to the book.
AREAS: dict[str, Callable[[Path], Iterator[Figure]]] = {
    "start": _start,
    "steps": _steps,
    "papers": _papers,
    "gas": _gas,
    "book": _book,
    "api": _api,
    "pages": _pages,
    "forecast": _forecast,
}


def measured(home: Path, areas: Sequence[str]) -> Iterator[Figure]:
    """The figures of these areas, whatever order they are named in."""
    for name, measure in AREAS.items():
        if name in areas:
            yield from measure(home)


def _figures(home: Path, areas: Sequence[str]) -> Iterator[Figure]:
    import django

    django.setup()
    from gylebook.store.beside import migrate

    migrate("default")
    yield from measured(home, areas)


def main(words: Sequence[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("areas", nargs="*", metavar="area", help=", ".join(AREAS))
    areas = asked.parse_args(words).areas or list(AREAS)
    if unknown := [each for each in areas if each not in AREAS]:
        asked.error(f"{unknown[0]} is no area: name any of {', '.join(AREAS)}")
    KEPT.parent.mkdir(exist_ok=True)
    failed = 0
    with tempfile.TemporaryDirectory() as home, KEPT.open("w", encoding="utf-8") as kept:
        os.environ |= {"GYLEBOOK_HOME": home, "DJANGO_SETTINGS_MODULE": "gylebook.web.settings"}
        os.environ.pop("DATABASE_URL", None)
        for figure in _figures(Path(home), areas):
            print(figure.line(), flush=True)
            kept.write(figure.line() + "\n")
            failed += not figure.ok
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
