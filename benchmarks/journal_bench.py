"""The journal: folding, export and import, backup and restore."""

from __future__ import annotations

import statistics
import tempfile
from collections import defaultdict
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import big_book
from figures import Figure, wall

CLUB_BREWS, CLUB_ENTRIES = 5_000, 200  # a club's brews with a sensor in each: a million entries


def fold_figures() -> Iterator[Figure]:
    """Decode and fold 100,000 entries, against decoding their bodies alone as plain JSON."""
    import msgspec

    from gylebook.journal.book_file import entry_of
    from gylebook.journal.state import fold

    rows = list(big_book.book_rows(2_500))
    brews = defaultdict(list)
    for row in rows:
        brews[row.brew].append(row)

    def fold_all() -> None:
        for brew, own in brews.items():
            fold(brew, map(entry_of, own))

    def plain_all() -> None:
        for row in rows:
            msgspec.json.decode(bytes(row.body))

    pairs = [(wall(fold_all), wall(plain_all)) for _ in range(3)]
    seconds = statistics.median(a for a, _ in pairs)
    plain = statistics.median(b for _, b in pairs)
    yield Figure("journal.fold_100k", seconds, "s", 3.0, f"plain JSON of the same bodies: {plain:.3f} s")


def book_figures(home: Path) -> Iterator[Figure]:
    """Export and import of a book of 500 brews by command, and backup and restore of a million entries."""
    from django.db import connections, transaction
    from django.utils import timezone

    from gylebook.inputs.book_import import read_book
    from gylebook.outputs.book_export import book_lines
    from gylebook.store import backup, cards, restore, rows, whole_book
    from gylebook.store.beside import migrate, opened

    with tempfile.TemporaryDirectory(dir=home) as scratch:
        exported = Path(scratch) / "book.jsonl"

        def export() -> None:
            with exported.open("wb") as file:
                file.writelines(whole_book.stream(book_lines))

        yield Figure("book.export_500_brews", wall(export), "s", 5.0, "20,000 entries")
        with opened(Path(scratch) / "other.sqlite3") as other:
            migrate(other)
            with exported.open("rb") as file:
                seconds = wall(lambda: whole_book.add_book(read_book(file), book=other))
            again = b"".join(whole_book.stream(book_lines, book=other))
            same = again == exported.read_bytes()
            yield Figure("book.import_500_brews", seconds, "s", 30.0, "20,000 entries")
            yield Figure("book.import_differs", 0.0 if same else 1.0, "files", 0.0, "export of the imported book")

    big = connections["default"]
    with big.cursor() as cursor:
        cursor.execute("SELECT COUNT(*) FROM journal_entry")
        held = cursor.fetchone()[0]
    numbers = range(held // big_book.ENTRIES + 1, CLUB_BREWS + 1)
    more = (row for n in numbers for row in big_book.brew_rows(n, big_book.CLOSED, CLUB_ENTRIES))
    with transaction.atomic():
        rows.insert_many("default", more)
    seconds = wall(lambda: cards.fold_again("default"))
    yield Figure("cards.fold_million_entries", seconds, "s", 60.0, "what an upgrade asks of the largest book")
    now = timezone.now()
    target = home / "million.zip"
    seconds = wall(lambda: backup.backup(target, now=now))
    yield Figure(
        "backup.million_entries", seconds, "s", 5.0, f"{target.stat().st_size / 1e6:.0f} MB, {CLUB_BREWS} brews"
    )
    seconds = wall(lambda: restore.restore(target, now=now + timedelta(minutes=1)))
    yield Figure("restore.million_entries", seconds, "s", 30.0, "verified, restore point first")
