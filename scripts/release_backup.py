"""Make the backup of this release that every later one must be able to restore.

    python scripts/release_backup.py

It holds one entry of every kind in its present version, made of the frozen bodies in tests/journal/frozen, and two
invented people. Run it once for each release, before the release: a backup that stands there already is left alone,
unless --again says that it was never released.
"""

from __future__ import annotations

import os
import sys
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

ROOT = Path(__file__).parents[1]
FROZEN = ROOT / "tests" / "journal" / "frozen"
FOLDER = ROOT / "tests" / "store" / "backups"
NOON = datetime(2026, 11, 3, 12, 0, tzinfo=UTC)


def main() -> None:
    """Write tests/store/backups/<version>.zip."""
    from gylebook import __version__

    target = FOLDER / f"{__version__}.zip"
    if target.exists() and "--again" not in sys.argv:
        sys.exit(f"{target} is there already; a released backup is never made anew.")
    with tempfile.TemporaryDirectory() as home:
        os.environ.update(GYLEBOOK_HOME=home, DJANGO_SETTINGS_MODULE="gylebook.web.settings")
        os.environ.pop("DATABASE_URL", None)
        import django

        django.setup()
        fill()
        from gylebook.store.backup import backup

        FOLDER.mkdir(exist_ok=True)
        made = backup(target, now=NOON)
    print(f"{target}: {made.entries} entries, {made.brews} brews, {made.accounts} accounts")


def fill() -> None:
    """An invented book with every kind in it."""
    from django.contrib.auth.hashers import make_password
    from django.contrib.auth.models import User
    from django.core.management import call_command

    from gylebook.journal.events import KINDS
    from gylebook.journal.state import SHELF
    from gylebook.store import cards, rows

    call_command("migrate", verbosity=0)
    written = []
    for brew in (SHELF, "1", "2", "10"):
        heads = {"planned": 0, "corrected": 2}
        kinds = sorted((kind for kind in KINDS if _fits(brew, kind)), key=lambda kind: heads.get(kind, 1))
        written += [_row(brew, seq, kind) for seq, kind in enumerate(kinds, start=1)]
    rows.insert("default", written)
    cards.rebuild("default")
    for name, active in (("owner", True), ("jo", False)):
        User.objects.create(username=name, password=make_password("invented long ago"), is_active=active)


def _fits(brew: str, kind: str) -> bool:
    from gylebook.journal.book_file import belongs

    return belongs(brew, kind)


def _row(brew: str, seq: int, kind: str) -> object:
    import msgspec

    from gylebook.journal.book_file import Row, time_text
    from gylebook.journal.events import KINDS

    version = KINDS[kind][1]
    body = (FROZEN / f"{kind}.{version}.json").read_bytes().strip()
    when = NOON + timedelta(hours=6 * seq)
    return Row(
        brew,
        seq,
        kind,
        version,
        time_text(when),
        time_text(when + timedelta(minutes=2)),
        "owner",
        "page",
        f"{brew}-{seq}",
        msgspec.Raw(body),
    )


if __name__ == "__main__":
    main()
