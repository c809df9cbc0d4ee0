"""Where the book is open just now, left in its folder by the server for the commands that need to know."""

from __future__ import annotations

from pathlib import Path

import msgspec

from gylebook.errors import Refused
from gylebook.phrases import say

_NOTE = "serving.json"


class Serving(msgspec.Struct, frozen=True):
    """The address for other devices, and where a new one learns to trust it: "" where there is nothing to learn."""

    address: str
    guide: str = ""
    fingerprint: str = ""


def note(home: Path, serving: Serving) -> None:
    """Leave the note."""
    home.mkdir(mode=0o700, parents=True, exist_ok=True)  # with the book on a server nothing else need lie there
    (home / _NOTE).write_bytes(msgspec.json.encode(serving))


def forget(home: Path) -> None:
    """Take the note away."""
    (home / _NOTE).unlink(missing_ok=True)


def read(home: Path) -> Serving | None:
    """The note; None where the book is not open to other devices."""
    try:
        return msgspec.json.decode((home / _NOTE).read_bytes(), type=Serving)
    except (FileNotFoundError, msgspec.MsgspecError):
        return None


def address(home: Path, chosen: str) -> Serving:
    """Where other devices reach the book: at the address that its brewer chose, or where its server says it is open.

    Raises
    ------
    Refused
        Nothing says that other devices reach the book.
    """
    found = read(home)
    if chosen:
        return Serving(chosen, found.guide if found else "", found.fingerprint if found else "")
    if found is None:
        raise Refused(
            say(
                "The book is open to this computer alone: open it to the house with “gylebook serve --lan”, or say in "
                "GYLEBOOK_URL under which address phones reach it."
            )
        )
    return found
