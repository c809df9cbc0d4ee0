"""Take the pictures of the main pages that the docs show, from the demo book, phone and desktop, light and dark.

    .venv/bin/python scripts/write_screens.py [--into FOLDER] [NAME ...]

Needs Chromium. The demo book is made afresh in a folder that is thrown away; pages by which others come in are taken
from the same book, open to the house. Pictures are written with a palette, which keeps the docs small.
"""

from __future__ import annotations

import argparse
import base64
import json
import os
import shutil
import signal
import socket
import struct
import subprocess
import sys
import tempfile
import time
import urllib.request
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
from playwright.sync_api import Browser, Page, sync_playwright

SCREENS = Path(__file__).resolve().parents[1] / "docs" / "screens"
GYLEBOOK = str(Path(sys.executable).with_name("gylebook"))
COLOURS = 96
# The book on the desk of one who brews alone.
ALONE = {
    "today": "/demo/",
    "brews": "/demo/brews/",
    "brew": "/demo/brews/4/",
    "priming": "/demo/brews/7/priming/",
    "reading": "/demo/brews/4/readings/?act=reading",
    "worktop": "/demo/brews/7/priming/bench/",
    "papers": "/demo/brews/2/papers/",
    "cellar": "/demo/cellar/",
    "stores": "/demo/stores/",
    "kit": "/demo/stores/kits/Pipit%20pale/",
    "sums": "/demo/reckon/",
    "reckon": "/demo/reckon/reading/?reading=1.044&temp=25",
    "forecast": "/demo/reckon/forecast/?original=1.042&readings=day+3:+1.025%0A5+1.016&now=6&temp=19#answer-headline",
    "settings": "/demo/settings/",
    "notices": "/settings/notices/",
    "pocket": "/demo/pocket/",
    "dangerous-bottles": "/demo/dangerous-bottles/",
    "new-book": "/",
    "no-such-page": "/demo/no-such-page/",
    "filling": "/demo/brews/7/bottling/filling/",  # the last, since bottles are filled for it
}
# The same book open to the house.
SHARED = {"devices": "/account/devices/", "people": "/account/people/"}
SIGN_IN = "sign-in"
LABEL = "label", "/demo/brews/2/papers/label/?kind=gift&sheet=a4-3x7&outline=no"
SIZES = {"phone": (390, 844), "desktop": (1280, 900)}
LOOKS = ("light", "dark")
# A picture as its bare colours, which the browser that drew it knows best how to read.
READ = """async png => {
    const picture = new Image(); picture.src = 'data:image/png;base64,' + png; await picture.decode();
    const canvas = new OffscreenCanvas(picture.width, picture.height), pen = canvas.getContext('2d');
    pen.drawImage(picture, 0, 0);
    const colours = pen.getImageData(0, 0, picture.width, picture.height).data;
    let text = '';
    for (let i = 0; i < colours.length; i += 32768) text += String.fromCharCode(...colours.subarray(i, i + 32768));
    return [picture.width, picture.height, btoa(text)]; }"""


def palette_png(pixels: np.ndarray[Any, Any]) -> bytes:
    """A PNG with a palette: the commonest colours as they are, each rarer one (a letter's edge) as the nearest of them.

    `pixels` is height by width by three, each 0 to 255.
    """
    packed = pixels.astype(np.uint32) @ np.array([65536, 256, 1], np.uint32)
    found, where, counts = np.unique(packed, return_inverse=True, return_counts=True)
    split = np.stack([found >> 16, found >> 8 & 255, found & 255], axis=1).astype(np.int32)
    chosen = split[_far_apart(split, counts)]
    nearest = ((split[:, None, :] - chosen[None, :, :]) ** 2).sum(axis=2).argmin(axis=1).astype(np.uint8)
    rows = nearest[where].reshape(packed.shape)
    high, wide = rows.shape
    lines = np.concatenate([np.zeros((high, 1), np.uint8), rows], axis=1).tobytes()
    parts = (
        (b"IHDR", struct.pack(">IIBBBBB", wide, high, 8, 3, 0, 0, 0)),
        (b"PLTE", chosen.astype(np.uint8).tobytes()),
        (b"IDAT", zlib.compress(lines, 9)),
        (b"IEND", b""),
    )
    told = (
        struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body)) for kind, body in parts
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(told)


def _far_apart(colours: np.ndarray[Any, Any], counts: np.ndarray[Any, Any]) -> list[int]:
    """Which colours to keep: the commonest, then again and again the one that most pixels would be most wrong in."""
    kept = [int(counts.argmax())]
    wrong = ((colours - colours[kept[0]]) ** 2).sum(axis=1)
    while len(kept) < min(COLOURS, len(colours)):
        kept.append(int((wrong * np.sqrt(counts)).argmax()))
        wrong = np.minimum(wrong, ((colours - colours[kept[-1]]) ** 2).sum(axis=1))
    return kept


class Camera:
    """One page of one browser, which looks at each address in each size and look."""

    def __init__(self, browser: Browser, into: Path, only: set[str]) -> None:
        self.browser, self.page = browser, browser.new_context().new_page()
        self.reader = browser.new_context().new_page()
        self.into, self.only = into, only

    def wants(self, name: str) -> bool:
        """Whether this picture was asked for."""
        return not self.only or name in self.only

    def take(self, name: str, address: str, page: Page | None = None) -> None:
        """A page, four times; by a `page` of its own where it is not for the one who is signed in."""
        if not self.wants(name):
            return
        page = page or self.page
        page.goto(address)
        page.locator("h1").first.wait_for()  # Pocket writes itself
        if name == "pocket":
            page.wait_for_load_state("networkidle")
        for size, (width, height) in SIZES.items():
            page.set_viewport_size({"width": width, "height": height})
            for look in LOOKS:
                page.emulate_media(color_scheme=look)
                self.write(f"{name}-{size}-{look}", page.screenshot())

    def write(self, name: str, png: bytes) -> None:
        """One picture, with a palette."""
        wide, high, text = self.reader.evaluate(READ, base64.b64encode(png).decode())
        pixels = np.frombuffer(base64.b64decode(text), np.uint8).reshape(high, wide, 4)[:, :, :3]
        (self.into / f"{name}.png").write_bytes(palette_png(pixels))


def free_port() -> int:
    """A port that nobody listens on now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def served(home: str, *further: str) -> Iterator[str]:
    """The book of that folder, served; gives its address."""
    port = free_port()
    env = os.environ | {"GYLEBOOK_HOME": home}
    command = [GYLEBOOK, "serve", "--port", str(port), *further]
    with subprocess.Popen(
        command, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True
    ) as server:
        try:
            wait_for(f"http://127.0.0.1:{port}/keys/")
            yield f"http://127.0.0.1:{port}"
        finally:
            os.killpg(server.pid, signal.SIGTERM)


def wait_for(address: str) -> None:
    """Return once the address answers."""
    for _ in range(300):
        try:
            urllib.request.urlopen(address, timeout=5).read()  # noqa: S310 - our own server
        except OSError:
            time.sleep(0.1)
        else:
            return
    raise SystemExit(f"{address} does not answer")


def fill_some(page: Page, address: str) -> None:
    """Fill a few bottles, so that there is something to count."""
    page.goto(address)
    page.locator("[name=cap_code]").fill("KB")
    page.locator("form.entry button.main").click()
    for _ in range(2):
        page.locator(".tap[value='10']").first.click()
        page.wait_for_load_state()
    page.locator(".tap.one").last.click()
    page.wait_for_load_state()
    page.goto(address)


def take_label(camera: Camera, root: str) -> None:
    """The first sheet of the labels, as it comes out of the printer, in half its size."""
    name, address = LABEL
    if camera.wants(name):
        sheet = pypdfium2.PdfDocument(urllib.request.urlopen(root + address).read())[0]  # noqa: S310 - our own server
        picture = sheet.render(scale=1.1, rev_byteorder=True).to_numpy()[:, :, :3]
        (camera.into / f"{name}-paper.png").write_bytes(palette_png(picture))


def take_alone(camera: Camera, home: str) -> None:
    """What one sees who brews alone."""
    with served(home) as root:
        take_label(camera, root)
        for name, address in ALONE.items():
            if name == "filling" and camera.wants(name):
                fill_some(camera.page, root + address)
            camera.take(name, root + address)


def take_shared(camera: Camera, home: str) -> None:
    """What one sees where others can reach the book: the owner let in by a code, a friend invited."""
    if not any(map(camera.wants, (*SHARED, SIGN_IN))):
        return
    with served(home, "--lan", "--http") as root:
        env = os.environ | {"GYLEBOOK_HOME": home}
        told = subprocess.run([GYLEBOOK, "pair", "--json"], env=env, check=True, capture_output=True, text=True)
        page = camera.page
        page.goto(root + "/pair/" + json.loads(told.stdout)["link"].partition("/pair/")[2])
        page.locator("main form button.main").click()
        page.goto(f"{root}/account/people/")
        page.locator("main form button.main").click()
        link = page.locator("a[href*='/invited/']").first.get_attribute("href") or ""
        friend, stranger = camera.browser.new_context().new_page(), camera.browser.new_context().new_page()
        friend.goto(root + "/invited/" + link.partition("/invited/")[2])
        friend.locator("[name=name]").fill("Ann")
        friend.locator("[name=password]").fill("Nine barrels of porter")
        friend.locator("main form button.main").click()
        camera.take(SIGN_IN, f"{root}/account/sign-in/", stranger)
        for name, address in SHARED.items():
            camera.take(name, root + address)


def main() -> None:
    """Serve the demo book and take the pictures."""
    asked = argparse.ArgumentParser(description="Take the pictures of the main pages that the docs show.")
    asked.add_argument("--into", type=Path, default=SCREENS, help="the folder to write to")
    asked.add_argument("names", nargs="*", metavar="NAME", help="only these, such as today or kit")
    given = asked.parse_args()
    known = {*ALONE, *SHARED, SIGN_IN, LABEL[0]}
    if set(given.names) - known:
        raise SystemExit(
            f"there is no page {', '.join(sorted(set(given.names) - known))}; there are {', '.join(sorted(known))}"
        )
    chromium = os.environ.get("GYLEBOOK_TEST_CHROMIUM") or shutil.which("chromium")
    if not chromium:
        raise SystemExit("no Chromium to look with: run scripts/system-packages")
    if not given.names and given.into.exists():
        for old in given.into.glob("*.png"):
            old.unlink()
    given.into.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as home, sync_playwright() as playwright:
        subprocess.run(
            [GYLEBOOK, "demo", "fill"], env=os.environ | {"GYLEBOOK_HOME": home}, check=True, capture_output=True
        )
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        camera = Camera(browser, given.into, set(given.names))
        take_alone(camera, home)
        take_shared(camera, home)
        browser.close()
    size = sum(each.stat().st_size for each in given.into.glob("*.png"))
    print(f"{len(list(given.into.glob('*.png')))} pictures, {size / 1e6:.1f} MB, in {given.into}")


if __name__ == "__main__":
    main()
