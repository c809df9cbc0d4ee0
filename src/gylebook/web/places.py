"""A place of the book whose own page is not in the address table yet: its heading, and that it is empty."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def empty(request: HttpRequest, name: str) -> HttpResponse:
    """The heading alone."""
    return render(request, "place.html", {"name": name})
