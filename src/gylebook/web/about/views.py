"""About the book: what it takes no care of, the cautions that hold everywhere, its version and licence."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gylebook import __version__
from gylebook.steps.chosen import IN_SENTENCE
from gylebook.web.desk import desk

# Those of whose labels or limits the book knows anything.
COUNTRIES = {country: words for country, words in IN_SENTENCE.items() if country != "other"}


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """The page."""
    country = COUNTRIES.get(desk(request).shelf.settings.country or "", "")
    return render(request, "about/about.html", {"version": __version__, "country": country})
