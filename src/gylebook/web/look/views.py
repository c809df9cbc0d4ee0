"""Choosing how the pages look and which language they speak.

Both are kept in a cookie and drawn by the server, so that they work without script.
"""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from gylebook.steps.chosen import LANGUAGES
from gylebook.web.account.views import onward
from gylebook.web.language import LANGUAGE_COOKIE
from gylebook.web.page import LOOK_COOKIE, LOOKS

A_YEAR = 365 * 24 * 3600


@login_not_required
@require_POST
def choose(request: HttpRequest) -> HttpResponse:
    """Remember the look and go back to the page."""
    response = redirect(onward(request, request.POST.get("next", "")))
    look = request.POST.get("look", "")
    if look in LOOKS and look:
        response.set_cookie(LOOK_COOKIE, look, max_age=A_YEAR, httponly=True, samesite="Lax", secure=settings.HTTPS)
    else:
        response.delete_cookie(LOOK_COOKIE, samesite="Lax")
    return response


@login_not_required
@require_POST
def speak(request: HttpRequest) -> HttpResponse:
    """Remember the language for this browser and go back to the page."""
    response = redirect(onward(request, request.POST.get("next", "")))
    language = request.POST.get("language", "")
    if language in dict(LANGUAGES):
        response.set_cookie(
            LANGUAGE_COOKIE, language, max_age=A_YEAR, httponly=True, samesite="Lax", secure=settings.HTTPS
        )
    return response
