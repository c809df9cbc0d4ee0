"""The log as lines of a ledger: ink at the left, what the book makes of it in the margin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from gylebook.journal import events as ev
from gylebook.journal.codec import decode_plain
from gylebook.journal.state import Brew, Entry
from gylebook.outputs.entries import entry_words
from gylebook.phrases import joined, say
from gylebook.steps.margin import Note, margin
from gylebook.web.brews.addresses import entry_url
from gylebook.web.brews.opened import Opened

PAGE = 20


@dataclass(frozen=True, slots=True)
class LogLine:
    """One entry with its corrections; `ink` was written first, `instead` is what stands for it now."""

    seq: int
    at: datetime
    ink: str
    struck: bool
    instead: str
    address: str
    note: Note


@dataclass(frozen=True, slots=True)
class LogPage:
    """A page of the log, newest first; 0 for a page that is not there."""

    lines: Sequence[LogLine]
    number: int
    newer: int
    older: int
    in_all: int


def log_page(opened: Opened, number: int = 1) -> LogPage:
    """One page of a brew's log; what happened last comes first."""
    brew = opened.brew
    moments = {kept.seq: kept.at for kept in brew.kept}
    found = chains(brew)
    found.sort(key=lambda chain: (moments.get(chain[0].seq, chain[0].happened_at), chain[0].seq), reverse=True)
    last = max(1, -(-len(found) // PAGE))
    number = min(max(number, 1), last)
    lines = _lines(opened, found[(number - 1) * PAGE : number * PAGE])
    return LogPage(lines, number, number - 1, number + 1 if number < last else 0, len(found))


def _lines(opened: Opened, found: Sequence[list[Entry]]) -> list[LogLine]:
    """Entries, each with its corrections beside it and what the book makes of it."""
    brew = opened.brew
    standing = {kept.seq: kept for kept in brew.kept}
    notes = margin(brew, opened.desk.setting(), {chain[0].seq for chain in found})
    lines = []
    for chain in found:
        root = chain[0]
        kept = standing.get(root.seq)
        lines.append(
            LogLine(
                root.seq,
                kept.at if kept else root.happened_at,
                joined(" ", (said(entry) for entry in chain[:-1] or [root])),
                struck=len(chain) > 1,
                instead=_instead(chain[-1]) if len(chain) > 1 else "",
                address=entry_url(brew.id, root.seq),
                note=notes.get(root.seq, Note()),
            )
        )
    return lines


def chains(brew: Brew) -> list[list[Entry]]:
    """Each entry that is no correction, followed by its corrections in order of writing."""
    found: dict[int, list[Entry]] = {}
    root: dict[int, int] = {}
    for entry in brew.entries:
        body = entry.body
        if isinstance(body, ev.Corrected):
            root[entry.seq] = root.get(body.seq, body.seq)
        found.setdefault(root.get(entry.seq, entry.seq), []).append(entry)
    return list(found.values())


def said(entry: Entry) -> str:
    """What an entry says; for a correction, what it put in the other's place."""
    body = entry.body
    if not isinstance(body, ev.Corrected):
        return entry_words(body)
    if body.instead is None:
        return say("Withdrawn.")
    return entry_words(decode_plain(body.kind, body.version, body.instead))


def _instead(entry: Entry) -> str:
    body = entry.body
    assert isinstance(body, ev.Corrected)
    if body.instead is None:
        return say("Withdrawn ({because}).", because=body.because) if body.because else say("Withdrawn.")
    if body.because:
        return say("Corrected: {entry} ({because})", entry=said(entry), because=body.because)
    return say("Corrected: {entry}", entry=said(entry))
