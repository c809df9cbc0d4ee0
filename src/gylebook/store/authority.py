"""The household's own certificate authority, in the book's folder: made when first needed, renewed by itself.

The certificates are made in a process of their own, which ends at once: what signs them takes 14 MB that a server
would otherwise keep for years for the sake of a moment. A note beside them says what was made and until when.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from datetime import datetime, timedelta
from pathlib import Path

import msgspec

from gylebook.errors import GylebookError
from gylebook.phrases import say
from gylebook.store import certificates

FOLDER = "authority"
# Certificate and key share a file, so that they are replaced together.
_NOTE, _PARENT, _LEAF = "made.json", "authority.pem", "book.pem"
RENEW_LEAF = timedelta(days=30)
RENEW_AUTHORITY = timedelta(days=60)  # before the last certificate that it signs would have to be renewed early


class Note(msgspec.Struct, frozen=True):
    """What was made: for which names, within which limits, until when, and the authority's fingerprint."""

    names: tuple[str, ...]
    limits: tuple[str, ...]
    leaf_ends_at: datetime
    authority_ends_at: datetime
    fingerprint: str


class Kept(msgspec.Struct, frozen=True):
    """The file to serve with, and what to tell the brewer."""

    path: Path  # certificate and key
    authority: bytes  # DER, public
    fingerprint: str
    ends_at: datetime
    names: tuple[str, ...]
    beyond: tuple[str, ...]  # names for which this authority may not vouch
    new_authority: bool
    new_certificate: bool


def keep(home: Path, names: Sequence[str], now: datetime) -> Kept:
    """The certificate for these names: the one that lies there while it holds, else a new one.

    Raises
    ------
    GylebookError
        The files cannot be written or made.
    """
    folder = home / FOLDER
    plain, addresses = certificates.sorted_names([*names, "localhost", "127.0.0.1"])
    wanted = (*plain, *map(str, addresses))
    before = read(home)
    if before is None or before.authority_ends_at - now < RENEW_AUTHORITY:
        note = _make(home, wanted, certificates.limits_for(wanted), now)
    else:
        fits = tuple(name for name in wanted if certificates.permitted(name, before.limits))
        due = before.leaf_ends_at - now < RENEW_LEAF
        note = _make(home, fits, (), now) if due or before.names != fits else before
    return Kept(
        path=folder / _LEAF,
        authority=certificates.der((folder / _PARENT).read_bytes()),
        fingerprint=note.fingerprint,
        ends_at=note.leaf_ends_at,
        names=note.names,
        beyond=tuple(name for name in wanted if name not in note.names),
        new_authority=before is None or before.fingerprint != note.fingerprint,
        new_certificate=note != before,
    )


def read(home: Path) -> Note | None:
    """What was made; None where nothing was, or where a part of it is gone."""
    folder = home / FOLDER
    if not all((folder / name).is_file() for name in (_NOTE, _PARENT, _LEAF)):
        return None
    try:
        return msgspec.json.decode((folder / _NOTE).read_bytes(), type=Note)
    except msgspec.MsgspecError as fault:
        raise GylebookError(
            say(
                "{file} does not read: delete the folder {folder}; a new authority is made at the next start, "
                "and each phone must come to trust that one.",
                file=folder / _NOTE,
                folder=folder,
            )
        ) from fault


class _Order(msgspec.Struct, frozen=True):
    """What the other process is to make; without limits the authority that lies there signs."""

    folder: str
    names: tuple[str, ...]
    limits: tuple[str, ...]
    now: datetime


def _make(home: Path, names: tuple[str, ...], limits: tuple[str, ...], now: datetime) -> Note:
    folder = home / FOLDER
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        folder.chmod(0o700)
        done = subprocess.run(
            [sys.executable, "-m", "gylebook.store.authority"],
            input=msgspec.json.encode(_Order(str(folder), names, limits, now)),
            capture_output=True,
            check=False,
        )
    except OSError as fault:
        raise GylebookError(
            say(
                "The certificates cannot be kept in {folder}: {fault}; allow writing there, then try again.",
                folder=folder,
                fault=fault.strerror,
            )
        ) from fault
    if done.returncode != 0:
        last = (done.stderr.decode(errors="replace").strip().splitlines() or [say("no reason given")])[-1]
        raise GylebookError(
            say(
                "The certificates could not be made ({fault}): check that {folder} may be written to.",
                fault=last,
                folder=folder,
            )
        )
    return msgspec.json.decode(done.stdout, type=Note)


def make(order: _Order) -> Note:
    """Make what was ordered and write it down; the note comes last, so that a half-written folder is made anew."""
    folder = Path(order.folder)
    if order.limits:
        parent = certificates.make_authority(order.limits, f"Gylebook of {order.names[0]}", order.now)
        limits, parent_ends = order.limits, parent.ends_at
        (folder / _NOTE).unlink(missing_ok=True)
        _write(folder / _PARENT, parent.certificate + parent.key)
    else:
        before = msgspec.json.decode((folder / _NOTE).read_bytes(), type=Note)
        limits, parent_ends = before.limits, before.authority_ends_at
        both = (folder / _PARENT).read_bytes()
        parent = certificates.Pair(both, both, parent_ends)
    leaf = certificates.make_leaf(parent, order.names, order.now)
    _write(folder / _LEAF, leaf.certificate + leaf.key)
    note = Note(order.names, limits, leaf.ends_at, parent_ends, certificates.fingerprint(parent.certificate))
    _write(folder / _NOTE, msgspec.json.encode(note))
    return note


def _write(path: Path, data: bytes) -> None:
    """Readable by its owner alone from the first moment on, and never half there."""
    draft = path.with_name(f".{path.name}.{os.getpid()}")
    draft.unlink(missing_ok=True)
    descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "wb") as out:
        out.write(data)
    draft.replace(path)


if __name__ == "__main__":
    sys.stdout.buffer.write(msgspec.json.encode(make(msgspec.json.decode(sys.stdin.buffer.read(), type=_Order))))
