"""Days in words: what is still to come on this day is not yet due."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from gylebook.steps.moments import coming_words, day_words, on_words

NOW = datetime(2026, 11, 16, 12, 0, tzinfo=UTC)  # a Monday


@pytest.mark.parametrize(
    ("hours", "coming", "on"),
    [
        (-1, "today", "today"),
        (0, "today", "today"),
        (4, "later today", "later today"),
        (20, "tomorrow", "tomorrow"),
        (48, "Wednesday", "on Wednesday"),
        (240, "Thu 26 Nov", "on Thu 26 Nov"),
        (-24, "yesterday", "yesterday"),
    ],
)
def test_a_moment_to_come_on_this_day_is_later_today(hours: float, coming: str, on: str) -> None:
    at = NOW + timedelta(hours=hours)
    assert coming_words(at, NOW, UTC) == coming
    assert on_words(at, NOW, UTC) == on


def test_the_day_is_the_brewers_own() -> None:
    at = NOW + timedelta(hours=11)
    assert day_words(at, NOW, ZoneInfo("Asia/Tokyo")) == "tomorrow"
    assert coming_words(at, NOW, UTC) == "later today"
