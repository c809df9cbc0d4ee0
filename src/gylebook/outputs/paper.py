"""Paper: data into one of the book's own templates, out comes a tagged PDF with its fonts inside.

What the brewer wrote goes in as data and never becomes part of a template.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Mapping
from datetime import UTC, datetime
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from gylebook.errors import InputError, Refused
from gylebook.phrases import active_voice, say, tell

TEMPLATES = Path(__file__).parent / "typst"
HOW_TO_GET_IT = say(
    "The part that sets sheets is not installed: get it with “pip install 'gylebook[print]'”, then print again."
)
RULER_WORDS = say("100 mm: print at 100 %")
_NO_GLYPH = re.compile(r'the text `"(.+?)"` could not be displayed')


def is_there() -> bool:
    """Whether the typesetter is installed."""
    return find_spec("typst") is not None


def typeset(template: str, data: Mapping[str, Any], made_at: datetime) -> bytes:
    """One PDF: tagged for screen readers (PDF/UA-1), the same bytes for the same data and moment.

    Raises
    ------
    Refused
        The typesetter is not installed.
    InputError
        The words do not fit their place, or need letters that no font here has.
    """
    if not is_there():
        raise Refused(HOW_TO_GET_IT)
    import typst

    compiler = typst.Compiler(TEMPLATES / f"{template}.typ", root=TEMPLATES, ignore_system_fonts=True)
    stamp = made_at.astimezone(UTC).replace(microsecond=0)
    try:
        made = compiler.compile(
            format="pdf",
            sys_inputs={"data": json.dumps(plain_text(data), ensure_ascii=False), "language": _language()},
            pdf_standards=["ua-1"],
            timestamp=int(stamp.timestamp()),
        )
    except typst.TypstError as fault:
        raise _told(fault) from fault
    assert isinstance(made, bytes)
    return made


def _language() -> str:
    """The language for hyphens and screen readers: "en-GB", "de"."""
    voice = active_voice()
    return voice.language if voice is not None else "en-GB"


def _told(fault: Exception) -> Exception:
    words = str(getattr(fault, "message", fault))
    if "TOO FULL" in words:
        return InputError(
            say("Paper"), say("the words do not fit on it"), say("choose larger labels, or give a shorter name")
        )
    lacking = _NO_GLYPH.search(words)
    if lacking is not None:
        problem = say("“{lacking}” is in none of the fonts for print", lacking=lacking[1])
        return InputError(
            say("Paper"), problem, say("give another name for the paper, in Latin, Greek or Cyrillic letters")
        )
    return fault


def plain_text(value: Any) -> Any:
    """The same data with every text composed (ü as one letter) and without control characters or runs of spaces."""
    if isinstance(value, str):
        value = tell(value)
        if value.lstrip().startswith("<svg"):
            return value
        kept = "".join(" " if unicodedata.category(c) in {"Cc", "Zl", "Zp"} else c for c in value)
        return re.sub(r" {2,}", " ", unicodedata.normalize("NFC", kept))
    if isinstance(value, Mapping):
        return {key: plain_text(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [plain_text(each) for each in value]
    return value
