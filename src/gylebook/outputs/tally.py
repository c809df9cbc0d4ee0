"""A chance as tally strokes: twenty of them, five to a gate, as many in pencil as the chance has twentieths."""

from __future__ import annotations

from math import floor, isfinite

from gylebook.phrases import say, say_number

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
    size = say(
        'viewBox="0 0 {width} {HEIGHT}" width="{width}" height="{HEIGHT}"',
        width=say_number(f"{width:g}"),
        HEIGHT=say_number(f"{_HEIGHT:g}"),
    )
    return say('<svg class="tally" {size} aria-hidden="true" focusable="false">{lines}</svg>', size=size, lines=lines)


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
    return say(
        '<line class="{kind}" x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}"/>',
        kind=kind,
        x1=say_number(f"{x1:g}"),
        y1=say_number(f"{y1:g}"),
        x2=say_number(f"{x2:g}"),
        y2=say_number(f"{y2:g}"),
    )
