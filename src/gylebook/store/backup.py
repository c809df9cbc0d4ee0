"""Backups: one file that holds the whole book and can be told good from bad without opening anything else.

It is a zip: the entries as the plain file that every later release reads, the people who may sign in, on SQLite also a
copy of the database itself, and a manifest with a hash of each and of what all entries together amount to.
"""

from __future__ import annotations

import gzip
import hashlib
import os
import sqlite3
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import datetime
from itertools import islice
from pathlib import Path
from queue import Queue
from typing import IO

import msgspec
from django.db import connections

from gylebook import __version__
from gylebook.errors import BackupError
from gylebook.journal.book_file import header_line, line
from gylebook.phrases import say
from gylebook.store import accounts, beside, cards, replay, rows
from gylebook.store.databases import DEFAULT
from gylebook.store.faults import spoken

FORMAT = "gylebook-backup"
FORMAT_VERSION = 1
JOURNAL, ACCOUNTS, DATABASE, MANIFEST = "journal.jsonl", "accounts.json", "book.sqlite3.gz", "manifest.json"

_CHUNK = 1 << 20
_LINES = 4000
_LARGEST_MANIFEST = 1 << 20


class Member(msgspec.Struct, frozen=True):
    """One file in the zip: its hash and size."""

    sha256: str
    bytes: int


class Manifest(msgspec.Struct, frozen=True):
    """What a backup holds. `state` can be compared only by a release whose `fold` is the same."""

    format: str
    format_version: int
    gylebook: str
    made_at: datetime
    engine: str
    entries: int
    brews: int
    accounts: int
    state: str
    fold: str
    members: dict[str, Member]


def backup(target: Path, *, now: datetime, book: str = DEFAULT) -> Manifest:
    """Write a backup while the book is in use, and read it back before it gets its name.

    Parameters
    ----------
    target
        The file to write; one of that name is replaced only by a good one.
    now
        The moment of the backup, for its manifest.
    book
        Which book.

    Raises
    ------
    BackupError
        It could not be written, or did not read back; nothing was left behind.
    StoreUnavailable
        The database is missing, locked or refuses.
    """
    draft: Path | None = None
    try:
        with spoken(book), tempfile.TemporaryDirectory(prefix=".backup-", dir=target.absolute().parent) as name:
            scratch = Path(name)
            draft = scratch / "draft.zip"
            if connections[book].vendor == "sqlite":
                copy = scratch / "book.sqlite3"
                copy_file(book, copy)
                _forget_sessions(copy)
                with beside.opened(copy) as alias:
                    _write(draft, alias, now, copy)
            else:
                with rows.snapshot(book):
                    _write(draft, book, now, None)
            manifest = verify(draft)
            with draft.open("rb") as written:
                os.fsync(written.fileno())
            draft.replace(target)
    except OSError as fault:
        words = (fault.strerror or str(fault)).lower()
        raise BackupError(
            say("The backup {target} cannot be written: {fault}; choose another place.", target=target, fault=words)
        ) from fault
    return manifest


def copy_file(book: str, copy: Path) -> None:
    """Copy an SQLite book page by page as it stands, while others write in it."""
    connections[book].ensure_connection()
    copy.touch(mode=0o600)
    with closing(sqlite3.connect(copy)) as target:
        connections[book].connection.backup(target)


def _forget_sessions(copy: Path) -> None:
    """Nobody becomes signed in, and no address of a calendar or of notices comes to life again, by reading a backup."""
    with closing(sqlite3.connect(copy)) as target:
        target.execute("PRAGMA secure_delete = ON")
        for table in (
            "django_session",
            "calendar_feed",
            "notice",
            "notice_address",
            "device",
            "one_time_code",
            "passkey",
        ):
            if target.execute("SELECT 1 FROM sqlite_master WHERE name = ?", [table]).fetchone():
                target.execute(f"DELETE FROM {table}")  # noqa: S608 - constants
        target.commit()


def _write(draft: Path, book: str, now: datetime, copy: Path | None) -> None:
    draft.touch(mode=0o600)
    people = accounts.dump(book)
    members: dict[str, Member] = {}
    packed = draft.with_name("packed.gz")
    with zipfile.ZipFile(draft, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as target, ThreadPoolExecutor(2) as pool:
        packing = pool.submit(_pack, copy, packed) if copy else None
        state = replay.noted(book) or replay.replayed(book)
        members[JOURNAL] = _write_journal(target, book, state.entries, now, pool)
        with target.open(_named(ACCOUNTS, now), "w") as member:
            member.write(people)
        members[ACCOUNTS] = _member(people)
        if packing:
            members[DATABASE] = packing.result()
            _write_packed(target, packed, now)
        manifest = Manifest(
            format=FORMAT,
            format_version=FORMAT_VERSION,
            gylebook=__version__,
            made_at=now,
            engine=connections[book].vendor,
            entries=state.entries,
            brews=state.brews,
            accounts=len(msgspec.json.decode(people)),
            state=state.hash,
            fold=cards.fold_version(),
            members=members,
        )
        with target.open(_named(MANIFEST, now), "w") as member:
            member.write(msgspec.json.format(msgspec.json.encode(manifest), indent=2))


def _write_journal(target: zipfile.ZipFile, book: str, entries: int, now: datetime, pool: ThreadPoolExecutor) -> Member:
    """Write the entries: this thread reads them, another one hashes and squeezes."""
    waiting: Queue[bytes | None] = Queue(maxsize=16)
    with target.open(_named(JOURNAL, now), "w", force_zip64=True) as member:
        writing = pool.submit(_drain, waiting, member)
        try:
            waiting.put(header_line(__version__, entries))
            for chunk in _chunks(book):
                waiting.put(chunk)
        finally:
            waiting.put(None)
            written = writing.result()
    return written


def _drain(waiting: Queue[bytes | None], member: IO[bytes]) -> Member:
    found, size = hashlib.sha256(), 0
    try:
        while (chunk := waiting.get()) is not None:
            found.update(chunk)
            size += len(chunk)
            member.write(chunk)
    except BaseException:
        while waiting.get() is not None:  # the reader must not wait for room that never comes
            pass
        raise
    return Member(found.hexdigest(), size)


def _chunks(book: str) -> Iterator[bytes]:
    every = rows.all_rows(book)
    while batch := [line(row) for row in islice(every, _LINES)]:
        yield b"".join(batch)


def _pack(copy: Path, packed: Path) -> Member:
    with copy.open("rb") as source, gzip.GzipFile(packed, "wb", compresslevel=1, mtime=0) as target:
        while chunk := source.read(_CHUNK):
            target.write(chunk)
    with packed.open("rb") as done:
        found = hashlib.file_digest(done, "sha256").hexdigest()
    return Member(found, packed.stat().st_size)


def _write_packed(target: zipfile.ZipFile, packed: Path, now: datetime) -> None:
    info = _named(DATABASE, now)
    info.compress_type = zipfile.ZIP_STORED
    with packed.open("rb") as source, target.open(info, "w", force_zip64=True) as member:
        while chunk := source.read(_CHUNK):
            member.write(chunk)


def _named(name: str, now: datetime) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, (max(now.year, 1980), now.month, now.day, now.hour, now.minute, now.second))
    info.compress_type = zipfile.ZIP_DEFLATED
    info.external_attr = 0o600 << 16
    return info


def _member(data: bytes) -> Member:
    return Member(hashlib.sha256(data).hexdigest(), len(data))


def verify(source: Path) -> Manifest:
    """Read a backup through and compare every part with its manifest.

    Raises
    ------
    BackupError
        It is no backup, it is damaged, or a later release has made it.
    """
    try:
        with zipfile.ZipFile(source) as archive:
            manifest = _manifest(archive)
        with ThreadPoolExecutor(2) as pool:
            checks = [pool.submit(_check_member, source, name, manifest.members[name]) for name in manifest.members]
            for check in checks:
                check.result()
    except FileNotFoundError:
        raise BackupError(say("There is no file {source}; check the name.", source=source)) from None
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError) as fault:
        raise BackupError(
            say("{source} is not a backup, or is damaged ({fault}); take another one.", source=source.name, fault=fault)
        ) from fault
    except OSError as fault:
        raise BackupError(
            say("{source} cannot be read: {fault}.", source=source, fault=(fault.strerror or str(fault)).lower())
        ) from fault
    return manifest


def _manifest(archive: zipfile.ZipFile) -> Manifest:
    if MANIFEST not in archive.namelist() or archive.getinfo(MANIFEST).file_size > _LARGEST_MANIFEST:
        raise BackupError(say("This file has no manifest of a Gylebook backup; take another one."))
    try:
        plain = msgspec.json.decode(archive.read(MANIFEST))
        if not isinstance(plain, dict) or plain.get("format") != FORMAT:
            raise BackupError(say("This file is not a backup of Gylebook; take another one."))
        if plain.get("format_version") != FORMAT_VERSION:
            raise BackupError(say("A newer Gylebook has made this backup; upgrade first."))
        manifest = msgspec.convert(plain, Manifest)
    except (msgspec.MsgspecError, UnicodeDecodeError) as fault:
        raise BackupError(
            say("The manifest of the backup does not read ({fault}); take another one.", fault=fault)
        ) from fault
    if not {JOURNAL, ACCOUNTS} <= manifest.members.keys() <= set(archive.namelist()):
        raise BackupError(say("A part of the backup is missing; take another one."))
    return manifest


def _check_member(source: Path, name: str, expected: Member) -> None:
    found, size = hashlib.sha256(), 0
    with zipfile.ZipFile(source) as archive, archive.open(name) as member:
        # No more is unpacked than was packed, whatever the file claims.
        while size <= expected.bytes and (chunk := member.read(_CHUNK)):
            found.update(chunk)
            size += len(chunk)
    if size != expected.bytes or found.hexdigest() != expected.sha256:
        raise BackupError(
            say("The part {name} of the backup is not as it was written; take another backup.", name=name)
        )
