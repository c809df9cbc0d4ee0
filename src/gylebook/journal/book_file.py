"""The book as one plain file: JSON Lines, a header and then one entry a line.

A line holds the row exactly as it is stored, its body in the version in which it was written. So equal journals give
equal bytes, whichever database they come from, and a file written today is read by every later release.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime

import msgspec

from gylebook.errors import InputError, JournalDamaged
from gylebook.journal.codec import decode, decode_plain, encode, kind_of, version_of
from gylebook.journal.events import KINDS, SHELF_KINDS, Corrected, Event
from gylebook.journal.state import SHELF, Entry
from gylebook.phrases import say, tell_hook

FORMAT = "gylebook-journal"
FORMAT_VERSION = 1
SOURCES = ("page", "command", "program", "device", "import", "demo")

#: Kinds that may stand in a brew as well as on the shelf.
_ANYWHERE = frozenset({"corrected", "noted"})
_BREW_ID = re.compile(r"[1-9][0-9]{0,8}")
_LENGTHS = {"brew": 20, "kind": 40, "recorded_by": 150, "source": 20, "command_id": 120}
_LARGEST_SEQ = 2_147_483_647
_MEND = say("mend the line, or export the book again")


class Header(msgspec.Struct, forbid_unknown_fields=True, frozen=True):
    """The first line. It tells nothing that changes from one export of the same journal to the next."""

    format: str
    format_version: int
    gylebook: str
    entries: int


class Row(msgspec.Struct, forbid_unknown_fields=True, frozen=True, gc=False):
    """One entry as stored: times as text, the body as JSON not looked into. The order here is the file's."""

    brew: str
    seq: int
    kind: str
    version: int
    happened_at: str
    recorded_at: str
    recorded_by: str
    source: str
    command_id: str
    body: msgspec.Raw


_encoder = msgspec.json.Encoder(enc_hook=tell_hook)
_row_decoder = msgspec.json.Decoder(Row)
_header_decoder = msgspec.json.Decoder(Header)


def time_text(moment: datetime) -> str:
    """A moment as it is kept: UTC, microseconds, a closing Z, always 27 characters."""
    if moment.tzinfo is None:
        raise ValueError("a moment without its time zone cannot be kept")
    return moment.astimezone(UTC).replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"


def read_time(text: str) -> datetime:
    """The moment behind a kept text."""
    return datetime.fromisoformat(text)


def belongs(brew: str, kind: str) -> bool:
    """Whether this kind may stand in this stream: the shelf's kinds on the shelf, all others in a brew."""
    if kind in _ANYWHERE:
        return True
    return (kind in SHELF_KINDS) == (brew == SHELF)


def brew_order(brew: str) -> tuple[int, str]:
    """The order of brews in the file: the shelf, then by number."""
    return (int(brew) if brew.isdigit() else 0, brew)


def row_of(
    brew: str, seq: int, happened_at: datetime, event: Event, *, now: datetime, by: str, source: str, command_id: str
) -> Row:
    """The row that keeps an event."""
    return Row(
        brew,
        seq,
        kind_of(event),
        version_of(event),
        time_text(happened_at),
        time_text(now),
        by,
        source,
        command_id,
        msgspec.Raw(encode(event)),
    )


def entry_of(row: Row) -> Entry:
    """The entry that a row keeps, its body lifted to today's version.

    Raises
    ------
    JournalDamaged
        Its times or its body do not read back.
    """
    try:
        happened_at, recorded_at = datetime.fromisoformat(row.happened_at), datetime.fromisoformat(row.recorded_at)
    except ValueError as fault:
        raise JournalDamaged(
            say("The times of entry {seq} of {brew} do not read back.", seq=row.seq, brew=row.brew)
        ) from fault
    return Entry(
        row.brew,
        row.seq,
        row.kind,
        row.version,
        happened_at,
        recorded_at,
        row.recorded_by,
        row.source,
        row.command_id,
        decode(row.kind, row.version, bytes(row.body)),
    )


def header_line(gylebook: str, entries: int) -> bytes:
    """The first line of a file."""
    return _encoder.encode(Header(FORMAT, FORMAT_VERSION, gylebook, entries)) + b"\n"


def line(row: Row) -> bytes:
    """One entry as a line."""
    return _encoder.encode(row) + b"\n"


def read_header(text: bytes) -> Header:
    """Read the first line.

    Raises
    ------
    InputError
        It is no Gylebook journal, or one of a later format.
    """
    try:
        plain = msgspec.json.decode(text)
        found = plain.get("format") if isinstance(plain, dict) else None
    except msgspec.DecodeError:
        found = None
    if found != FORMAT:
        raise InputError(
            say("Line {number}", number=1),
            say("this is not a journal of Gylebook"),
            say("choose a file that “gylebook export” has made"),
        )
    try:
        header = _header_decoder.decode(text)
    except msgspec.DecodeError as fault:
        raise InputError(
            say("Line {number}", number=1), say("the header does not read: {fault}", fault=fault), _MEND
        ) from None
    if header.format_version != FORMAT_VERSION:
        raise InputError(
            say("Line {number}", number=1),
            say("the file has the later format {version}", version=header.format_version),
            say("upgrade Gylebook first"),
        )
    return header


def plain_row(text: bytes) -> Row:
    """Read a line that is known to be whole, as one that was checked against its hash.

    Raises
    ------
    msgspec.MsgspecError
        It is no line of ours.
    """
    return _row_decoder.decode(text)


def read_line(where: str, text: bytes) -> Row:
    """Read one line of the file, without looking into the body; `where` is what a fault is told under.

    Raises
    ------
    InputError
        Naming the place, what is wrong, and what to do.
    """
    try:
        row = _row_decoder.decode(text.decode())
    except UnicodeDecodeError:
        raise InputError(
            where, say("this is not UTF-8 text"), say("save the file as UTF-8 and import it again")
        ) from None
    except msgspec.DecodeError as fault:
        raise InputError(where, say("this is not an entry: {fault}", fault=fault), _MEND) from None
    if row.brew != SHELF and not _BREW_ID.fullmatch(row.brew):
        raise InputError(where, say("“{brew}” is not the number of a brew", brew=row.brew[:20]), _MEND)
    if not 1 <= row.seq <= _LARGEST_SEQ:
        raise InputError(where, say("the sequence number {seq} cannot be", seq=row.seq), _MEND)
    if row.source not in SOURCES:
        raise InputError(
            where,
            say("the source “{source}” is not known", source=row.source[:20]),
            say("use one of {sources}", sources=", ".join(SOURCES)),
        )
    for name, most in _LENGTHS.items():
        value: str = getattr(row, name)
        if not 1 <= len(value) <= most or not value.isprintable():
            raise InputError(
                where,
                say("“{name}” is empty, longer than {most} characters or not printable", name=name, most=most),
                _MEND,
            )
    times = {name: _time(where, name, getattr(row, name)) for name in ("happened_at", "recorded_at")}
    return msgspec.structs.replace(row, **times, body=msgspec.Raw(msgspec.json.format(bytes(row.body), indent=-1)))


def check_body(where: str, row: Row) -> None:
    """Refuse a body that does not fit its kind, or a kind that does not belong in its stream.

    Raises
    ------
    InputError
        Naming the place.
    """
    if row.kind not in KINDS:
        raise InputError(
            where, say("the kind “{kind}” is not known", kind=row.kind[:40]), say("upgrade Gylebook, or mend the line")
        )
    if not belongs(row.brew, row.kind):
        problem = (
            say("an entry “{kind}” cannot stand on the shelf", kind=row.kind)
            if row.brew == SHELF
            else say("an entry “{kind}” cannot stand in a brew", kind=row.kind)
        )
        raise InputError(where, problem, _MEND)
    try:
        body = decode(row.kind, row.version, bytes(row.body))
        if isinstance(body, Corrected):
            _check_correction(where, row, body)
    except JournalDamaged as fault:
        raise InputError(where, str(fault).rstrip("."), say("mend the line, or upgrade Gylebook")) from None


def _check_correction(where: str, row: Row, body: Corrected) -> None:
    if not 1 <= body.seq < row.seq:
        raise InputError(where, say("it corrects entry {seq}, which does not come before it", seq=body.seq), _MEND)
    if body.instead is not None:
        decode_plain(body.kind, body.version, body.instead)
        if not belongs(row.brew, body.kind):
            raise InputError(where, say("it puts “{kind}” where that cannot stand", kind=body.kind), _MEND)


def _time(where: str, name: str, text: str) -> str:
    try:
        return time_text(datetime.fromisoformat(text))
    except ValueError:
        problem = say("“{name}” is not a moment with its time zone: “{text}”", name=name, text=text[:40])
        raise InputError(where, problem, say("write it such as 2026-11-03T18:30:00Z")) from None
