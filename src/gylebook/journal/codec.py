"""Entries to bytes and back. Equal entries give equal bytes, whatever the machine."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

import msgspec

from gylebook.errors import JournalDamaged
from gylebook.journal.events import KIND_OF, KINDS, Event
from gylebook.journal.upcasts import UPCASTS
from gylebook.phrases import say, tell_hook

_encoder = msgspec.json.Encoder(enc_hook=tell_hook)  # what the book proposed is the brewer's own once it is written


@cache
def _decoder(kind: str) -> msgspec.json.Decoder[Event]:
    """Made when the first entry of its kind is read: a command that reads none need not wait for all of them."""
    return msgspec.json.Decoder(KINDS[kind][0])


def kind_of(event: Event) -> str:
    """The registered word of an event's kind."""
    return KIND_OF[type(event)]


def version_of(event: Event) -> int:
    """The version that this release writes for the event's kind."""
    return KINDS[kind_of(event)][1]


def encode(event: Event) -> bytes:
    """An event's body as JSON, fields in declared order."""
    return _encoder.encode(event)


def decode_plain(kind: str, version: int, plain: dict[str, Any]) -> Event:
    """As `decode`, from a body that is already a plain dict (the `instead` of a correction)."""
    return decode(kind, version, _encoder.encode(plain))


def plain_of(event: Event) -> dict[str, Any]:
    """An event's body as a plain dict, as a correction carries it."""
    plain: dict[str, Any] = msgspec.json.decode(encode(event))
    return plain


def decode(kind: str, version: int, body: bytes | str) -> Event:
    """Read a stored body, lifting an older version first.

    Raises
    ------
    JournalDamaged
        An unknown kind, a version from the future, or a body that does not fit its kind.
    """
    if kind not in KINDS:
        raise JournalDamaged(
            say("An entry is of the unknown kind “{kind}”; a newer Gylebook may have written it.", kind=kind)
        )
    current = KINDS[kind][1]
    if not 1 <= version <= current:
        raise JournalDamaged(
            say(
                "An entry of kind “{kind}” has version {version}, and this Gylebook reads up to {current}; "
                "upgrade first.",
                kind=kind,
                version=version,
                current=current,
            )
        )
    try:
        if version < current:
            body = _lift(kind, version, current, body)
        return _decoder(kind).decode(body)
    except msgspec.MsgspecError as fault:
        raise JournalDamaged(
            say("An entry of kind “{kind}” does not read back: {fault}.", kind=kind, fault=fault)
        ) from fault


def _lift(kind: str, version: int, current: int, body: bytes | str) -> bytes:
    plain: dict[str, Any] = msgspec.json.decode(body)
    for step in range(version, current):
        lift: Callable[[dict[str, Any]], dict[str, Any]] = UPCASTS[kind, step]
        plain = lift(plain)
    return _encoder.encode(plain)
