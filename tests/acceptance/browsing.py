"""A book served by a process of its own, and somebody who reads and writes in it with a real browser."""

from __future__ import annotations

import http.client
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import Browser, Page, sync_playwright

from gylebook.steps.catalogue import act as act_named

EDGE = """() => { const root = document.scrollingElement; return [root.scrollWidth - innerWidth,
    [...document.querySelectorAll('main *, header *, footer *')].filter(e => e.checkVisibility()
        && e.getBoundingClientRect().right > innerWidth + 0.5 && !e.closest('.scroll, .unseen, .enter, .skip'))
        .map(e => e.tagName + '.' + (e.className.baseVal ?? e.className)).slice(0, 4)]; }"""
# On paper a figure in a sentence, in the log or side by side stands alone: its working is on the page of its step.
SHUT_WORKINGS = """() => [...document.querySelectorAll('.fig .working')].filter(e => !e.checkVisibility()
    && !e.closest('.stages, .verdict, .log, .two, .options')).length"""


class Served:
    """A running `gylebook serve`."""

    def __init__(self, home: Path) -> None:
        with socket.socket() as trial:
            trial.bind(("127.0.0.1", 0))
            self.port = trial.getsockname()[1]
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("GYLEBOOK_", "DATABASE_URL"))}
        env = {**kept, "GYLEBOOK_HOME": str(home), "GYLEBOOK_TIME_ZONE": "Europe/London"}
        self.said = home.parent / f"{home.name}-said.txt"
        with self.said.open("w") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "gylebook", "serve", "--port", str(self.port)],
                env=env, stdout=out, stderr=subprocess.STDOUT, start_new_session=True,
            )  # fmt: skip
        began = time.monotonic()
        while not self._answers():
            if self.process.poll() is not None or time.monotonic() - began > 60:
                self.stop()
                raise AssertionError(self.said.read_text())
            time.sleep(0.05)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def _answers(self) -> bool:
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=5)
        try:
            link.request("GET", "/static/mark.svg")
            return link.getresponse().status < 500
        except OSError:
            return False
        finally:
            link.close()

    def stop(self) -> None:
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
            try:
                self.process.wait(20)
            except subprocess.TimeoutExpired:
                os.killpg(self.process.pid, signal.SIGKILL)


@contextmanager
def chromium() -> Iterator[Browser]:
    """A real browser without a window."""
    found = os.environ.get("GYLEBOOK_TEST_CHROMIUM") or shutil.which("chromium")
    if not found:
        raise RuntimeError("no Chromium to test with: install Debian's package chromium, or name one")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox", "--disable-gpu"])
        try:
            yield browser
        finally:
            browser.close()


class Reader:
    """Somebody at one screen. What the console says and what fails to load is kept, with every page seen."""

    def __init__(self, browser: Browser, address: str, width: int, height: int, **options: Any) -> None:
        self.address = address
        self.context = browser.new_context(
            viewport={"width": width, "height": height}, locale="en-GB", timezone_id="Europe/London", **options
        )
        self.complaints: list[str] = []
        self.refusals: list[str] = []
        self.seen: dict[str, None] = {}
        self.found: set[str] = set()
        self.page: Page = self.context.new_page()
        self.page.set_default_timeout(15_000)
        self.page.on("console", lambda message: self._console(message.text))
        self.page.on("pageerror", lambda error: self.complaints.append(f"error: {error}"))
        self.page.on("requestfailed", self._failed)
        self.page.on("response", self._answered)

    def _console(self, text: str) -> None:
        # The browser's own line about a 422 says what the page itself says better.
        if "422" not in text:
            self.complaints.append(f"console: {text}")

    def _failed(self, request: Any) -> None:
        # A page that is left before its icon has come stops asking for it.
        if request.failure != "net::ERR_ABORTED":
            self.complaints.append(f"failed: {request.url}, {request.failure}")

    def _answered(self, response: Any) -> None:
        if response.status == 422:
            self.refusals.append(response.url)
        elif response.status >= 400:
            self.complaints.append(f"{response.status}: {response.url}")
        if not response.url.startswith(self.address):
            self.complaints.append(f"elsewhere: {response.url}")

    def close(self) -> None:
        self.context.close()

    # --- reading ----------------------------------------------------------------------------------------------

    @property
    def path(self) -> str:
        parts = urlsplit(self.page.url)
        return parts.path + (f"?{parts.query}" if parts.query else "")

    @property
    def text(self) -> str:
        """What stands on the page, with single spaces."""
        return " ".join(self.page.locator("main").inner_text().replace("\u00a0", " ").split())

    def open(self, path: str) -> None:
        self.page.goto(self.address + path)
        self._look()

    def follow(self, words: str, *, inside: str = "main") -> None:
        """Press the link or the button with these words."""
        place = self.page.locator(inside)
        found = place.get_by_role("link", name=words).or_(place.get_by_role("button", name=words)).first
        with self.page.expect_navigation():
            found.click()
        self._look()

    def _look(self) -> None:
        self.page.wait_for_load_state("load")
        self.seen.setdefault(self.path)

    # --- writing ----------------------------------------------------------------------------------------------

    def go_to(self, brew: int, act: str) -> None:
        """From the brew's page to the form of an act: by its buttons the first time, later by a known address."""
        words = act_named(act).words
        if act in self.found:
            self.open(f"/brews/{brew}/{act_named(act).step}/?act={act}")
            return
        self.found.add(act)
        self.open(f"/brews/{brew}/")
        if self.page.locator(".answer .acts").first.get_by_role("link", name=words, exact=True).count():
            self.follow(words, inside=".answer .acts")
        else:
            self.follow("Something else happened")
            self.follow(words)

    def fill(self, texts: Mapping[str, str], form: str = ".write form") -> None:
        """Fill fields by their names; what folds away is opened first."""
        for name, text in texts.items():
            field = self.page.locator(f'{form} [name="{name}"]')
            if not field.first.is_visible() and field.first.get_attribute("type") != "radio":
                self._unfold(name, form)
            kind = field.first.evaluate("e => e.tagName + '.' + (e.type ?? '')")
            if kind == "INPUT.radio":
                choice = self.page.locator(f'{form} label:has([name="{name}"][value="{text}"])')
                if not choice.is_visible():
                    self._unfold(name, form)
                choice.click()
            elif kind.startswith("SELECT"):
                field.select_option(text)
            else:
                field.fill(text)

    def _unfold(self, name: str, form: str) -> None:
        self.page.locator(f'{form} details:has([name="{name}"]):not([open]) > summary').click()

    def press(self, words: str = "Write it down") -> None:
        """Send the form."""
        self.follow(words, inside=".write")

    def write(self, brew: int, act: str, texts: Mapping[str, str]) -> None:
        """Write an act down as a brewer does."""
        self.go_to(brew, act)
        self.fill(texts)
        self.press()

    # --- looking closer ---------------------------------------------------------------------------------------

    def edges(self, width: int) -> dict[str, Any]:
        """Pages seen that reach over the edge at that width, and with what."""
        found = {}
        self.page.set_viewport_size({"width": width, "height": 844})
        for path in list(self.seen):
            self.page.goto(self.address + path)
            over = self.page.evaluate(EDGE)
            if over != [0, []]:
                found[path] = over
        return found
