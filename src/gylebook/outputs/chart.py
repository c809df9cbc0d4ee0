"""A brew's chart as SVG: own writer, no dependency, classes only, the same for page, print and command line.

Ink marks are readings with their error bars; struck-out ones are hollow and crossed. Pencil is the forecast: a wash
for the wide chance, hatching for the narrow one, a broken line for the middle. No colour carries a meaning alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from gylebook.outputs.chart_axes import count_ticks, gravity_ticks, time_ticks
from gylebook.outputs.chart_data import Ask, Band, Chart, EventMark, Gate, Line, Reading, Scale
from gylebook.outputs.chart_gates import gate_words
from gylebook.outputs.chart_words import FanRow, Row, chart_rows, chart_sentence, fan_rows
from gylebook.outputs.svg_text import fitted, plain, width_of
from gylebook.phrases import say
from gylebook.units import show

__all__ = [
    "PHONE",
    "WIDE",
    "Ask",
    "Band",
    "Chart",
    "EventMark",
    "FanRow",
    "Gate",
    "Line",
    "Reading",
    "Row",
    "Scale",
    "Size",
    "chart_rows",
    "chart_sentence",
    "draw",
    "fan_rows",
]

# More readings than this come from a sensor: small dots without bars, or the marks would hide one another.
MANY = 60
LANES = 4


@dataclass(frozen=True, slots=True)
class Size:
    """A canvas in user units; on a phone one unit is about one pixel, so the type stays above 11 pixels."""

    name: str
    width: int
    height: int
    font: float
    most_ticks: int


PHONE = Size("phone", 360, 300, 12.5, 6)
WIDE = Size("wide", 640, 360, 13, 10)


@dataclass(frozen=True, slots=True)
class Plot:
    """The plotting area, and where a moment and a gravity lie in it."""

    chart: Chart
    size: Size
    lanes: int
    span: tuple[datetime, datetime]
    reach: tuple[float, float]

    @classmethod
    def of(cls, chart: Chart, size: Size, lanes: int = LANES) -> Plot:
        """The plotting area of a chart with so many lanes of events below it."""
        return cls(chart, size, lanes, chart.span(), chart.reach())

    @property
    def left(self) -> float:
        """Room for the gravities."""
        return round(self.size.font * 3.6)

    @property
    def right(self) -> float:
        """Room for half a label."""
        return self.size.width - round(self.size.font)

    @property
    def top(self) -> float:
        """Room for the words of a gate at the top."""
        return round(self.size.font * 1.5)

    @property
    def base(self) -> float:
        """The base line: below it the lanes of events and the dates."""
        return self.size.height - self.size.font * (1.9 + 1.35 * self.lanes)

    def x(self, at: datetime) -> float:
        """Across, for a moment."""
        first, last = self.span
        share = (at - first) / (last - first)
        return self.left + min(max(share, 0.0), 1.0) * (self.right - self.left)

    def y(self, value: float) -> float:
        """Down, for a gravity; held inside the plot."""
        low, high = self.reach
        share = (value - low) / (high - low)
        return self.base - min(max(share, 0.0), 1.0) * (self.base - self.top)


def draw(chart: Chart, size: Size = PHONE, *, standalone: bool = False) -> str:
    """The chart as one <svg> element; `standalone` adds the colours, for a file that no style sheet reaches."""
    plot = Plot.of(chart, size)
    lanes = _event_lanes(chart, plot)
    plot = replace(plot, lanes=1 + max((lane for _, lane in lanes), default=-1))
    key = f"{chart.key}-{size.name}"
    namespace = ' xmlns="http://www.w3.org/2000/svg"' if standalone else ""
    head = (
        f'<svg{namespace} class="chart {size.name}" viewBox="0 0 {size.width} {size.height}" role="img" '
        f'aria-labelledby="{plain(key)}-t {plain(key)}-d" font-size="{size.font:g}">'
        f'<title id="{plain(key)}-t">{plain(chart.title)}</title>'
        f'<desc id="{plain(key)}-d">{plain(chart_sentence(chart))}</desc>'
    )
    parts = [head]
    if standalone:
        paper = f'<rect class="paper" width="{size.width}" height="{size.height}"/>'
        parts.append(f"<style>{STANDALONE}</style>{paper}")
    layers: tuple[Callable[[Plot], Iterable[str]], ...] = (_grid, _dates, _now, _pencil, _gates, _ask, _ink)
    for layer in layers:
        parts.extend(layer(plot))
    parts.extend(_events(plot, lanes))
    return "".join([*parts, "</svg>"])


def _n(number: float) -> str:
    """A coordinate: one decimal, never a negative zero."""
    return f"{round(number, 1) + 0.0:.1f}"


def _line(kind: str, x1: float, y1: float, x2: float, y2: float) -> str:
    return f'<line class="{kind}" x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"/>'


def _text(kind: str, x: float, y: float, words: str, anchor: str = "start") -> str:
    return f'<text class="{kind}" x="{_n(x)}" y="{_n(y)}" text-anchor="{anchor}">{plain(words)}</text>'


def _grid(plot: Plot) -> Iterable[str]:
    for value in gravity_ticks(*plot.reach, plot.chart.scale):
        y = plot.y(value)
        yield _line("rule", plot.left, y, plot.right, y)
        yield _text("tick", plot.left - 6, y + plot.size.font * 0.35, show(value, plot.chart.digits), "end")
    yield _line("base", plot.left, plot.base, plot.right, plot.base)


def _dates(plot: Plot) -> Iterable[str]:
    most, start = plot.size.most_ticks, plot.chart.from_day
    ticks = time_ticks(*plot.span, plot.chart.zone, most) if start is None else count_ticks(*plot.span, start, most)
    y = plot.size.height - plot.size.font * 0.45
    free = 0.0
    for tick in ticks:
        x = plot.x(tick.at)
        half = width_of(tick.words, plot.size.font) / 2
        yield _line("notch", x, plot.base, x, plot.base + 4)
        centre = min(max(x, half), plot.size.width - half)
        if centre - half >= free:
            yield _text("tick", centre, y, tick.words, "middle")
            free = centre + half + 4


def _now(plot: Plot) -> Iterable[str]:
    if plot.chart.now is not None:
        x = plot.x(plot.chart.now)
        yield _line("now", x, plot.top, x, plot.base)
        now = say("now")
        half = width_of(now, plot.size.font) / 2
        yield _text("tick", min(max(x, half), plot.size.width - half), plot.top - 4, now, "middle")


def _pencil(plot: Plot) -> Iterable[str]:
    chart = plot.chart
    key = f"{plain(chart.key)}-{plot.size.name}-hatch"
    bands = sorted(chart.bands, key=lambda band: -band.level)
    if bands:
        yield (
            f'<defs><pattern id="{key}" width="5" height="5" patternUnits="userSpaceOnUse" '
            f'patternTransform="rotate(52)"><line class="hatch" x1="0" y1="0" x2="0" y2="5"/></pattern></defs>'
        )
    for number, band in enumerate(bands):
        fine = [
            (at, low, high) for at, low, high in zip(band.at, band.low, band.high, strict=True) if chart.fits(low, high)
        ]
        if not fine:
            continue
        outline = [(plot.x(at), plot.y(high)) for at, _, high in fine]
        outline += [(plot.x(at), plot.y(low)) for at, low, _ in reversed(fine)]
        yield f'<polygon class="band" points="{_points(outline)}"/>'
        if number == len(bands) - 1 and number:
            yield f'<polygon fill="url(#{key})" points="{_points(outline)}"/>'
    if chart.middle:
        middle = zip(chart.middle.at, chart.middle.value, strict=True)
        line = [(plot.x(at), plot.y(value)) for at, value in middle if chart.fits(value)]
        yield f'<polyline class="middle" points="{_points(line)}"/>' if line else ""


def _points(points: Iterable[tuple[float, float]]) -> str:
    return " ".join(f"{_n(x)},{_n(y)}" for x, y in points)


def _gates(plot: Plot) -> Iterable[str]:
    """Each gate's line, its bracket where it is only expected, and its words where they hide the least."""
    for gate in sorted((g for g in plot.chart.gates if plot.chart.fits(g.value)), key=lambda gate: gate.value):
        y = plot.y(gate.value)
        yield _line("gate", plot.left, y, plot.right, y)
        yield from _gate_span(plot, gate)
    for placed in gate_words(plot):
        yield _text("gate-words", placed.x, placed.y, placed.words, placed.anchor)


def _gate_span(plot: Plot, gate: Gate) -> Iterable[str]:
    """A bracket beside the plot, from and to where a gate is expected."""
    low, high = gate.ends
    if low < high and plot.chart.fits(low, high):
        x, above, below = plot.right + 4, plot.y(high), plot.y(low)
        for line in ((x, above, x, below), (x - 4, above, x, above), (x - 4, below, x, below)):
            yield _line("gate", *line)


def _ask(plot: Plot) -> Iterable[str]:
    ask = plot.chart.ask
    if ask is None or not plot.chart.fits(ask.value):
        return
    font = plot.size.font
    x, y = plot.x(ask.at), plot.y(ask.value)
    yield f'<circle class="ask" cx="{_n(x)}" cy="{_n(y)}" r="5.5"/>'
    words = fitted(ask.words, font, plot.right - plot.left - 4)
    half = width_of(words, font) / 2
    below = y + 8 + font
    place = below if below <= plot.base - 3 else y - 10
    yield _text("ask-words", min(max(x, plot.left + half + 2), plot.right - half - 2), place, words, "middle")


def _ink(plot: Plot) -> Iterable[str]:
    readings = plot.chart.drawable
    many = len(readings) > MANY
    radius = 1.6 if many else 4.0
    spots: set[tuple[int, int, bool]] = set()
    for reading in readings:
        x, y = plot.x(reading.at), plot.y(reading.value)
        spot = (round(x), round(y), reading.struck)
        if many and spot in spots:
            continue  # its dot would lie on another's
        spots.add(spot)
        if not many and plot.chart.fits(reading.low, reading.high) and reading.low < reading.high:
            above, below = plot.y(reading.high), plot.y(reading.low)
            kind = "bar struck" if reading.struck else "bar"
            for line in ((x, above, x, below), (x - 3, above, x + 3, above), (x - 3, below, x + 3, below)):
                yield _line(kind, *line)
        kind = "dot struck" if reading.struck else "dot"
        yield f'<circle class="{kind}" cx="{_n(x)}" cy="{_n(y)}" r="{radius:g}"/>'
        if reading.struck:
            yield _line("strike", x - 6, y + 6, x + 6, y - 6)


def _event_lanes(chart: Chart, plot: Plot) -> list[tuple[EventMark, int]]:
    """The lane of each event, the first in which its words have room; -1 where none has: then the table tells.

    From right to left, so that a mark on its way down to a deeper lane does not cross the words of one before it.
    """
    placed: list[tuple[EventMark, int]] = []
    for event in sorted(chart.events, key=lambda event: event.at, reverse=True):
        room = (lane for lane in range(LANES) if not any(_cross(plot, event, lane, *other) for other in placed))
        placed.append((event, next(room, -1)))
    return placed


def _cross(plot: Plot, event: EventMark, lane: int, other: EventMark, other_lane: int) -> bool:
    """Whether the words or the mark of one event would run over those of another."""
    if other_lane < 0:
        return False
    (start, end), (other_start, other_end) = _event_words_span(plot, event), _event_words_span(plot, other)
    words_on_words = lane == other_lane and start < other_end and other_start < end
    mark_on_words = other_lane <= lane and other_start < plot.x(event.at) < other_end
    words_on_mark = lane <= other_lane and start < plot.x(other.at) < end
    return words_on_words or mark_on_words or words_on_mark


def _event_words_span(plot: Plot, event: EventMark) -> tuple[float, float]:
    """From and to of the words beside their mark: to the right where there is room, else ending at the right edge."""
    wide = width_of(_event_words(plot, event), plot.size.font) + 5
    start = min(plot.x(event.at), plot.size.width - wide)
    return start, start + wide


def _event_words(plot: Plot, event: EventMark) -> str:
    return fitted(event.words, plot.size.font, (plot.right - plot.left) * 0.6)


def _events(plot: Plot, lanes: list[tuple[EventMark, int]]) -> Iterable[str]:
    font = plot.size.font
    for event, lane in lanes:
        x = plot.x(event.at)
        foot = plot.base + font * 1.35 * (lane + 1)
        yield _line("event", x, plot.base - 6, x, foot - 1 if lane >= 0 else plot.base + 4)
        if lane >= 0:
            start, _ = _event_words_span(plot, event)
            yield _text("event-words", start + 4, foot - 1, _event_words(plot, event))


STANDALONE = (
    ".chart{font-family:system-ui,sans-serif}.paper{fill:#faf7f0}.rule{stroke:#dfd8c8}.base,.notch{stroke:#596170}"
    ".now{stroke:#596170;stroke-dasharray:1 3}.tick{fill:#596170}.band{fill:#34527a;fill-opacity:.12}"
    ".hatch{stroke:#34527a;stroke-opacity:.45}.middle{fill:none;stroke:#34527a;stroke-width:1.6;stroke-dasharray:6 3}"
    ".gate{stroke:#2c6448}.gate-words{fill:#2c6448}.ask{fill:#faf7f0;stroke:#34527a;stroke-width:1.6}"
    ".ask-words{fill:#34527a;font-style:italic}.bar{stroke:#1b2330;stroke-width:1.5}.dot{fill:#1b2330}"
    ".dot.struck{fill:#faf7f0;stroke:#596170;stroke-width:1.5}.bar.struck,.strike{stroke:#596170}"
    ".event{stroke:#1b2330;stroke-width:1.5}.event-words{fill:#1b2330}"
)
