"""A chance as tally strokes: twenty of them, five to a gate, as many in pencil as the chance has twentieths."""

from __future__ import annotations

from math import floor, isfinite

STROKES = 20
_STEP, _GATE, _HEIGHT = 5.0, 28.0, 15.0


def strokes(chance: float) -> int:
    """How many of the twenty are drawn in full, for a chance from 0 to 1."""
    return min(max(floor(chance * STROKES + 0.5), 0), STROKES) if isfinite(chance) else 0


def tally(chance: float) -> str:
    """The strokes as one <svg> element, hidden from those who listen: the number stands beside it."""
    full = strokes(chance)
    width = _GATE * STROKES / 5 - 6
    lines = "".join(_stroke(number, "on" if number < full else "off") for number in range(STROKES))
    size = f'viewBox="0 0 {width:g} {_HEIGHT:g}" width="{width:g}" height="{_HEIGHT:g}"'
    return f'<svg class="tally" {size} aria-hidden="true" focusable="false">{lines}</svg>'


def _stroke(number: int, kind: str) -> str:
    """Four upright ones, and the fifth across them."""
    gate, place = divmod(number, 5)
    left = _GATE * gate
    if place == 4:
        ends = (left + 0.5, _HEIGHT - 3.5, left + 20.5, 3.5)
    else:
        x = left + 3 + _STEP * place
        ends = (x, _HEIGHT - 1.5, x + 0.8, 1.5)  # a hand does not write quite upright
    x1, y1, x2, y2 = ends
    return f'<line class="{kind}" x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}"/>'
