"""The last stretch of readings: slope and level, as arithmetic. Figures derived by hand."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gylebook.steps.stretch import Point, last_stretch, level_stretch, line_through


def points(*pairs: tuple[float, float], sd: float = 0.7) -> tuple[Point, ...]:
    return tuple(Point(day, value, sd, firm=True, seq=n) for n, (day, value) in enumerate(pairs, 1))


@pytest.mark.parametrize(("days", "error"), [((0, 1), 0.99), ((0, 2), 0.49), ((0, 2, 4), 0.25), ((0, 3, 6), 0.165)])
def test_spacing_lessens_the_error_of_a_slope_more_than_counting_does(days: tuple[float, ...], error: float) -> None:
    line = line_through(points(*((day, 12.0) for day in days)))
    assert line is not None
    assert line.slope == 0
    assert line.slope_se == pytest.approx(error, rel=0.02)


def test_a_straight_fall_gives_its_slope() -> None:
    line = line_through(points((0, 20), (2, 16), (4, 12)))
    assert line is not None
    assert line.slope == pytest.approx(-2.0)
    assert line.falls


def test_one_moment_gives_no_line() -> None:
    assert line_through(points((0, 20))) is None
    assert line_through(points((1, 20), (1, 20))) is None


def test_a_reading_that_counts_lightly_moves_the_level_little() -> None:
    firm = points((0, 12), (3, 12))
    light = Point(4, 16, 2.1, firm=False, seq=3)
    line = line_through((*firm, light))
    assert line is not None
    assert line.level == pytest.approx(12.0 + 4 * (1 / 9) / (2 + 1 / 9))
    assert line.firm_span_days == 3


def test_the_level_run_leaves_the_steep_readings_out() -> None:
    run = level_stretch(points((0, 30), (3, 14), (6, 12), (9, 12)))
    assert [p.days for p in run] == [6, 9]


def test_a_short_level_run_is_lengthened_to_two_days() -> None:
    run = last_stretch(points((0, 30), (3, 16), (5, 12), (6, 12)))
    assert [p.days for p in run] == [3, 5, 6]


@settings(deadline=None, max_examples=60)
@given(st.lists(st.tuples(st.floats(0, 30), st.floats(-5, 60), st.floats(0.4, 4)), min_size=1, max_size=12))
def test_any_readings_have_a_stretch_that_ends_with_the_last_of_them(rows: list[tuple[float, float, float]]) -> None:
    made = tuple(Point(day, value, sd, firm=True, seq=n) for n, (day, value, sd) in enumerate(sorted(rows), 1))
    level, stretch = level_stretch(made), last_stretch(made)
    assert level[-1] is made[-1]
    assert stretch[-1] is made[-1]
    assert len(stretch) >= len(level)
    line = line_through(stretch)
    if line is not None:
        assert line.slope_se > 0
        assert min(p.points for p in stretch) - 1e-9 <= line.level <= max(p.points for p in stretch) + 1e-9
