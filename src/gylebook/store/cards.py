"""Cards: what lists know of each brew, made anew whenever the brew, the shelf or the reckoning has changed.

A card is pencil. It is made in the transaction that writes the entry; should the reckoning fail, the entry is written
all the same and the card stays marked as out of date.
"""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from importlib import resources
from itertools import islice

import msgspec
from django.db import connections, transaction

from gylebook.journal.book_file import brew_order, entry_of, time_text
from gylebook.journal.codec import kind_of
from gylebook.journal.state import SHELF, Brew, Shelf, fold, fold_shelf
from gylebook.phrases import tell_hook
from gylebook.steps.learned import NOTHING_LEARNED, Learned
from gylebook.store import lessons, rows
from gylebook.store.faults import spoken
from gylebook.store.models import BrewCard

_log = logging.getLogger(__name__)
_encoder = msgspec.json.Encoder(order="deterministic", enc_hook=tell_hook)
_NAME_LENGTH = 300
_BLANK = ""
_BATCH = 200
_MADE = (
    "number", "head_seq", "shelf_seq", "cards_version", "state_hash", "fold",
    "open", "stage", "name", "next_due", "card", "learned",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Made:
    """A card as reckoned: when something is next due, and the whole card as JSON."""

    next_due: datetime | None
    text: str


@cache
def fold_version() -> str:
    """A short print of the code that folds entries: two folds can be compared only when it is the same."""
    found = hashlib.sha256()
    journal = resources.files("gylebook.journal")
    for name in ("codec.py", "events.py", "state.py", "upcasts.py"):
        found.update(journal.joinpath(name).read_bytes())
    return found.hexdigest()[:16]


def make_card(brew: Brew, shelf: Shelf, learned: Learned = NOTHING_LEARNED) -> Made:
    """Ask the steps for a brew's card: the one seam between the store and the reckoning.

    A card that would not read back, as one with a number that is none, is found out here and not by the page.
    """
    from gylebook.steps.cards import card, card_kept, card_read

    made = card(brew, shelf, learned=learned)
    text = card_kept(made)
    card_read(text)
    return Made(made.next_due if made.open else None, text.decode())


@cache
def cards_version() -> str:
    """The reckoning that today's cards come from."""
    from gylebook.steps.cards import CARDS_VERSION

    return f"{CARDS_VERSION}-{fold_version()}"


def state_hash(state: Brew) -> str:
    """A print of what a stream's entries amount to."""
    kept = [(k.seq, k.at, kind_of(k.event), k.event, k.corrected_by) for k in state.kept]
    return hashlib.sha256(_encoder.encode((state.id, state.head_seq, kept, sorted(state.struck)))).hexdigest()


def load(book: str, brew: str) -> Brew:
    """A brew, or the shelf as a stream, folded from its rows."""
    return fold(brew, map(entry_of, rows.page(book, brew)))


def load_shelf(book: str) -> Shelf:
    """The shelf, folded from its rows."""
    return fold_shelf(map(entry_of, rows.page(book, SHELF)))


def write_card(book: str, brew: Brew, shelf: Shelf, told: lessons.Ready | None = None, *, later: bool = False) -> None:
    """Make a brew's card and keep it; belongs inside the transaction that changed the brew.

    `later` leaves the reckoning until the card is shown, as where many more entries of the brew are at the door.
    """
    if later:
        write_blank(book, [brew])
        return
    version = cards_version()
    told = told or lessons.ready(book, shelf)
    try:
        made = make_card(brew, shelf, told.learned)
    except Exception:  # noqa: BLE001 - whatever it is, ink must not wait for pencil
        _log.exception("The card of brew %s could not be reckoned", brew.id)
        made, version = Made(None, ""), _failed(version)
    _keep(book, [_card(brew, made, shelf.head_seq, version, told.print)])


def write_blank(book: str, brews: Iterable[Brew]) -> None:
    """Keep what the entries themselves tell of these brews; the reckoning is left until a card is shown."""
    _keep(book, [_card(brew, Made(None, ""), 0, _BLANK) for brew in brews])


def _card(brew: Brew, made: Made, shelf_seq: int, version: str, learned: str = "") -> BrewCard:
    return BrewCard(
        brew=brew.id,
        number=int(brew.id),
        head_seq=brew.head_seq,
        shelf_seq=shelf_seq,
        cards_version=version,
        state_hash=state_hash(brew),
        fold=fold_version(),
        open=brew.open,
        stage=brew.stage,
        name=brew.name[:_NAME_LENGTH],
        next_due=time_text(made.next_due) if made.next_due else None,
        card=made.text,
        learned=learned,
    )


def _keep(book: str, made: list[BrewCard]) -> None:
    BrewCard.objects.using(book).bulk_create(made, update_conflicts=True, unique_fields=["brew"], update_fields=_MADE)


def refresh(book: str, brews: Iterable[str]) -> int:
    """Make the cards of these brews anew, each under its own lock; returns how many."""
    done = 0
    with spoken(book):
        late = sorted(brews, key=brew_order)
        told = lessons.renewed(book) if late else None
        for brew in late:
            with transaction.atomic(using=book):
                rows.lock(book, brew)
                write_card(book, load(book, brew), load_shelf(book), told)
            done += 1
    return done


def fold_again(book: str) -> int:
    """Fold those brews anew whose card is missing or comes from another fold, as after an upgrade; returns how many.

    Nothing is reckoned here, so that it takes seconds even where there are thousands of brews.
    """
    folded = BrewCard.objects.using(book).filter(fold=fold_version()).values_list("brew", flat=True)
    wanting = iter(sorted(set(rows.streams(book)) - {SHELF, *folded}, key=brew_order))
    done = 0
    while batch := list(islice(wanting, _BATCH)):
        with transaction.atomic(using=book):
            for brew in batch:
                rows.lock(book, brew)
            write_blank(book, [load(book, brew) for brew in batch])
        done += len(batch)
    return done


def outdated(book: str) -> list[str]:
    """Brews whose card is missing, or was made from fewer entries, another shelf or another reckoning."""
    with spoken(book), connections[book].cursor() as cursor:
        cursor.execute("SELECT brew, MAX(seq) FROM journal_entry GROUP BY brew")
        heads: dict[str, int] = dict(cursor.fetchall())
        cards = {card.brew: card for card in BrewCard.objects.using(book).defer("card")}
        learned = lessons.renewed(book).print
    shelf_seq = heads.pop(SHELF, 0)
    return [
        brew
        for brew in sorted(heads, key=brew_order)
        if brew not in cards or cards[brew].head_seq != heads[brew] or not current(cards[brew], shelf_seq, learned)
    ]


def rebuild(book: str) -> int:
    """Make every card that is out of date anew; returns how many."""
    return refresh(book, outdated(book))


def current(card: BrewCard, shelf_seq: int, learned: str) -> bool:
    """Whether a card was made with today's shelf, today's reckoning and, while the brew is open, today's lessons."""
    version = cards_version()
    if card.open and card.learned != learned:
        return False
    return card.shelf_seq == shelf_seq and card.cards_version in {version, _failed(version)}


def folded_otherwise(book: str) -> bool:
    """Whether any card comes from another fold, so that even names and stages may have changed."""
    return BrewCard.objects.using(book).exclude(fold=fold_version()).exists()


def unreckoned(book: str) -> list[str]:
    """Open brews whose card comes from no reckoning yet or from another one: what is due in them is not known."""
    version = cards_version()
    cards = BrewCard.objects.using(book).filter(open=True).exclude(cards_version__in=[version, _failed(version)])
    return list(cards.values_list("brew", flat=True))


def _failed(version: str) -> str:
    """Marks a card that could not be made, so that it is tried again only when something has changed."""
    return f"failed-{version}"
