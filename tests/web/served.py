"""A book open to the house as a process of its own, and a browser that trusts its authority as a phone would."""

from __future__ import annotations

import http.client
import json
import os
import re
import shutil
import signal
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Playwright


def two_free_ports() -> int:
    """A port that is free together with the one after it."""
    while True:
        with socket.socket() as first, socket.socket() as second:
            first.bind(("0.0.0.0", 0))
            port = first.getsockname()[1]
            try:
                second.bind(("0.0.0.0", port + 1))
            except (OSError, OverflowError):
                continue
            return port


class House:
    """A running `gylebook serve --lan`."""

    def __init__(self, home: Path, *further: str, **env: str) -> None:
        self.home, self.port = home, two_free_ports()
        self.https = "--http" not in further
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("GYLEBOOK_", "DATABASE_URL"))}
        self.env = {**kept, "GYLEBOOK_HOME": str(home), **env}
        self.said = home.parent / f"{home.name}-said.txt"
        with self.said.open("w") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "gylebook", "serve", "--lan", "--port", str(self.port), *further],
                env=self.env, stdout=out, stderr=subprocess.STDOUT, start_new_session=True,
            )  # fmt: skip
        began = time.monotonic()
        while not self._answers():
            if self.process.poll() is not None or time.monotonic() - began > 60:
                self.stop()
                raise AssertionError(self.said.read_text())
            time.sleep(0.05)

    @property
    def address(self) -> str:
        return f"{'https' if self.https else 'http'}://localhost:{self.port}/"

    @property
    def authority(self) -> str:
        """The authority's certificate as a phone takes it: from the page for new phones."""
        status, headers, body = self.guide("/gylebook-authority.crt")
        assert (status, headers["Content-Type"]) == (200, "application/x-x509-ca-cert")
        return ssl.DER_cert_to_PEM_cert(body)

    def guide(self, path: str, method: str = "GET", language: str = "") -> tuple[int, http.client.HTTPMessage, bytes]:
        link = http.client.HTTPConnection("127.0.0.1", self.port + 1, timeout=10)
        try:
            link.request(method, path, headers={"Accept-Language": language} if language else {})
            answer = link.getresponse()
            return answer.status, answer.headers, answer.read()
        finally:
            link.close()

    def get(self, path: str, name: str = "localhost") -> tuple[int, http.client.HTTPMessage, str]:
        """Read a page as one who trusts this authority and no other."""
        link: http.client.HTTPConnection
        if self.https:
            trusting = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
            trusting.load_verify_locations(cadata=self.authority)
            link = http.client.HTTPSConnection(name, self.port, timeout=10, context=trusting)
        else:
            link = http.client.HTTPConnection(name, self.port, timeout=10)
        try:
            link.request("GET", path)
            answer = link.getresponse()
            return answer.status, answer.headers, answer.read().decode()
        finally:
            link.close()

    def command(self, *args: str) -> dict:
        """What a command answers a program."""
        done = subprocess.run(
            [sys.executable, "-m", "gylebook", *args, "--json"],
            env=self.env, capture_output=True, text=True, check=True,
        )  # fmt: skip
        return json.loads(done.stdout)

    def pair(self, name: str = "localhost") -> str:
        """A link that lets one browser in, under this name."""
        return re.sub(r"//[^:/]+:", f"//{name}:", self.command("pair")["link"])

    def _answers(self) -> bool:
        with socket.socket() as trial:
            return trial.connect_ex(("127.0.0.1", self.port)) == 0

    def stop(self) -> str:
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
            try:
                self.process.wait(20)
            except subprocess.TimeoutExpired:
                os.killpg(self.process.pid, signal.SIGKILL)
        return self.said.read_text()


@contextmanager
def browser(playwright: Playwright, home: Path, trusts: str = "") -> Iterator[Browser]:
    """A real browser with a store of authorities of its own; it takes no certificate that it cannot check."""
    found = os.environ.get("GYLEBOOK_TEST_CHROMIUM") or shutil.which("chromium")
    certutil = shutil.which("certutil")
    if not found or not certutil:
        raise RuntimeError("no Chromium or no certutil to test with: run scripts/system-packages")
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    subprocess.run([certutil, "-N", "--empty-password", "-d", f"sql:{store}"], check=True)
    if trusts:
        file = home / "authority.pem"
        file.write_text(trusts)
        told = [certutil, "-A", "-d", f"sql:{store}", "-n", "Gylebook", "-t", "C,,", "-i", str(file)]
        subprocess.run(told, check=True)
    made = playwright.chromium.launch(
        executable_path=found,
        args=["--no-sandbox", "--disable-gpu"],
        env={**os.environ, "HOME": str(home), "XDG_DATA_HOME": str(home / ".local" / "share")},
    )
    try:
        yield made
    finally:
        made.close()
