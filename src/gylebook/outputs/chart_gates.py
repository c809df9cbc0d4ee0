"""Where the words of a gate stand: beside its line, where they hide the least of what was read and forecast."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gylebook.outputs.chart_data import Gate
from gylebook.outputs.svg_text import fitted, width_of
from gylebook.phrases import say
from gylebook.units import show

if TYPE_CHECKING:
    from gylebook.outputs.chart import Plot

# What it costs to lie on a thing. Words on words cannot be read at all: then they go, for the table has them.
_WORDS, _ASKED, _LINE, _DOT, _MIDDLE, _FARTHER = 1000.0, 60.0, 8.0, 6.0, 2.0, 25.0
_TRIES, _SWEEPS = 4, 2


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the canvas."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Whether the two lie on each other."""
        across = self.left < other.right and other.left < self.right
        return across and self.top < other.bottom and other.top < self.bottom


@dataclass(frozen=True, slots=True)
class Placed:
    """A gate's words: where they begin or end on their base line."""

    x: float
    y: float
    words: str
    anchor: str


def gate_words(plot: Plot) -> list[Placed]:
    """The words of every gate that has room for them, from the lowest gate to the highest.

    Each takes its cheapest place, then each looks once more, the others being where they are.
    """
    gates = sorted((gate for gate in plot.chart.gates if plot.chart.fits(gate.value)), key=lambda gate: gate.value)
    things = list(_things(plot))
    tries = []
    for gate in gates:
        lines = [plot.y(other.value) for other in gates if other is not gate]
        tries.append([(_cost(box, things, lines) + extra, placed, box) for placed, box, extra in _tries(plot, gate)])
    found: dict[int, tuple[Placed, Box]] = {}
    for _ in range(_SWEEPS):
        for number, tried in enumerate(tries):
            others = [box for other, (_, box) in found.items() if other != number]
            costs = [(cost + _WORDS * sum(box.meets(each) for each in others), p, box) for cost, p, box in tried]
            best = min(costs, key=lambda each: each[0], default=None)
            found.pop(number, None)
            if best is not None and best[0] < _WORDS:
                found[number] = (best[1], best[2])
    return [found[number][0] for number in sorted(found)]


def _tries(plot: Plot, gate: Gate) -> Iterator[tuple[Placed, Box, float]]:
    """Above the line, below it, then farther above; at the left and at the right."""
    font, y = plot.size.font, plot.y(gate.value)
    words = fitted(
        say("{gate} {value}", gate=gate.words, value=show(gate.value, plot.chart.digits)).strip(),
        font,
        plot.right - plot.left - 8,
    )
    wide = width_of(words, font)
    heights = [y - 4, y + font, *(y - 4 - step * (font + 2) for step in range(1, _TRIES))]
    for number, place in enumerate(heights):
        if place - font < 0 or place > plot.base - 3:
            continue
        for anchor, start in (("start", plot.left + 4), ("end", plot.right - 4 - wide)):
            box = Box(start, place - 0.85 * font, start + wide, place + 0.25 * font)
            extra = 0.2 * min(number, 1) + max(number - 1, 0) * _FARTHER + (0.1 if anchor == "end" else 0.0)
            yield Placed(start if anchor == "start" else start + wide, place, words, anchor), box, extra


def _things(plot: Plot) -> Iterator[tuple[Box, float]]:
    """What is drawn, with what it costs to hide it."""
    chart, font = plot.chart, plot.size.font
    for reading in chart.drawable:
        x = plot.x(reading.at)
        ends = (plot.y(value) for value in (reading.high, reading.low) if chart.fits(value))
        ys = (plot.y(reading.value), *ends)
        yield Box(x - 4, min(ys) - 4, x + 4, max(ys) + 4), _DOT
    for at, value in zip(chart.middle.at, chart.middle.value, strict=True) if chart.middle else ():
        if chart.fits(value):
            x, y = plot.x(at), plot.y(value)
            yield Box(x - 1, y - 1, x + 1, y + 1), _MIDDLE
    if chart.ask is not None and chart.fits(chart.ask.value):
        x, y = plot.x(chart.ask.at), plot.y(chart.ask.value)
        half = width_of(chart.ask.words, font) / 2 - 4  # the width is a generous guess
        below = y + 8 + font <= plot.base - 3
        top = y - 6 if below else y - 10 - font
        middle = min(max(x, plot.left + half + 2), plot.right - half - 2)
        yield Box(middle - half, top, middle + half, y + 10 + font if below else y + 6), _ASKED


def _cost(box: Box, things: list[tuple[Box, float]], lines: list[float]) -> float:
    cost = sum(weight for thing, weight in things if box.meets(thing))
    return cost + _LINE * sum(box.top < y < box.bottom for y in lines)
