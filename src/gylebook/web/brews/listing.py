"""The list of brews: open ones by stage, then the closed; looked for by name or number."""

from __future__ import annotations

import re
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gylebook.journal.state import STAGES
from gylebook.outputs.phrases import WORDS_OF_STAGE
from gylebook.phrases import capital
from gylebook.steps.cards import Card, Said, says
from gylebook.store import brew_log
from gylebook.store.brew_log import Listed
from gylebook.web.brews.addresses import brew_url
from gylebook.web.cards import card_of, where
from gylebook.web.desk import Desk, desk

_PAGE = 50
_NUMBER = re.compile(r"(?:no\.?\s*|#)?(\d{1,9})", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Row:
    """One brew of the list."""

    listed: Listed
    card: Card | None
    says: Said | None
    where: str
    address: str


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """The brews, a page at a time."""
    at = desk(request)
    query = request.GET.get("q", "").strip()[:100]
    closed = request.GET.get("closed") == "1"
    before = request.GET.get("before", "")
    below = int(before) if before.isascii() and before.isdigit() and len(before) < 10 else None
    found = brew_log.brews(at.book, open_only=None if query else not closed, named=query, before=below, limit=_PAGE)
    counts = brew_log.count(at.book)
    context = {
        "measures": at.measures,
        "query": query,
        "closed": closed,
        "counts": counts,
        "groups": _groups([*_numbered(at, query), *found.brews], at),
        "before": found.before,
        "none_at_all": not counts["open"] and not counts["closed"],
    }
    return render(request, "brews/list.html", context)


def _numbered(at: Desk, query: str) -> tuple[Listed, ...]:
    """The brew of that number, where a number was looked for."""
    match = _NUMBER.fullmatch(query)
    if not match:
        return ()
    number = int(match[1])
    return tuple(b for b in brew_log.brews(at.book, before=number + 1, limit=1).brews if b.number == number)


def _groups(brews: list[Listed], at: Desk) -> list[tuple[str, str, list[Row]]]:
    """The brews by stage with its heading, those that want most doing first."""
    rows = [_row(listed, at) for listed in dict.fromkeys(brews)]
    order = sorted(STAGES, key=lambda stage: (stage in ("closed", "dumped"), STAGES.index(stage)))
    return [
        (stage, capital(WORDS_OF_STAGE[stage]), own)
        for stage in order
        if (own := [row for row in rows if row.listed.stage == stage])
    ]


def _row(listed: Listed, at: Desk) -> Row:
    card = card_of(listed)
    says_now = says(card, at.now, at.measures.zone) if card else None
    return Row(listed, card, says_now, where(card) if card else "", brew_url(listed.brew))
