"""Words that must not stand in what a brewer reads."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
READ_BY_BREWERS = sorted(
    [
        *(ROOT / "src" / "gylebook" / "web").rglob("*.html"),
        *(ROOT / "src" / "gylebook" / "steps").rglob("*.py"),
        *(ROOT / "src" / "gylebook" / "cli").rglob("*.py"),
        *(ROOT / "docs").rglob("*.md"),
        ROOT / "README.md",
    ]
)
# "Not safe" and "fail-safe" are as much of a promise as "safe".
SAFE = re.compile(r"\bsafe(?:ly)?\b", re.IGNORECASE)
CODE_USES = re.compile(r"mark_safe|\|safe|SafeString|safe_|_safe|xsafe")


@pytest.mark.parametrize("path", READ_BY_BREWERS, ids=lambda p: p.relative_to(ROOT).as_posix())
def test_nothing_is_called_safe(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    found = [
        f"{number}: {line.strip()}"
        for number, line in enumerate(text.splitlines(), 1)
        if SAFE.search(line) and not CODE_USES.search(line)
    ]
    assert not found, found
