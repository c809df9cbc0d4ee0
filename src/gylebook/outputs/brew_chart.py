"""A brew's own chart: its readings with their error bars, what was done, the gates, and the next reading."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import isfinite

from gylebook.journal import events as ev
from gylebook.journal.codec import decode_plain
from gylebook.journal.state import Brew, Entry
from gylebook.outputs.chart_data import Ask, Band, Chart, EventMark, Gate, Line, Reading, Scale
from gylebook.phrases import say, say_amount, say_number
from gylebook.steps.decision import Setting
from gylebook.steps.gravity import readings
from gylebook.steps.makeup import leaflet_gates, sg_of
from gylebook.steps.moments import on_words
from gylebook.steps.outlook import Outlook
from gylebook.units import Quantity

_MARKS: tuple[tuple[type[ev.Event], str], ...] = (
    (ev.Mixed, say("mixed")),
    (ev.ToppedUp, say("topped up")),
    (ev.Pitched, say("pitched")),
    (ev.Roused, say("roused")),
    (ev.Hopped, say("hops in")),
    (ev.HopsRemoved, say("hops out")),
    (ev.Racked, say("racked")),
    (ev.Primed, say("primed")),
    (ev.Bottled, say("bottled")),
)


def brew_chart(brew: Brew, setting: Setting, outlook: Outlook, *, scale: Scale = "SG", key: str = "chart") -> Chart:
    """Everything that is known of a brew's gravity, as a chart.

    Parameters
    ----------
    brew, setting
        The brew, the moment and the shelf.
    outlook
        Where it is going; its next reading is the hollow mark.
    scale
        The brewer's gravity scale.
    key
        Makes the ids in the drawing unique on its page.
    """
    bands, middle = _fan(outlook) if _still_fermenting(brew) else ((), None)
    chart = Chart(
        title=say("Gravity of No. {id}, {brew}", id=brew.id, brew=brew.name),
        readings=(*_read(brew, setting), *_struck(brew)),
        bands=bands,
        middle=middle,
        gates=(*_gates(brew), *(_end(outlook) if bands else ())),
        events=tuple(_events(brew)),
        ask=_ask(outlook, setting) if brew.open else None,
        now=setting.now if _still_fermenting(brew) else None,
        zone=setting.zone,
        key=key,
    )
    return chart if scale == "SG" else in_plato(chart)


def _still_fermenting(brew: Brew) -> bool:
    return brew.stage in {"mixed", "fermenting", "racked"}


def _fan(outlook: Outlook) -> tuple[tuple[Band, ...], Line | None]:
    """The forecast in pencil: where the gravity lies nine times in ten and one time in two, and the middle."""
    if outlook.forecast is None:
        return (), None
    from gylebook.steps.outlook_fan import fan_of  # NumPy, only where there is a forecast

    fan = fan_of(outlook)
    if fan is None:
        return (), None
    bands = (Band(0.9, fan.at, fan.low, fan.high), Band(0.5, fan.at, fan.half_low, fan.half_high))
    return bands, Line(fan.at, fan.middle)


def _end(outlook: Outlook) -> tuple[Gate, ...]:
    """Where it should end, from and to."""
    end = outlook.expected_fg
    return (Gate(end.value, say("should end at"), end.low, end.high),) if isfinite(end.value) else ()


def _read(brew: Brew, setting: Setting) -> Iterator[Reading]:
    for found in readings(brew, setting.shelf):
        figure = found.figure()
        read = _as_read(found.raw)
        words = say("Reading {gravity}", gravity=read)
        if found.temp_c is not None:
            temp = say_amount(found.temp_c, None, "°C")
            words = say("Reading {gravity} at {temp}", gravity=read, temp=temp)
        yield Reading(found.at, figure.value, figure.low, figure.high, words)


def _struck(brew: Brew) -> Iterator[Reading]:
    for entry in brew.entries:
        event = _said(entry)
        if entry.seq in brew.struck and isinstance(event, ev.Measured):
            value = sg_of(event.gravity)
            at = entry.happened_at
            if isinstance(entry.body, ev.Corrected):
                at = entry.body.happened_at or at
            yield Reading(
                at, value, value, value, say("Reading {gravity}", gravity=_as_read(event.gravity)), struck=True
            )


def _said(entry: Entry) -> ev.Event | None:
    """What an entry says; for a correction, what it put in the other's place."""
    body = entry.body
    if not isinstance(body, ev.Corrected):
        return body
    return decode_plain(body.kind, body.version, body.instead) if body.instead is not None else None


def _as_read(quantity: Quantity) -> str:
    return say_number(quantity.text) if quantity.unit == "SG" else quantity.said()


def _gates(brew: Brew) -> Iterator[Gate]:
    gates = leaflet_gates(brew)
    for quantity, words in (
        (gates.hop_at_or_below if brew.first(ev.Hopped) is None else None, say("leaflet: hops at")),
        (gates.bottle_at_or_below, say("leaflet: bottle at")),
        (gates.final_to if gates.bottle_at_or_below is None else None, say("leaflet: ends by")),
    ):
        if quantity is not None and isfinite(value := sg_of(quantity)):
            yield Gate(value, words)


def _events(brew: Brew) -> Iterator[EventMark]:
    for kept in brew.kept:
        words = next((words for kind, words in _MARKS if type(kept.event) is kind), "")
        if isinstance(kept.event, ev.Moved):
            words = say("moved to {place}", place=kept.event.place)
        if isinstance(kept.event, ev.Added):
            words = say("added {what}", what=kept.event.what)
        if words:
            yield EventMark(kept.at, words)


def _ask(outlook: Outlook, setting: Setting) -> Ask | None:
    at = outlook.next_reading_at
    if at is None or at <= setting.now:
        return None
    expected = outlook.now_sg.value if outlook.now_sg is not None else outlook.expected_fg.value
    if outlook.now_sg is not None:
        expected = max(outlook.expected_fg.value, expected - outlook.points_left.value / 1000)
    when = on_words(at, setting.now, setting.zone)
    words = say("read again {when}", when=when) if outlook.now_sg is not None else say("read {when}", when=when)
    return Ask(at, expected, words)


def in_plato(chart: Chart) -> Chart:
    """The same chart in degrees Plato."""
    from gylebook.science.extract import plato_from_sg  # NumPy only where a brewer asked for this scale

    def plato(gravity_sg: float) -> float:
        return float(plato_from_sg(gravity_sg))

    def platos(line: tuple[float, ...]) -> tuple[float, ...]:
        return tuple(map(plato, line))

    return replace(
        chart,
        scale="°P",
        readings=tuple(replace(r, value=plato(r.value), low=plato(r.low), high=plato(r.high)) for r in chart.readings),
        bands=tuple(replace(band, low=platos(band.low), high=platos(band.high)) for band in chart.bands),
        middle=replace(chart.middle, value=platos(chart.middle.value)) if chart.middle is not None else None,
        gates=tuple(
            replace(gate, value=plato(gate.value), low=plato(gate.ends[0]), high=plato(gate.ends[1]))
            for gate in chart.gates
        ),
        ask=replace(chart.ask, value=plato(chart.ask.value)) if chart.ask is not None else None,
    )
