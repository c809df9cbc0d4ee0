"""Measure, print one JSON object a figure, keep them in build/bench.jsonl, and fail when one is not ok."""

from __future__ import annotations

import os
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from figures import KEPT, Figure


def _figures(home: Path) -> Iterator[Figure]:
    import django

    django.setup()
    from gylebook.store.beside import migrate

    migrate("default")
    import journal_bench
    import start_bench
    import steps_bench
    import web_bench

    yield from start_bench.command_figures()
    yield from start_bench.serve_figures()
    yield from steps_bench.sum_figures()
    yield from steps_bench.sensor_figures()
    yield from journal_bench.fold_figures()
    yield from web_bench.page_figures(home)
    yield from journal_bench.book_figures(home)
    yield from web_bench.sensor_figures()


def main() -> int:
    KEPT.parent.mkdir(exist_ok=True)
    failed = 0
    with tempfile.TemporaryDirectory() as home, KEPT.open("w", encoding="utf-8") as kept:
        os.environ |= {"GYLEBOOK_HOME": home, "DJANGO_SETTINGS_MODULE": "gylebook.web.settings"}
        os.environ.pop("DATABASE_URL", None)
        for figure in _figures(Path(home)):
            print(figure.line(), flush=True)
            kept.write(figure.line() + "\n")
            failed += not figure.ok
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
