"""The chart's drawing: whatever is written in the book, it stays well formed, finite and inside its canvas."""

from __future__ import annotations

import math
import re
from datetime import UTC, datetime, timedelta
from xml.etree import ElementTree as ET
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gylebook.outputs.chart import (
    PHONE,
    WIDE,
    Ask,
    Band,
    Chart,
    EventMark,
    Gate,
    Line,
    Reading,
    chart_rows,
    chart_sentence,
    draw,
    fan_rows,
)
from gylebook.outputs.chart_axes import count_ticks, gravity_ticks, time_ticks
from gylebook.outputs.chart_words import fan_heads
from gylebook.outputs.svg_text import width_of

LONDON = ZoneInfo("Europe/London")
START = datetime(2026, 11, 3, 18, 30, tzinfo=UTC)
SIZES = [PHONE, WIDE]

moments = st.integers(0, 60 * 24 * 60).map(
    lambda minutes: datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
)
gravities = st.one_of(st.floats(0.99, 1.12), st.floats(), st.sampled_from([math.nan, math.inf, -math.inf, 0.0, 1e308]))
words = st.text(max_size=60)
readings = st.builds(Reading, moments, gravities, gravities, gravities, words, st.booleans())


@st.composite
def bands(draw):
    at = tuple(sorted(draw(st.lists(moments, max_size=6))))
    row = st.lists(gravities, min_size=len(at), max_size=len(at)).map(tuple)
    return Band(draw(st.sampled_from([0.5, 0.9, 0.95])), at, draw(row), draw(row))


@st.composite
def lines(draw):
    at = tuple(sorted(draw(st.lists(moments, max_size=6))))
    return Line(at, tuple(draw(st.lists(gravities, min_size=len(at), max_size=len(at)))))


charts = st.builds(
    Chart,
    title=words,
    readings=st.lists(readings, max_size=8).map(tuple),
    bands=st.lists(bands(), max_size=3).map(tuple),
    middle=st.none() | lines(),
    gates=st.lists(st.builds(Gate, gravities, words, st.none() | gravities, st.none() | gravities), max_size=4).map(
        tuple
    ),
    events=st.lists(st.builds(EventMark, moments, words), max_size=8).map(tuple),
    ask=st.none() | st.builds(Ask, moments, gravities, words),
    now=st.none() | moments,
    from_day=st.none() | moments,
    scale=st.sampled_from(["SG", "°P"]),
    zone=st.sampled_from([UTC, LONDON, ZoneInfo("Australia/Lord_Howe")]),
)


def drawn(chart, size=PHONE, **options):
    return ET.fromstring(draw(chart, size, **options))


def numbers(element):
    for name, value in element.attrib.items():
        if name in ("x1", "x2", "cx", "x"):
            yield "x", float(value)
        elif name in ("y1", "y2", "cy", "y"):
            yield "y", float(value)
        elif name == "points":
            for pair in value.split():
                x, y = pair.split(",")
                yield "x", float(x)
                yield "y", float(y)


@given(chart=charts, size=st.sampled_from(SIZES))
def test_every_mark_is_a_finite_number_inside_the_canvas(chart, size):
    room = {"x": size.width, "y": size.height}
    root = drawn(chart, size)
    for element in root.iter():
        if element.tag in ("pattern", "defs"):
            continue
        for axis, value in numbers(element):
            assert math.isfinite(value)
            assert 0 <= value <= room[axis], (element.tag, element.attrib)


@given(chart=charts, size=st.sampled_from(SIZES))
def test_all_words_have_room(chart, size):
    for text in drawn(chart, size).iter("text"):
        wide = width_of(text.text or "", size.font)
        x, anchor = float(text.get("x")), text.get("text-anchor")
        start = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
        assert start >= -0.1
        assert start + wide <= size.width + 0.1


@given(chart=charts)
def test_a_drawing_is_the_same_each_time_and_speaks_of_no_nan(chart):
    text = draw(chart)
    assert text == draw(chart)
    plain = "".join(re.findall(r'"[^"]*"', text))
    assert "nan" not in re.sub(r'aria-labelledby="[^"]*"', "", plain).lower() or "nan" in chart.title.lower()
    assert "style=" not in text
    assert "<style" not in text


@given(chart=charts)
def test_sentence_and_table_can_always_be_said(chart):
    assert chart_sentence(chart).endswith(".")
    rows = chart_rows(chart)
    assert sum(row.kind in ("ink", "struck") for row in rows) == len(chart.readings)
    assert sum(row.kind == "event" for row in rows) == len(chart.events)
    for row in fan_rows(chart):
        assert len(row.values) == len(fan_heads(chart))
        assert not {"nan", "inf", "-inf", "not known"} & set(row.values)


@given(
    hours=st.floats(4, 60 * 24),
    start=st.integers(0, 330 * 24 * 60).map(
        lambda minutes: datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
    ),
    most=st.integers(4, 10),
    zone=st.sampled_from([UTC, LONDON, ZoneInfo("America/St_Johns"), ZoneInfo("Australia/Lord_Howe")]),
)
def test_from_four_hours_to_sixty_days_the_dates_are_few_and_in_order(hours, start, most, zone):
    end = start + timedelta(hours=hours)
    ticks = time_ticks(start, end, zone, most)
    assert 1 <= len(ticks) <= most
    assert [tick.at for tick in ticks] == sorted({tick.at for tick in ticks})
    assert all(start <= tick.at <= end for tick in ticks)
    if hours > 24 * 14:
        assert all(tick.at.astimezone(zone).hour == 0 for tick in ticks)


@given(low=st.floats(0.99, 1.1), span=st.floats(0.008, 0.12))
def test_gravities_stand_in_round_steps(low, span):
    ticks = gravity_ticks(low, low + span, "SG")
    assert 1 <= len(ticks) <= 7
    assert all(abs(tick * 1000 - round(tick * 1000)) < 1e-6 for tick in ticks)
    assert all(low - 1e-6 <= tick <= low + span + 1e-6 for tick in ticks)


def simple(**changed):
    return Chart(
        **{
            "title": "Gravity",
            "readings": (
                Reading(START, 1.0433, 1.0423, 1.0443, "Reading 1.043"),
                Reading(START + timedelta(days=7), 1.0155, 1.0135, 1.0162, "Reading 1.0155"),
            ),
            "zone": LONDON,
            **changed,
        }
    )


def test_later_lies_to_the_right_and_denser_lies_higher():
    first, last = (
        (float(dot.get("cx")), float(dot.get("cy")))
        for dot in drawn(simple()).iter("circle")
        if dot.get("class") == "dot"
    )
    assert first[0] < last[0]
    assert first[1] < last[1]


def test_an_error_bar_reaches_from_low_to_high_and_may_be_lopsided():
    root = drawn(simple())
    bars = [line for line in root.iter("line") if line.get("class") == "bar" and line.get("x1") == line.get("x2")]
    dots = [circle for circle in root.iter("circle") if circle.get("class") == "dot"]
    for bar, dot in zip(bars, dots, strict=True):
        assert float(bar.get("y1")) < float(dot.get("cy")) < float(bar.get("y2"))
    above, below = (abs(float(bars[1].get(end)) - float(dots[1].get("cy"))) for end in ("y1", "y2"))
    assert below > 2 * above


def test_a_struck_out_reading_is_hollow_crossed_and_not_counted():
    chart = simple(readings=(*simple().readings, Reading(START, 1.034, 1.033, 1.035, "Reading 1.034", struck=True)))
    root = drawn(chart)
    assert sum(circle.get("class") == "dot struck" for circle in root.iter("circle")) == 1
    assert sum(line.get("class") == "strike" for line in root.iter("line")) == 1
    assert chart_sentence(chart).startswith(
        "Two readings: 1.0433 on Tue 3 Nov, 1.0155 on Tue 10 Nov; one more struck out."
    )
    assert [row.what for row in chart_rows(chart) if row.kind == "struck"] == ["Reading 1.034 (struck out)"]


def test_a_reading_that_cannot_be_is_said_to_be_off_the_chart():
    chart = simple(readings=(*simple().readings, Reading(START, 1062, 1061, 1063)))
    assert "one reading off the chart" in chart_sentence(chart)


def test_what_a_brewer_writes_is_text_and_never_markup():
    nasty = '<script>alert("1")</script>&amp;\x00]]>'
    chart = simple(title=nasty, gates=(Gate(1.02, nasty),), events=(EventMark(START, nasty),))
    root = drawn(chart, WIDE)
    assert not list(root.iter("script"))
    assert root.find("title").text == nasty.replace("\x00", "\ufffd")


def test_long_words_are_cut_with_a_sign_that_they_go_on():
    texts = [t.text for t in drawn(simple(events=(EventMark(START, "moved " * 40),))).iter("text")]
    assert any(text.startswith("moved moved") and text.endswith("…") for text in texts)


def test_hours_are_shown_for_a_short_span_in_the_brewers_zone():
    summer = datetime(2026, 7, 1, 10, 0, tzinfo=UTC)
    ticks = time_ticks(summer, summer + timedelta(hours=4), LONDON, 6)
    assert [tick.words for tick in ticks] == ["11:00", "12:00", "13:00", "14:00", "15:00"]


def test_the_month_is_named_once_and_again_when_it_changes():
    start = datetime(2026, 11, 20, tzinfo=UTC)
    assert [tick.words for tick in time_ticks(start, start + timedelta(days=24), UTC, 8)] == [
        "20 Nov", "24", "28", "2 Dec", "6", "10", "14",
    ]  # fmt: skip


def test_when_the_clocks_change_days_still_begin_at_midnight():
    start = datetime(2026, 10, 23, tzinfo=UTC)
    for tick in time_ticks(start, start + timedelta(days=7), LONDON, 9):
        assert tick.at.astimezone(LONDON).hour == 0


def test_events_that_crowd_one_day_keep_their_words_apart():
    events = tuple(EventMark(START + timedelta(minutes=20 * n), f"entry {n}") for n in range(4))
    root = drawn(simple(events=events))
    places = [t.get("y") for t in root.iter("text") if t.get("class") == "event-words"]
    assert len(set(places)) == len(places) == 4


def test_more_events_than_have_room_are_marked_and_told_in_the_table():
    chart = simple(events=tuple(EventMark(START + timedelta(minutes=5 * n), f"entry {n}") for n in range(9)))
    root = drawn(chart)
    assert sum(line.get("class") == "event" for line in root.iter("line")) == 9
    assert sum(text.get("class") == "event-words" for text in root.iter("text")) < 9
    assert sum(row.kind == "event" for row in chart_rows(chart)) == 9


def box_of(text, font):
    wide, x, y = width_of(text.text, font), float(text.get("x")), float(text.get("y"))
    start = x - wide if text.get("text-anchor") == "end" else x
    return start, start + wide, y - 0.8 * font, y + 0.2 * font


def words_of_gates(root, font=PHONE.font):
    return [(t.text, box_of(t, font)) for t in root.iter("text") if t.get("class") == "gate-words"]


def test_two_gates_close_together_keep_their_words_apart():
    root = drawn(simple(gates=(Gate(1.012, "ready at"), Gate(1.0125, "hops below"))))
    (_, first), (_, second) = words_of_gates(root)
    across = first[0] < second[1] and second[0] < first[1]
    assert not (across and first[2] < second[3] and second[2] < first[3])


def test_the_words_of_a_gate_hide_no_reading_where_there_is_room_elsewhere():
    low = tuple(Reading(START + timedelta(days=n), 1.0125, 1.0115, 1.0135) for n in (1, 2, 3))
    chart = simple(
        readings=(*low, Reading(START + timedelta(days=12), 1.0110, 1.0100, 1.0120)),
        gates=(Gate(1.0118, "leaflet: bottle at"),),
    )
    root = drawn(chart)
    [(_, (left, right, top, bottom))] = words_of_gates(root)
    for dot in (circle for circle in root.iter("circle") if circle.get("class") == "dot"):
        x, y = float(dot.get("cx")), float(dot.get("cy"))
        assert not (left < x < right and top < y < bottom)


def test_of_gates_that_lie_on_each_other_the_words_that_have_no_room_are_left_to_the_table():
    gates = tuple(Gate(1.012, f"a long gate of number {n} that needs the whole width of it") for n in range(9))
    chart = simple(gates=gates)
    assert len(words_of_gates(drawn(chart))) < 9
    assert sum(row.kind == "gate" for row in chart_rows(chart)) == 9


def test_a_long_run_from_a_device_is_drawn_fine_and_without_bars():
    run = tuple(Reading(START + timedelta(hours=n), 1.04 - n * 1e-4, 1.03, 1.05) for n in range(100))
    root = drawn(simple(readings=run))
    assert not [line for line in root.iter("line") if line.get("class") == "bar"]
    assert len([circle for circle in root.iter("circle") if circle.get("r") == "1.6"]) == 100


def test_dots_of_a_sensor_that_would_lie_on_each_other_are_drawn_once_and_all_stand_in_the_table():
    run = tuple(Reading(START + timedelta(minutes=n), 1.012, 1.011, 1.013) for n in range(3000))
    last = Reading(START + timedelta(minutes=2999), 1.030, 1.029, 1.031)
    chart = simple(readings=(*run, last))
    dots = [circle for circle in drawn(chart).iter("circle") if circle.get("r") == "1.6"]
    assert 200 < len(dots) < 400
    assert len({circle.get("cy") for circle in dots}) == 2
    assert sum(row.kind == "ink" for row in chart_rows(chart)) == 3001


def test_the_drawing_names_and_describes_itself():
    root = drawn(simple(), WIDE)
    assert root.get("role") == "img"
    labels = root.get("aria-labelledby").split()
    assert [root.find("title").get("id"), root.find("desc").get("id")] == labels
    assert root.find("desc").text == chart_sentence(simple())


def test_both_drawings_of_a_chart_can_stand_on_one_page():
    ids = [e.get("id") for size in SIZES for e in drawn(simple(bands=BANDS), size).iter() if e.get("id")]
    assert len(ids) == len(set(ids)) == 6


def test_a_file_carries_its_own_colours_and_a_page_does_not():
    assert "<style>" in draw(simple(), WIDE, standalone=True)
    assert 'xmlns="http://www.w3.org/2000/svg"' in draw(simple(), WIDE, standalone=True)
    assert "<style>" not in draw(simple(), WIDE)


WEEK = ("Wed", "Thu", "Fri", "Sat", "Sun", "Mon", "Tue", "Wed", "Thu")
BANDS = tuple(
    Band(level, (START, START + timedelta(days=9)), (1.04 - w, 1.012 - w), (1.04 + w, 1.012 + w))
    for level, w in ((0.5, 0.001), (0.9, 0.002))
)


def test_the_forecast_is_told_with_its_chance_and_its_day():
    chart = simple(bands=BANDS, middle=Line((START, START + timedelta(days=9)), (1.04, 1.012)))
    assert "The forecast comes to 1.012, nine times in ten between 1.010 and 1.014, by Thu 12 Nov." in chart_sentence(
        chart
    )
    assert not [row for row in chart_rows(chart) if row.kind == "pencil"]
    rows = fan_rows(chart)
    assert [row.when for row in rows] == [f"{day} {number} Nov" for day, number in zip(WEEK, range(4, 13), strict=True)]
    assert rows[0].values == ("1.0357", "1.0367", "1.0377", "1.0387", "1.0397")
    assert fan_heads(chart) == ("5 %", "25 %", "50 %", "75 %", "95 %")
    root = drawn(chart)
    assert [p.get("class") for p in root.iter("polygon")] == ["band", "band", None]
    assert root.find("polyline").get("class") == "middle"


def test_an_empty_chart_says_that_there_is_no_reading():
    assert chart_sentence(Chart("Gravity")) == "No readings."
    assert list(drawn(Chart("Gravity")).iter("line"))


def test_a_band_with_a_gap_is_refused():
    with pytest.raises(ValueError, match="one low and one high for each moment"):
        Band(0.9, (START,), (1.0, 1.1), (1.0,))
    with pytest.raises(ValueError, match="one value for each moment"):
        Line((START,), ())


def test_degrees_plato_have_their_own_scale():
    chart = simple(
        scale="°P", readings=(Reading(START, 10.8, 10.6, 11.0), Reading(START + timedelta(days=7), 2.9, 2.7, 3.1))
    )
    assert chart_sentence(chart) == "Two readings: 10.8 °P on Tue 3 Nov, 2.9 °P on Tue 10 Nov."
    ticks = [t.text for t in drawn(chart).iter("text") if t.get("text-anchor") == "end"]
    assert ticks == ["4.0", "6.0", "8.0", "10.0"]


def test_type_on_a_phone_is_at_least_eleven_pixels_high():
    assert PHONE.font * 358 / PHONE.width >= 11
    # The wide drawing is shown from 34rem of room on.
    assert WIDE.font * 34 * 16 / WIDE.width >= 11


def test_where_it_should_end_stands_as_a_bracket_beside_the_plot_and_in_the_table():
    chart = simple(gates=(Gate(1.012, "should end at", 1.0105, 1.014),))
    root = drawn(chart)
    base = next(line for line in root.iter("line") if line.get("class") == "base")
    beside = [line for line in root.iter("line") if line.get("class") == "gate" and line.get("x1") == line.get("x2")]
    assert len(beside) == 1
    assert float(beside[0].get("x1")) > float(base.get("x2"))
    assert chart_rows(chart)[-1].between == "1.0105 to 1.0140"


def test_without_dates_the_chart_counts_days():
    chart = simple(from_day=START, bands=BANDS, middle=Line((START, START + timedelta(days=9)), (1.04, 1.012)))
    ticks = [t.text for t in drawn(chart).iter("text") if t.get("class") == "tick"]
    assert [t for t in ticks if "." not in t] == ["day 0", "2", "4", "6", "8"]
    assert "1.0433 on day 0, 1.0155 on day 7" in chart_sentence(chart)
    assert "by day 9." in chart_sentence(chart)
    assert [row.when for row in chart_rows(chart)] == ["day 0", "day 7"]
    assert [row.when for row in fan_rows(chart)] == [f"day {n}" for n in range(10)]


def test_days_are_counted_from_the_start_wherever_the_chart_begins():
    ticks = count_ticks(START + timedelta(days=3.5), START + timedelta(days=40), START, 6)
    assert [tick.words for tick in ticks] == ["day 14", "28"]
    assert ticks[0].at == START + timedelta(days=14)


def test_now_is_named_over_its_line():
    words = [t.text for t in drawn(simple(now=START + timedelta(days=8))).iter("text")]
    assert "now" in words


def test_the_fan_is_told_at_noon_also_when_the_clocks_change():
    start = datetime(2026, 10, 23, 18, tzinfo=UTC)
    at = tuple(start + timedelta(days=n) for n in range(5))
    chart = simple(middle=Line(at, (1.04, 1.03, 1.02, 1.015, 1.012)))
    assert [row.when for row in fan_rows(chart)] == ["Sat 24 Oct", "Sun 25 Oct", "Mon 26 Oct", "Tue 27 Oct"]
    assert [row.values for row in fan_rows(chart)][:2] == [("1.0329",), ("1.0225",)]
