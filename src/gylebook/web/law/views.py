"""The law where the brewer lives: a card by country, and how much was brewed of what is allowed a year."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gylebook.errors import InputError
from gylebook.steps.answers import Answer
from gylebook.steps.chosen import COUNTRIES
from gylebook.steps.law import CHOOSE, EVERYWHERE, law, standing_words, title_of, year_so_far
from gylebook.steps.law_lines import LawCard
from gylebook.store.begun import begun_in
from gylebook.web.desk import Desk, desk


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """The card of the settings' country, or of the one that is asked for."""
    at = desk(request)
    own = at.shelf.settings.country
    fault = ""
    try:
        card = law(request.GET.get("country") or own)
    except InputError as error:
        card, fault = law(own), str(error)
    shown = card.country if card is not None else ""
    context = {
        "measures": at.measures,
        "card": card,
        "title": title_of(card),
        "standing": standing_words(card),
        "everywhere": EVERYWHERE,
        "choose": "" if own else CHOOSE,
        "other_than_own": bool(own) and shown != own,
        "answer": _year(card, at) if card is not None else None,
        "countries": [(value, words) for value, words in COUNTRIES if value != shown],
        "fault": fault,
    }
    return render(request, "law/law.html", context, status=422 if fault else 200)


def _year(card: LawCard, at: Desk) -> Answer | None:
    """What was brewed this year; no log is read where the card has no amount."""
    if not card.allowed:
        return None
    zone = at.measures.zone
    made = begun_in(at.now.astimezone(zone).year, zone, book=at.book)
    return year_so_far(card, made, at.shelf, at.now, zone)
