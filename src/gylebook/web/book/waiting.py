"""A file that was looked at and waits for the brewer's word: kept beside the book for a day, under a name of chance."""

from __future__ import annotations

import re
import secrets
import time
from contextlib import suppress
from pathlib import Path

from django.conf import settings

from gylebook.errors import NotFound
from gylebook.phrases import say

_TOKEN = re.compile(r"[0-9a-f]{32}")
_KEPT_S = 24 * 3600
_MOST = 10


def put_aside(data: bytes) -> str:
    """Keep a file; gives the word by which it is taken up again."""
    folder = _folder()
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    _tidy(folder)
    token = secrets.token_hex(16)
    path = folder / token
    path.touch(mode=0o600)
    path.write_bytes(data)
    return token


def take_up(token: str) -> bytes:
    """The file that was kept.

    Raises
    ------
    NotFound
        It is there no longer.
    """
    path = _folder() / token
    if not _TOKEN.fullmatch(token) or not path.is_file():
        raise NotFound(say("The file that was looked at is no longer kept; nothing was written: choose it once more."))
    return path.read_bytes()


def throw_away(token: str) -> None:
    """Forget a file."""
    if _TOKEN.fullmatch(token):
        (_folder() / token).unlink(missing_ok=True)


def _folder() -> Path:
    return Path(settings.HOME) / "waiting"


def _tidy(folder: Path) -> None:
    """Old files go, and the oldest where there are many."""
    with suppress(FileNotFoundError):
        found = sorted(folder.iterdir(), key=lambda path: path.stat().st_mtime, reverse=True)
        for place, path in enumerate(found):
            if place >= _MOST - 1 or path.stat().st_mtime < time.time() - _KEPT_S:
                path.unlink(missing_ok=True)
