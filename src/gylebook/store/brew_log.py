"""The one door to the journal: everything that is read or written goes through here.

A change loads the entries, folds them, asks the step what to write, adds it and refreshes the brew's card, in one
transaction. A command that comes again gets the entries of the first time and runs nothing.
"""

from __future__ import annotations

import random
import re
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import Any, Generic, TypeVar

from django.db import IntegrityError, transaction

from gylebook.errors import Conflict, InputError, InputErrors, NotFound, Refused
from gylebook.journal.book_file import SOURCES, Row, belongs, entry_of, row_of
from gylebook.journal.codec import kind_of
from gylebook.journal.state import SHELF, Brew, Entry, Shelf, fold, further
from gylebook.phrases import say
from gylebook.steps.answers import Finding
from gylebook.steps.decision import Decision
from gylebook.steps.learned import Learned
from gylebook.store import cards, lessons, rows, sent_prints
from gylebook.store.brew_list import Listed, Page, brews, count, due
from gylebook.store.databases import DEFAULT
from gylebook.store.faults import spoken
from gylebook.store.turns import writing

__all__ = [
    "Change",
    "Command",
    "Listed",
    "Page",
    "brews",
    "change",
    "change_many",
    "change_shelf",
    "count",
    "due",
    "entries",
    "latest_entries",
    "read",
    "read_learned",
    "read_shelf",
    "start_brew",
    "try_many",
    "written_before",
]

S = TypeVar("S", Brew, Shelf)

_COMMAND_ID = re.compile(r"[A-Za-z0-9._:-]{1,100}")
_TRIES, _NEW_BREW = 5, "a new brew"
_NO_ID, _OF_AN_ID = say("this cannot be one"), say("use 1 to 100 of the characters A-Z a-z 0-9 . _ : -")
_BUSY = say("Somebody else keeps writing here at the same moment; look at the newest entries and repeat.")


@dataclass(frozen=True, slots=True)
class Change:
    """What a change came to.

    Parameters
    ----------
    brew
        Where it was written: a brew's number, or "shelf".
    entries
        The entries as written; those of the first time where the command came again.
    findings
        What the step noticed; empty where the command came again.
    repeated
        True where the command had been carried out before.
    """

    brew: str
    entries: tuple[Entry, ...]
    findings: tuple[Finding, ...] = ()
    repeated: bool = False


@dataclass(frozen=True, slots=True)
class Command(Generic[S]):
    """One thing to carry out: an id that its sender made up, and the step's decision about the state.

    `content` is a print of what was sent, where the sender may send again: the same id with another one is a Conflict.
    """

    id: str
    decide: Callable[[S], Decision]
    content: str = ""


@dataclass(frozen=True, slots=True)
class Stamp:
    """Who writes, in which book, from where, and when."""

    book: str
    actor: str
    source: str
    now: datetime
    card_later: bool = False

    def __post_init__(self) -> None:
        if self.source not in SOURCES:
            raise ValueError(f"{self.source!r} is no source; use one of {', '.join(SOURCES)}")
        if not 1 <= len(self.actor) <= 150 or not self.actor.isprintable():
            raise ValueError("an entry needs the name of who writes it, of at most 150 printable characters")


def read(brew: str, *, book: str = DEFAULT) -> Brew:
    """A brew, folded from its entries.

    Raises
    ------
    NotFound
        There is no such brew.
    StoreUnavailable
        The database is missing, locked or refuses.
    """
    with spoken(book):
        state = cards.load(book, brew)
    if not state.entries or brew == SHELF:
        raise NotFound(say("There is no brew {brew} in this book; look for it in the list of brews.", brew=brew[:20]))
    return state


def read_shelf(*, book: str = DEFAULT) -> Shelf:
    """The shelf, folded from its entries; empty in a new book."""
    with spoken(book):
        return cards.load_shelf(book)


def read_learned(shelf: Shelf, *, book: str = DEFAULT) -> Learned:
    """What finished brews taught, as far as the shelf lets it count."""
    with spoken(book):
        return lessons.renewed(book, shelf).learned


def entries(brew: str, *, book: str = DEFAULT, after: int = 0, limit: int | None = None) -> tuple[Entry, ...]:
    """Entries of a brew, or of the shelf, above a sequence number, in order."""
    with spoken(book):
        return tuple(map(entry_of, rows.page(book, brew, after, limit)))


def latest_entries(brew: str, *, book: str = DEFAULT, before: int | None = None, limit: int = 50) -> tuple[Entry, ...]:
    """The newest entries of a brew below a sequence number, newest first: the log's pages."""
    with spoken(book):
        return tuple(map(entry_of, rows.last_page(book, brew, before, limit)))


def change(
    brew: str,
    decide: Callable[[Brew], Decision],
    *,
    actor: str,
    source: str,
    command_id: str,
    now: datetime,
    book: str = DEFAULT,
    expected_seq: int | None = None,
    content: str = "",
    card_later: bool = False,
) -> Change:
    """Write in a brew what a step decides.

    Parameters
    ----------
    brew
        The brew's number.
    decide
        From the brew as it stands to the entries to write; may be asked again when another writer was first.
    actor, source, now
        Who writes, through which way in (one of SOURCES), and the moment of writing.
    command_id
        Made up by the sender: letters, digits and . _ : - only. The same id is carried out once.
    book
        Which book.
    expected_seq
        The last sequence number that the sender saw; when given, anything newer is a Conflict.
    content
        A print of what was sent; when given, the same id with another content is a Conflict.
    card_later
        Whether the brew's card is left until it is shown, as where more entries of it are at the door.

    Raises
    ------
    NotFound, Refused, InputError
        No such brew; or what the step itself refuses.
    Conflict
        Somebody else wrote first.
    StoreUnavailable
        The database is missing, locked or refuses.
    """
    command = Command(command_id, decide, content)
    write = partial(_write_brew, Stamp(book, actor, source, now, card_later), brew, [command], expected_seq)
    return _carry_out(book, write, [command_id])[0]


def change_many(
    brew: str, commands: Sequence[Command[Brew]], *, actor: str, source: str, now: datetime, book: str = DEFAULT
) -> list[Change]:
    """Carry out several commands on one brew, all or none; each sees what those before it wrote.

    Raises
    ------
    InputErrors
        Every fault that a decision found, not only the first; nothing was written.
    """
    faults: list[InputError] = []

    def write() -> list[Change]:
        faults.clear()
        changes = _write_brew(Stamp(book, actor, source, now), brew, commands, None, faults)
        if faults:
            raise InputErrors(faults)
        return changes

    return _carry_out(book, write, [command.id for command in commands])


def try_many(
    brew: str, commands: Sequence[Command[Brew]], *, actor: str, source: str, now: datetime, book: str = DEFAULT
) -> tuple[list[Change], list[InputError]]:
    """What `change_many` would write, and the faults that would stop it; everything is taken back."""
    faults: list[InputError] = []

    def write() -> list[Change]:
        faults.clear()
        changes = _write_brew(Stamp(book, actor, source, now), brew, commands, None, faults)
        transaction.set_rollback(True, using=book)
        return changes

    return _carry_out(book, write, [command.id for command in commands]), faults


def change_shelf(
    decide: Callable[[Shelf], Decision],
    *,
    actor: str,
    source: str,
    command_id: str,
    now: datetime,
    book: str = DEFAULT,
    expected_seq: int | None = None,
    content: str = "",
) -> Change:
    """As `change`, for what belongs to no brew: kits, instruments, vessels, places, bottles, stock, settings."""
    command = Command(command_id, decide, content)
    write = partial(_write_shelf, Stamp(book, actor, source, now), command, expected_seq)
    return _carry_out(book, write, [command_id])[0]


def start_brew(
    decide: Callable[[Brew], Decision],
    *,
    actor: str,
    source: str,
    command_id: str,
    now: datetime,
    book: str = DEFAULT,
    content: str = "",
) -> Change:
    """Begin a brew under the next free number; `decide` is given the empty brew with that number."""
    command = Command(command_id, decide, content)
    write = partial(_write_new, Stamp(book, actor, source, now), command)
    return _carry_out(book, write, [command_id])[0]


def _carry_out(book: str, write: Callable[[], list[Change]], command_ids: Sequence[str]) -> list[Change]:
    for command_id in command_ids:
        if not _COMMAND_ID.fullmatch(command_id):
            raise InputError("Command id", _NO_ID, _OF_AN_ID)
    clash: IntegrityError | None = None
    for attempt in range(_TRIES):
        if attempt:
            time.sleep(random.uniform(0.002, 0.02) * attempt)  # noqa: S311 - only to step out of each other's way
        try:
            with spoken(book), writing(book):
                return write()
        except IntegrityError as error:
            clash = error
    raise Conflict(_BUSY) from clash


def _write_brew(
    stamp: Stamp,
    brew: str,
    commands: Sequence[Command[Brew]],
    expected_seq: int | None,
    faults: list[InputError] | None = None,
) -> list[Change]:
    """Carry out commands; with a list for them, faults are gathered and the others go on."""
    book = stamp.book
    rows.lock(book, brew)
    state: Brew | None = None
    changes: list[Change] = []
    wrote = False
    for command in commands:
        before = written_before(book, brew, command.id, command.content)
        if before:
            changes.append(before)
            continue
        if state is None:
            state = read(brew, book=book)
            _expect(brew, state.head_seq, expected_seq)
        try:
            decision = command.decide(state)
        except InputError as fault:
            if faults is None:
                raise
            faults.append(fault)
            continue
        done = _append(stamp, brew, state.head_seq, command, decision)
        changes.append(done)
        if done.entries:
            state = further(state, done.entries)
            wrote = True
    if wrote and state is not None:
        cards.write_card(book, state, cards.load_shelf(book), later=stamp.card_later)
    return changes


def _write_shelf(stamp: Stamp, command: Command[Shelf], expected_seq: int | None) -> list[Change]:
    book = stamp.book
    rows.lock(book, SHELF)
    before = written_before(book, SHELF, command.id, command.content)
    if before:
        return [before]
    shelf = cards.load_shelf(book)
    _expect(SHELF, shelf.head_seq, expected_seq)
    return [_append(stamp, SHELF, shelf.head_seq, command, command.decide(shelf))]


def _write_new(stamp: Stamp, command: Command[Brew]) -> list[Change]:
    book = stamp.book
    rows.lock(book, _NEW_BREW)
    before = written_before(book, None, command.id, command.content)
    if before:
        return [before]
    brew = str(max((int(found) for found in rows.streams(book) if found != SHELF), default=0) + 1)
    decision = command.decide(Brew(brew, (), ()))
    if not decision.events:
        raise Refused(say("A brew begins with its plan, and nothing was written; give the brew a name."))
    done = _append(stamp, brew, 0, command, decision)
    cards.write_card(book, fold(brew, done.entries), cards.load_shelf(book))
    return [done]


def written_before(book: str, brew: str | None, command_id: str, content: str = "") -> Change | None:
    """What a command that comes again wrote the first time, in this brew where one is named; None where it is new.

    Raises
    ------
    Conflict
        The id was used for something else.
    """
    found = rows.of_command(book, command_id)
    if not found:
        return None
    if brew is not None and found[0].brew != brew:
        again = say("This entry's id was used before, for brew {brew}; send it with a new id.", brew=found[0].brew)
        raise Conflict(again)
    if content:
        sent_prints.expect_same(book, command_id, content)
    return Change(found[0].brew, tuple(map(entry_of, found)), repeated=True)


def _expect(brew: str, head_seq: int, expected_seq: int | None) -> None:
    if expected_seq is not None and head_seq != expected_seq:
        where = say("The shelf") if brew == SHELF else say("Brew {brew}", brew=brew)
        raise Conflict(say("{where} has newer entries than those you saw; look at them and repeat.", where=where))


def _append(stamp: Stamp, brew: str, head_seq: int, command: Command[Any], decision: Decision) -> Change:
    written: list[Row] = []
    for place, (happened_at, event) in enumerate(decision.events, start=1):
        kind = kind_of(event)
        if not belongs(brew, kind):
            raise ValueError(f"an entry {kind!r} cannot stand in {brew!r}")
        written.append(
            row_of(
                brew,
                head_seq + place,
                happened_at,
                event,
                now=stamp.now,
                by=stamp.actor,
                source=stamp.source,
                command_id=rows.numbered(command.id, place),
            )
        )
    if written:
        rows.insert(stamp.book, written)
        if command.content:
            sent_prints.keep(stamp.book, command.id, command.content)
    return Change(brew, tuple(map(entry_of, written)), decision.findings)
