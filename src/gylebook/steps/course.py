"""A beer's gravity over the days since its yeast went in, as a chart needs it: what was read, what is forecast."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Seen:
    """One reading: its day, the true gravity with the ends of its interval, and what was written."""

    day: float
    gravity_sg: float
    low_sg: float
    high_sg: float
    words: str


@dataclass(frozen=True, slots=True)
class Course:
    """Readings and fan.

    Parameters
    ----------
    day
        Days of the fan; the five lines of gravities [SG] have a value for each.
    low_sg, half_low_sg, middle_sg, half_high_sg, high_sg
        Of a hundred such beers 5, 25, 50, 75 and 95 would lie below.
    seen
        The readings.
    end_sg
        Where it should end: likeliest, from and to.
    now_day, next_day
        The day that is today, and the one of the next reading; None where no reading is wanted.
    marks
        What was done, by day.
    """

    day: tuple[float, ...]
    low_sg: tuple[float, ...]
    half_low_sg: tuple[float, ...]
    middle_sg: tuple[float, ...]
    half_high_sg: tuple[float, ...]
    high_sg: tuple[float, ...]
    seen: tuple[Seen, ...]
    end_sg: tuple[float, float, float]
    now_day: float
    next_day: float | None = None
    marks: tuple[tuple[float, str], ...] = ()
