"""The sentences that scripts write, in another language: read out of the scripts, told from the book's own catalogue.

A script says `say("Weigh {mass}", { mass })`; a page in another language names the address of the translations of all
such sentences, of nothing else of the catalogue. English is what stands in the scripts, and loads nothing.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from django.conf import settings
from django.urls import reverse

from gylebook.outputs import voices
from gylebook.outputs.measures import Measures
from gylebook.phrases import Voice, active_voice

ENGLISH = voices.BRITISH
LANGUAGES = (voices.BRITISH, voices.AMERICAN, voices.GERMAN)

_TEXT = r'"((?:[^"\\]|\\.)*)"'
_SAID = re.compile(rf"\bsay\(\s*{_TEXT}")
_COUNTED = re.compile(rf"\bcounted\([^\"`;]*?,\s*{_TEXT},\s*{_TEXT}")


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence of a script, and where it stands; `more` is its form for several, "" where it has none."""

    text: str
    more: str
    file: str
    line: int


def said_by_scripts() -> list[Said]:
    """Every sentence that a script writes, each as often as it stands in one, in the order of the files."""
    root = Path(settings.STATIC_ROOT)
    names = sorted(path.relative_to(root).as_posix() for path in root.rglob("*.js"))
    return [each for name in names for each in said_in((root / name).read_text(encoding="utf-8"), name)]


def said_in(script: str, name: str) -> list[Said]:
    """The sentences of one script."""
    found = [(at.start(), at[1], "") for at in _SAID.finditer(script)]
    found += [(at.start(), at[1], at[2]) for at in _COUNTED.finditer(script)]
    return [
        Said(_plain(one), _plain(more), name, script.count("\n", 0, start) + 1) for start, one, more in sorted(found)
    ]


def _plain(written: str) -> str:
    """A text of a script without its marks; what JavaScript escapes in these files JSON escapes alike."""
    return str(json.loads(f'"{written}"'))


def language_of_page() -> str:
    """The language in which this request is answered, as a page names it: "en-GB", "de"."""
    active = active_voice()
    return known(active.language) if active is not None else ENGLISH


def known(language: str) -> str:
    """The language itself where the book speaks it, else English as in Britain."""
    return language if language in LANGUAGES else ENGLISH


def voice_of(language: str) -> Voice:
    """The voice that tells the scripts' sentences: the units of a reader are the scripts' own matter."""
    return voices.voice(language, Measures)


def words_of(language: str) -> dict[str, str | list[str]]:
    """What the scripts' sentences are in a language, by their English; a list of forms where it goes by a number.

    What is the same as in English is left out, so that British English has none and American few.
    """
    voice = voice_of(language)
    found: dict[str, str | list[str]] = {}
    for each in said_by_scripts():
        told = _forms(voice, each) if each.more else voice.template(each.text)
        if told != (list(dict.fromkeys((each.text, each.more))) if each.more else each.text):
            found[each.text] = told
    return dict(sorted(found.items()))


def _forms(voice: Voice, said: Said) -> list[str]:
    """The forms for one, for several and so on, in the order in which numbers come to them."""
    return list(dict.fromkeys(voice.plural(said.text, said.more, number) for number in (*range(1, 200), 0)))


def written(language: str) -> bytes:
    """The same as JSON; made anew when a script has changed."""
    root = Path(settings.STATIC_ROOT)
    return _written(language, tuple(path.stat().st_mtime_ns for path in sorted(root.rglob("*.js"))))


@cache
def _written(language: str, stamps: tuple[int, ...]) -> bytes:
    del stamps
    return json.dumps(words_of(language), ensure_ascii=False, separators=(",", ":")).encode()


def address(language: str) -> str:
    """Where a page in this language finds its scripts' words, with their print; "" where there are none."""
    if language == ENGLISH or (told := written(language)) == b"{}":
        return ""
    return f"{reverse('pocket_words', args=[language])}?{hashlib.sha256(told).hexdigest()[:12]}"
