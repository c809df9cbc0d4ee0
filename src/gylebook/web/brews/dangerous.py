"""Bottles that may burst: one page that needs no brew, reached from every other."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gylebook.steps.conditioning import dangerous_bottles
from gylebook.web.desk import desk


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """What to do, in order."""
    return render(request, "brews/dangerous.html", {"measures": desk(request).measures, "answer": dangerous_bottles()})
