"""Restoring: a backup takes the place of the book in use, wholly or not at all.

The backup is read through, built up beside the book and replayed; only when what comes out is what the backup promises
does it take the book's place. What the book held before is kept as a backup of its own.
"""

from __future__ import annotations

import gzip
import io
import shutil
import sqlite3
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from itertools import chain, count
from pathlib import Path
from typing import cast

import msgspec
from django.conf import settings
from django.db import DataError, IntegrityError, connections, transaction

from gylebook import __version__
from gylebook.errors import BackupError, Conflict, InputError, JournalDamaged, StoreUnavailable
from gylebook.journal.book_file import Row, header_line, line, plain_row, read_header
from gylebook.phrases import say
from gylebook.store import accounts, backup, beside, cards, replay, rows
from gylebook.store.backup import ACCOUNTS, DATABASE, JOURNAL, Manifest
from gylebook.store.databases import BUSY_TIMEOUT_S, DEFAULT
from gylebook.store.faults import spoken

_CHUNK = 1 << 20
_TRIES = 5
_WRITTEN_MEANWHILE = say("Somebody keeps writing in the book, so it was left as it is; try again when nobody does.")
_ANOTHER = say("nothing was changed; take another backup")


@dataclass(frozen=True, slots=True)
class Restored:
    """What a restore came to.

    Parameters
    ----------
    manifest
        What the backup said of itself, all of it found true.
    restore_point
        The backup of what the book held before; None where it held nothing.
    same_fold
        Whether the backup comes from a release that folds as this one does, so that the hash of the replayed state
        could be compared too. The entries themselves are always compared.
    """

    manifest: Manifest
    restore_point: Path | None
    same_fold: bool


def backups_folder() -> Path:
    """Where backups that the book makes by itself are kept."""
    return Path(settings.HOME) / "backups"


def restore(source: Path, *, now: datetime, book: str = DEFAULT, restore_points: Path | None = None) -> Restored:
    """Put a backup in the place of the book, while the book may be in use.

    Parameters
    ----------
    source
        The backup.
    now
        The moment, for the name of the restore point.
    book
        Which book.
    restore_points
        Folder for the backup of what the book held before; the book's backups folder by default.

    Raises
    ------
    BackupError
        The backup did not verify; the book is as it was.
    Conflict
        Somebody kept writing in the book; the book is as it was.
    """
    folder = restore_points or backups_folder()
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    with spoken(book), tempfile.TemporaryDirectory(prefix=".restore-", dir=folder) as scratch:
        manifest = backup.verify(source)
        work = _Work(book, source, manifest, folder, Path(scratch), now)
        point = _put_file(work) if connections[book].vendor == "sqlite" else _put_rows(work)
    return Restored(manifest, point, manifest.fold == cards.fold_version())


@dataclass(frozen=True, slots=True)
class _Work:
    """One restore: which backup into which book, and where to work meanwhile."""

    book: str
    source: Path
    manifest: Manifest
    folder: Path
    scratch: Path
    now: datetime

    def kept(self, words: str, end: str) -> Path:
        """A file in the backups folder that is not there yet, named after what it is and when."""
        stem = f"{words}-{self.now:%Y%m%dT%H%M%S}"
        names = chain((stem,), (f"{stem}-{n}" for n in count(2)))
        return next(path for name in names if not (path := self.folder / f"{name}{end}").exists())


def build(source: Path, manifest: Manifest, scratch: Path) -> Path:
    """Build a book in a file of its own from a backup that was read through, and compare it with the manifest."""
    path = scratch / "book.sqlite3"
    path.touch(mode=0o600)
    has_copy = DATABASE in manifest.members
    try:
        if has_copy:
            _unpack(source, path)
        with beside.opened(path) as alias, spoken(alias):
            beside.refuse_newer(alias)
            beside.migrate(alias)
            with transaction.atomic(using=alias):
                if has_copy:
                    accounts.forget_sessions(alias)
                else:
                    _load(alias, source)
                _compare(alias, source, manifest)
            _integrity(alias)
    except (sqlite3.DatabaseError, StoreUnavailable) as fault:
        raise BackupError(
            say("The copy of the database in the backup is damaged; {remedy}.", remedy=_ANOTHER)
        ) from fault
    return path


# --- filling and comparing --------------------------------------------------------------------------------------


def _unpack(source: Path, path: Path) -> None:
    with zipfile.ZipFile(source) as archive, archive.open(DATABASE) as packed, path.open("wb") as target:
        shutil.copyfileobj(gzip.GzipFile(fileobj=packed), target, _CHUNK)


def _load(book: str, source: Path) -> None:
    try:
        rows.insert_many(book, _file_rows(source))
        with zipfile.ZipFile(source) as archive:
            accounts.load(book, archive.read(ACCOUNTS))
    except (msgspec.MsgspecError, UnicodeDecodeError, IntegrityError, DataError, InputError) as fault:
        raise BackupError(say("The backup does not read ({fault}); {remedy}.", fault=fault, remedy=_ANOTHER)) from fault


def _file_rows(source: Path) -> Iterator[Row]:
    with zipfile.ZipFile(source) as archive, _lines(archive) as lines:
        read_header(lines.readline())
        for text in lines:
            yield plain_row(text)


def _lines(archive: zipfile.ZipFile) -> io.BufferedReader:
    return io.BufferedReader(cast("io.RawIOBase", archive.open(JOURNAL)), _CHUNK)


def _compare(book: str, source: Path, manifest: Manifest) -> None:
    """Hold what was built against the backup: every entry to the byte, and what they amount to when replayed."""
    with zipfile.ZipFile(source) as archive, _lines(archive) as lines:
        lines.readline()

        def look(row: Row) -> None:
            if lines.readline() != line(row):
                raise BackupError(
                    say(
                        "Entry {seq} of {brew} is not as the backup has it; {remedy}.",
                        seq=row.seq,
                        brew=row.brew,
                        remedy=_ANOTHER,
                    )
                )

        try:
            state = replay.replayed(book, None if _cards_hold(book, manifest) else cards.write_blank, look)
        except JournalDamaged as fault:
            raise BackupError(
                say("The entries of the backup do not replay: {fault} Nothing was changed.", fault=fault)
            ) from fault
        if lines.readline():
            raise BackupError(say("Entries of the backup are missing in its copy; {remedy}.", remedy=_ANOTHER))
    if (state.entries, state.brews) != (manifest.entries, manifest.brews):
        raise BackupError(
            say(
                "The backup promises {entries} entries and has {found}; {remedy}.",
                entries=manifest.entries,
                found=state.entries,
                remedy=_ANOTHER,
            )
        )
    if manifest.fold == cards.fold_version() and state.hash != manifest.state:
        raise BackupError(say("Replayed, the entries do not amount to what they did; {remedy}.", remedy=_ANOTHER))


def _cards_hold(book: str, manifest: Manifest) -> bool:
    """Whether the cards came along with the copy and still mean what they did."""
    return manifest.fold == cards.fold_version() and replay.noted(book) is not None


def _integrity(book: str) -> None:
    with connections[book].cursor() as cursor:
        cursor.execute("PRAGMA integrity_check")
        found = cursor.fetchone()[0]
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    if found != "ok":
        raise BackupError(
            say("The copy of the database in the backup is damaged ({found}); {remedy}.", found=found, remedy=_ANOTHER)
        )


# --- taking the place, on SQLite --------------------------------------------------------------------------------


def _put_file(work: _Work) -> Path | None:
    ready = build(work.source, work.manifest, work.scratch)
    before = work.scratch / "before.sqlite3"
    for _ in range(_TRIES):
        held = _held(work.book)
        point = _restore_point(work) if held else None
        if held is not None:
            backup.copy_file(work.book, before)
        if _held(work.book) == held:  # nobody wrote since the restore point was made
            break
    else:
        raise Conflict(_WRITTEN_MEANWHILE)
    live = Path(str(connections[work.book].settings_dict["NAME"]))
    connections[work.book].close()
    aside = _set_aside(live, work) if held is None else []
    try:
        _overwrite(live, ready)
        _count(work)
    except BaseException as fault:
        connections[work.book].close()
        if held is not None:
            _overwrite(live, before)
        for original, kept in aside:
            kept.replace(original)
        if not isinstance(fault, Exception):
            raise
        raise BackupError(
            say("The restore failed ({fault}), and the book was put back as it was.", fault=fault)
        ) from fault
    return point


def _count(work: _Work) -> None:
    found = rows.count(work.book)
    if found != work.manifest.entries:
        raise BackupError(
            say(
                "the restored book holds {found} entries instead of {entries}",
                found=found,
                entries=work.manifest.entries,
            )
        )


def _overwrite(live: Path, new: Path) -> None:
    """Put one database's content in place of another's, in one transaction that others using the file see at once."""
    waited = 0

    def wait(status: int, _remaining: int, _total: int) -> None:
        nonlocal waited
        waited += status in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
        if waited > 4 * BUSY_TIMEOUT_S:  # it is tried four times a second
            raise StoreUnavailable(say("The book is busy: another writer does not let go; try again in a moment."))

    live.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with closing(sqlite3.connect(new)) as source, closing(sqlite3.connect(live)) as target:
        source.backup(target, pages=-1, progress=wait)


def _held(book: str) -> int | None:
    """How many entries the book holds; None where there is none yet, or none that can be read."""
    try:
        with spoken(book):
            return rows.count(book)
    except StoreUnavailable as fault:
        if not any(words in str(fault.__cause__) for words in ("no such table", "malformed", "not a database")):
            raise
        connections[book].close()
        return None


def _restore_point(work: _Work) -> Path:
    """A backup of what the book holds now; where its entries do not fold any more, the plain entries as they are."""
    target = work.kept("before-restore", ".zip")
    try:
        backup.backup(target, now=work.now, book=work.book)
    except (BackupError, JournalDamaged, StoreUnavailable):
        if connections[work.book].vendor == "sqlite":
            target = work.kept("before-restore", ".sqlite3")
            backup.copy_file(work.book, target)
        else:
            target = work.kept("before-restore", ".jsonl")
            with target.open("xb") as file, rows.snapshot(work.book):
                target.chmod(0o600)
                file.write(header_line(__version__, rows.count(work.book)))
                file.writelines(map(line, rows.all_rows(work.book)))
    return target


def _set_aside(live: Path, work: _Work) -> list[tuple[Path, Path]]:
    """Keep the files of a book that cannot be read: somebody may yet want to look at them."""
    parts = [live.with_name(live.name + end) for end in ("", "-wal", "-shm")]
    moved = [(part, work.kept("unreadable", f"-{part.name}")) for part in parts if part.exists()]
    for part, kept in moved:
        part.replace(kept)
    return moved


# --- taking the place, on PostgreSQL ----------------------------------------------------------------------------


def _put_rows(work: _Work) -> Path | None:
    book = work.book
    beside.refuse_newer(book)
    beside.migrate(book)
    for _ in range(_TRIES):
        held = rows.count(book)
        point = _restore_point(work) if held else None
        with transaction.atomic(using=book, durable=True), connections[book].cursor() as cursor:
            cursor.execute("LOCK TABLE journal_entry, brew_card IN ACCESS EXCLUSIVE MODE")
            if rows.count(book) != held:  # somebody wrote since the restore point was made
                continue
            # Only here, and only until this transaction ends, may the journal be emptied.
            cursor.execute("ALTER TABLE journal_entry DISABLE TRIGGER USER")
            cursor.execute("TRUNCATE journal_entry, brew_card")
            _load(book, work.source)
            cursor.execute("ALTER TABLE journal_entry ENABLE TRIGGER USER")
            _compare(book, work.source, work.manifest)
        return point
    raise Conflict(_WRITTEN_MEANWHILE)
