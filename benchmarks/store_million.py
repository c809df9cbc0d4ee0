"""A million invented entries: how long the store takes for what must not take long.

    python benchmarks/store_million.py FOLDER [postgresql]

The book is made once in FOLDER and used again. Prints one line a measurement.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

FOLDER = Path(sys.argv[1]).absolute()
ENGINE = sys.argv[2] if len(sys.argv) > 2 else "sqlite"
sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

SERVER: Any = None
if ENGINE == "postgresql":
    from postgres_server import Server

    SERVER = Server(durable=True)
    SERVER.sql("CREATE DATABASE gyle")
    os.environ["DATABASE_URL"] = SERVER.url("gyle")
os.environ["GYLEBOOK_HOME"] = str(FOLDER)
os.environ["DJANGO_SETTINGS_MODULE"] = "gylebook.web.settings"

import django  # noqa: E402

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import transaction  # noqa: E402

from gylebook.inputs.book_import import read_book  # noqa: E402
from gylebook.journal import events as ev  # noqa: E402
from gylebook.journal.book_file import Row, row_of  # noqa: E402
from gylebook.outputs.book_export import book_lines  # noqa: E402
from gylebook.store import backup, brew_log, cards, check_book, restore, rows, whole_book  # noqa: E402
from gylebook.units import Quantity  # noqa: E402

BREWS, EACH = 5_000, 200
FIRST = datetime(2020, 1, 1, tzinfo=UTC)


def invented() -> Iterator[Row]:
    """Five thousand brews of two hundred entries, as a gravity sensor's owner would fill them."""
    for brew in range(1, BREWS + 1):
        begun = FIRST + timedelta(hours=8 * brew)
        for seq in range(1, EACH + 1):
            when = begun + timedelta(hours=2 * seq)
            event: ev.Event = ev.Measured(
                gravity=Quantity(f"{1.045 - 0.00018 * seq:.4f}", "SG"),
                temp=Quantity(f"{18 + seq % 5 * 0.3:.1f}", "°C"),
                instrument="floating sensor",
            )
            if seq == 1:
                event = ev.Planned(name=f"Invented ale {brew}", volume=Quantity("23", "L"))
            elif seq % 40 == 0:
                event = ev.Noted(text=f"Krausen {seq % 7} fingers high, smells of bread.")
            command_id = f"{brew:08x}-0000-4000-8000-{seq:012x}"
            yield row_of(str(brew), seq, when, event, now=when, by="owner", source="device", command_id=command_id)


def timed(words: str, work: Callable[[], Any]) -> Any:
    begun = time.perf_counter()
    result = work()
    print(f"{words:<60} {time.perf_counter() - begun:8.2f} s", flush=True)
    return result


def fill() -> None:
    with transaction.atomic():
        rows.insert_many("default", invented())


def main() -> None:
    FOLDER.mkdir(parents=True, exist_ok=True)
    call_command("migrate", verbosity=0)
    if not rows.count("default"):
        timed("write a million entries in bulk", fill)
        timed("fold 5,000 brews for the list", lambda: cards.fold_again("default"))
    export = FOLDER / "book.jsonl"
    timed("read and fold one brew of 200 entries", lambda: brew_log.read("77"))
    timed("fold 5,000 brews, a million entries", lambda: sum(1 for _ in whole_book.brews_folded()))

    def write_export() -> None:
        with export.open("wb") as file:
            file.writelines(whole_book.stream(book_lines))

    timed("export to one file", write_export)
    print(f"   {export.stat().st_size / 1e6:.0f} MB")
    with export.open("rb") as file:
        timed("read and check that file", lambda: sum(1 for _ in read_book(file)))
    timed("check the book", check_book.check_book)
    target = FOLDER / "backup.zip"
    timed("back up, verified", lambda: backup.backup(target, now=datetime.now(UTC)))
    print(f"   {target.stat().st_size / 1e6:.0f} MB")
    timed(
        "restore, verified, with a restore point",
        lambda: restore.restore(target, now=datetime.now(UTC), restore_points=FOLDER / "points"),
    )
    timed("list the newest 50 brews, reckoned first", brew_log.brews)


try:
    main()
finally:
    if SERVER:
        from django.db import connections

        connections.close_all()
        SERVER.stop()
