"""A proxy in front of the book tells who asks and how; nobody else is believed."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase


class TrustedProxy:
    """Take the asker's address and scheme from a proxy that was named in the settings."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        meta = request.META
        if settings.PROXIES and str(meta.get("REMOTE_ADDR", "")).removeprefix("::ffff:") in settings.PROXIES:
            # The last address is the one that the proxy itself saw; those before it are only said.
            asker = meta.get("HTTP_X_FORWARDED_FOR", "").rpartition(",")[2].strip()
            scheme = meta.get("HTTP_X_FORWARDED_PROTO", "").rpartition(",")[2].strip().lower()
            if asker:
                meta["REMOTE_ADDR"] = asker
            if scheme in {"http", "https"}:
                meta["wsgi.url_scheme"] = scheme
        return self.get_response(request)
