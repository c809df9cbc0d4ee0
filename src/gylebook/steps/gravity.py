"""True gravities: every reading corrected for its temperature, its glass and the alcohol in the sample.

The raw reading stays as it was written. A reading that contradicts is kept and taken lightly; why is a finding.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import hypot, isfinite, sqrt

import numpy as np

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept, Shelf
from gylebook.science.hydrometer import true_sg, true_sg_beer
from gylebook.steps.answers import Basis, Figure, Finding, Given, Working
from gylebook.steps.makeup import (
    final_gravity_expected,
    ingredients_of,
    leaflet_gates,
    leaflet_volume_l,
    makeup_of,
    og_by_weight,
    sg_of,
)
from gylebook.steps.oddities import Expected, Seen, judge, unusable_finding
from gylebook.steps.volumes import Z90
from gylebook.steps.warmth import beer_temp_c, celsius
from gylebook.units import Quantity, show

__all__ = ["Glass", "TrueReading", "glass_of", "original_gravity", "readings", "sg_of", "unusable"]

_SCALE_SD = 0.0007  # reading the scale, meniscus included
_FIZZ_SD = {"flat": 0.0, "some": 0.001, "fizzy": 0.002, "": 0.0004}
# What is left of layers when the sample was drawn, by how the wort was stirred.
_MIXING_SD = {"well": 0.0008, "a little": 0.004, "no": 0.012, "": 0.003}
_UNKNOWN_GLASS_SD = 0.0004  # a 15.6 °C scale taken for a 20 °C one is 0.0007 out
_UNKNOWN_TEMP_SD_C = 3.0
_LOWEST, _HIGHEST = 0.98, 1.16
_UNPITCHED = timedelta(hours=24)
_ASSUMED_OG, _ASSUMED_OG_SD = 1.042, 0.006


@dataclass(frozen=True, slots=True)
class TrueReading:
    """One reading as it was written, and the gravity 20/20 °C that it means with its standard deviation."""

    seq: int
    at: datetime
    raw: Quantity
    temp_c: float | None
    gravity_sg: float
    sd_sg: float
    lightly: bool
    findings: tuple[Finding, ...]
    working: Working
    before_pitch: bool = False
    used_temp_c: float = 20.0

    def figure(self, key: str = "sg", label: str = "True gravity") -> Figure:
        """The true gravity with its interval."""
        half = Z90 * self.sd_sg
        value = self.gravity_sg
        return Figure(key, label, value, value - half, value + half, "SG", "gravity", 4, self.working)


@dataclass(frozen=True, slots=True)
class Glass:
    """A hydrometer: its scale's temperature, its own error, and whether either is known."""

    name: str
    ref_c: float
    offset_sg: float
    known: bool


def glass_of(shelf: Shelf, name: str) -> Glass:
    """The hydrometer of that name, else the only one on the shelf, else an ordinary 20 °C one."""
    kept = shelf.instruments.get(name)
    hydrometers = [i for i in shelf.instruments.values() if i.what == "hydrometer"]
    if kept is None and not name and len(hydrometers) == 1:
        kept = hydrometers[0]
    if kept is None or kept.what != "hydrometer":
        return Glass(name or "a 20 °C hydrometer", 20.0, 0.0, known=False)
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
    return tuple(k for k in brew.all(ev.Measured) if k.event.sample_from != "forced sample")


def is_usable(quantity: Quantity) -> bool:
    """Whether the number can be a specific gravity at all."""
    value = sg_of(quantity)
    return isfinite(value) and _LOWEST <= value <= _HIGHEST


def unusable(brew: Brew) -> tuple[Finding, ...]:
    """Findings on readings that were taken from another scale or slipped in writing; none of them is reckoned with."""
    return tuple(unusable_finding(k.event.gravity, k.seq) for k in _measured(brew) if not is_usable(k.event.gravity))


def _mixing_sd(brew: Brew, kept: Kept[ev.Measured]) -> float:
    stirred = kept.event.stirred
    if not stirred:
        mixed = [k for k in brew.kept if isinstance(k.event, ev.Mixed | ev.ToppedUp) and k.at <= kept.at]
        last = mixed[-1].event if mixed else None
        stirred = last.stirred if isinstance(last, ev.Mixed | ev.ToppedUp) else ""
    return _MIXING_SD[stirred]


@dataclass(frozen=True, slots=True)
class _Sample:
    kept: Kept[ev.Measured]
    before: bool
    temp_c: float
    temp_sd_c: float
    temp_given: Given
    glass: Glass


def _sample(brew: Brew, shelf: Shelf, kept: Kept[ev.Measured]) -> _Sample:
    glass = glass_of(shelf, kept.event.instrument)
    before = is_before_pitch(brew, kept.at)
    if kept.event.temp is not None:
        temp = celsius(kept.event.temp)
        told = Given("temperature of the sample", str(kept.event.temp), Basis.MEASURED, f"entry {kept.seq}", kept.seq)
        return _Sample(kept, before, temp, 0.7, told, glass)
    near = beer_temp_c(brew, shelf, kept.at)
    sd = max(_UNKNOWN_TEMP_SD_C, (near.high - near.low) / 2 / Z90)
    told = Given("temperature of the sample", f"{show(near.value, 0)} °C", Basis.ASSUMED, "not written; as the beer")
    return _Sample(kept, before, near.value, sd, told, glass)


# Pairs of true gravities by what they follow from: a brew's readings are asked for again and again, and never change.
_SOLVED: dict[tuple[float, ...], tuple[float, float]] = {}
_MOST_SOLVED = 20_000


def _true(samples: list[_Sample], og: float) -> list[tuple[float, float]]:
    """True gravity at the sample's temperature and one degree above it, for each sample."""
    keys = [
        (sg_of(s.kept.event.gravity), s.temp_c, s.glass.ref_c, s.glass.offset_sg, 0.0 if s.before else og)
        for s in samples
    ]
    found = {key: _SOLVED[key] for key in keys if key in _SOLVED}
    fresh = [key for key in dict.fromkeys(keys) if key not in found]
    if fresh:
        found.update(zip(fresh, _solved(fresh), strict=True))
        if len(_SOLVED) + len(fresh) > _MOST_SOLVED:
            _SOLVED.clear()
        _SOLVED.update((key, found[key]) for key in fresh)
    return [found[key] for key in keys]


def _solved(keys: list[tuple[float, float, float, float, float]]) -> list[tuple[float, float]]:
    """All in one sum: reading, temperature, the scale's, its own error, original gravity (0 for wort)."""
    raw, temp, ref, offset, og = (column[:, None] for column in np.array(keys).T)
    temps = np.hstack([temp, temp + 1.0])
    true = true_sg(raw, temps, ref, offset)
    if np.any(og > 0):
        beer = true_sg_beer(raw, temps, np.where(og > 0, og, 1.04), ref, offset)
        true = np.where((og > 0) & ~np.isnan(beer), beer, true)
    return [(float(here), float(warmer)) for here, warmer in np.asarray(true)]


def _one(brew: Brew, sample: _Sample, pair: tuple[float, float]) -> TrueReading:
    kept, glass = sample.kept, sample.glass
    raw = sg_of(kept.event.gravity)
    value, warmer = pair
    cautions: tuple[str, ...] = ()
    parts = [_SCALE_SD, _FIZZ_SD[kept.event.fizz] if not sample.before else 0.0]
    if not isfinite(value):
        value, warmer = raw, raw + 0.0006
        parts.append(0.01)
        cautions = ("the sample was outside the temperatures at which a reading can be corrected; it is left as read",)
    if not isfinite(warmer):
        warmer = value + 0.0006
    parts.append(sample.temp_sd_c * abs(warmer - value))
    if sample.before:
        parts.append(_mixing_sd(brew, kept))
    if not glass.known:
        parts.append(_UNKNOWN_GLASS_SD)
    basis = Basis.MEASURED if glass.known else Basis.ASSUMED
    working = Working(
        "reading × density of water at the scale's temperature × expansion of the glass = density of the sample",
        (
            Given("reading", str(kept.event.gravity), Basis.MEASURED, f"entry {kept.seq}", kept.seq),
            sample.temp_given,
            Given("scale's temperature", f"{show(glass.ref_c, 1)} °C", basis, glass.name),
            Given("its own error", f"{show(glass.offset_sg, 4)} SG", basis, glass.name),
        ),
        ("hydrometer_equilibrium", "iso_1768_1975", "bubnik_1995", "density_closure"),
        (f"{show(raw, 4)} {'+' if value >= raw else '−'} {show(abs(value - raw), 4)} = {show(value, 4)}",),
        cautions,
    )
    temp = celsius(kept.event.temp) if kept.event.temp is not None else None
    return TrueReading(
        kept.seq,
        kept.at,
        kept.event.gravity,
        temp,
        value,
        hypot(*parts),
        lightly=bool(cautions),
        findings=(),
        working=working,
        before_pitch=sample.before,
        used_temp_c=sample.temp_c,
    )


def readings(brew: Brew, shelf: Shelf) -> tuple[TrueReading, ...]:
    """Every usable reading in order, corrected and judged; forced samples and other scales are left out."""
    samples = [_sample(brew, shelf, k) for k in _measured(brew) if is_usable(k.event.gravity)]
    if not samples:
        return ()
    by_weight = og_by_weight(brew, shelf)
    first = max((sg_of(s.kept.event.gravity) for s in samples), default=_ASSUMED_OG)
    og = by_weight.value if isfinite(by_weight.value) else max(first, 1.02)
    pairs = _true(samples, og)
    bare = [_one(brew, sample, pair) for sample, pair in zip(samples, pairs, strict=True)]
    expected = _expected(brew, bare, by_weight)
    return tuple(_judged(brew, bare, expected))


def _expected(brew: Brew, bare: list[TrueReading], by_weight: Figure) -> Expected:
    og = _choose(brew, bare, by_weight)
    sd = (og.high - og.low) / 2 / Z90
    fg = final_gravity_expected(
        ingredients_of(brew), og.value, sd, leaflet_gates(brew), leaflet_volume_l=leaflet_volume_l(brew)
    )
    return Expected(by_weight if isfinite(by_weight.value) else None, og, fg)


def _judged(brew: Brew, bare: list[TrueReading], expected: Expected) -> list[TrueReading]:
    done: list[TrueReading] = []
    for index, reading in enumerate(bare):
        event = next(k.event for k in brew.all(ev.Measured) if k.seq == reading.seq)
        seen = Seen(
            reading.seq, reading.at, reading.gravity_sg, reading.sd_sg, reading.temp_c, event, reading.before_pitch
        )
        earlier = [(d.at, d.gravity_sg, d.sd_sg, d.seq) for d in done if not d.before_pitch and not d.lightly]
        later = [(r.at, r.gravity_sg, r.sd_sg, r.seq) for r in bare[index + 1 :] if not r.before_pitch]
        findings, lightly = judge(brew, seen, expected, earlier, later)
        done.append(replace(reading, findings=findings, lightly=lightly or reading.lightly))
    return done


def original_gravity(brew: Brew, shelf: Shelf) -> Figure:
    """Original gravity, key "og": from weights and volume, from a reading, or both, whichever is known better."""
    samples = [_sample(brew, shelf, k) for k in _measured(brew) if is_usable(k.event.gravity)]
    before = [s for s in samples if s.before]
    bare = [_one(brew, s, pair) for s, pair in zip(before, _true(before, _ASSUMED_OG), strict=True)] if before else []
    return _choose(brew, bare, og_by_weight(brew, shelf))


def _choose(brew: Brew, bare: list[TrueReading], by_weight: Figure) -> Figure:
    before = [r for r in bare if r.before_pitch and isfinite(r.gravity_sg)]
    best = min(before, key=lambda r: r.sd_sg, default=None)
    has_weight = isfinite(by_weight.value)
    weight = by_weight.working
    if best is None and not has_weight:
        told = Given("original gravity", "about 1.042", Basis.ASSUMED, "neither weights nor a reading were written")
        bare_working = Working("", sources=("common_practice",))
        return _og(_ASSUMED_OG, _ASSUMED_OG_SD, (told,), "taken as an ordinary kit beer", bare_working)
    if best is None:
        why = "from weights and volume: no reading was taken before the yeast"
        return _og(by_weight.value, _sd(by_weight), weight.inputs, why, weight)
    if not has_weight:
        why = "from the reading: the weights were not written"
        return _og(best.gravity_sg, best.sd_sg, best.working.inputs, why, best.working)
    return _both(by_weight, best, weighed=makeup_of(brew).measured)


def _sd(figure: Figure) -> float:
    return (figure.high - figure.low) / 2 / Z90


def _both(by_weight: Figure, best: TrueReading, *, weighed: bool) -> Figure:
    weight_sd = _sd(by_weight)
    gap = best.gravity_sg - by_weight.value
    inputs = (*by_weight.working.inputs, *best.working.inputs)
    told = f"by weight {show(by_weight.value, 4)}, read {show(best.gravity_sg, 4)}"
    sources = tuple(dict.fromkeys((*by_weight.working.sources, *best.working.sources)))
    like = replace(by_weight.working, sources=sources)
    # Unstirred wort has read tens of points out, so a disagreement beyond what both allow leaves the reading.
    if abs(gap) <= max(2.0 * hypot(weight_sd, min(best.sd_sg, 0.0015)), 0.002):
        share = weight_sd**2 / (weight_sd**2 + best.sd_sg**2)
        sd = sqrt(weight_sd**2 * best.sd_sg**2 / (weight_sd**2 + best.sd_sg**2))
        return _og(by_weight.value + share * gap, sd, inputs, f"{told}: they agree and are weighed together", like)
    if weighed or weight_sd <= best.sd_sg or gap < 0:
        why = f"{told}: the weights are trusted, for the reading does not fit what went in (layers are the usual cause)"
        return _og(by_weight.value, weight_sd, inputs, why, like)
    why = f"{told}: the reading is trusted, for the masses are the leaflet's and were not written when mixing"
    return _og(best.gravity_sg, best.sd_sg, inputs, why, like)


def _og(value: float, sd: float, inputs: tuple[Given, ...], why: str, like: Working) -> Figure:
    """The figure, with sources and lines of the sum it rests on."""
    working = Working(
        "the better of two: weights with volume, and the reading before the yeast went in",
        inputs,
        like.sources,
        (*like.steps, why),
    )
    return Figure("og", "Original gravity", value, value - Z90 * sd, value + Z90 * sd, "SG", "gravity", 4, working)
