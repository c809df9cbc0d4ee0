"""What a phone's browser makes of the pages: how much travels, when words stand on the screen, how a reading goes.

Chromium asks a served book over a link held to 150 ms and 1.6 Mbit/s, with a processor slowed to a quarter, as a cheap
phone on a poor line in the garden.
"""

from __future__ import annotations

import os
import shutil
import signal
import socket
import statistics
import subprocess
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from figures import PYTHON, Figure, environment
from playwright.sync_api import Browser, Page, sync_playwright

PHONE = {"width": 390, "height": 844}
BREW = "/demo/brews/4/"
ROUNDS = 3
LINK = {"offline": False, "latency": 150, "downloadThroughput": 1.6e6 / 8, "uploadThroughput": 1.6e6 / 8}
SEEN = """() => new Promise(done => setTimeout(() => {
    const paint = performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? NaN;
    done({fcp: paint, lcp: window.__lcp, cls: window.__cls, tbt: window.__tbt}); }, 500))"""
WATCH = """window.__lcp = 0; window.__cls = 0; window.__tbt = 0;
const watch = (type, each) =>
    new PerformanceObserver(list => list.getEntries().forEach(each)).observe({type, buffered: true});
watch('largest-contentful-paint', seen => { window.__lcp = seen.startTime; });
watch('layout-shift', moved => { if (!moved.hadRecentInput) window.__cls += moved.value; });
watch('longtask', task => { window.__tbt += Math.max(0, task.duration - 50); });"""


class Line:
    """A page's line to the book, slowed, with everything counted that travels over it."""

    def __init__(self, page: Page, root: str) -> None:
        self.root, self.kinds, self.bytes = root, {}, {}  # type: ignore[var-annotated]
        self.session = page.context.new_cdp_session(page)
        self.session.on("Network.responseReceived", self._begun)
        self.session.on("Network.loadingFinished", self._ended)
        self.session.send("Network.enable")
        self.session.send("Network.emulateNetworkConditions", LINK)
        self.session.send("Emulation.setCPUThrottlingRate", {"rate": 4})

    def _begun(self, told: dict[str, Any]) -> None:
        self.kinds[told["requestId"]] = (told["type"], told["response"]["url"])

    def _ended(self, told: dict[str, Any]) -> None:
        self.bytes[told["requestId"]] = told["encodedDataLength"]

    def total(self, kind: str = "") -> float:
        """Bytes that came, headers included, of this kind or of all."""
        return sum(size for each, size in self.bytes.items() if not kind or self.kinds.get(each, ("",))[0] == kind)

    def elsewhere(self) -> int:
        """Requests that went to anybody else."""
        return sum(not url.startswith((self.root, "data:")) for _, url in self.kinds.values())


def page_figures(home: Path) -> Iterator[Figure]:
    """The demo book's brew that ferments, opened for the first time and again; a reading from a cold open."""
    with _served(home) as root, sync_playwright() as playwright:
        found = os.environ.get("GYLEBOOK_TEST_CHROMIUM") or shutil.which("chromium")
        if not found:
            raise RuntimeError("no Chromium to measure with: run scripts/system-packages")
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox", "--disable-gpu"])
        urllib.request.urlopen(root + BREW, timeout=60).read()  # the first of all compiles
        yield from _visits(browser, root)
        yield from _readings(browser, root)
        browser.close()


def _visits(browser: Browser, root: str) -> Iterator[Figure]:
    first, again, lines = [], [], []
    for _ in range(ROUNDS):
        context = browser.new_context(viewport=PHONE)  # type: ignore[arg-type]
        context.add_init_script(WATCH)
        page = context.new_page()
        line = Line(page, root)
        page.goto(root + BREW, wait_until="load")
        first.append(page.evaluate(SEEN))
        lines.append((line.total(), line.total("Script"), len(line.bytes), line.elsewhere()))
        page.goto(root + BREW, wait_until="load")
        again.append(page.evaluate(SEEN))
        context.close()
    (total, script, requests, _), slow = lines[0], "150 ms, 1.6 Mbit/s, a quarter of the processor"
    yield Figure("pages.brew_first_visit_bytes", total / 1000, "kB", 60.0, "all that travels, headers included")
    yield Figure("pages.brew_first_visit_script", script / 1000, "kB", 35.0, "of that")
    yield Figure("pages.brew_first_visit_requests", requests, "requests", 15.0, "of that")
    yield Figure("pages.brew_requests_elsewhere", max(each[3] for each in lines), "requests", 0.0, "to anybody else")
    for name, unit, limit in (("fcp", "ms", 1000.0), ("lcp", "ms", 1500.0), ("cls", "", 0.05), ("tbt", "ms", 150.0)):
        yield Figure(f"pages.brew_first_visit_{name}", statistics.median(e[name] for e in first), unit, limit, slow)
    yield Figure("pages.brew_again_fcp", statistics.median(each["fcp"] for each in again), "ms", 300.0, slow)


def _readings(browser: Browser, root: str) -> Iterator[Figure]:
    """A reading written by thumb, from a browser that has never seen the book to the word that it is in it."""
    seconds, taps = [], 0
    for number in range(ROUNDS):
        context = browser.new_context(viewport=PHONE)  # type: ignore[arg-type]
        page = context.new_page()
        Line(page, root)
        began = time.perf_counter()
        page.goto(root + BREW, wait_until="commit")
        taps = _write_reading(page, f"1.01{number}2")
        page.locator(".said").wait_for()
        seconds.append(time.perf_counter() - began)
        context.close()
    plain = "cold open of the brew's page to the words “Written as”, 150 ms, 1.6 Mbit/s; digits at once"
    yield Figure("pages.reading_seconds", statistics.median(seconds), "s", 10.0, plain)
    yield Figure("pages.reading_taps", taps, "taps", 4.0, "beside the digits")


def _write_reading(page: Page, gravity: str) -> int:
    """Taps that it took."""
    page.get_by_role("link", name="Write a reading").first.click()
    page.locator('.write [name="gravity"]').wait_for()
    taps = 1
    if page.evaluate("() => document.activeElement.name") != "gravity":
        page.locator('.write [name="gravity"]').click()
        taps += 1
    page.keyboard.type(gravity)
    page.locator(".write .button.main").click()
    return taps + 1


@contextmanager
def _served(home: Path) -> Iterator[str]:
    """A book of its own with the demo in it, served as a brewer serves it."""
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        port = trial.getsockname()[1]
    env = environment(GYLEBOOK_HOME=str(home / "pages"))
    env.pop("DJANGO_SETTINGS_MODULE", None)
    subprocess.run([PYTHON, "-m", "gylebook", "demo", "fill"], env=env, check=True, capture_output=True)
    server = subprocess.Popen(
        [PYTHON, "-m", "gylebook", "serve", "--port", str(port)],
        env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
    )  # fmt: skip
    try:
        for _ in range(300):
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=5).read()
                break
            except OSError:
                time.sleep(0.1)
        else:
            raise RuntimeError("the book does not answer")
        yield f"http://127.0.0.1:{port}"
    finally:
        server.send_signal(signal.SIGTERM)
        try:
            server.wait(20)
        except subprocess.TimeoutExpired:
            os.killpg(server.pid, signal.SIGKILL)
