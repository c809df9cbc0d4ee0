"""A brew, opened: what every page below its number shows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

from gylebook.journal.state import Brew
from gylebook.store import brew_log
from gylebook.web.brews.addresses import log_url
from gylebook.web.brews.stages import stages_of
from gylebook.web.desk import Desk, desk
from gylebook.web.said import heard


@dataclass(frozen=True, slots=True)
class Opened:
    """A brew on the desk."""

    desk: Desk
    brew: Brew

    def context(self, request: HttpRequest) -> dict[str, Any]:
        """What its pages share; what was waiting to be said is taken along."""
        return {
            "brew": self.brew,
            "measures": self.desk.measures,
            "entries_at": log_url(self.brew.id),
            "stages": stages_of(self.brew, self.desk),
            "said": heard(request, self.desk.book, self.brew.id),
        }


def open_brew(request: HttpRequest, number: int) -> Opened:
    """The brew of that number, folded."""
    at = desk(request)
    return Opened(at, brew_log.read(str(number), book=at.book))
