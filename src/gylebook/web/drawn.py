"""A chart as parts/chart.html wants it: drawn twice, in words, and as rows."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString, mark_safe

from gylebook.outputs.chart import PHONE, WIDE, Chart, FanRow, Row, chart_rows, chart_sentence, draw, fan_rows
from gylebook.outputs.chart_words import SCALE_WORDS, fan_heads


@dataclass(frozen=True, slots=True)
class Drawn:
    """Both drawings of a chart (the style sheet shows the one that fits), its sentence, its table and its fan's.

    `command` asks the API for the same; "" where it has it not.
    """

    phone: SafeString
    wide: SafeString
    sentence: str
    unit_words: str
    rows: tuple[Row, ...]
    fan_heads: tuple[str, ...]
    fan: tuple[FanRow, ...]
    by_date: bool
    command: str = ""


def drawn(chart: Chart, command: str = "") -> Drawn:
    """Draw a chart for a page; `command` asks the API for the same as data."""
    return Drawn(
        # The writer escapes every word it is given.
        mark_safe(draw(chart, PHONE)),  # noqa: S308
        mark_safe(draw(chart, WIDE)),  # noqa: S308
        chart_sentence(chart),
        SCALE_WORDS[chart.scale],
        tuple(chart_rows(chart)),
        fan_heads(chart),
        tuple(fan_rows(chart)),
        chart.from_day is None,
        command,
    )
