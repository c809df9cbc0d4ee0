"""The book in the house: its names there, its certificate, and the address that other devices are given."""

from __future__ import annotations

import contextlib
import os
import socket
import threading
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from gylebook.phrases import say
from gylebook.store import authority, serving

# An address that changes, as a router may do overnight, is noticed within this time.
CHECK_EVERY_S = 300.0
# All addresses of the older kind. Many computers have one of the newer kind that the whole world can reach, so that is
# opened only where its brewer says so, with --host ::
EVERYWHERE = "0.0.0.0"  # noqa: S104 - asked for by --lan
_NAME_WITHIN_S = 1.0
WITHOUT_HTTPS = say(
    "Without HTTPS a phone keeps no page for when it is out of reach, knows no passkeys, and lets its screen go dark; "
    "whoever is on the same network can read along. Leave out --http to have all of it."
)


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


def best_name(names: list[str]) -> str:
    """The name for links: NAME.local where this network knows it, since it stays; else the address.

    A network that does not know it may take long to say so, so it is asked for a second at most.
    """
    local = next((name for name in names if name.endswith(".local")), "")
    if local and _is_known(local, names):
        return local
    addresses = [name for name in names if _is_address(name)]
    return next(iter(addresses), names[0] if names else "localhost")


def _is_known(name: str, names: list[str]) -> bool:
    found: list[str] = []

    def ask() -> None:
        with contextlib.suppress(OSError):  # nobody knows it
            found.extend(str(each[4][0]) for each in socket.getaddrinfo(name, None))

    asking = threading.Thread(target=ask, name="name", daemon=True)
    asking.start()
    asking.join(_NAME_WITHIN_S)
    return any(each in names for each in found)


def _is_address(name: str) -> bool:
    return ":" in name or name.replace(".", "").isdigit()


def link(scheme: str, name: str, port: int) -> str:
    """The address of a page's root."""
    return f"{scheme}://{f'[{name}]' if ':' in name else name}:{port}/"


def certificate(home: Path, announce: Callable[[str], None]) -> authority.Kept:
    """The certificate of the book's own authority, with what its brewer should know of it."""
    kept = authority.keep(home, own_names(), datetime.now(UTC))
    if kept.new_authority:
        announce(say("A new authority was made: each phone must come to trust it once."))
    for name in kept.beyond:
        announce(
            say(
                "The authority may not vouch for {name}: open the book by another name, or delete the folder "
                "{home} and let every phone trust the new one.",
                name=name,
                home=home / authority.FOLDER,
            )
        )
    return kept


def tend_certificate(home: Path, reload: Callable[[], None], stop: threading.Event) -> threading.Thread:
    """Renew the certificate near its end, and when this computer's names change, until told to stop."""

    def work() -> None:
        while not stop.wait(CHECK_EVERY_S):
            names = own_names()
            if authority.keep(home, names, datetime.now(UTC)).new_certificate:
                _answer_to(names)
                _renote(home, names)
                reload()

    thread = threading.Thread(target=work, name="certificate", daemon=True)
    thread.start()
    return thread


def _answer_to(names: list[str]) -> None:
    """The pages' process that is about to be made answers to these names as well."""
    from django.conf import settings

    had = os.environ.get("GYLEBOOK_ALLOWED_HOSTS", "").split(",")
    os.environ["GYLEBOOK_ALLOWED_HOSTS"] = ",".join(dict.fromkeys(name for name in (*had, *names) if name))
    more = [f"[{name}]" if ":" in name else name for name in names]
    settings.ALLOWED_HOSTS = list(dict.fromkeys([*settings.ALLOWED_HOSTS, *more]))


def _renote(home: Path, names: list[str]) -> None:
    """Commands find the book at its new address."""
    from urllib.parse import urlsplit

    before = serving.read(home)
    if before is None:
        return
    name = best_name(names)
    moved = [
        link(parts.scheme, name, parts.port or 443) if text else ""
        for text, parts in ((text, urlsplit(text)) for text in (before.address, before.guide))
    ]
    serving.note(home, serving.Serving(moved[0], moved[1], before.fingerprint))
