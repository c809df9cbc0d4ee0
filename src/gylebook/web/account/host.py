"""Under which name and how the book was reached: what a passkey, and a link for another device, hang on."""

from __future__ import annotations

import ipaddress
from urllib.parse import urlsplit

from django.conf import settings
from django.http import HttpRequest

from gylebook.outputs.qr import base_address, is_for_others
from gylebook.phrases import say
from gylebook.store.serving import Serving, address


def host_of(request: HttpRequest) -> str:
    """The host name of this request, without its port."""
    return (urlsplit(f"//{request.get_host()}").hostname or "").lower()


def origin_of(request: HttpRequest) -> str:
    """Scheme, host and port, as browsers name an origin."""
    return f"{request.scheme}://{request.get_host()}"


def hindrance(request: HttpRequest) -> str:
    """Why no passkey can be used at this address, in one sentence; "" where one can."""
    host = host_of(request)
    try:
        ipaddress.ip_address(host)
    except ValueError:
        if request.is_secure() or host == "localhost" or host.endswith(".localhost"):
            return ""
        return say(
            "A passkey needs an encrypted connection: open the book by https, as “gylebook serve --lan” offers it."
        )
    return say(
        "A passkey belongs to a name, and {host} is an address: open the book by its name to make or use one.",
        host=host,
    )


def for_others(request: HttpRequest) -> Serving:
    """Where other devices reach the book: as it was set, else as this page was reached, else as its server says.

    Raises
    ------
    Refused
        Only this computer reaches it.
    """
    reached = base_address(f"{origin_of(request)}/")
    if not settings.URL and is_for_others(reached):
        return address(settings.HOME, reached)
    return address(settings.HOME, settings.URL)
