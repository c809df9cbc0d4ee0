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
from django.utils import translation

from gylebook.phrases import speaking
from gylebook.web.pocket import scripts, words

WORKER = "pocket/worker.js"  # the worker is fetched by the browser itself
PLAIN = ("pocket/look.js", "pocket/pocket.css", "gylebook.css", "mark.svg")
PAGE = "pocket/pocket.html"


@dataclass(frozen=True, slots=True)
class Shell:
    """The files by address, each with its print as browsers check it; `version` is the print of the list."""

    files: tuple[tuple[str, str], ...]
    version: str


def shell(root: str, language: str = words.ENGLISH) -> Shell:
    """The shell below this root, "/" or "/demo/", in a language; made anew when a file has changed."""
    folder = Path(settings.STATIC_ROOT)
    stamps = tuple((name, (folder / name).stat().st_mtime_ns) for name in PLAIN)
    return _shell(root, language, page(language), stamps)


def script_address(part: str) -> str:
    """Where a part of the scripts is."""
    return reverse("pocket") + scripts.name_of(part)


@cache
def _shell(root: str, language: str, drawn: str, stamps: tuple[tuple[str, int], ...]) -> Shell:
    folder = Path(settings.STATIC_ROOT)
    del root  # the page names its scripts and words with their prints, and the scripts each other
    # The worker asks without cookies, so that the address has to tell the language.
    files = [(f"{reverse('pocket')}?language={language}", _print(drawn.encode()))]
    if told := words.address(language):
        files.append((told, _print(words.written(language))))
    files += [(script_address(part), _print(made.content)) for part, made in scripts.scripts().items()]
    files += [(f"{settings.STATIC_URL}{name}", _print((folder / name).read_bytes())) for name, _ in stamps]
    version = hashlib.sha256(json.dumps(files).encode()).hexdigest()[:16]
    return Shell(tuple(files), version)


def page(language: str = words.ENGLISH) -> str:
    """The page, the same for everybody who reads its language: nothing of a person's is in it."""
    context = {
        "root": reverse("today"),
        "script": script_address(scripts.PAGE),
        # Named at once, else a browser finds them only once it has the script.
        "further": [script_address(part) for part in (scripts.SENDING, scripts.WORDS)],
        "sign_in": settings.SIGN_IN_REQUIRED,
        "language": language,
        "words": words.address(language),
    }
    with translation.override(language), speaking(words.voice_of(language)):
        return render_to_string(PAGE, context)


def _print(content: bytes) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(content).digest()).decode()
