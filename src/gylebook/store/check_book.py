"""Looking a book through: is every entry there, does it read, and does it still amount to what it did?"""

from __future__ import annotations

from collections.abc import Iterator

from django.db import connections

from gylebook.errors import InputError, JournalDamaged
from gylebook.journal.book_file import Row, check_body, entry_of, line, read_line
from gylebook.journal.state import SHELF, Brew, fold, fold_shelf
from gylebook.phrases import say
from gylebook.steps.answers import Finding, Urgency
from gylebook.store import cards, rows
from gylebook.store.databases import DEFAULT
from gylebook.store.faults import spoken
from gylebook.store.models import BrewCard

_RESTORE = say("Restore the latest backup, or ask for help with a copy of this book.")
_TRIGGERS = {
    "sqlite": {"journal_entry_no_update", "journal_entry_no_delete", "journal_entry_no_replace"},
    "postgresql": {"journal_entry_no_change", "journal_entry_no_truncate"},
}
_TRIGGER_NAMES = {
    "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'journal_entry'",
    "postgresql": "SELECT tgname FROM pg_trigger WHERE tgrelid = 'journal_entry'::regclass AND tgenabled <> 'D'",
}


def check_book(*, book: str = DEFAULT) -> list[Finding]:
    """Everything that is wrong with a book; empty where nothing is."""
    with spoken(book), rows.snapshot(book):
        return [*_guards(book), *_doubled(book), *_streams(book), *_stray_cards(book)]


def _guards(book: str) -> Iterator[Finding]:
    vendor = connections[book].vendor
    with connections[book].cursor() as cursor:
        cursor.execute(_TRIGGER_NAMES[vendor])
        missing = sorted(_TRIGGERS[vendor] - {str(found[0]) for found in cursor.fetchall()})
    if missing:
        text = say(
            "The journal is not guarded against changes any more ({guards} is missing).", guards=", ".join(missing)
        )
        yield Finding(Urgency.ACT, text, say("Export the book, and import it into a new one."), key="unguarded")
    if vendor == "sqlite":
        with connections[book].cursor() as cursor:
            cursor.execute("PRAGMA quick_check(1)")
            found = str(cursor.fetchone()[0])
        if found != "ok":
            yield Finding(
                Urgency.DANGER, say("The book's file is damaged: {found}.", found=found), _RESTORE, key="damaged"
            )


def _doubled(book: str) -> Iterator[Finding]:
    with connections[book].cursor() as cursor:
        cursor.execute("SELECT command_id, COUNT(*) FROM journal_entry GROUP BY command_id HAVING COUNT(*) > 1")
        for command_id, times in cursor.fetchall():
            yield Finding(
                Urgency.DANGER,
                say("The command {command} stands {times} times.", command=command_id, times=times),
                _RESTORE,
                key="doubled",
            )


def _streams(book: str) -> Iterator[Finding]:
    kept = {card.brew: card for card in BrewCard.objects.using(book).defer("card")}
    with connections[book].cursor() as cursor:
        cursor.execute("SELECT DISTINCT brew FROM journal_entry")
        streams = [str(found[0]) for found in cursor.fetchall()]
    for brew in sorted(streams, key=lambda each: (len(each), each)):
        found = rows.page(book, brew)
        faults = [*_faults_of(brew, found)]
        yield from faults
        if faults:
            continue
        try:
            state = fold(brew, map(entry_of, found))
            if brew == SHELF:
                fold_shelf(state.entries)
        except Exception as fault:  # noqa: BLE001 - whatever it is, it is what was looked for
            yield Finding(
                Urgency.DANGER,
                say("{named} does not fold: {fault}", named=_named(brew), fault=fault),
                _RESTORE,
                key="unfoldable",
            )
            continue
        if brew != SHELF:
            yield from _card(state, kept.get(brew))


def _faults_of(brew: str, found: list[Row]) -> Iterator[Finding]:
    for place, row in enumerate(found, start=1):
        if row.seq != place:
            text = say(
                "{named} has entry {seq} where entry {place} should be.", named=_named(brew), seq=row.seq, place=place
            )
            yield Finding(Urgency.DANGER, text, _RESTORE, row.seq, "gap")
            return
        where = say("{named}, entry {seq}", named=_named(brew), seq=row.seq)
        try:
            _check_row(where, row)
        except (InputError, JournalDamaged) as fault:
            yield Finding(Urgency.DANGER, str(fault), _RESTORE, row.seq, "unreadable")


def _check_row(where: str, row: Row) -> None:
    if read_line(where, line(row)) != row:
        raise InputError(where, say("it is not written as entries are"), say("restore the latest backup"))
    check_body(where, row)


def _card(state: Brew, card: BrewCard | None) -> Iterator[Finding]:
    mend = say("It is made anew when the list of brews is next shown.")
    if card is None or card.head_seq != state.head_seq:
        yield Finding(
            Urgency.WAIT,
            say("The card of {named} is out of date.", named=_named(state.id).lower()),
            mend,
            key="late_card",
        )
    elif card.fold == cards.fold_version() and card.state_hash != cards.state_hash(state):
        text = say("{named} no longer amounts to what it did when it was written.", named=_named(state.id))
        yield Finding(Urgency.DANGER, text, _RESTORE, key="changed")


def _stray_cards(book: str) -> Iterator[Finding]:
    with connections[book].cursor() as cursor:
        cursor.execute("SELECT brew FROM brew_card WHERE brew NOT IN (SELECT brew FROM journal_entry WHERE seq = 1)")
        for (brew,) in cursor.fetchall():
            text = say("There is a card of brew {brew}, and no such brew.", brew=brew)
            yield Finding(Urgency.DANGER, text, _RESTORE, key="stray_card")


def _named(brew: str) -> str:
    return say("The shelf") if brew == SHELF else say("Brew {brew}", brew=brew)
