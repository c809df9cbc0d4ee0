"""A page by plain HTTP that tells a new phone how to trust the book, and hands it the authority's certificate.

Nothing else can be reached here, and nothing is read: the three answers are made before the first question, the page
in each language that the book speaks.
"""

from __future__ import annotations

import socket
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from gylebook.outputs.measures import Measures
from gylebook.outputs.voices import best_language
from gylebook.web.language import LANGUAGES, in_language

CERTIFICATE = "/gylebook-authority.crt"
_POLICY = "default-src 'none'; style-src 'self'; form-action 'none'; frame-ancestors 'none'; base-uri 'none'"
# A question that takes longer than this to arrive is none.
_PATIENCE_S = 10

# By address: the kind, and the body by language; "" for what is the same in all of them.
Answers = dict[str, tuple[str, dict[str, bytes]]]
_NOTHING = ("text/plain; charset=utf-8", {"": b"There is nothing here but /\n"})


def answers(authority: bytes, fingerprint: str, address: str, style: Path) -> Answers:
    """The page, its style and the certificate, by their addresses.

    Parameters
    ----------
    authority
        The authority's certificate, DER.
    fingerprint
        Its SHA-256, to be compared.
    address
        Where the book itself is open.
    style
        The style sheet of the page.
    """
    told = {"fingerprint": fingerprint, "address": address, "file": CERTIFICATE}
    return {
        "/": ("text/html; charset=utf-8", {language: _page(language, told) for language in LANGUAGES}),
        "/guide.css": ("text/css; charset=utf-8", {"": style.read_bytes()}),
        CERTIFICATE: ("application/x-x509-ca-cert", {"": authority}),
    }


def _page(language: str, told: dict[str, str]) -> bytes:
    from django.template.loader import render_to_string

    with in_language(language, Measures):  # nothing on it is measured
        return render_to_string("account/guide.html", {**told, "language": language}).encode()


def listener(host: str, port: int, known: Answers) -> ThreadingHTTPServer:
    """A server that has its port and waits to be started.

    Raises
    ------
    OSError
        The port cannot be had.
    """

    class Handler(BaseHTTPRequestHandler):
        timeout = _PATIENCE_S
        server_version = "Gylebook"
        sys_version = ""

        def do_GET(self) -> None:
            self._answer(with_body=True)

        def do_HEAD(self) -> None:
            self._answer(with_body=False)

        def _answer(self, *, with_body: bool) -> None:
            kind, bodies = known.get(self.path, _NOTHING)
            language = best_language(self.headers.get("Accept-Language", ""))
            body = bodies[language] if language in bodies else bodies[""]
            self.send_response(200 if self.path in known else 404)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(body)))
            if language in bodies:
                self.send_header("Content-Language", language)
                self.send_header("Vary", "Accept-Language")
            self.send_header("Content-Security-Policy", _POLICY)
            self.send_header("X-Content-Type-Options", "nosniff")
            self.send_header("Cache-Control", "no-store")
            self.end_headers()
            if with_body:
                self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            """Who reads how to trust the book is nobody's business."""

    class Listener(ThreadingHTTPServer):
        daemon_threads = True
        address_family = socket.AF_INET6 if ":" in host else socket.AF_INET

        def server_bind(self) -> None:
            if host == "::":  # all addresses, of both kinds
                self.socket.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 0)
            super().server_bind()

    return Listener((host, port), Handler)


def start(waiting: ThreadingHTTPServer) -> threading.Thread:
    """Answer in a thread of its own, until the server is shut down."""
    thread = threading.Thread(target=waiting.serve_forever, name="guide", daemon=True)
    thread.start()
    return thread
