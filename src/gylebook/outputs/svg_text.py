"""Text in a drawing: escaped, and measured well enough to keep it inside."""

from __future__ import annotations

import re
import unicodedata
from html import escape

from gylebook.phrases import tell

# What XML 1.0 cannot hold at all, not even escaped.
_IMPOSSIBLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
# A rather wide average of the usual sans faces, so that the estimate errs on the safe side.
_AVERAGE = 0.58


def plain(words: str) -> str:
    """The words as XML text or attribute value."""
    return escape(_IMPOSSIBLE.sub("\ufffd", tell(words)), quote=True)


def width_of(words: str, font: float) -> float:
    """About how wide the words run, in the units of the font size."""
    return font * sum(1.1 if unicodedata.east_asian_width(sign) in "WF" else _AVERAGE for sign in tell(words))


def fitted(words: str, font: float, room: float) -> str:
    """The words in one line, shortened with an ellipsis where they would run over the room."""
    line = " ".join(tell(words).split())
    if width_of(line, font) <= room:
        return line
    while line and width_of(line + "…", font) > room:
        line = line[:-1]
    return f"{line.rstrip()}…"
