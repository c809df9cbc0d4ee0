"""What the book has to say after something was written: kept over one redirect, then shown once."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

from gylebook.journal.events import Corrected
from gylebook.journal.state import Entry
from gylebook.outputs.entries import entry_words
from gylebook.phrases import pack, unpack
from gylebook.steps.answers import Finding, Urgency
from gylebook.store.brew_log import Change
from gylebook.web.brews.addresses import entry_url

_KEY = "said"
_MOST = 5


@dataclass(frozen=True, slots=True)
class Written:
    """One entry that was written, in words."""

    seq: int
    words: str
    address: str
    withdrawable: bool


@dataclass(frozen=True, slots=True)
class Said:
    """What was written, whether it had been written before, and what the step noticed."""

    brew: str
    entries: tuple[Written, ...]
    findings: tuple[Finding, ...]
    repeated: bool


def remember(request: HttpRequest, book: str, change: Change, command_id: str) -> None:
    """Keep what a change came to for the next page; a form sent twice says it once."""
    waiting: list[dict[str, Any]] = request.session.get(_KEY, [])
    if change.repeated and any(each["id"] == command_id for each in waiting):
        return
    told = {
        "id": command_id,
        "book": book,
        "brew": change.brew,
        "repeated": change.repeated,
        "entries": [[e.seq, pack(entry_words(e.body)), _can_be_taken_back(e)] for e in change.entries],
        "findings": [[f.urgency.name, pack(f.text), pack(f.check), f.seq, f.key] for f in change.findings],
    }
    request.session[_KEY] = [*waiting, told][-_MOST:]


def heard(request: HttpRequest, book: str, brew: str | None = None) -> tuple[Said, ...]:
    """What waits to be shown for this book (and this brew, where one is named); it is taken away."""
    waiting: list[dict[str, Any]] = request.session.get(_KEY, [])
    if not waiting:
        return ()
    mine = [each for each in waiting if each["book"] == book and brew in (None, each["brew"])]
    request.session[_KEY] = [each for each in waiting if each not in mine]
    return tuple(map(_said, mine))


def _can_be_taken_back(entry: Entry) -> bool:
    """A brew hangs on its first plan, and a correction is mended by another one."""
    return entry.seq > 1 and not isinstance(entry.body, Corrected)


def _said(told: dict[str, Any]) -> Said:
    return Said(
        told["brew"],
        tuple(Written(seq, unpack(words), entry_url(told["brew"], seq), can) for seq, words, can in told["entries"]),
        tuple(
            Finding(Urgency[name], unpack(text), unpack(check), seq, key)
            for name, text, check, seq, key in told["findings"]
        ),
        bool(told["repeated"]),
    )
