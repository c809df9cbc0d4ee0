"""Samples: each usable reading with what it takes to correct it, and the true gravity that it means."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import isfinite

import numpy as np

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept, Shelf
from gylebook.phrases import say
from gylebook.science.hydrometer import true_sg, true_sg_beer
from gylebook.steps.answers import Finding
from gylebook.steps.makeup import sg_of
from gylebook.steps.oddities import unusable_finding
from gylebook.steps.once import once
from gylebook.steps.volumes import Z90
from gylebook.steps.warmth import beer_temp_c, celsius
from gylebook.units import Quantity

_UNKNOWN_TEMP_SD_C = 3.0
_LOWEST, _HIGHEST = 0.98, 1.16
_UNPITCHED = timedelta(hours=24)


@dataclass(frozen=True, slots=True)
class Glass:
    """A hydrometer: its scale's temperature, its own error, and whether either is known."""

    name: str
    ref_c: float
    offset_sg: float
    known: bool


@dataclass(frozen=True, slots=True)
class Sample:
    """A usable reading with what it takes to correct it."""

    kept: Kept[ev.Measured]
    read_sg: float
    before: bool
    temp_c: float
    temp_sd_c: float
    glass: Glass

    @property
    def written_temp_c(self) -> float | None:
        """The sample's temperature where it was written."""
        return self.temp_c if self.kept.event.temp is not None else None


def glass_of(shelf: Shelf, name: str) -> Glass:
    """The hydrometer of that name, else the only one on the shelf, else an ordinary 20 °C one."""
    kept = shelf.instruments.get(name)
    hydrometers = [i for i in shelf.instruments.values() if i.what == "hydrometer"]
    if kept is None and not name and len(hydrometers) == 1:
        kept = hydrometers[0]
    if kept is None or kept.what != "hydrometer":
        return Glass(name or say("a 20 °C hydrometer"), 20.0, 0.0, known=False)
    ref = celsius(kept.ref_temp) if kept.ref_temp is not None else 20.0
    offset = kept.offset.number() if kept.offset is not None else 0.0
    return Glass(kept.name, ref, offset, known=kept.ref_temp is not None)


def is_before_pitch(brew: Brew, at: datetime) -> bool:
    """Whether no yeast was in at that moment; without a written pitching, the first day after mixing counts."""
    pitched = brew.first(ev.Pitched)
    if pitched is not None:
        return at <= pitched.at
    mixed = brew.last(ev.Mixed)
    return mixed is None or at - mixed.at <= _UNPITCHED


def _measured(brew: Brew) -> tuple[Kept[ev.Measured], ...]:
    return tuple(k for k in brew.all(ev.Measured) if not _is_forced(k))


def _is_forced(kept: Kept[ev.Measured]) -> bool:
    return kept.event.sample_from == "forced sample"


def is_usable(quantity: Quantity) -> bool:
    """Whether the number can be a specific gravity at all."""
    return _can_be(sg_of(quantity))


def _can_be(gravity_sg: float) -> bool:
    return isfinite(gravity_sg) and _LOWEST <= gravity_sg <= _HIGHEST


def unusable(brew: Brew) -> tuple[Finding, ...]:
    """Findings on readings that were taken from another scale or slipped in writing; none of them is reckoned with."""
    return tuple(unusable_finding(k.event.gravity, k.seq) for k in _measured(brew) if not is_usable(k.event.gravity))


@once
def samples(brew: Brew, shelf: Shelf) -> tuple[Sample, ...]:
    """Every usable reading in order; forced samples and other scales are left out."""
    glasses: dict[str, Glass] = {}
    found: list[Sample] = []
    for kept in _measured(brew):
        read = sg_of(kept.event.gravity)
        if _can_be(read):
            name = kept.event.instrument
            glass = glasses.get(name) or glasses.setdefault(name, glass_of(shelf, name))
            found.append(_sample(brew, shelf, kept, read, glass))
    return tuple(found)


def sample_of(brew: Brew, shelf: Shelf, kept: Kept[ev.Measured]) -> Sample | None:
    """One reading that the log may not hold yet as a sample of the brew; None where `samples` leaves it out."""
    read = sg_of(kept.event.gravity)
    if _is_forced(kept) or not _can_be(read):
        return None
    return _sample(brew, shelf, kept, read, glass_of(shelf, kept.event.instrument))


def _sample(brew: Brew, shelf: Shelf, kept: Kept[ev.Measured], read: float, glass: Glass) -> Sample:
    before = is_before_pitch(brew, kept.at)
    if kept.event.temp is not None:
        return Sample(kept, read, before, celsius(kept.event.temp), 0.7, glass)
    near = beer_temp_c(brew, shelf, kept.at)
    sd = max(_UNKNOWN_TEMP_SD_C, (near.high - near.low) / 2 / Z90)
    return Sample(kept, read, before, near.value, sd, glass)


_Key = tuple[float, float, float, float, float]
# Pairs of true gravities by what they follow from: a brew's readings are asked for again and again, and never change.
_SOLVED: dict[_Key, tuple[float, float]] = {}
_MOST_SOLVED = 20_000


def true_pairs(of: Sequence[Sample], og: float) -> list[tuple[float, float]]:
    """True gravity at the sample's temperature and one degree above it, for each sample."""
    keys = [(s.read_sg, s.temp_c, s.glass.ref_c, s.glass.offset_sg, 0.0 if s.before else og) for s in of]
    pairs = {key: _SOLVED.get(key) for key in keys}
    fresh = [key for key, pair in pairs.items() if pair is None]
    if fresh:
        solved = dict(zip(fresh, _solved(fresh), strict=True))
        pairs.update(solved)
        if len(_SOLVED) + len(fresh) > _MOST_SOLVED:
            _SOLVED.clear()
        _SOLVED.update(solved)
    return [pair for key in keys if (pair := pairs[key]) is not None]


def _solved(keys: list[_Key]) -> list[tuple[float, float]]:
    """All in one sum: reading, temperature, the scale's, its own error, original gravity (0 for wort)."""
    raw, temp, ref, offset, og = (column[:, None] for column in np.array(keys).T)
    temps = np.hstack([temp, temp + 1.0])
    true = true_sg(raw, temps, ref, offset)
    if np.any(og > 0):
        beer = true_sg_beer(raw, temps, np.where(og > 0, og, 1.04), ref, offset)
        true = np.where((og > 0) & ~np.isnan(beer), beer, true)
    return [(float(here), float(warmer)) for here, warmer in np.asarray(true)]
