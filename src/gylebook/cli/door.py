"""The way into the book: Django is started here, only for commands that need the book."""

from __future__ import annotations

import gc
import logging
import os
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from typing import TYPE_CHECKING

import click

from gylebook.cli.spoken import echo, speak_to
from gylebook.errors import Refused
from gylebook.journal.state import Shelf
from gylebook.outputs.wording import Preferences, preferences
from gylebook.phrases import say
from gylebook.steps.decision import Setting

if TYPE_CHECKING:
    from gylebook.steps.cards import Card

ACTOR = "owner"
SOURCE = "command"


@dataclass(frozen=True, slots=True)
class OpenBook:
    """The book, opened: which one, the moment, the shelf, and how its brewer reads."""

    book: str
    now: datetime
    shelf: Shelf
    prefs: Preferences

    def setting(self, confirmed: frozenset[str] = frozenset()) -> Setting:
        """What the steps may know."""
        from gylebook.store.brew_log import read_learned

        def full() -> Mapping[str, int]:
            from gylebook.store.standing import standing_full

            return standing_full(book=self.book)

        def others() -> Sequence[Card]:
            from gylebook.store.standing import standing_cards

            return standing_cards(book=self.book)

        learned = read_learned(self.shelf, book=self.book)
        return Setting(self.now, self.shelf, self.prefs.zone, confirmed, learned, full, others)


def book_name() -> str:
    """The book that the command line chose: the brewer's own, or the example."""
    return str(click.get_current_context().meta.get("gylebook.book", "default"))


def now() -> datetime:
    """The present moment; the one place where the command line asks for it."""
    return datetime.now(UTC)


def new_id() -> str:
    """An id for one command, so that the same one is never carried out twice."""
    return f"command-{uuid.uuid4().hex}"


@cache
def start() -> None:
    """Start Django with the book's settings, which are named and not imported: they belong to the pages."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "gylebook.web.settings")
    import django

    django.setup()
    gc.enable()
    if os.environ.get("GYLEBOOK_DEBUG") != "1":
        for handler in logging.getLogger().handlers:
            handler.addFilter(in_one_line)


def in_one_line(record: logging.LogRecord) -> bool:
    """Tell a fault that was noted on the way in one line; how it came about is for those who ask for it."""
    if record.exc_info and record.exc_info[1] is not None:
        fault = record.exc_info[1]
        record.msg = f"{record.getMessage()} ({type(fault).__name__}: {' '.join(str(fault).split())})"
        record.args, record.exc_info, record.exc_text = (), None, None
    return True


def ready() -> tuple[str, datetime]:
    """Start Django and bring the tables of the chosen book up to date; its name, and the present moment."""
    start()
    from django.conf import settings

    from gylebook.store.upgrade import bring_up_to_date

    book, moment = book_name(), now()
    for copy in bring_up_to_date(settings.HOME, moment, (book,)):
        echo(say("The book was upgraded; a copy from before lies in {copy}", copy=copy), err=True)
    return book, moment


def open_book() -> OpenBook:
    """The chosen book, ready, with its shelf read."""
    book, moment = ready()
    from django.conf import settings

    from gylebook.store.brew_log import read_shelf

    if book != "default":
        from gylebook.store.demo import is_empty

        if is_empty(book):
            raise Refused(say("The example book is empty: fill it with “gylebook demo fill” first."))
    shelf = read_shelf(book=book)
    prefs = preferences(shelf.settings, settings.TIME_ZONE, moment)
    speak_to(shelf.settings, prefs)
    return OpenBook(book, moment, shelf, prefs)


def only_own_book() -> None:
    """Refuse what makes no sense for the example book.

    Raises
    ------
    Refused
        When the command line chose the example.
    """
    if book_name() != "default":
        raise Refused(say("The example book can be filled afresh at any time; leave --demo out to mean your own book."))
