"""The first steps of a new book, on Today until the first brew is bottled or they are put away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from gylebook.journal.state import Brew
from gylebook.steps.first_brew import FirstStep, first_steps
from gylebook.store import brew_log
from gylebook.store.brew_list import Listed
from gylebook.web.brews.addresses import act_url
from gylebook.web.desk import Desk

AWAY_COOKIE = "gylebook_first_steps"
_A_YEAR = 365 * 24 * 3600
_PAGES = {"keep_kit": "kit_new", "keep_instrument": "instruments", "keep_bottles": "bottles", "plan": "brew_new"}


@dataclass(frozen=True, slots=True)
class Line:
    """A step, where it is written down ("" while there is no brew to write it in), and whether it comes next."""

    step: FirstStep
    url: str
    next: bool


def first_lines(request: HttpRequest, at: Desk, listed: Sequence[Listed]) -> list[Line]:
    """The steps for the one brew of the book, or for none; nothing where there are more or they were put away."""
    if len(listed) > 1 or AWAY_COOKIE in request.COOKIES:
        return []
    brew = brew_log.read(listed[0].brew, book=at.book) if listed else None
    steps = first_steps(at.shelf, brew)
    to_do = next((step for step in steps if not step.done), None)
    return [Line(step, _url(step, brew), step is to_do) for step in steps]


def _url(step: FirstStep, brew: Brew | None) -> str:
    if step.act in _PAGES:
        return reverse(_PAGES[step.act])
    return act_url(brew.id, step.act) if brew else ""


@require_POST
def put_away(request: HttpRequest) -> HttpResponse:
    """Show the first steps no more in this browser."""
    del request
    response = redirect("today")
    response.set_cookie(AWAY_COOKIE, "away", max_age=_A_YEAR, httponly=True, samesite="Lax", secure=settings.HTTPS)
    return response
