"""The chart of a forecast without a brew, and a chance in tally strokes. The numbers are invented."""

from __future__ import annotations

from xml.etree import ElementTree as ET

import pytest

from gylebook.outputs.chart import WIDE, chart_rows, chart_sentence, draw, fan_rows
from gylebook.outputs.course_chart import course_chart
from gylebook.outputs.tally import strokes, tally
from gylebook.steps.course import Course, Seen

COURSE = Course(
    day=(0.0, 4.0, 8.0, 12.0),
    low_sg=(1.040, 1.017, 1.010, 1.010),
    half_low_sg=(1.041, 1.019, 1.0112, 1.011),
    middle_sg=(1.042, 1.020, 1.012, 1.012),
    half_high_sg=(1.043, 1.021, 1.0128, 1.013),
    high_sg=(1.044, 1.023, 1.014, 1.014),
    seen=(Seen(4.0, 1.0205, 1.019, 1.022, "day 4: 1.020"),),
    end_sg=(1.0112, 1.0095, 1.0135),
    now_day=5.0,
    next_day=8.0,
    marks=((3.0, "hops in"),),
)


def test_it_shows_readings_fan_end_marks_now_and_the_next_reading() -> None:
    chart = course_chart(COURSE)
    text = draw(chart, WIDE)
    assert [line.get("class") for line in ET.fromstring(text).iter("polygon")] == ["band", "band", None]
    for words in ("day 0", "now", "hops in", "end by the make-up 1.011", "read again on day 8"):
        assert words in text
    assert chart.ask is not None
    assert chart.ask.value == 1.012
    assert "One reading: 1.0205 on day 4. The forecast comes to 1.012" in chart_sentence(chart)
    assert [row.what for row in chart_rows(chart)] == [
        "hops in",
        "day 4: 1.020",
        "Next: read again on day 8",
        "end by the make-up",
    ]
    assert [row.when for row in fan_rows(chart)] == [f"day {day}" for day in range(13)]
    assert fan_rows(chart)[4].values == ("1.0170", "1.0190", "1.0200", "1.0210", "1.0230")


def test_it_is_drawn_in_degrees_plato_for_who_reads_them() -> None:
    chart = course_chart(COURSE, scale="°P")
    assert chart.middle is not None
    assert chart.middle.value[0] == pytest.approx(10.48, abs=0.02)
    assert chart.bands[0].low[-1] == pytest.approx(2.56, abs=0.02)
    assert chart.gates[0].ends == pytest.approx((2.43, 3.45), abs=0.02)


@pytest.mark.parametrize(
    ("chance", "full"), [(0.0, 0), (0.004, 0), (0.03, 1), (0.5, 10), (0.83, 17), (0.996, 20), (1.0, 20)]
)
def test_each_stroke_is_a_twentieth(chance: float, full: int) -> None:
    drawn = ET.fromstring(tally(chance))
    kinds = [line.get("class") for line in drawn.iter("line")]
    assert kinds == ["on"] * full + ["off"] * (20 - full)
    assert strokes(chance) == full


def test_strokes_stay_on_their_sheet_and_are_not_read_aloud() -> None:
    drawn = ET.fromstring(tally(0.4))
    *_, width, height = map(float, drawn.get("viewBox", "").split())
    for line in drawn.iter("line"):
        assert 0 <= float(line.get("x1")) <= float(line.get("x2")) <= width
        assert 0 <= float(line.get("y2")) <= float(line.get("y1")) <= height
    assert drawn.get("aria-hidden") == "true"
    assert strokes(float("nan")) == 0
