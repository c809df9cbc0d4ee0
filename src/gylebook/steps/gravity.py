"""True gravities: every reading corrected for its temperature, its glass and the alcohol in the sample.

The raw reading stays as it was written. A reading that contradicts is kept and taken lightly; why is a finding.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import hypot, isfinite, sqrt

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept, Shelf
from gylebook.phrases import say, say_amount
from gylebook.steps.answers import Basis, Figure, Finding, Given, Working
from gylebook.steps.makeup import (
    final_gravity_expected,
    ingredients_of,
    leaflet_gates,
    leaflet_volume_l,
    makeup_of,
    og_by_weight,
)
from gylebook.steps.oddities import Expected, Seen, judge
from gylebook.steps.once import once
from gylebook.steps.samples import Sample, sample_of, samples, true_pairs
from gylebook.steps.volumes import Z90
from gylebook.units import Quantity, show

_SCALE_SD = 0.0007  # reading the scale, meniscus included
# How far gas may have lifted the glass.
FIZZ_SD = {"flat": 0.0, "some": 0.001, "fizzy": 0.002, "": 0.0004}
# What is left of layers when the sample was drawn, by how the wort was stirred.
_MIXING_SD = {"well": 0.0008, "a little": 0.004, "no": 0.012, "": 0.003}
_UNKNOWN_GLASS_SD = 0.0004  # a 15.6 °C scale taken for a 20 °C one is 0.0007 out
_ASSUMED_OG, _ASSUMED_OG_SD = 1.042, 0.006
_SAMPLE_TEMP = say("temperature of the sample")
_AS_READ = say("the sample was outside the temperatures at which a reading can be corrected; it is left as read")


@dataclass(frozen=True, slots=True)
class TrueReading:
    """One reading as it was written, and the gravity 20/20 °C that it means with its standard deviation."""

    sample: Sample
    seen: Seen
    lightly: bool
    findings: tuple[Finding, ...]

    @property
    def seq(self) -> int:
        """The entry it was written in."""
        return self.seen.seq

    @property
    def at(self) -> datetime:
        """When it was taken."""
        return self.seen.at

    @property
    def raw(self) -> Quantity:
        """What was written."""
        return self.seen.event.gravity

    @property
    def temp_c(self) -> float | None:
        """The sample's temperature, None where it was not written."""
        return self.seen.temp_c

    @property
    def used_temp_c(self) -> float:
        """The temperature that it was corrected for."""
        return self.sample.temp_c

    @property
    def gravity_sg(self) -> float:
        """True gravity."""
        return self.seen.gravity_sg

    @property
    def sd_sg(self) -> float:
        """Its standard deviation."""
        return self.seen.sd_sg

    @property
    def lifted(self) -> bool:
        """Whether gas in the sample may have lifted the glass: the true gravity may be lower, never higher for it."""
        return not self.before_pitch and FIZZ_SD[self.seen.event.fizz] >= FIZZ_SD["some"]

    @property
    def ceiling_sg(self) -> float:
        """The highest true gravity, nine times in ten: where gas lifted the glass, by the error of reading alone."""
        fizz = FIZZ_SD[self.seen.event.fizz] if self.lifted else 0.0
        return self.gravity_sg + Z90 * sqrt(max(self.sd_sg**2 - fizz**2, 0.0))

    @property
    def before_pitch(self) -> bool:
        """Whether it was taken before the yeast went in."""
        return self.seen.before_pitch

    @property
    def working(self) -> Working:
        """How the gravity follows from the reading."""
        return _working(self.sample, self.seen)

    def figure(self, key: str = "sg", label: str = say("True gravity")) -> Figure:
        """The true gravity with its interval."""
        half = Z90 * self.sd_sg
        value = self.gravity_sg
        return Figure(key, label, value, value - half, self.ceiling_sg, "SG", "gravity", 4, self.working)


def _mixing_sd(brew: Brew, kept: Kept[ev.Measured]) -> float:
    stirred: str = kept.event.stirred
    if not stirred:
        stirrings = brew.once(_mixing_sd, lambda: _stirrings(brew))
        before = bisect_right(stirrings, kept.at, key=lambda pair: pair[0])
        stirred = stirrings[before - 1][1] if before else ""
    return _MIXING_SD[stirred]


def _stirrings(brew: Brew) -> list[tuple[datetime, str]]:
    """When the wort was mixed or topped up, and how it was stirred then."""
    return [(k.at, k.event.stirred) for k in brew.kept if isinstance(k.event, ev.Mixed | ev.ToppedUp)]


def _seen(brew: Brew, sample: Sample, pair: tuple[float, float]) -> Seen:
    kept = sample.kept
    value, warmer = pair
    parts = [_SCALE_SD, FIZZ_SD[kept.event.fizz] if not sample.before else 0.0]
    if not isfinite(value):
        value, warmer = sample.read_sg, sample.read_sg + 0.0006
        parts.append(0.01)
    if not isfinite(warmer):
        warmer = value + 0.0006
    parts.append(sample.temp_sd_c * abs(warmer - value))
    if sample.before:
        parts.append(_mixing_sd(brew, kept))
    if not sample.glass.known:
        parts.append(_UNKNOWN_GLASS_SD)
    sd, temp = hypot(*parts), sample.written_temp_c
    return Seen(kept.seq, kept.at, value, sd, temp, kept.event, sample.before, as_read=not isfinite(pair[0]))


def _working(sample: Sample, seen: Seen) -> Working:
    kept, glass, raw, value = sample.kept, sample.glass, sample.read_sg, seen.gravity_sg
    temp = Given(_SAMPLE_TEMP, say_amount(sample.temp_c, 0, "°C"), Basis.ASSUMED, say("not written; as the beer"))
    if kept.event.temp is not None:
        temp = Given(_SAMPLE_TEMP, kept.event.temp.said(), Basis.MEASURED, say("entry {seq}", seq=kept.seq), kept.seq)
    basis = Basis.MEASURED if glass.known else Basis.ASSUMED
    return Working(
        say("reading × density of water at the scale's temperature × expansion of the glass = density of the sample"),
        (
            Given(
                say("reading"), kept.event.gravity.said(), Basis.MEASURED, say("entry {seq}", seq=kept.seq), kept.seq
            ),
            temp,
            Given(say("scale's temperature"), say_amount(glass.ref_c, 1, "°C"), basis, glass.name),
            Given(say("its own error"), say("{offset} SG", offset=show(glass.offset_sg, 4)), basis, glass.name),
        ),
        ("hydrometer_equilibrium", "iso_1768_1975", "bubnik_1995", "density_closure"),
        (
            say(
                "{raw} {sign} {change} = {true}",
                raw=show(raw, 4),
                sign="+" if value >= raw else "−",
                change=show(abs(value - raw), 4),
                true=show(value, 4),
            ),
        ),
        (_AS_READ,) if seen.as_read else (),
    )


@once
def readings(brew: Brew, shelf: Shelf) -> tuple[TrueReading, ...]:
    """Every usable reading in order, corrected and judged; forced samples and other scales are left out."""
    found = samples(brew, shelf)
    if not found:
        return ()
    pairs = true_pairs(found, _og_corrected_for(brew, shelf))
    seen = [_seen(brew, sample, pair) for sample, pair in zip(found, pairs, strict=True)]
    return tuple(_judged(brew, found, seen, _expected(brew, shelf)))


def _og_corrected_for(brew: Brew, shelf: Shelf) -> float:
    """The original gravity that tells the alcohol in the samples."""
    by_weight = og_by_weight(brew, shelf).value
    return by_weight if isfinite(by_weight) else max(1.02, *(s.read_sg for s in samples(brew, shelf)))


@once
def _expected(brew: Brew, shelf: Shelf) -> Expected:
    by_weight = og_by_weight(brew, shelf)
    og = original_gravity(brew, shelf)
    sd = (og.high - og.low) / 2 / Z90
    fg = final_gravity_expected(
        ingredients_of(brew), og.value, sd, leaflet_gates(brew), leaflet_volume_l=leaflet_volume_l(brew)
    )
    return Expected(by_weight if isfinite(by_weight.value) else None, og, fg)


def _judged(brew: Brew, found: Sequence[Sample], seen: list[Seen], expected: Expected) -> Iterator[TrueReading]:
    lowest: Seen | None = None
    for index, (sample, one) in enumerate(zip(found, seen, strict=True)):
        later = (seen[place] for place in range(index + 1, len(seen)))
        findings, lightly = judge(brew, one, expected, lowest, later)
        reading = TrueReading(sample, one, lightly or one.as_read, findings)
        lowest = _lower(lowest, reading)
        yield reading


def _lower(lowest: Seen | None, reading: TrueReading) -> Seen | None:
    """The lowest of the readings of beer that count in full, with one more."""
    if reading.before_pitch or reading.lightly:
        return lowest
    return reading.seen if lowest is None or reading.gravity_sg < lowest.gravity_sg else lowest


def one_more(brew: Brew, shelf: Shelf, kept: Kept[ev.Measured]) -> TrueReading | None:
    """A reading as `readings` would have it, were it the brew's newest entry; None where it would be left out.

    A reading of beer changes nothing about the others, so that hundreds can be looked at one by one.
    """
    sample = sample_of(brew, shelf, kept)
    if sample is None:
        return None
    before = readings(brew, shelf)
    og = _og_corrected_for(brew, shelf) if before else 0.0
    if sample.before or not before or (sample.read_sg > og and not isfinite(og_by_weight(brew, shelf).value)):
        newest: Kept[ev.Event] = Kept(kept.seq, kept.at, kept.event)
        after = replace(brew, kept=tuple(sorted((*brew.kept, newest), key=lambda k: (k.at, k.seq))))
        return next(reading for reading in readings(after, shelf) if reading.seq == kept.seq)
    seen = _seen(brew, sample, true_pairs([sample], og)[0])
    moments, lowest = _lowest_by(brew, shelf)
    place = bisect_right(moments, kept.at)
    later = (before[index].seen for index in range(place, len(before)))
    findings, lightly = judge(brew, seen, _expected(brew, shelf), lowest[place], later)
    return TrueReading(sample, seen, lightly or seen.as_read, findings)


@once
def _lowest_by(brew: Brew, shelf: Shelf) -> tuple[tuple[datetime, ...], tuple[Seen | None, ...]]:
    """When each reading was taken, and the lowest that counts in full among the first none, one, two ..."""
    found = readings(brew, shelf)
    lowest: list[Seen | None] = [None]
    for reading in found:
        lowest.append(_lower(lowest[-1], reading))
    return tuple(reading.at for reading in found), tuple(lowest)


@once
def original_gravity(brew: Brew, shelf: Shelf) -> Figure:
    """Original gravity, key "og": from weights and volume, from a reading, or both, whichever is known better."""
    before = [s for s in samples(brew, shelf) if s.before]
    pairs = true_pairs(before, _ASSUMED_OG) if before else []
    seen = [(_seen(brew, sample, pair), sample) for sample, pair in zip(before, pairs, strict=True)]
    found = min(seen, key=lambda pair: pair[0].sd_sg, default=None)
    return _choose(
        brew, TrueReading(found[1], found[0], lightly=False, findings=()) if found else None, og_by_weight(brew, shelf)
    )


def _choose(brew: Brew, best: TrueReading | None, by_weight: Figure) -> Figure:
    """The better of weights and the best reading before the yeast."""
    has_weight = isfinite(by_weight.value)
    weight = by_weight.working
    if best is None and not has_weight:
        told = Given(
            say("original gravity"),
            say("about 1.042"),
            Basis.ASSUMED,
            say("neither weights nor a reading were written"),
        )
        bare_working = Working("", sources=("common_practice",))
        return _og(_ASSUMED_OG, _ASSUMED_OG_SD, (told,), say("taken as an ordinary kit beer"), bare_working)
    if best is None:
        why = say("from weights and volume: no reading was taken before the yeast")
        return _og(by_weight.value, _sd(by_weight), weight.inputs, why, weight)
    if not has_weight:
        why = say("from the reading: the weights were not written")
        return _og(best.gravity_sg, best.sd_sg, best.working.inputs, why, best.working)
    return _both(by_weight, best, weighed=makeup_of(brew).measured)


def _sd(figure: Figure) -> float:
    return (figure.high - figure.low) / 2 / Z90


def _both(by_weight: Figure, best: TrueReading, *, weighed: bool) -> Figure:
    weight_sd = _sd(by_weight)
    gap = best.gravity_sg - by_weight.value
    inputs = (*by_weight.working.inputs, *best.working.inputs)
    told = say(
        "by weight {weighed}, read {read}",
        weighed=show(by_weight.value, 4),
        read=show(best.gravity_sg, 4),
    )
    sources = tuple(dict.fromkeys((*by_weight.working.sources, *best.working.sources)))
    like = replace(by_weight.working, sources=sources)
    # Unstirred wort has read tens of points out, so a disagreement beyond what both allow leaves the reading.
    if abs(gap) <= max(2.0 * hypot(weight_sd, min(best.sd_sg, 0.0015)), 0.002):
        share = weight_sd**2 / (weight_sd**2 + best.sd_sg**2)
        sd = sqrt(weight_sd**2 * best.sd_sg**2 / (weight_sd**2 + best.sd_sg**2))
        return _og(
            by_weight.value + share * gap,
            sd,
            inputs,
            say("{told}: they agree and are weighed together", told=told),
            like,
        )
    if weighed or weight_sd <= best.sd_sg or gap < 0:
        why = say(
            "{told}: the weights are trusted, for the reading does not fit what went in (layers are the usual cause)",
            told=told,
        )
        return _og(by_weight.value, weight_sd, inputs, why, like)
    why = say(
        "{told}: the reading is trusted, for the masses are the leaflet's and were not written when mixing", told=told
    )
    return _og(best.gravity_sg, best.sd_sg, inputs, why, like)


def _og(value: float, sd: float, inputs: tuple[Given, ...], why: str, like: Working) -> Figure:
    """The figure, with sources and lines of the sum it rests on."""
    working = Working(
        say("the better of two: weights with volume, and the reading before the yeast went in"),
        inputs,
        like.sources,
        (*like.steps, why),
    )
    return Figure("og", say("Original gravity"), value, value - Z90 * sd, value + Z90 * sd, "SG", "gravity", 4, working)
