"""The book's own server: look that all is well, bring the tables up to date, then answer until stopped."""

from __future__ import annotations

import errno
import os
import socket
import threading
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from gylebook.errors import GylebookError, InputError, Refused
from gylebook.web import environment

# Room for four pages at once; the book's database lets one writer in at a time in any case.
THREADS = 4
# The first pages come first; a book that is open for less than this is backed up another day.
FIRST_BACKUP_AFTER_S = 60.0
EVERYWHERE = ("0.0.0.0", "::")  # noqa: S104 - recognised, not bound


def serve(
    host: str | None = None,
    port: int | None = None,
    *,
    certificate: Path | None = None,
    key: Path | None = None,
    announce: Callable[[str], None] = print,
) -> None:
    """Serve the book until the process is stopped.

    Parameters
    ----------
    host, port
        Where to listen; None takes GYLEBOOK_HOST and GYLEBOOK_PORT, or this computer alone at 8484.
    certificate, key
        PEM files of the brewer's own, for HTTPS.
    announce
        Called with each line for the brewer.

    Raises
    ------
    Refused
        Others could reach the book, and nobody has a password; or a newer Gylebook has written the book.
    GylebookError
        The port is taken or must not be used.
    """
    host, port = _into_environment(host, port, https=certificate is not None)
    import django

    django.setup()
    from django.conf import settings

    from gylebook.store.people import has_password
    from gylebook.store.upgrade import bring_up_to_date

    if (certificate is None) != (key is None):
        raise InputError("HTTPS", "a certificate and its key belong together", "name both files, or neither")
    try_port(host, port)
    for copy in bring_up_to_date(settings.HOME, datetime.now(UTC)):
        announce(f"The book is being upgraded; a copy from before lies in {copy}")
    if not environment.is_loopback(host) and not has_password():
        raise Refused(f"Others could reach the book at {host}, and it has no password: run “gylebook password” first.")
    for line in addresses(host, port, https=certificate is not None):
        announce(line)
    _answer(host, port, certificate, key)


def _into_environment(host: str | None, port: int | None, *, https: bool) -> tuple[str, int]:
    """Where to listen; put into the environment, from which the server's own process reads its settings."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "gylebook.web.settings"
    if host is not None:
        os.environ["GYLEBOOK_HOST"] = host
    if port is not None:
        os.environ["GYLEBOOK_PORT"] = str(port)
    if https:
        os.environ["GYLEBOOK_HTTPS"] = "1"
    bound = environment.host(os.environ)
    if bound in EVERYWHERE:
        names = [os.environ.get("GYLEBOOK_ALLOWED_HOSTS", ""), *own_names()]
        os.environ["GYLEBOOK_ALLOWED_HOSTS"] = ",".join(name for name in names if name)
    return bound, environment.port(os.environ)


def _answer(host: str, port: int, certificate: Path | None, key: Path | None) -> None:
    from granian.constants import Interfaces
    from granian.log import LogLevels
    from granian.server import Server

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
        return f"Port {port} is in use, perhaps by a Gylebook that is open already: close that, or choose another port."
    if fault.errno == errno.EACCES:
        return f"Port {port} belongs to the system: choose one from 1024 up."
    reason = (fault.strerror or str(fault)).rstrip(".")
    return f"The book cannot listen at {host}, port {port}: {reason}; check the address."


def addresses(host: str, port: int, *, https: bool) -> list[str]:
    """Where the book can be opened, one line each."""
    scheme = "https" if https else "http"
    if host not in EVERYWHERE:
        shown = f"[{host.strip('[]')}]" if ":" in host else host
        return [f"The book is open at {scheme}://{shown}:{port}/"]
    names = ["localhost", *own_names()]
    lines = [f"The book is open at {scheme}://{f'[{name}]' if ':' in name else name}:{port}/" for name in names]
    if not https:
        lines.append("Passwords travel unencrypted to other devices: share it only in a house whose network you trust.")
    return lines


def own_names() -> list[str]:
    """Names and addresses by which others in the house may call this computer."""
    name = socket.gethostname()
    found = [name, f"{name}.local"] if name and "." not in name else [name]
    # Choosing a route sends nothing; the address is one set aside for documentation (RFC 5737).
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
            found.append(str(probe.getsockname()[0]))
        except OSError:
            pass  # no network: the names remain
    return list(dict.fromkeys(name for name in found if name))
