"""Bottles that may burst: one page that needs no brew, reached from every other."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gylebook.outputs.sheets import sheet
from gylebook.steps.brew_day import danger
from gylebook.steps.conditioning import dangerous_bottles
from gylebook.web.brews.papers import pdf_response
from gylebook.web.desk import desk


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """What to do, in order."""
    return render(request, "brews/dangerous.html", {"measures": desk(request).measures, "answer": dangerous_bottles()})


@require_safe
def slip(request: HttpRequest) -> HttpResponse:
    """The same as a paper, to hang beside the bottles."""
    at = desk(request)
    made = sheet(danger(), at.measures, at.now, page=request.GET.get("page", "A4"))
    return pdf_response(made, "bottles-that-may-burst.pdf")
