"""Keeping the book: out of this computer, back into it, and proof that it is whole."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST, require_safe

from gylebook.phrases import say, say_number
from gylebook.store import backup_routine
from gylebook.store.backup_routine import SelfTest
from gylebook.store.check_book import check_book
from gylebook.store.databases import DEMO
from gylebook.store.restore import backups_folder
from gylebook.store.upgrade import COPIES
from gylebook.web.book.told import told
from gylebook.web.desk import desk
from gylebook.web.page import book_of

# What a kept file is, by the beginning of its name.
_WORDS = (
    ("gylebook-", say("the day's backup, made by the book")),
    ("before-restore-", say("restore point: what the book held before a restore")),
    ("unreadable-", say("a book that could not be read, set aside at a restore")),
    ("book-", say("a backup made by command")),
)


@dataclass(frozen=True, slots=True)
class Kept:
    """One file that the book keeps for a bad day."""

    name: str
    words: str
    at: datetime
    size: str


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """Everything there is to do with the whole book."""
    return _shown(request)


@require_POST
def check(request: HttpRequest) -> HttpResponse:
    """Look the whole book through, now."""
    return _shown(request, {"checked": True, "findings": check_book(book=book_of(request))})


def _shown(request: HttpRequest, further: dict[str, object] | None = None) -> HttpResponse:
    at = desk(request)
    own = at.book != DEMO
    kept, self_test = (_kept_files(), _self_test()) if own else ([], None)
    context = {
        "measures": at.measures,
        "own": own,
        "kept": kept,
        "daily": next((each for each in kept if each.name.startswith("gylebook-")), None),
        "self_test": self_test,
        "home": settings.HOME,
        "folder": backups_folder(),
        "on_file": not settings.DATABASES["default"]["ENGINE"].endswith("postgresql"),
        "told": told(request),
        **(further or {}),
    }
    return render(request, "book/book.html", context)


def _kept_files() -> list[Kept]:
    """Backups, restore points and copies from before an upgrade, newest first."""
    found = [_kept(path) for path in _files(backups_folder())]
    found += [_kept(path, say("a copy from before an upgrade")) for path in _files(Path(settings.HOME) / COPIES)]
    return sorted(found, key=lambda each: each.at, reverse=True)


def _files(folder: Path) -> list[Path]:
    if not folder.is_dir():
        return []
    return [
        path for path in folder.iterdir() if path.is_file() and path.suffix in {".zip", ".jsonl", ".sqlite3", ".csv"}
    ]


def _kept(path: Path, words: str = "") -> Kept:
    found = path.stat()
    words = words or next((words for start, words in _WORDS if path.name.startswith(start)), say("another file"))
    kilobytes = max(1, round(found.st_size / 1000))
    size = (
        f"{kilobytes} kB"
        if kilobytes < 1000
        else say("{megabytes} MB", megabytes=say_number(f"{kilobytes / 1000:.1f}"))
    )
    return Kept(path.name, words, datetime.fromtimestamp(found.st_mtime, UTC), size)


def _self_test() -> SelfTest | None:
    return backup_routine.last_self_test(backups_folder()) if backups_folder().is_dir() else None
