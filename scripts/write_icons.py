#!/usr/bin/env python3
"""Draw the icons under which a phone shows Pocket, from the mark of the book; they change only when the mark does.

Chromium draws them, found as the tests find it. A maskable icon keeps the mark inside the middle four fifths, since a
phone may cut the rest away.
"""

from __future__ import annotations

import os
import re
import shutil
from pathlib import Path

from playwright.sync_api import sync_playwright

STATIC = Path(__file__).resolve().parents[1] / "src" / "gylebook" / "web" / "static"
SIZES = (192, 512)
INNER = {"icon": 1.0, "maskable": 0.72}
PAPER = "#faf7f0"


def drawing(share: float) -> str:
    """A page with the mark at that share of the whole, on paper that reaches to the edge."""
    mark = re.sub(r"@media[^{]*\{(?:[^{}]*\{[^{}]*\})*[^{}]*\}", "", (STATIC / "mark.svg").read_text())
    if share < 1:
        mark = mark.replace('rx="5"', 'rx="0"')
    side = f"{share * 100:g}vw"
    ground = "transparent" if share == 1 else PAPER
    return (
        f"<style>body{{margin:0;height:100vh;display:grid;place-items:center;background:{ground}}}"
        f"svg{{width:{side};height:{side}}}</style>{mark}"
    )


def main() -> None:
    """Write the four files."""
    chromium = os.environ.get("GYLEBOOK_TEST_CHROMIUM") or shutil.which("chromium")
    if not chromium:
        raise SystemExit("no Chromium to draw with: run scripts/system-packages")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        for name, share in INNER.items():
            for size in SIZES:
                page = browser.new_page(viewport={"width": size, "height": size}, color_scheme="light")
                page.set_content(drawing(share))
                page.screenshot(path=STATIC / "pocket" / f"{name}-{size}.png", omit_background=True)
                page.close()
        browser.close()


if __name__ == "__main__":
    main()
