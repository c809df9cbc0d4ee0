"""Pages for what went wrong: one plain sentence, and the way on."""

from __future__ import annotations

import logging

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

from gylebook import errors
from gylebook.web.api import faults as api_faults
from gylebook.web.page import frame

log = logging.getLogger(__name__)

# Status and heading for each of the book's own errors; the first match counts.
OWN_ERRORS: tuple[tuple[type[errors.GylebookError], int, str], ...] = (
    (errors.InputError, 422, "That cannot be read"),
    (errors.NotFound, 404, "Not in this book"),
    (errors.Conflict, 409, "Somebody wrote first"),
    (errors.Refused, 409, "Not now"),
    (errors.StoreUnavailable, 503, "The book cannot be opened"),
    (errors.JournalDamaged, 500, "An entry does not read back"),
    (errors.GylebookError, 500, "The book stopped here"),
)


def page(request: HttpRequest, status: int, heading: str, what: str, remedy: str = "") -> HttpResponse:
    """A fault's page, or for a program the same words as JSON; nothing is read from the database."""
    if api_faults.asked_by_a_program(request):
        return api_faults.answer(status, " ".join(part for part in (what, remedy) if part))
    context = {
        "page": frame(request, with_person=False),
        "heading": heading,
        "what": what,
        "remedy": remedy,
        "status": status,
    }
    return HttpResponse(render_to_string("fault.html", context), status=status)


def from_error(request: HttpRequest, error: errors.GylebookError) -> HttpResponse:
    """The page for one of the book's own errors."""
    status, heading = next((status, heading) for kind, status, heading in OWN_ERRORS if isinstance(error, kind))
    if status >= 500:
        log.error("%s: %s", type(error).__name__, error, exc_info=error)
    return page(request, status, heading, str(error))


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """400."""
    del exception  # its text may repeat what was sent
    return page(
        request,
        400,
        "That request cannot be read",
        "What arrived was incomplete, or came under a name that this book does not answer to.",
        "Go back and try once more. If you reach the book by another name, add it to GYLEBOOK_ALLOWED_HOSTS.",
    )


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    """403."""
    del exception
    return page(
        request, 403, "Not yours to open", "This page belongs to somebody else.", "Sign in as its owner, or go back."
    )


def csrf_refused(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403 for a form whose mark is missing or old."""
    del reason  # Django has logged it
    return page(
        request,
        403,
        "Nothing was written",
        "The form was too old, or this browser keeps no cookies for the book, so the entry was not taken.",
        "Go back, reload the page and send it again; what you typed is usually still there.",
    )


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404."""
    del exception
    return page(
        request,
        404,
        "No such page",
        "There is nothing in the book under this address.",
        "Start from Today, or from Brews.",
    )


def too_large(request: HttpRequest) -> HttpResponse:
    """413."""
    return page(
        request,
        413,
        "Too large to take in",
        "What you sent is over 10 MB, so nothing of it was kept and nothing was written.",
        "Send a smaller file, or split it into several.",
    )


def crashed(request: HttpRequest) -> HttpResponse:
    """500."""
    return page(
        request,
        500,
        "The book stumbled",
        "Something went wrong inside Gylebook. What had been written before is untouched.",
        "Go back and try once more; the details are in the log of the program.",
    )
