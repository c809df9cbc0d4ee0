"""A chart in words: its one-sentence summary and the rows of its table."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta

from gylebook.outputs.chart_data import Chart, Reading
from gylebook.outputs.measures import Measures
from gylebook.phrases import capital, joined, say, say_count
from gylebook.units import show

NUMBERS = (
    "no",
    say("one"),
    say("two"),
    say("three"),
    say("four"),
    say("five"),
    say("six"),
    say("seven"),
    say("eight"),
    say("nine"),
    say("ten"),
    say("eleven"),
    say("twelve"),
)
SCALE_WORDS = {"SG": say("Gravity (SG)"), "°P": say("Extract (°P)")}


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table; `kind` is ink, struck, pencil, gate or event."""

    kind: str
    when: str
    what: str
    value: str = ""
    between: str = ""


@dataclass(frozen=True, slots=True)
class FanRow:
    """One day of the fan: gravities from the lowest share to the highest, as `fan_heads` names them."""

    when: str
    values: tuple[str, ...]


def chart_sentence(chart: Chart) -> str:
    """What the chart shows, in one or two sentences."""
    parts = [_readings_sentence(chart)]
    if forecast := _forecast_sentence(chart):
        parts.append(forecast)
    if chart.gates:
        gates = joined(
            ", ",
            (
                say("{gate} {value}", gate=gate.words, value=_value(chart, gate.value))
                for gate in chart.gates
                if chart.fits(gate.value)
            ),
        )
        parts += [say("Gates: {gates}.", gates=gates)] if gates else []
    return joined(" ", parts)


def chart_rows(chart: Chart) -> list[Row]:
    """The same numbers as a table: readings and events in order of time, the next reading, then the gates."""
    seen: list[tuple[datetime, Row]] = []
    for reading in chart.readings:
        kind = "struck" if reading.struck else "ink"
        what = (reading.words or say("Reading")) + (say(" (struck out)") if reading.struck else "")
        between = _between(chart, reading.low, reading.high)
        seen.append((reading.at, Row(kind, _moment(chart, reading.at), what, _exact(chart, reading.value), between)))
    seen += [(event.at, Row("event", _moment(chart, event.at), event.words)) for event in chart.events]
    rows = [row for _, row in sorted(seen, key=lambda pair: pair[0])]
    if chart.ask:
        value = _value(chart, chart.ask.value)
        rows.append(Row("pencil", _moment(chart, chart.ask.at), say("Next: {ask}", ask=chart.ask.words), value))
    rows += [
        Row("gate", "", gate.words, _value(chart, gate.value), _between(chart, *gate.ends)) for gate in chart.gates
    ]
    return rows


def _moment(chart: Chart, at: datetime) -> str:
    return Measures(zone=chart.zone).moment(at) if chart.from_day is None else _counted(chart.from_day, at)


def _day(chart: Chart, at: datetime) -> str:
    return Measures(zone=chart.zone).day(at) if chart.from_day is None else _counted(chart.from_day, at)


def _counted(start: datetime, at: datetime) -> str:
    """As “day 4” or “day 4.5”."""
    number = show((at - start) / timedelta(days=1), 1)
    return say("day {number}", number=number.removesuffix(".0"))


def _value(chart: Chart, value: float) -> str:
    return show(value, chart.digits) + (" °P" if chart.scale == "°P" else "")


def _written(chart: Chart, value: float) -> str:
    """One decimal more where it says something: 1.0155, but 1.043."""
    fine = _exact(chart, value)
    return fine.removesuffix("0") + (" °P" if chart.scale == "°P" else "")


def _exact(chart: Chart, value: float) -> str:
    return show(value, chart.digits + 1)


def _between(chart: Chart, low: float, high: float) -> str:
    return (
        say("{low} to {high}", low=_exact(chart, low), high=_exact(chart, high))
        if low != high and chart.fits(low, high)
        else ""
    )


def _number(number: int) -> str:
    return NUMBERS[number] if number < len(NUMBERS) else str(number)


def _readings(number: int) -> str:
    if number == 0:
        return say("no readings")
    return say_count(number, "{number} reading", "{number} readings", number=_number(number))


def _times(level: float) -> str:
    """A chance in words: nine times in ten."""
    tenths = round(10 * level, 6)
    if tenths == int(tenths) and 0 < tenths < 10:
        return say("{number} times in ten", number=_number(int(tenths)))
    return say("{level} times in 100", level=round(100 * level))


def _readings_sentence(chart: Chart) -> str:
    counted: list[Reading] = [r for r in chart.drawable if not r.struck]
    struck = sum(r.struck for r in chart.readings)
    lost = len(chart.readings) - len(chart.drawable)
    text = capital(_readings(len(counted)))
    if counted:
        first, last = counted[0], counted[-1]
        same_day = len(counted) > 1 and _day(chart, first.at) == _day(chart, last.at)
        ends = (first, last) if len(counted) > 1 else (first,)
        when = _moment if same_day else _day
        text += ": " + joined(
            ", ",
            (
                say("{written} on {when}", written=_written(chart, reading.value), when=when(chart, reading.at))
                for reading in ends
            ),
        )
    if struck:
        text += say("; {number} more struck out", number=_number(struck))
    if lost:
        text += say("; {count} off the chart", count=_readings(lost))
    return joined("", (text, "."))


def _forecast_sentence(chart: Chart) -> str:
    if not chart.middle or not chart.middle.value or not chart.fits(chart.middle.value[-1]):
        return ""
    text = say("The forecast comes to {value}", value=_value(chart, chart.middle.value[-1]))
    widest = max(chart.bands, key=lambda band: band.level, default=None)
    if widest and widest.at and chart.fits(widest.low[-1], widest.high[-1]):
        text += say(
            ", {times} between {low} and {high}",
            times=_times(widest.level),
            low=_value(chart, widest.low[-1]),
            high=_value(chart, widest.high[-1]),
        )
    return say("{text}, by {day}.", text=text, day=_day(chart, chart.middle.at[-1]))


def fan_rows(chart: Chart) -> list[FanRow]:
    """The fan a day a row, at noon or at whole days; empty where there is no forecast."""
    middle = chart.middle
    if not middle or len(middle.at) < 2:
        return []
    bands = sorted((band for band in chart.bands if len(band.at) > 1), key=lambda band: -band.level)
    lines = [(band.at, band.low) for band in bands]
    lines.append((middle.at, middle.value))
    lines += [(band.at, band.high) for band in reversed(bands)]
    rows = []
    for at in _days(chart, middle.at[0], middle.at[-1]):
        values = [_between_points(at, *line) for line in lines]
        rows.append(FanRow(_day(chart, at), tuple(_exact(chart, v) if chart.fits(v) else "" for v in values)))
    return rows


def fan_heads(chart: Chart) -> tuple[str, ...]:
    """What stands over the columns of the fan: of a hundred beers, so many would lie below."""
    levels = sorted((band.level for band in chart.bands if len(band.at) > 1), reverse=True)
    below = [round(50 * (1 - level)) for level in levels]
    return tuple(say("{share} %", share=share) for share in (*below, 50, *(100 - share for share in reversed(below))))


def _days(chart: Chart, first: datetime, last: datetime) -> list[datetime]:
    """Each noon from the first moment to the last, or each whole day since the start; the last moment where none is."""
    if chart.from_day is not None:
        found = [chart.from_day + timedelta(days=n) for n in range((last - chart.from_day).days + 1)]
    else:
        begin = datetime.combine(first.astimezone(chart.zone).date(), time(12))
        walls = (begin + timedelta(days=n) for n in range((last - first).days + 2))
        found = [wall.replace(tzinfo=chart.zone).astimezone(UTC) for wall in walls]  # noon, whatever the clocks do
    return [at for at in found if first <= at <= last] or [last]


def _between_points(at: datetime, moments: tuple[datetime, ...], values: tuple[float, ...]) -> float:
    after = min(max(bisect_left(moments, at), 1), len(moments) - 1)
    before = after - 1
    span = moments[after] - moments[before]
    share = (at - moments[before]) / span if span else 0.0
    return values[before] + min(max(share, 0.0), 1.0) * (values[after] - values[before])
