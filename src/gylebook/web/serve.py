"""The book's own server: look that all is well, bring the tables up to date, then answer until stopped."""

from __future__ import annotations

import errno
import os
import socket
import threading
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from gylebook.errors import GylebookError, InputError, Refused
from gylebook.phrases import say
from gylebook.store import serving
from gylebook.web import environment, house
from gylebook.web.house import own_names

if TYPE_CHECKING:
    from http.server import ThreadingHTTPServer

    from gylebook.store.authority import Kept

# Room for four pages at once; the book's database lets one writer in at a time in any case.
THREADS = 4
# The first pages come first; a book that is open for less than this is backed up another day.
FIRST_BACKUP_AFTER_S = 60.0
FIRST_NOTICES_AFTER_S = 20.0
EVERYWHERE = ("0.0.0.0", "::")  # noqa: S104 - recognised, not bound


def serve(
    host: str | None = None,
    port: int | None = None,
    *,
    lan: bool = False,
    plain: bool = False,
    certificate: Path | None = None,
    key: Path | None = None,
    announce: Callable[[str], None] = print,
    welcome: Callable[[serving.Serving], None] | None = None,
) -> None:
    """Serve the book until the process is stopped.

    Parameters
    ----------
    host, port
        Where to listen; None takes GYLEBOOK_HOST and GYLEBOOK_PORT, or this computer alone at 8484.
    lan
        Open the book to the house: at all addresses unless one is named, by HTTPS, to whoever is let in by a code.
    plain
        Open it to the house by plain HTTP all the same.
    certificate, key
        PEM files of the brewer's own, for HTTPS.
    announce
        Called with each line for the brewer.
    welcome
        Called with the address for other devices once the book is ready for them.

    Raises
    ------
    Refused
        Others could reach the book, and nobody has a password; or a newer Gylebook has written the book.
    GylebookError
        The port is taken or must not be used.
    """
    if (certificate is None) != (key is None):
        raise InputError("HTTPS", say("a certificate and its key belong together"), say("name both files, or neither"))
    own = lan and not plain and certificate is None
    host, port = _into_environment(host, port, lan=lan, https=certificate is not None, own=own)
    import django

    django.setup()
    from django.conf import settings
    from django.db import connections

    from gylebook.store.people import has_password
    from gylebook.store.upgrade import bring_up_to_date

    try_port(host, port)
    for copy in bring_up_to_date(settings.HOME, datetime.now(UTC)):
        announce(say("The book is being upgraded; a copy from before lies in {copy}", copy=copy))
    shared = not environment.is_loopback(host)
    if shared and not lan and not has_password():
        raise Refused(
            say(
                "Others could reach the book at {host}, and it has no password: run “gylebook password” first, "
                "or open it with --lan, which lets phones in by a code.",
                host=host,
            )
        )
    kept = house.certificate(settings.HOME, announce) if own else None
    files = (kept.path, kept.path) if kept else (certificate, key)
    https = files[0] is not None
    for line in (*addresses(host, port, https=https), *([house.WITHOUT_HTTPS] if lan and not https else [])):
        announce(line)
    beside = _open_to_others(host, port, kept, https=https, announce=announce) if shared else []
    found = serving.read(settings.HOME)
    if shared and welcome is not None and found is not None:
        welcome(found)
    connections.close_all()  # none is carried over into the pages' process
    try:
        _answer(host, port, *files, beside=beside, own=kept is not None)
    finally:
        serving.forget(settings.HOME)


def _open_to_others(
    host: str, port: int, kept: Kept | None, *, https: bool, announce: Callable[[str], None]
) -> list[ThreadingHTTPServer]:
    """Leave a note of the address for other devices, and get ready to tell them how to trust it."""
    from django.conf import settings

    from gylebook.web import guide

    name = house.best_name(own_names()) if host in EVERYWHERE else host
    address = house.link("https" if https else "http", name, port)
    if kept is None:
        serving.note(settings.HOME, serving.Serving(address))
        return []
    told = guide.answers(kept.authority, kept.fingerprint, address, settings.STATIC_ROOT / "guide.css")
    try:
        waiting = [guide.listener(host, port + 1, told)]
    except (OSError, OverflowError):
        announce(
            say(
                "Port {port} is in use, so no page tells new phones how to trust the book; choose another port.",
                port=port + 1,
            )
        )
        waiting = []
    for_phones = house.link("http", name, port + 1) if waiting else ""
    serving.note(settings.HOME, serving.Serving(address, for_phones, kept.fingerprint))
    return waiting


def _into_environment(
    host: str | None, port: int | None, *, lan: bool = False, https: bool, own: bool = False
) -> tuple[str, int]:
    """Where to listen; put into the environment, from which the server's own process reads its settings."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "gylebook.web.settings"
    if host is not None:
        os.environ["GYLEBOOK_HOST"] = host
    if port is not None:
        os.environ["GYLEBOOK_PORT"] = str(port)
    if https or own:
        os.environ["GYLEBOOK_HTTPS"] = "1"
    os.environ["GYLEBOOK_OWN_AUTHORITY"] = "1" if own else "0"
    bound = environment.host(os.environ)
    if lan and environment.is_loopback(bound):
        if host is not None:
            raise InputError(
                say("Address"),
                say("only this computer reaches {host}", host=host),
                say("leave --host out, or leave --lan out"),
            )
        bound = os.environ["GYLEBOOK_HOST"] = house.EVERYWHERE
    if bound in EVERYWHERE:
        names = [os.environ.get("GYLEBOOK_ALLOWED_HOSTS", ""), *own_names()]
        os.environ["GYLEBOOK_ALLOWED_HOSTS"] = ",".join(name for name in names if name)
    return bound, environment.port(os.environ)


def _answer(
    host: str, port: int, certificate: Path | None, key: Path | None, *, beside: list[ThreadingHTTPServer], own: bool
) -> None:
    from django.conf import settings
    from granian.constants import Interfaces
    from granian.log import LogLevels
    from granian.server import Server

    from gylebook.web import guide

    server = Server(
        "gylebook.web.wsgi:application",
        address=host,
        port=port,
        interface=Interfaces.WSGI,
        workers=1,
        blocking_threads=THREADS,
        log_level=LogLevels.warning,
        log_access=False,
        ssl_cert=certificate,
        ssl_key=key,
    )
    stop = threading.Event()
    # Called just before the pages' process is made; the thread sleeps through that.
    server.on_startup(lambda: tend_backups(stop))
    server.on_startup(lambda: tend_notices(stop))
    if own:
        server.on_startup(lambda: house.tend_certificate(settings.HOME, server.signal_handler_reload, stop))
    for each in beside:
        server.on_startup(partial(guide.start, each))
        server.on_shutdown(each.shutdown)
    server.on_shutdown(stop.set)
    server.serve()


def tend_backups(stop: threading.Event) -> threading.Thread:
    """Make the daily backups, and prove one each month, beside the pages until told to stop."""
    from django.utils import timezone

    from gylebook.store.backup_routine import tend

    def work() -> None:
        if not stop.wait(FIRST_BACKUP_AFTER_S):
            tend(lambda: timezone.localtime(timezone.now()), stop)

    thread = threading.Thread(target=work, name="backups", daemon=True)
    thread.start()
    return thread


def tend_notices(stop: threading.Event) -> threading.Thread:
    """Send notices of what is due beside the pages until told to stop."""
    from django.conf import settings
    from django.utils import timezone

    from gylebook.outputs.voices import BRITISH, voice
    from gylebook.outputs.wording import Preferences, preferences
    from gylebook.store.brew_log import read_shelf
    from gylebook.store.notice_routine import tend

    def own() -> Preferences:
        return preferences(read_shelf().settings, settings.TIME_ZONE, timezone.now())

    def work() -> None:
        if not stop.wait(FIRST_NOTICES_AFTER_S):
            tend(
                timezone.now,
                lambda: own().zone,
                stop,
                voice=lambda: voice(read_shelf().settings.language or BRITISH, own),
            )

    thread = threading.Thread(target=work, name="notices", daemon=True)
    thread.start()
    return thread


def try_port(host: str, port: int) -> None:
    """Refuse in one sentence where the port cannot be had."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as trial:
        if os.name == "posix":
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((host.strip("[]"), port))
        except OSError as fault:
            raise GylebookError(_port_sentence(fault, host, port)) from fault


def _port_sentence(fault: OSError, host: str, port: int) -> str:
    if fault.errno == errno.EADDRINUSE:
        return say(
            "Port {port} is in use, perhaps by a Gylebook that is open already: close that, or choose another port.",
            port=port,
        )
    if fault.errno == errno.EACCES:
        return say("Port {port} belongs to the system: choose one from 1024 up.", port=port)
    reason = (fault.strerror or str(fault)).rstrip(".")
    return say(
        "The book cannot listen at {host}, port {port}: {reason}; check the address.",
        host=host,
        port=port,
        reason=reason,
    )


def addresses(host: str, port: int, *, https: bool) -> list[str]:
    """Where the book can be opened, one line each."""
    scheme = "https" if https else "http"
    if host not in EVERYWHERE:
        shown = f"[{host.strip('[]')}]" if ":" in host else host
        return [say("The book is open at {scheme}://{host}:{port}/", scheme=scheme, host=shown, port=port)]
    names = ["localhost", *own_names()]
    lines = [
        say(
            "The book is open at {scheme}://{host}:{port}/",
            scheme=scheme,
            host=f"[{name}]" if ":" in name else name,
            port=port,
        )
        for name in names
    ]
    if not https:
        lines.append(
            say("Passwords travel unencrypted to other devices: share it only in a house whose network you trust.")
        )
    return lines
