"""What every request passes through: demo mount, size limit, sign-in, private pages, the book's own errors."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.contrib.auth.middleware import LoginRequiredMiddleware
from django.db import DatabaseError, InterfaceError
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponsePermanentRedirect
from django.urls import get_script_prefix, set_script_prefix
from django.utils.cache import patch_cache_control

from gylebook.errors import GylebookError, StoreUnavailable
from gylebook.store.databases import DEFAULT, DEMO
from gylebook.store.faults import spoken
from gylebook.web import faults
from gylebook.web.page import DEMO_PREFIX, book_of

Next = Callable[[HttpRequest], HttpResponseBase]


class PrivatePages:
    """Pages stay out of every store between here and the reader: a brewer's book is nobody else's to keep."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        response = self.get_response(request)
        if not response.has_header("Cache-Control"):
            patch_cache_control(response, private=True, no_store=True)
        return response


class DemoMount:
    """Serve the demo book under /demo/ by the same addresses.

    The prefix moves from the path to the script name, so that every `{% url %}` and every redirect stays inside.
    """

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        vars(request).update(book=DEFAULT, own_root=get_script_prefix())
        if request.path_info == DEMO_PREFIX:
            return HttpResponsePermanentRedirect(f"{request.path}/")
        if not request.path_info.startswith(f"{DEMO_PREFIX}/"):
            return self.get_response(request)
        root = get_script_prefix()
        script_name = root.rstrip("/") + DEMO_PREFIX
        vars(request).update(book=DEMO)
        request.path_info = request.path_info.removeprefix(DEMO_PREFIX)
        request.META["PATH_INFO"] = request.path_info
        request.META["SCRIPT_NAME"] = script_name
        set_script_prefix(f"{script_name}/")
        try:
            return self.get_response(request)
        finally:
            set_script_prefix(root)


class BodyLimit:
    """Refuse what is too large before anything looks at it.

    It is still taken off the line and thrown away, up to a bound: a browser that cannot finish sending shows its own
    error in place of our page.
    """

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if length.isdigit() and int(length) > settings.BODY_LIMIT_BYTES:
            _throw_away(request, min(int(length), 5 * settings.BODY_LIMIT_BYTES))
            return faults.too_large(request)
        return self.get_response(request)


def _throw_away(request: HttpRequest, length: int) -> None:
    stream = request.META.get("wsgi.input")
    while stream is not None and length > 0:
        piece = stream.read(min(length, 65536))
        if not piece:
            return
        length -= len(piece)


class SignInRequired(LoginRequiredMiddleware):
    """Ask for the password on every page once others can reach the book; a view opts out by `login_not_required`."""

    def process_view(
        self,
        request: HttpRequest,
        view_func: Callable[..., Any],
        view_args: tuple[Any, ...],
        view_kwargs: dict[str, Any],
    ) -> HttpResponseBase | None:
        if not settings.SIGN_IN_REQUIRED:
            return None
        answer: HttpResponseBase | None = super().process_view(request, view_func, view_args, view_kwargs)
        return answer


class BookFaults:
    """Turn the book's own errors, and a database that cannot, into pages that say the same sentence."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        if isinstance(exception, DatabaseError | InterfaceError):
            try:
                with spoken(book_of(request)):
                    raise exception
            except StoreUnavailable as told:
                return faults.from_error(request, told)
            except DatabaseError:
                return None  # a fault of ours, not of the database: the page for crashes
        return faults.from_error(request, exception) if isinstance(exception, GylebookError) else None
