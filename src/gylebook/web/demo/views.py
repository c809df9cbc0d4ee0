"""The demo book's own act: starting it afresh."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from gylebook.store import demo
from gylebook.store.databases import DEMO
from gylebook.web.page import book_of


@require_POST
def start_afresh(request: HttpRequest) -> HttpResponse:
    """Throw away what was tried in the demo book and fill it again; the own book has no such act."""
    if book_of(request) != DEMO:
        raise Http404
    demo.fill(DEMO)
    return redirect("today")
