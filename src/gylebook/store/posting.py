"""Handing a few bytes to an address by HTTP, once: no redirects, no answer read, an end to all waiting."""

from __future__ import annotations

import http.client
import socket
import ssl
import threading
from collections.abc import Mapping
from contextlib import suppress
from urllib.parse import SplitResult, urlsplit

from gylebook import __version__
from gylebook.errors import InputError
from gylebook.phrases import say, say_number

#: How long each step may take: to reach it, to hand it over, to hear that it was taken.
TIMEOUT_S = 5.0
#: How long all of it may take, however slowly the other side speaks.
LONGEST_S = 10.0
_LONGEST_ADDRESS = 1000
_EXAMPLE = say("write one such as https://house.example/brewing")
_TAKEN = range(200, 300)
_ELSEWHERE = range(300, 400)


def address(text: str) -> str:
    """An address that can be posted to, as written.

    Raises
    ------
    InputError
        It is none, names somebody, or is too long.
    """
    text = text.strip()
    parts = _parts(text)
    if parts is None:
        raise InputError(say("Address"), say("it is no web address"), _EXAMPLE)
    if parts.username is not None or parts.password is not None:
        raise InputError(
            say("Address"), say("it holds a name or a password"), say("leave them out; the signature says who posts")
        )
    if len(text) > _LONGEST_ADDRESS:
        raise InputError(
            say("Address"),
            say("it is longer than {most} characters", most=_LONGEST_ADDRESS),
            say("give a shorter one"),
        )
    return text


def _parts(text: str) -> SplitResult | None:
    """The parts of a web address; None where it is none."""
    if not text.isascii() or not text.isprintable() or " " in text:
        return None  # a line break in it would end a header
    try:
        parts = urlsplit(text)
        usable = parts.port is None or parts.port > 0
    except ValueError:
        return None
    return parts if usable and parts.scheme in {"http", "https"} and parts.hostname and not parts.fragment else None


def post(url: str, body: bytes, headers: Mapping[str, str]) -> str:
    """Hand it over; "" where it was taken, else why not, in a sentence.

    Parameters
    ----------
    url
        As `address` gave it back.
    body
        JSON.
    headers
        Further headers.
    """
    connection = _connection(urlsplit(url))
    ended = threading.Event()
    watch = threading.Timer(LONGEST_S, _end, (connection, ended))
    watch.daemon = True
    watch.start()
    try:
        connection.request("POST", _path(urlsplit(url)), body, {**_HEADERS, **headers})
        status = connection.getresponse().status  # what it says besides is not read
    except (OSError, http.client.HTTPException) as fault:
        return _SLOW if ended.is_set() else _sentence(fault)
    finally:
        watch.cancel()
        connection.close()
    if status in _TAKEN:
        return ""
    if status in _ELSEWHERE:
        return say(
            "It answered {status} and pointed elsewhere; the book does not follow: give the address where it leads.",
            status=status,
        )
    return say("It answered {status} instead of taking it.", status=status)


_HEADERS = {"Content-Type": "application/json", "User-Agent": f"gylebook/{__version__}", "Connection": "close"}
_SLOW = say("It did not answer within {seconds} seconds.", seconds=say_number(f"{TIMEOUT_S:.0f}"))


def _connection(parts: SplitResult) -> http.client.HTTPConnection:
    assert parts.hostname is not None
    if parts.scheme == "https":
        trusted = ssl.create_default_context()
        return http.client.HTTPSConnection(parts.hostname, parts.port, timeout=TIMEOUT_S, context=trusted)
    return http.client.HTTPConnection(parts.hostname, parts.port, timeout=TIMEOUT_S)


def _path(parts: SplitResult) -> str:
    return f"{parts.path or '/'}{'?' if parts.query else ''}{parts.query}"


def _end(connection: http.client.HTTPConnection, ended: threading.Event) -> None:
    """Wake up whoever waits for the other side: each byte that it sends would begin the waiting anew."""
    ended.set()
    with suppress(OSError, AttributeError):
        connection.sock.shutdown(socket.SHUT_RDWR)


def _sentence(fault: Exception) -> str:
    if isinstance(fault, TimeoutError):
        return _SLOW
    if isinstance(fault, ssl.SSLCertVerificationError):
        return say("Its certificate was not accepted ({fault}).", fault=fault.verify_message.rstrip("."))
    if isinstance(fault, ssl.SSLError):
        return say("It does not speak HTTPS as it should; perhaps its address begins with http:.")
    if isinstance(fault, socket.gaierror):
        return say("No computer of that name was found.")
    if isinstance(fault, ConnectionRefusedError):
        return say("Nothing listens there.")
    if isinstance(fault, OSError) and fault.strerror:
        return say("It could not be reached ({fault}).", fault=fault.strerror.lower().rstrip("."))
    return say("What it answered is no HTTP.")
