"""A book served by a process that may be killed, a line to it that loses replies, and phones with Pocket on them."""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import random
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

PASSWORD = "Seven gyles of stout"
# A phone whose clock is off: what it is off by may change while a page is open.
CLOCK = """(() => { const Real = Date; let off = %d;
  globalThis.setClock = (ms) => { off = ms; };
  globalThis.Date = class extends Real { constructor(...given) { if (given.length) super(...given); else super(Real.now() + off); }
    static now() { return Real.now() + off; } }; })()"""
# The browser's own lines: on a line that is down, on password fields, on what it was told to clear, on plain HTTP.
BY_THE_WAY = (
    "ERR_",
    "Failed to load resource",
    "error occurred when fetching the script",
    "[DOM]",
    "Clear-Site-Data",
    "Opener-Policy",
)
PLAIN_NAME = "brew.test"
NO_LOCKS = "Object.defineProperty(Navigator.prototype, 'locks', { get: () => undefined })"


def free_port() -> int:
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])


class Book:
    """A running `gylebook serve` with one running brew; it can be killed and begun again at the same address."""

    def __init__(self, home: Path, *, sign_in: bool = False) -> None:
        self.home, self.port = home, free_port()
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("GYLEBOOK_", "DATABASE_URL"))}
        self.env = {
            **kept,
            "GYLEBOOK_HOME": str(home),
            "GYLEBOOK_TIME_ZONE": "Europe/London",
            "GYLEBOOK_ALLOWED_HOSTS": PLAIN_NAME,
        }
        if sign_in:
            self.env["GYLEBOOK_SIGN_IN"] = "1"
            self.command("password", "--from-stdin", given=PASSWORD)
        self.process: subprocess.Popen | None = None
        self.begin()

    def command(self, *args: str, given: str = "") -> str:
        done = subprocess.run(
            [sys.executable, "-m", "gylebook", *args],
            env=self.env,
            input=given,
            capture_output=True,
            text=True,
            check=True,
        )
        return done.stdout

    def begin(self) -> None:
        self.said = self.home.parent / f"{self.home.name}-said.txt"
        with self.said.open("a") as out:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "gylebook", "serve", "--port", str(self.port)],
                env=self.env, stdout=out, stderr=subprocess.STDOUT, start_new_session=True,
            )  # fmt: skip
        began = time.monotonic()
        while not self._answers():
            if self.process.poll() is not None or time.monotonic() - began > 60:
                self.kill()
                raise AssertionError(self.said.read_text())
            time.sleep(0.05)

    def kill(self) -> None:
        """End it as a power cut would: all its processes at once, with nothing tidied up."""
        assert self.process is not None
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(20)
        began = time.monotonic()
        while not self._port_is_free():  # the pages' own process may die a moment after the one that is waited for
            assert time.monotonic() - began < 20, f"port {self.port} is still held"
            time.sleep(0.02)

    def _port_is_free(self) -> bool:
        with socket.socket() as trial:
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                trial.bind(("127.0.0.1", self.port))
            except OSError:
                return False
            return True

    def _answers(self) -> bool:
        try:
            return self.ask("GET", "/static/mark.svg")[0] < 500
        except OSError:
            return False

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def ask(self, method: str, path: str, body: str = "", **headers: str) -> tuple[int, http.client.HTTPMessage, bytes]:
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        try:
            link.request(method, path, body or None, headers)
            answer = link.getresponse()
            return answer.status, answer.headers, answer.read()
        finally:
            link.close()

    def write(self, *entries: dict) -> list[dict]:
        """Write as another program of the house does."""
        status, headers, body = self.ask("GET", "/api/hello")
        assert status == 200
        cookie = headers["Set-Cookie"].split(";")[0]
        sent = json.dumps({"entries": list(entries)})
        told = {"Content-Type": "application/json", "Cookie": cookie, "X-CSRFToken": json.loads(body)["csrf"]}
        status, _, body = self.ask("POST", "/api/entries", sent, **told)
        assert status == 200, body
        return json.loads(body)["results"]

    def brew(self, name: str) -> str:
        """A brew that ferments; its number."""
        hours = iter(range(20, 0, -1))

        def entry(brew: str, act: str, **values: str) -> dict:
            at = time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(time.time() - next(hours) * 3600))
            return {
                "id": f"{name}-{act}".replace(" ", "-"),
                "brew": brew,
                "act": act,
                "values": values,
                "happened_at": at,
            }

        (planned,) = self.write(entry("new", "plan", name=name))
        assert planned["status"] == "written", planned
        brew = planned["brew"]
        found = self.write(
            entry(brew, "mix", ingredients="1.7 kg liquid malt extract\n1 kg sugar", volume="22 L"),
            entry(brew, "pitch", yeast="ale yeast"),
        )
        assert [each["status"] for each in found] == ["written", "written"], found
        return brew

    def entries(self, brew: str) -> list[dict]:
        """The whole log of a brew."""
        found: list[dict] = []
        while True:
            after = found[-1]["seq"] if found else 0
            status, _, body = self.ask("GET", f"/api/brews/{brew}/entries?after={after}")
            if status == 429:
                time.sleep(5)
                continue
            assert status == 200, body
            told = json.loads(body)
            found += told["entries"]
            if not told["more"]:
                return found

    def notes(self, brew: str) -> list[str]:
        return [each["body"]["text"] for each in self.entries(brew) if each["kind"] == "noted"]


class Line:
    """A line to a book: passes everything on, and loses that share of the replies to what was written."""

    def __init__(self, port: int, loses: float = 0.0, seed: int = 1) -> None:
        self.to, self.loses, self.chance = port, loses, random.Random(seed)
        self.lost = self.passed = 0
        self.slow = 0.0
        self.newer = False  # the worker of another release comes through
        self.server = socket.create_server(("127.0.0.1", 0), backlog=64)
        self.port = self.server.getsockname()[1]
        threading.Thread(target=self._accept, daemon=True).start()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def _accept(self) -> None:
        while True:
            try:
                near, _ = self.server.accept()
            except OSError:
                return
            threading.Thread(target=self._carry, args=(near,), daemon=True).start()

    def _carry(self, near: socket.socket) -> None:
        with contextlib.suppress(OSError, http.client.HTTPException, ValueError), near:
            reader = near.makefile("rb")
            first = reader.readline().decode()
            if not first:
                return
            method, path, _ = first.split(" ", 2)
            headers = http.client.parse_headers(reader)
            body = reader.read(int(headers.get("Content-Length") or 0))
            link = http.client.HTTPConnection("127.0.0.1", self.to, timeout=60)
            told = {
                name: value for name, value in headers.items() if name.lower() not in ("connection", "accept-encoding")
            }
            link.request(method, path, body or None, told)
            answer = link.getresponse()
            content = answer.read()
            link.close()
            if self.newer and "/pocket/worker.js" in path:
                content += b"\n// of another release"
            if method == "POST":
                if self.slow:
                    time.sleep(self.slow)
                if self.chance.random() < self.loses:
                    self.lost += 1
                    return  # what was written is written; its sender never hears of it
                self.passed += 1
            lines = [f"HTTP/1.1 {answer.status} {answer.reason}"]
            skipped = ("connection", "content-length", "transfer-encoding")
            lines += [f"{name}: {value}" for name, value in answer.getheaders() if name.lower() not in skipped]
            lines += [f"Content-Length: {len(content)}", "Connection: close", "", ""]
            near.sendall("\r\n".join(lines).encode("latin-1") + (b"" if method == "HEAD" else content))

    def cut(self) -> None:
        """Nothing gets through any more."""
        self.server.shutdown(socket.SHUT_RDWR)  # what waits for a caller wakes up, and the port is free
        self.server.close()


@contextmanager
def chromium() -> Iterator[Browser]:
    """A real browser without a window."""
    found = os.environ.get("GYLEBOOK_TEST_CHROMIUM") or shutil.which("chromium")
    if not found:
        raise RuntimeError("no Chromium to test with: run scripts/system-packages")
    with sync_playwright() as playwright:
        # A name that is not this computer's own, as a phone sees the book by plain HTTP: no secure context.
        house = f"--host-resolver-rules=MAP {PLAIN_NAME} 127.0.0.1"
        browser = playwright.chromium.launch(executable_path=found, args=["--no-sandbox", "--disable-gpu", house])
        try:
            yield browser
        finally:
            browser.close()


class Phone:
    """A phone: a browser's own store, cookies and worker."""

    def __init__(self, browser: Browser, address: str, *, clock: float = 0, **options: object) -> None:
        self.address = address
        self.context: BrowserContext = browser.new_context(
            viewport={"width": 390, "height": 844}, locale="en-GB", timezone_id="Europe/London", **options
        )
        if clock:
            self.context.add_init_script(CLOCK % clock)
        self.complaints: list[str] = []

    def open(self, path: str = "/pocket/", *, locks: bool = True) -> Page:
        page = self.context.new_page()
        page.set_default_timeout(20_000)
        page.on("pageerror", lambda fault: self.complaints.append(str(fault)))
        page.on("console", lambda message: self._console(message.text))
        if not locks:
            page.add_init_script(NO_LOCKS)
        page.goto(self.address + path)
        return page

    def _console(self, text: str) -> None:
        if not any(part in text for part in BY_THE_WAY):
            self.complaints.append(text)

    def ready(self, path: str = "/pocket/") -> Page:
        """A page of Pocket that knows the book, and whose worker keeps it."""
        page = self.open(path)
        page.locator("h2", has_text="Running brews").wait_for()
        page.evaluate("() => navigator.serviceWorker.ready.then(() => true)")
        page.wait_for_function("() => navigator.serviceWorker.controller !== null")
        return page

    def cut(self) -> None:
        self.context.set_offline(True)

    def mend(self) -> None:
        self.context.set_offline(False)

    def close(self) -> None:
        self.context.close()


def waits(page: Page, words: str) -> None:
    """Wait until the line that is always in sight says so."""
    page.locator("#waits", has_text=words).wait_for()


def type_entry(page: Page, brew: str, act: str, **texts: str) -> None:
    """Write something down by hand."""
    page.evaluate(f"() => {{ location.hash = '#write/{brew}/{act}'; }}")
    page.locator("form.entry").wait_for()
    for name, text in texts.items():
        field = page.locator(f'form.entry [name="{name}"]')
        folded = page.locator(f'details.more:has([name="{name}"]):not([open]) > summary')
        if folded.count():
            folded.click()
        if field.first.get_attribute("type") == "radio":
            page.locator(f'label:has([name="{name}"][value="{text}"])').click()
        else:
            field.fill(text)
    page.locator("form.entry .main").click()


def note(page: Page, brew: str, text: str) -> None:
    type_entry(page, brew, "note", text=text)
    page.locator(".note", has_text=f"Kept on this phone: Note: {text}").wait_for()


# Entries made by the page's own modules, as fast as the phone takes them.
MANY = """async ([brew, texts, clocks]) => {
  const { Store, made } = await import("/pocket/sending.js");
  const store = await Store.open("/");
  const { document: kept } = await store.get("pocket");
  const head = kept.brews.find((each) => each.id === brew).head_seq;
  const slowest = { ms: 0 };
  for (const [place, text] of texts.entries()) {
    if (clocks.length && place % 50 === 0) globalThis.setClock(clocks[(place / 50) % clocks.length]);
    const began = performance.now();
    await store.add(made({ brew, brewName: "", act: "note", words: "", values: { text }, at: Date.now(), offset: (await store.get("clock"))?.offset ?? null, seen: head, book: kept.book, person: kept.person, said: text }));
    slowest.ms = Math.max(slowest.ms, performance.now() - began);
  }
  store.db.close();
  return slowest.ms;
}"""
