"""The rules that brewers go by: two readings that agree, alone or with one more condition."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from gylebook.forecast.evidence import Evidence, Reading

AGREE_SG: Final = 0.001
APART_DAYS: Final = 1.0
FROM_DAY: Final = 14.0
ATTENUATED: Final = 0.72
_HAIR: Final = 1e-9  # 1.011 - 1.010 is a hair above 0.001 in binary

Rule = Callable[[Evidence], bool]


def two_equal(evidence: Evidence) -> bool:
    """The last reading agrees with the latest one taken at least a day before it. The wort does not count."""
    beer = sorted((each for each in evidence.readings if each.day > 0.0), key=lambda each: each.day)
    if not beer:
        return False
    last = beer[-1]
    earlier = [each for each in beer if each.day <= last.day - APART_DAYS + _HAIR]
    return bool(earlier) and abs(last.gravity_sg - earlier[-1].gravity_sg) <= AGREE_SG + _HAIR


def two_equal_from_day_14(evidence: Evidence) -> bool:
    """The same, and never before a fortnight is over."""
    return two_equal(evidence) and _last(evidence).day >= FROM_DAY - _HAIR


def two_equal_and_attenuated(evidence: Evidence) -> bool:
    """The same, and 72 % of the gravity is gone."""
    return two_equal(evidence) and attenuation(evidence) >= ATTENUATED - _HAIR


def attenuation(evidence: Evidence) -> float:
    """Share of the points that are gone by the last reading, from the wort's first reading or the recipe's figure."""
    wort = [each.gravity_sg for each in evidence.readings if each.day <= 0.0]
    original = wort[0] if wort else evidence.known.og_sg
    return (original - _last(evidence).gravity_sg) / (original - 1.0)


def _last(evidence: Evidence) -> Reading:
    return max(evidence.readings, key=lambda each: each.day)


RULES: Final[Mapping[str, Rule]] = {
    "two equal readings": two_equal,
    "... and day >= 14": two_equal_from_day_14,
    "... and attenuation >= 72 %": two_equal_and_attenuated,
}
