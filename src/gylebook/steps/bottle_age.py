"""How far bottles have come: their age counted as if at 20 °C, the gas that is there by now, and what vents let out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.science.bottle_limits import volumes_after_vent
from gylebook.science.conditioning import carbonation_fraction, days_at_20c
from gylebook.science.interval import Span
from gylebook.steps.bottle_kinds import HEADSPACE
from gylebook.steps.warm_days import Track, track
from gylebook.steps.warmth import celsius
from gylebook.units import show

DAY = timedelta(days=1)
VENT_C = 4.0  # bottles are vented cold; so it is taken where no temperature was written
_MOST_DAYS = 3650.0


@dataclass(frozen=True, slots=True)
class Age:
    """Days in the bottle, the same as if at 20 °C, the mean temperature, and the share of the gas that is there [1]."""

    days: float
    days_at_20c: float
    mean_c: float
    share: Span

    @property
    def words(self) -> str:
        """The age in words: 15 days at 14 °C are like 6 at 20 °C."""
        return f"{_days(self.days)} at {show(self.mean_c, 0)} °C are like {show(self.days_at_20c, 0)} at 20 °C"


def _days(days: float) -> str:
    count = show(days, 0)
    return f"{count} day" if count == "1" else f"{count} days"


def age_at(brew: Brew, shelf: Shelf, moment: datetime, warmth: Track | None = None) -> Age | None:
    """The age of the bottles at a moment; None before they were filled."""
    bottled = brew.first(ev.Bottled)
    if bottled is None or moment < bottled.at:
        return None
    warmth = warmth or track(brew, shelf)
    days = min((moment - bottled.at) / DAY, _MOST_DAYS)
    starts = np.arange(0.0, days, 1.0)
    lengths = np.minimum(1.0, days - starts)
    temps = np.array([warmth.at_moment(bottled.at + (start + length / 2) * DAY) for start, length in zip(
        starts, lengths, strict=True)])  # fmt: skip
    warm = np.clip(temps, 0.0, 45.0)
    aged = float(np.sum(lengths * days_at_20c(1.0, warm))) if days > 0 else 0.0
    mean = float(np.average(temps, weights=lengths)) if days > 0 else warmth.at_moment(bottled.at)
    found = carbonation_fraction(min(aged, _MOST_DAYS), 20.0)
    return Age(days, aged, mean, Span(float(found.low), float(found.best), float(found.high)))


def share_at(brew: Brew, shelf: Shelf, moment: datetime, warmth: Track) -> float:
    """Share of the gas still to be made at bottling that is there at a moment."""
    age = age_at(brew, shelf, moment, warmth)
    return age.share.best if age is not None else 0.0


def let_out(brew: Brew, shelf: Shelf, dissolved: float, to_make: float) -> float:
    """Volumes that all vents have let out, at the least: each lets out what is in the headspace.

    `dissolved` was in the beer when it was bottled, `to_make` is what sugar and fermentation make in the bottle [vol].
    """
    vents = brew.all(ev.Vented)
    if not vents:
        return 0.0
    warmth = track(brew, shelf)
    lost = 0.0
    for kept in vents:
        here = dissolved + share_at(brew, shelf, kept.at, warmth) * to_make - lost
        temp = celsius(kept.event.temp) if kept.event.temp is not None else VENT_C
        after = volumes_after_vent(min(max(here, 0.1), 12.0), min(max(temp, 0.0), 50.0), HEADSPACE)
        lost += max(0.0, min(max(here, 0.1), 12.0) - float(after))
    return lost
