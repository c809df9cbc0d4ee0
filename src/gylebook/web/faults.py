"""Pages for what went wrong: one plain sentence, and the way on."""

from __future__ import annotations

import logging

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string

from gylebook import errors
from gylebook.phrases import joined, say
from gylebook.web.api import faults as api_faults
from gylebook.web.page import frame

log = logging.getLogger(__name__)

# Status and heading for each of the book's own errors; the first match counts.
OWN_ERRORS: tuple[tuple[type[errors.GylebookError], int, str], ...] = (
    (errors.InputError, 422, say("That cannot be read")),
    (errors.NotFound, 404, say("Not in this book")),
    (errors.Conflict, 409, say("Somebody wrote first")),
    (errors.Refused, 409, say("Not now")),
    (errors.StoreUnavailable, 503, say("The book cannot be opened")),
    (errors.JournalDamaged, 500, say("An entry does not read back")),
    (errors.GylebookError, 500, say("The book stopped here")),
)


def page(request: HttpRequest, status: int, heading: str, what: str, remedy: str = "") -> HttpResponse:
    """A fault's page, or for a program the same words as JSON; nothing is read from the database."""
    if api_faults.asked_by_a_program(request):
        return api_faults.answer(status, joined(" ", (part for part in (what, remedy) if part)))
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
        say("That request cannot be read"),
        say("What arrived was incomplete, or came under a name that this book does not answer to."),
        say("Go back and try once more. If you reach the book by another name, add it to GYLEBOOK_ALLOWED_HOSTS."),
    )


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    """403."""
    del exception
    return page(
        request,
        403,
        say("Not yours to open"),
        say("This page belongs to somebody else."),
        say("Sign in as its owner, or go back."),
    )


def csrf_refused(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403 for a form whose mark is missing or old."""
    del reason  # Django has logged it
    return page(
        request,
        403,
        say("Nothing was written"),
        say("The form was too old, or this browser keeps no cookies for the book, so the entry was not taken."),
        say("Go back, reload the page and send it again; what you typed is usually still there."),
    )


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """404."""
    del exception
    return page(
        request,
        404,
        say("No such page"),
        say("There is nothing in the book under this address."),
        say("Start from Today, or from Brews."),
    )


def too_large(request: HttpRequest) -> HttpResponse:
    """413."""
    return page(
        request,
        413,
        say("Too large to take in"),
        say("What you sent is over 10 MB, so nothing of it was kept and nothing was written."),
        say("Send a smaller file, or split it into several."),
    )


def crashed(request: HttpRequest) -> HttpResponse:
    """500."""
    return page(
        request,
        500,
        say("The book stumbled"),
        say("Something went wrong inside Gylebook. What had been written before is untouched."),
        say("Go back and try once more; the details are in the log of the program."),
    )
