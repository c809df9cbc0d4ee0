"""What went wrong, for a program: a status, and one sentence with the field that it is about."""

from __future__ import annotations

import msgspec
from django.http import HttpRequest, HttpResponse

from gylebook import errors
from gylebook.phrases import tell_hook, untold
from gylebook.web.api.shapes import Error, Fault

MEDIA_TYPE = "application/json"
_STATUS: tuple[tuple[type[errors.GylebookError], int], ...] = (
    (errors.InputError, 422),
    (errors.NotFound, 404),
    (errors.Conflict, 409),
    (errors.Refused, 409),
    (errors.StoreUnavailable, 503),
    (errors.GylebookError, 500),
)


class ApiFault(Exception):
    """A request that is answered by its status and a sentence, with further headers where the status has some."""

    def __init__(self, status: int, message: str, field: str = "", headers: dict[str, str] | None = None) -> None:
        super().__init__(message)
        self.status, self.message, self.field, self.headers = status, message, field, headers or {}


def asked_by_a_program(request: HttpRequest) -> bool:
    """Whether the address is one of the API's; its page for people is a page like any other."""
    return request.path_info.startswith("/api/") and request.path_info != "/api/"


def answer(status: int, message: str, field: str = "", headers: dict[str, str] | None = None) -> HttpResponse:
    """The answer with that status and that sentence."""
    body = msgspec.json.encode(Fault(Error(field, message)), enc_hook=tell_hook)
    return HttpResponse(body, status=status, content_type=MEDIA_TYPE, headers=headers)


def of_fault(fault: ApiFault) -> HttpResponse:
    """The answer for a fault of the request itself."""
    return answer(fault.status, fault.message, fault.field, fault.headers)


def of_error(error: errors.GylebookError) -> HttpResponse:
    """The answer for one of the book's own errors, with the first field where several are wrong."""
    status = next(status for kind, status in _STATUS if isinstance(error, kind))
    field = untold(error.field) if isinstance(error, errors.InputError) else ""
    return answer(status, str(error), field)
