"""The chart of a forecast without a brew: days in place of dates."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from gylebook.outputs.brew_chart import in_plato
from gylebook.outputs.chart_data import Ask, Band, Chart, EventMark, Gate, Line, Reading, Scale
from gylebook.phrases import say
from gylebook.steps.course import Course
from gylebook.units import show

_START = datetime(2000, 1, 1, tzinfo=UTC)  # any day: only the days since then are shown


def course_chart(course: Course, *, scale: Scale = "SG", key: str = "course") -> Chart:
    """Readings in ink, the fan in pencil, where it should end, and the next reading.

    Parameters
    ----------
    course
        As the sum gave it.
    scale
        The brewer's gravity scale.
    key
        Makes the ids in the drawing unique on its page.
    """
    at = tuple(map(_moment, course.day))
    end, low, high = course.end_sg
    chart = Chart(
        title=say("Gravity by day, and its forecast"),
        readings=tuple(Reading(_moment(s.day), s.gravity_sg, s.low_sg, s.high_sg, s.words) for s in course.seen),
        bands=(
            Band(0.9, at, course.low_sg, course.high_sg),
            Band(0.5, at, course.half_low_sg, course.half_high_sg),
        ),
        middle=Line(at, course.middle_sg),
        gates=(Gate(end, say("end by the make-up"), low, high),),
        events=tuple(EventMark(_moment(day), words) for day, words in course.marks),
        ask=_ask(course),
        now=_moment(course.now_day),
        key=key,
        from_day=_START,
    )
    return chart if scale == "SG" else in_plato(chart)


def _moment(day: float) -> datetime:
    return _START + timedelta(days=day)


def _ask(course: Course) -> Ask | None:
    if course.next_day is None:
        return None
    place = min(range(len(course.day)), key=lambda i: abs(course.day[i] - (course.next_day or 0.0)))
    day = show(course.next_day, 1).removesuffix(".0")
    again = any(seen.day > 0 for seen in course.seen)
    words = say("read again on day {day}", day=day) if again else say("read on day {day}", day=day)
    return Ask(_moment(course.next_day), course.middle_sg[place], words)
