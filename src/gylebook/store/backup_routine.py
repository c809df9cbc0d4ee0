"""Backups that the book makes by itself, and the proof, once a month, that they can be restored."""

from __future__ import annotations

import logging
import re
import tempfile
import threading
from collections.abc import Callable, Iterable
from contextlib import suppress
from datetime import date, datetime, timedelta
from functools import partial
from pathlib import Path

import msgspec
from django.db import connections

from gylebook.errors import GylebookError
from gylebook.phrases import Words, keep_hook, kept_hook, say, say_count
from gylebook.store import backup, restore
from gylebook.store.databases import DEFAULT
from gylebook.store.restore import backups_folder

DAYS, WEEKS, MONTHS = 7, 4, 12
SELF_TEST_EVERY = timedelta(days=30)
AGAIN_AFTER_FAILURE = timedelta(days=1)
RECORD = "self-test.json"

_log = logging.getLogger(__name__)
_NAME = re.compile(r"gylebook-(\d{4}-\d{2}-\d{2})\.zip")
_STALE = timedelta(hours=2)


class SelfTest(msgspec.Struct, frozen=True):
    """How the latest proof went."""

    at: datetime
    backup: str
    passed: bool
    words: Words


def backup_if_due(now: datetime, *, book: str = DEFAULT, folder: Path | None = None) -> Path | None:
    """Make the day's backup unless there is one, and throw away those that are no longer kept.

    Parameters
    ----------
    now
        The moment, in the zone in which the brewer's days begin.
    book
        Which book.
    folder
        Where the backups are; the book's backups folder by default.

    Returns
    -------
    Path or None
        The backup made; None where it was not due, or where another process is making it.
    """
    place = _folder(folder)
    target = place / f"gylebook-{now.date().isoformat()}.zip"
    if target.exists() or not _claim(place / ".backup-lock", now):
        return None
    try:
        if target.exists():
            return None
        backup.backup(target, now=now, book=book)
        prune(place, now.date())
    finally:
        (place / ".backup-lock").unlink(missing_ok=True)
    return target


def prune(folder: Path, today: date) -> list[Path]:
    """Throw away the day's backups that are not kept any more; other files are never touched."""
    found = {day: path for path in folder.iterdir() if (day := _day_of(path))}
    gone = [found[day] for day in sorted(found.keys() - kept(found, today))]
    for path in gone:
        path.unlink()
    return gone


def kept(days: Iterable[date], today: date) -> set[date]:
    """Which days' backups are kept: of the last 7 days, the latest of 4 weeks and of 12 months, and any from later."""
    newest_first = sorted(days, reverse=True)
    keep = {day for day in newest_first if day > today - timedelta(days=DAYS)}
    weeks: dict[tuple[int, int], date] = {}
    months: dict[tuple[int, int], date] = {}
    for day in newest_first:
        weeks.setdefault(day.isocalendar()[:2], day)
        months.setdefault((day.year, day.month), day)
    return keep | set(list(weeks.values())[:WEEKS]) | set(list(months.values())[:MONTHS])


def latest(folder: Path | None = None) -> Path | None:
    """The newest backup that the book has made by itself."""
    found = {day: path for path in _folder(folder).iterdir() if (day := _day_of(path))}
    return found[max(found)] if found else None


def self_test(now: datetime, *, folder: Path | None = None) -> SelfTest | None:
    """Restore the newest backup into a scratch folder, with every check, and write down how it went.

    Returns
    -------
    SelfTest or None
        How it went; None where there is no backup yet.
    """
    place = _folder(folder)
    source = latest(place)
    if source is None:
        return None
    try:
        with tempfile.TemporaryDirectory(prefix=".self-test-", dir=place) as scratch:
            manifest = backup.verify(source)
            restore.build(source, manifest, Path(scratch))
        brews = say_count(manifest.brews, "{n} brew", "{n} brews")
        entries = say_count(manifest.entries, "{n} entry", "{n} entries")
        words = say("{entries} and {brews} were restored and replayed.", entries=entries, brews=brews)
        result = SelfTest(now, source.name, True, words)
    except GylebookError as fault:
        result = SelfTest(now, source.name, False, str(fault))
    draft = place / f".{RECORD}"
    draft.write_bytes(msgspec.json.format(msgspec.json.encode(result, enc_hook=keep_hook), indent=2))
    draft.replace(place / RECORD)
    return result


def self_test_if_due(now: datetime, *, folder: Path | None = None) -> SelfTest | None:
    """Run the self-test when the latest one is a month old, or failed a day ago; None where it was not due."""
    place = _folder(folder)
    last = last_self_test(place)
    if last and now - last.at < (SELF_TEST_EVERY if last.passed else AGAIN_AFTER_FAILURE):
        return None
    if not _claim(place / ".self-test-lock", now):
        return None
    try:
        return self_test(now, folder=place)
    finally:
        (place / ".self-test-lock").unlink(missing_ok=True)


def last_self_test(folder: Path | None = None) -> SelfTest | None:
    """How the latest self-test went; None where there was none, or its record does not read."""
    with suppress(FileNotFoundError, msgspec.MsgspecError):
        return msgspec.json.decode((_folder(folder) / RECORD).read_bytes(), type=SelfTest, dec_hook=kept_hook)
    return None


def tend(
    clock: Callable[[], datetime],
    stop: threading.Event,
    *,
    book: str = DEFAULT,
    folder: Path | None = None,
    every_s: float = 3600.0,
) -> None:
    """Make backups and proofs as they fall due, until told to stop; meant for a thread of its own.

    Parameters
    ----------
    clock
        Tells the moment, in the zone in which the brewer's days begin.
    stop
        Set it to end.
    book, folder
        As for `backup_if_due`.
    every_s
        How often to look whether something is due [s].
    """
    while not stop.is_set():
        for task in (partial(backup_if_due, book=book), self_test_if_due):
            try:
                done = task(clock(), folder=folder)
            except (GylebookError, OSError):
                _log.exception("A backup or its proof failed; it is tried again later")
                continue
            if isinstance(done, SelfTest) and not done.passed:
                _log.error("The backup %s could not be restored: %s", done.backup, done.words)
        connections.close_all()
        stop.wait(every_s)


def _folder(folder: Path | None) -> Path:
    place = folder or backups_folder()
    place.mkdir(mode=0o700, parents=True, exist_ok=True)
    return place


def _day_of(path: Path) -> date | None:
    match = _NAME.fullmatch(path.name)
    with suppress(ValueError):
        return date.fromisoformat(match[1]) if match else None
    return None


def _claim(lock: Path, now: datetime) -> bool:
    """Take a lock that only one process gets; one left behind by a process that died is cleared for the next time."""
    try:
        with lock.open("x") as made:
            made.write(now.isoformat())
    except FileExistsError:
        with suppress(FileNotFoundError):
            if _since(lock, now) > _STALE:
                lock.unlink()
        return False
    return True


def _since(lock: Path, now: datetime) -> timedelta:
    try:
        return now - datetime.fromisoformat(lock.read_text())
    except ValueError:  # its maker has not written into it yet, or died before it could
        return timedelta(seconds=now.timestamp() - lock.stat().st_mtime)
