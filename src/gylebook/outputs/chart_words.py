"""A chart in words: its one-sentence summary and the rows of its table."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from gylebook.outputs.chart_axes import time_ticks
from gylebook.outputs.chart_data import Chart, Reading
from gylebook.outputs.measures import Measures
from gylebook.units import show

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
SCALE_WORDS = {"SG": "Gravity (SG)", "°P": "Extract (°P)"}


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table; `kind` is ink, struck, pencil, gate or event."""

    kind: str
    when: str
    what: str
    value: str = ""
    between: str = ""


def chart_sentence(chart: Chart) -> str:
    """What the chart shows, in one or two sentences."""
    parts = [_readings_sentence(chart)]
    if forecast := _forecast_sentence(chart):
        parts.append(forecast)
    if chart.gates:
        gates = ", ".join(f"{gate.words} {_value(chart, gate.value)}" for gate in chart.gates if chart.fits(gate.value))
        parts += [f"Gates: {gates}."] if gates else []
    return " ".join(parts)


def chart_rows(chart: Chart) -> list[Row]:
    """The same numbers as a table: readings and events in order of time, then the forecast, then the gates."""
    measures = Measures(zone=chart.zone)
    seen: list[tuple[datetime, Row]] = []
    for reading in chart.readings:
        kind = "struck" if reading.struck else "ink"
        what = (reading.words or "Reading") + (" (struck out)" if reading.struck else "")
        between = _between(chart, reading.low, reading.high)
        seen.append((reading.at, Row(kind, measures.moment(reading.at), what, _exact(chart, reading.value), between)))
    seen += [(event.at, Row("event", measures.moment(event.at), event.words)) for event in chart.events]
    rows = [row for _, row in sorted(seen, key=lambda pair: pair[0])]
    rows += _forecast_rows(chart, measures)
    if chart.ask:
        value = _value(chart, chart.ask.value)
        rows.append(Row("pencil", measures.moment(chart.ask.at), f"Next: {chart.ask.words}", value))
    rows += [Row("gate", "", gate.words, _value(chart, gate.value)) for gate in chart.gates]
    return rows


def _value(chart: Chart, value: float) -> str:
    return show(value, chart.digits) + (" °P" if chart.scale == "°P" else "")


def _written(chart: Chart, value: float) -> str:
    """One decimal more where it says something: 1.0155, but 1.043."""
    fine = _exact(chart, value)
    return (fine.removesuffix("0")) + (" °P" if chart.scale == "°P" else "")


def _exact(chart: Chart, value: float) -> str:
    return show(value, chart.digits + 1)


def _between(chart: Chart, low: float, high: float) -> str:
    return f"{_exact(chart, low)} to {_exact(chart, high)}" if low != high and chart.fits(low, high) else ""


def _number(number: int) -> str:
    return NUMBERS[number] if number < len(NUMBERS) else str(number)


def _count(number: int, thing: str) -> str:
    return f"{_number(number)} {thing}{'' if number == 1 else 's'}"


def _times(level: float) -> str:
    """A chance in words: nine times in ten."""
    tenths = round(10 * level, 6)
    if tenths == int(tenths) and 0 < tenths < 10:
        return f"{_number(int(tenths))} times in ten"
    return f"{round(100 * level)} times in 100"


def _readings_sentence(chart: Chart) -> str:
    counted: list[Reading] = [r for r in chart.drawable if not r.struck]
    struck = sum(r.struck for r in chart.readings)
    lost = len(chart.readings) - len(chart.drawable)
    measures = Measures(zone=chart.zone)
    text = _count(len(counted), "reading").capitalize()
    if counted:
        first, last = counted[0], counted[-1]
        same_day = len(counted) > 1 and measures.day(first.at) == measures.day(last.at)
        ends = (first, last) if len(counted) > 1 else (first,)
        when = measures.moment if same_day else measures.day
        text += ": " + ", ".join(f"{_written(chart, reading.value)} on {when(reading.at)}" for reading in ends)
    if struck:
        text += f"; {_number(struck)} more struck out"
    if lost:
        text += f"; {_count(lost, 'reading')} off the chart"
    return f"{text}."


def _forecast_sentence(chart: Chart) -> str:
    if not chart.middle or not chart.middle.value or not chart.fits(chart.middle.value[-1]):
        return ""
    text = f"The forecast comes to {_value(chart, chart.middle.value[-1])}"
    widest = max(chart.bands, key=lambda band: band.level, default=None)
    if widest and widest.at and chart.fits(widest.low[-1], widest.high[-1]):
        text += f", {_times(widest.level)} between {_value(chart, widest.low[-1])} and {_value(chart, widest.high[-1])}"
    return f"{text}, by {Measures(zone=chart.zone).day(chart.middle.at[-1])}."


def _forecast_rows(chart: Chart, measures: Measures) -> list[Row]:
    """The forecast where the axis has its ticks: enough to read from, not so many that nobody would."""
    middle = chart.middle
    if not middle or not middle.at:
        return []
    widest = max((b for b in chart.bands if b.at), key=lambda band: band.level, default=None)
    rows = []
    wanted = [tick.at for tick in time_ticks(middle.at[0], middle.at[-1], chart.zone, 12)] or [middle.at[-1]]
    for at in wanted:
        index = min(range(len(middle.at)), key=lambda i: abs(middle.at[i] - at))
        between = ""
        if widest:
            near = min(range(len(widest.at)), key=lambda i: abs(widest.at[i] - at))
            between = _between(chart, widest.low[near], widest.high[near])
        what = "Forecast" + (f", {_times(widest.level)}" if widest else "")
        rows.append(Row("pencil", measures.moment(middle.at[index]), what, _exact(chart, middle.value[index]), between))
    return rows
