"""The shell of Pocket: the files without which it does not open, each with its print, and the version of them all."""

from __future__ import annotations

import base64
import hashlib
import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse

FOLDER = "pocket"
WORKER = "pocket/worker.js"  # the worker is fetched by the browser itself
FURTHER = ("modules/timer.js", "gylebook.css", "mark.svg")
NO_MODULES = ("look.js", "worker.js")
PAGE = "pocket/pocket.html"


@dataclass(frozen=True, slots=True)
class Shell:
    """The files by address, each with its print as browsers check it; `version` is the print of the list."""

    files: tuple[tuple[str, str], ...]
    version: str


def shell(root: str) -> Shell:
    """The shell below this root, "/" or "/demo/"; made anew when a file has changed."""
    folder = Path(settings.STATIC_ROOT)
    names = static_names(folder)
    stamps = tuple((name, (folder / name).stat().st_mtime_ns) for name in names)
    return _shell(root, page(), stamps)


def static_names(folder: Path) -> tuple[str, ...]:
    """Names of the static files of the shell."""
    own = (
        path.relative_to(folder).as_posix() for path in (folder / FOLDER).rglob("*") if path.suffix in (".js", ".css")
    )
    return tuple(sorted(name for name in (*own, *FURTHER) if name != WORKER))


@cache
def _shell(root: str, drawn: str, stamps: tuple[tuple[str, int], ...]) -> Shell:
    folder = Path(settings.STATIC_ROOT)
    del root
    files = [(reverse("pocket"), _print(drawn.encode()))]
    files += [(f"{settings.STATIC_URL}{name}", _print((folder / name).read_bytes())) for name, _ in stamps]
    version = hashlib.sha256(json.dumps(files).encode()).hexdigest()[:16]
    return Shell(tuple(files), version)


def page() -> str:
    """The page, the same for everybody: whoever holds the phone, nothing of a person's is in it."""
    own = sorted(path.name for path in (Path(settings.STATIC_ROOT) / FOLDER).glob("*.js"))
    context = {
        "root": reverse("today"),
        # Named at once, else a browser finds them one import after the other.
        "modules": [name for name in own if name not in NO_MODULES],
        "with_sums": (Path(settings.STATIC_ROOT) / FOLDER / "sums" / "index.js").exists(),
        "sign_in": settings.SIGN_IN_REQUIRED,
    }
    return render_to_string(PAGE, context)


def _print(content: bytes) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(content).digest()).decode()
