"""What the book takes from its environment: folder, address, key, time zone. No Django here."""

from __future__ import annotations

import ipaddress
import os
import secrets
import zoneinfo
from collections.abc import Mapping, MutableMapping
from pathlib import Path

import platformdirs

from gylebook.errors import InputError
from gylebook.outputs.qr import base_address
from gylebook.phrases import say

DEFAULT_HOST = "127.0.0.1"
DEFAULT_PORT = 8484
LOOPBACK_NAMES = ("127.0.0.1", "localhost", "[::1]")
KEY_FILE = "secret-key"
IMPORTED = ("/static/modules/", "/static/pocket/")

Environment = Mapping[str, str]


def home(env: Environment) -> Path:
    """The data folder; it is not made here."""
    given = env.get("GYLEBOOK_HOME", "").strip()
    return Path(given).expanduser() if given else Path(platformdirs.user_data_dir("gylebook", appauthor=False))


def host(env: Environment) -> str:
    """The address to listen on."""
    given = env.get("GYLEBOOK_HOST", "").strip()
    return DEFAULT_HOST if given in ("", "localhost") else given.strip("[]")


def port(env: Environment) -> int:
    """The port to listen on."""
    text = env.get("GYLEBOOK_PORT", "").strip()
    if not text:
        return DEFAULT_PORT
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= 65535:
        raise InputError(
            "GYLEBOOK_PORT", say("“{text}” is no port", text=text), say("give a whole number from 1 to 65535")
        )
    return int(text)


def switch(env: Environment, name: str) -> bool:
    """A variable that is 1 or 0; anything else is refused, so that a slip never opens the book."""
    text = env.get(name, "").strip()
    if text not in ("", "0", "1"):
        raise InputError(name, say("“{text}” is neither 1 nor 0", text=text), say("write 1 for on, or leave it out"))
    return text == "1"


def is_loopback(address: str) -> bool:
    """True for an address that only this computer can reach."""
    bare = address.strip().strip("[]").lower()
    return bare in ("localhost", "::1") or (bare.startswith("127.") and bare.count(".") == 3)


def sign_in_required(env: Environment) -> bool:
    """Every page asks for the password as soon as others can reach it."""
    return switch(env, "GYLEBOOK_SIGN_IN") or bool(proxies(env)) or not is_loopback(host(env))


def proxies(env: Environment) -> tuple[str, ...]:
    """Addresses of the proxies that stand in front of the book; a name is refused, since it may come to mean another.

    Only these may say by X-Forwarded-For and X-Forwarded-Proto who asks, and how.
    """
    found = [each.strip() for each in env.get("GYLEBOOK_PROXY", "").split(",") if each.strip()]
    for each in found:
        try:
            ipaddress.ip_address(each)
        except ValueError:
            raise InputError(
                "GYLEBOOK_PROXY", say("“{each}” is no address", each=each), say("write one such as 127.0.0.1")
            ) from None
    return tuple(str(ipaddress.ip_address(each)) for each in found)


def allowed_hosts(env: Environment) -> list[str]:
    """Names under which the book answers; a wildcard is refused, since it would open the book to rebinding."""
    further = [name.strip() for name in env.get("GYLEBOOK_ALLOWED_HOSTS", "").split(",") if name.strip()]
    if "*" in further:
        raise InputError(
            "GYLEBOOK_ALLOWED_HOSTS", say("“*” would answer to any name"), say("list the names, split by commas")
        )
    bound = host(env)
    if bound not in ("0.0.0.0", "::"):  # noqa: S104 - compared, not bound
        further.append(f"[{bound}]" if ":" in bound else bound)
    return list(dict.fromkeys([*LOOPBACK_NAMES, *further]))


def address(env: Environment) -> str:
    """The address under which phones reach the book, for the codes on paper; "" where none is set."""
    try:
        return base_address(env.get("GYLEBOOK_URL", ""))
    except InputError as fault:
        raise InputError("GYLEBOOK_URL", fault.problem, fault.remedy) from None


def time_zone(env: Environment) -> str:
    """The zone in which times are shown and read; what was seen is stored with its offset in any case."""
    given = env.get("GYLEBOOK_TIME_ZONE", "").strip()
    if given:
        if given not in zoneinfo.available_timezones():
            raise InputError(
                "GYLEBOOK_TIME_ZONE",
                say("“{given}” is no time zone", given=given),
                say("write one such as Europe/London"),
            )
        return given
    for guess in (env.get("TZ", "").lstrip(":"), _zone_of_this_computer()):
        if guess in zoneinfo.available_timezones():
            return guess
    return "UTC"


def _zone_of_this_computer() -> str:
    """The name behind /etc/localtime, or nothing where there is no such link."""
    link = Path("/etc/localtime")
    parts = os.fspath(link.resolve()).split("/zoneinfo/") if link.is_symlink() else []
    return parts[-1] if len(parts) > 1 else ""


def secret_key(folder: Path) -> str:
    """The key that signs cookies: made once, readable by its owner alone.

    The file is filled under another name and then linked, so that a second process starting at the same moment reads
    either nothing or all of it.
    """
    path = folder / KEY_FILE
    if not path.exists():
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        draft = folder / f".{KEY_FILE}.{secrets.token_hex(8)}"
        descriptor = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(descriptor, "w", encoding="ascii") as out:
            out.write(secrets.token_urlsafe(48))
        try:
            os.link(draft, path)
        except FileExistsError:
            pass  # the other process was first: its key holds
        finally:
            draft.unlink()
    key = path.read_text(encoding="ascii").strip()
    if len(key) < 32:
        raise InputError(
            str(path), say("the key in it is too short"), say("delete the file: a new key is made at the next start")
        )
    return key


def ask_again_for_modules(headers: MutableMapping[str, str], path: str, url: str) -> None:  # noqa: ARG001 - WhiteNoise's
    """Have a browser ask whether a script that other scripts import has changed: its address carries no hash."""
    if url.startswith(IMPORTED):
        headers["Cache-Control"] = "no-cache"
