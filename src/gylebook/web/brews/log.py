"""The whole log of a brew, newest first, a page at a time."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from gylebook.web.brews.log_lines import log_page
from gylebook.web.brews.opened import open_brew


@require_safe
def page(request: HttpRequest, brew: int) -> HttpResponse:
    """One page of the log."""
    opened = open_brew(request, brew)
    wanted = request.GET.get("page", "")
    number = int(wanted) if wanted.isascii() and wanted.isdigit() and len(wanted) < 7 else 1
    return render(request, "brews/log.html", {**opened.context(request), "log": log_page(opened, number)})
