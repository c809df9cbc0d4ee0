"""Take the pictures of the main pages that the docs show, from the demo book, phone and desktop, light and dark.

    .venv/bin/python scripts/write_screens.py

Needs Chromium. The demo book is made afresh in a folder that is thrown away.
"""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

SCREENS = Path(__file__).parents[1] / "docs" / "screens"
GYLEBOOK = str(Path(sys.executable).with_name("gylebook"))
# On a phone and on a desk; the rest on a phone alone, which is where they are used, so that the docs stay small.
PAGES = {
    "today": "/demo/",
    "brew": "/demo/brews/4/",
    "priming": "/demo/brews/7/priming/",
    "cellar": "/demo/cellar/",
    "reckon": "/demo/reckon/reading/?reading=1.044&temp=25",
    "forecast": "/demo/reckon/forecast/?original=1.042&readings=day+3:+1.025%0A5+1.016&now=6&temp=19#answer-headline",
}
ON_A_PHONE = {
    "new-book": "/",
    "brews": "/demo/brews/",
    "filling": "/demo/brews/4/bottling/filling/",
    "worktop": "/demo/brews/7/priming/bench/",
    "stores": "/demo/stores/",
    "sums": "/demo/reckon/",
    "settings": "/demo/settings/",
    "papers": "/demo/brews/4/papers/",
    "notices": "/settings/notices/",
    "pocket": "/demo/pocket/",
    "dangerous-bottles": "/demo/dangerous-bottles/",
}
SIZES = {"phone": (390, 844), "desktop": (1280, 900)}


def free_port() -> int:
    """A port that nobody listens on now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def wait_for(address: str) -> None:
    """Return once the address answers."""
    for _ in range(200):
        try:
            urllib.request.urlopen(address, timeout=5).read()  # noqa: S310 - our own server
        except OSError:
            time.sleep(0.1)
        else:
            return
    raise SystemExit(f"{address} does not answer")


def take(browser: Browser, root: str) -> None:
    """All pages in all sizes and both looks."""
    for size, (width, height) in SIZES.items():
        for look in ("light", "dark"):
            context = browser.new_context(viewport={"width": width, "height": height}, color_scheme=look)
            page = context.new_page()
            for name, address in (PAGES if size == "desktop" else PAGES | ON_A_PHONE).items():
                page.goto(root + address)
                page.wait_for_load_state("networkidle")
                page.screenshot(path=SCREENS / f"{name}-{size}-{look}.png")
            context.close()


def main() -> None:
    """Serve the demo book and take the pictures."""
    SCREENS.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as home:
        port = free_port()
        env = os.environ | {"GYLEBOOK_HOME": home, "GYLEBOOK_PORT": str(port)}
        subprocess.run([GYLEBOOK, "demo", "fill"], env=env, check=True, capture_output=True)
        with subprocess.Popen(
            [GYLEBOOK, "serve"], env=env, stdout=subprocess.DEVNULL, start_new_session=True
        ) as server:
            try:
                wait_for(f"http://127.0.0.1:{port}/")
                with sync_playwright() as playwright:
                    browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
                    take(browser, f"http://127.0.0.1:{port}")
                    browser.close()
            finally:
                os.killpg(server.pid, 15)


if __name__ == "__main__":
    main()
