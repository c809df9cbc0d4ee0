"""What a page works with: the book that lies open, the moment, the shelf, and how its brewer reads."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import partial

from django.conf import settings
from django.http import HttpRequest
from django.utils import timezone

from gylebook.journal.state import Shelf
from gylebook.outputs.wording import Preferences, preferences
from gylebook.steps.decision import Setting
from gylebook.store import brew_log
from gylebook.store.standing import standing_cards, standing_full
from gylebook.web.account.views import actor
from gylebook.web.page import book_of

SOURCE = "page"


@dataclass(frozen=True, slots=True)
class Desk:
    """The open book and who sits before it."""

    book: str
    now: datetime
    shelf: Shelf
    measures: Preferences
    actor: str

    def setting(self, confirmed: frozenset[str] = frozenset()) -> Setting:
        """What the steps may know."""
        learned = brew_log.read_learned(self.shelf, book=self.book)
        full = partial(standing_full, book=self.book)
        others = partial(standing_cards, book=self.book)
        return Setting(self.now, self.shelf, self.measures.zone, confirmed, learned, full, others)


def desk(request: HttpRequest) -> Desk:
    """The desk of this request."""
    book = book_of(request)
    shelf, now = brew_log.read_shelf(book=book), timezone.now()
    return Desk(book, now, shelf, preferences(shelf.settings, settings.TIME_ZONE, now), actor(request))
