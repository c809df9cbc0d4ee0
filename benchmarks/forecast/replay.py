"""Measured fermentations as a home brewer would have seen them: the wort, then a few readings, rounded."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from forecast.real_batches import RealBatch
from gylebook.forecast.evidence import Evidence, Known, Reading, Warmth

MOST_READINGS: Final = 8  # of beer; the wort's comes before
READING_SD_SG: Final = 0.0008  # scale and eye, without the rounding
FARTHEST_DAYS: Final = 0.5  # a sample further than this from the day wanted was not taken for it


@dataclass(frozen=True, slots=True)
class Schedule:
    """When somebody looks: from a day on, every so many days, on a scale of this resolution."""

    name: str
    first_day: float
    every_days: float
    resolution_sg: float


SCHEDULES: Final = (
    Schedule("each day", 1.5, 1.0, 0.001),
    Schedule("twice a day", 1.5, 0.5, 0.0005),
    Schedule("twice a day, from the third", 2.25, 0.5, 0.001),
    Schedule("every second day", 2.0, 2.0, 0.001),
    Schedule("from the third day", 3.0, 0.75, 0.0005),
    Schedule("each day, from the fourth", 3.6, 1.0, 0.001),
)


@dataclass(frozen=True, slots=True)
class Look:
    """One moment of one replay: what was known then. `count` counts the wort's reading too."""

    batch: RealBatch
    schedule: Schedule
    evidence: Evidence

    @property
    def count(self) -> int:
        return len(self.evidence.readings)

    @property
    def points_left_sg(self) -> float:
        """How far above the gravity that it came to by itself; a lower bound for a batch that was still falling."""
        return self.batch.level_sg(self.evidence.now_day) - self.batch.last_sg


def looks(batches: Sequence[RealBatch], schedules: Sequence[Schedule] = SCHEDULES) -> Iterator[Look]:
    """Every batch by every schedule, once after each reading of beer; a batch's looks follow one another."""
    for batch in batches:
        for schedule in schedules:
            rows = _rows(batch, schedule)
            for count in range(1, len(rows) + 1):
                yield Look(batch, schedule, _evidence(batch, schedule, rows[:count]))


def _rows(batch: RealBatch, schedule: Schedule) -> list[int]:
    wanted = schedule.first_day + schedule.every_days * np.arange(64)
    rows: list[int] = []
    for day in wanted[wanted <= batch.end_day + 1e-9]:
        nearest = int(np.argmin(np.abs(batch.day - day)))
        close = abs(batch.day[nearest] - day) <= FARTHEST_DAYS
        if close and batch.day[nearest] >= 1.0 and nearest not in rows:
            rows.append(nearest)
    return rows[:MOST_READINGS]


def _evidence(batch: RealBatch, schedule: Schedule, rows: Sequence[int]) -> Evidence:
    sd = float(np.hypot(READING_SD_SG, schedule.resolution_sg / np.sqrt(12.0)))
    wort = _rounded(batch.gravity_sg[0], schedule.resolution_sg)
    readings = [Reading(0.0, wort, sd)]
    readings += [Reading(float(batch.day[n]), _rounded(batch.gravity_sg[n], schedule.resolution_sg), sd) for n in rows]
    now_day = readings[-1].day
    return Evidence(
        readings=tuple(readings),
        now_day=now_day,
        known=Known(og_sg=_rounded(wort, 0.005), og_sd_sg=0.006, attenuation=0.77, attenuation_sd=0.06),
        warmth=_warmth(batch, now_day),
    )


def _warmth(batch: RealBatch, now_day: float) -> Warmth:
    """The mean of each day so far, to half a degree; a day without a measurement is left out."""
    past = batch.day <= now_day
    days = np.floor(batch.day[past])
    temps = batch.temp_c[past]
    found = sorted(set(days.tolist()))
    means = [_rounded(float(np.mean(temps[days == each])), 0.5) for each in found]
    return Warmth(tuple(found), tuple(means), batch.works_c)


def _rounded(value: float, to: float) -> float:
    return round(round(float(value) / to) * to, 6)
