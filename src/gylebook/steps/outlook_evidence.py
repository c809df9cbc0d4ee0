"""What the forecaster is told of a brew: its readings, its prior knowledge, warmth, hops and later sugar, as numbers.

Everything is taken up to priming or bottling. Where there are more readings than a hydrometer ever gives, those of a
window of time are put together; what was done so stands in `notes`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import isfinite, sqrt
from statistics import median

from gylebook.forecast import evidence as fe
from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept, Shelf
from gylebook.phrases import say
from gylebook.science.dilution import original_gravity_sg
from gylebook.steps.gravity import FIZZ_SD, TrueReading, original_gravity, readings
from gylebook.steps.learned import CHECKED_OFFSET_SD_SG, NOTHING_LEARNED, Learned, teach
from gylebook.steps.learning import kit_of, yeast_of
from gylebook.steps.makeup import (
    extract_g,
    final_gravity_expected,
    ingredients_of,
    leaflet_gates,
    leaflet_volume_l,
    material_of,
    og_by_weight,
)
from gylebook.steps.outlook_facts import DAY, Facts
from gylebook.steps.volumes import Z90, mixed_l, start_l
from gylebook.steps.warm_days import Track, yeast_kind
from gylebook.steps.yeast_dose import yeast_for

_MOST_READINGS = 12
_MOST_DAYS = 900.0
_LOWEST_SG, _HIGHEST_SG = 0.96, 1.2
_LEAST_SD_SG = 0.0005  # a scale that is read the same way errs the same way: many readings do not lessen that
_ORDINARY_OG_SG, _ORDINARY_OG_SD_SG = 1.042, 0.006
_LEAST_OG_SD_SG = 0.001
_LEAST_ATTENUATION_SD = 0.02
_STEPS_OF_WARMTH = 60
_USUAL_LIVE_G_PER_L = 0.4  # the dose that the forecaster's usual pitch stands for
_REHYDRATED = 1.5  # dry yeast that was not put in water first loses a part of its cells
_LEAST_PITCH, _MOST_PITCH = 0.005, 0.4


@dataclass(frozen=True, slots=True)
class Told:
    """The evidence, and where it comes from.

    Parameters
    ----------
    evidence
        The numbers.
    pitched_at, seen_at
        The moment that days count from, and the one that the evidence speaks of.
    seqs
        By the evidence's reading, the entries that it was made of.
    notes
        What was left out, put together or scaled, a line each.
    learned
        What the brewer's other brews taught that bears on this one, a line each.
    """

    evidence: fe.Evidence
    pitched_at: datetime
    seen_at: datetime
    seqs: tuple[tuple[int, ...], ...]
    notes: tuple[str, ...] = ()
    learned: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Row:
    reading: fe.Reading
    seqs: tuple[int, ...]


def evidence_of(brew: Brew, shelf: Shelf, facts: Facts, lessons: Learned = NOTHING_LEARNED) -> Told | None:
    """What is known of a brew, for the forecaster; None before the yeast is in.

    The moment it speaks of is that of the last thing known of, so that an answer holds until something is written;
    only where nothing was read does it move with the hour.
    """
    if facts.pitched_at is None:
        return None
    pitched_at = facts.pitched_at
    begun = _as_begun(brew, facts)
    notes: list[str] = []
    seen_at = seen_of(facts)
    wort = _wort(begun, shelf, notes)
    beer = facts.readings
    names = tuple(dict.fromkeys(r.sample.glass.name for r in (*wort, *beer)))
    scaled = _watered(brew, shelf, (*wort, *beer), notes)
    rows = [_row(r, _day(r.at, pitched_at), names, share) for r, share in scaled]
    rows = [*_thinned(rows[: len(wort)], 3), *_thinned(rows[len(wort) :], _MOST_READINGS)]
    merged = sum(len(row.seqs) for row in rows)
    if merged > len(rows):
        notes.append(
            say(
                "{merged} readings were put together to {rows}: the middle of each stretch, and the last as it is",
                merged=merged,
                rows=len(rows),
            )
        )
    by_names = dict(enumerate(names))
    known, learned = teach(_known(brew, begun, shelf, names), lessons, kit_of(brew), yeast_of(brew), by_names)
    known = replace(known, attenuation=min(max(known.attenuation, 0.1), 1.25))
    evidence = fe.Evidence(
        tuple(row.reading for row in rows),
        max(_day(seen_at, pitched_at), 0.0, *(row.reading.day for row in rows)),
        known,
        _warmth(facts.track, pitched_at, seen_at),
        _hops(brew, facts, pitched_at),
        tuple(_additions(brew, begun, shelf, facts, pitched_at)),
        fe.Forced(1 + facts.forced.points / 1000, facts.forced.sd / 1000) if facts.forced is not None else None,
    )
    return Told(evidence, pitched_at, seen_at, tuple(row.seqs for row in rows), tuple(notes), learned)


def _day(at: datetime, pitched_at: datetime) -> float:
    """Days since pitching; a slip of decades in a date is cut short."""
    return min(max((at - pitched_at) / DAY, -_MOST_DAYS), _MOST_DAYS)


def seen_of(facts: Facts) -> datetime:
    """The moment of the last thing known of; the hour that it is now where nothing was read since the yeast."""
    assert facts.pitched_at is not None
    known = [facts.pitched_at]
    if facts.readings:
        known.append(facts.readings[-1].at)
        known += [facts.forced.at] if facts.forced is not None else []
        known += [facts.reopened.at] if facts.reopened is not None else []
    else:
        now = min(facts.now, facts.closed_at or facts.now)
        known.append(now.replace(minute=0, second=0, microsecond=0))
    return min(max(known), facts.closed_at or max(known))


def is_odd(reading: TrueReading) -> bool:
    """Whether a reading contradicts or was taken carelessly: more than gas in its sample, which has its own place."""
    told = [f for f in reading.findings if f.key != "temp_missing"]
    only_fizzy = reading.seen.event.fizz == "fizzy" and len(told) == 1 and not reading.seen.as_read
    return reading.lightly and not only_fizzy


def _as_begun(brew: Brew, facts: Facts) -> Brew:
    """The brew without what was added after the yeast."""
    later = {k.seq for k in _added(brew, facts)}
    return replace(brew, kept=tuple(k for k in brew.kept if k.seq not in later)) if later else brew


def _added(brew: Brew, facts: Facts) -> tuple[Kept[ev.Added], ...]:
    assert facts.pitched_at is not None
    return tuple(
        k
        for k in brew.all(ev.Added)
        if k.event.purpose == "fermentable"
        and k.event.mass is not None
        and k.at > facts.pitched_at
        and (facts.closed_at is None or k.at <= facts.closed_at)
    )


def _wort(brew: Brew, shelf: Shelf, notes: list[str]) -> tuple[TrueReading, ...]:
    """Readings before the yeast, without those that the weights rule out."""
    found = []
    trusts_weights = _trusts_weights(brew, shelf)
    for reading in readings(brew, shelf):
        if not reading.before_pitch:
            continue
        if reading.lightly and trusts_weights:
            notes.append(say("entry {seq} is left out: it does not fit what went in", seq=reading.seq))
            continue
        found.append(reading)
    return tuple(found)


def _trusts_weights(begun: Brew, shelf: Shelf) -> bool:
    """Whether weights go before the readings of the wort where the two disagree."""
    by_weight = og_by_weight(begun, shelf)
    return isfinite(by_weight.value) and by_weight.low <= original_gravity(begun, shelf).value <= by_weight.high


def _watered(
    brew: Brew, shelf: Shelf, found: Sequence[TrueReading], notes: list[str]
) -> list[tuple[TrueReading, float]]:
    """Each reading with the share of its points that later water left."""
    shares = [(k.at, _share_left(brew, shelf, k)) for k in brew.all(ev.ToppedUp)]
    scaled = []
    for reading in found:
        share = 1.0
        for at, left in shares:
            share *= left if at > reading.at else 1.0
        scaled.append((reading, share))
    if any(share != 1.0 for _, share in scaled):
        notes.append(say("readings from before water went in are scaled to the volume after it"))
    return scaled


def _share_left(brew: Brew, shelf: Shelf, top_up: Kept[ev.ToppedUp]) -> float:
    before = replace(brew, kept=tuple(k for k in brew.kept if (k.at, k.seq) < (top_up.at, top_up.seq)))
    after = replace(brew, kept=tuple(k for k in brew.kept if (k.at, k.seq) <= (top_up.at, top_up.seq)))
    one, other = mixed_l(before, shelf), mixed_l(after, shelf)
    if one is None or other is None or other.value <= 0:
        return 1.0
    return min(max(one.value / other.value, 0.2), 1.0)


def _row(reading: TrueReading, day: float, names: tuple[str, ...], share: float) -> _Row:
    lift = 0.0 if reading.before_pitch else FIZZ_SD[reading.seen.event.fizz]
    number = fe.Reading(
        min(day, 0.0) if reading.before_pitch else max(day, 0.0),
        min(max(1 + (reading.gravity_sg - 1) * share, _LOWEST_SG), _HIGHEST_SG),
        sqrt(max(reading.sd_sg**2 - lift**2, _LEAST_SD_SG**2)) * share,
        lift,
        fe.LIGHT_GROSS if is_odd(reading) else fe.USUAL_GROSS,
        names.index(reading.sample.glass.name),
    )
    return _Row(number, (reading.seq,))


def _thinned(rows: list[_Row], most: int) -> list[_Row]:
    """At most about so many: the last as it is, those before it by stretches of time and by hydrometer."""
    if len(rows) <= most:
        return rows
    *before, last = rows
    begin, span = before[0].reading.day, max(last.reading.day - before[0].reading.day, 1e-6)
    heaps: dict[tuple[int, int], list[_Row]] = {}
    for row in before:
        window = min(int((row.reading.day - begin) / span * (most - 1)), most - 2)
        heaps.setdefault((window, row.reading.instrument), []).append(row)
    return [*(_middle(heap) for _, heap in sorted(heaps.items())), last]


def _middle(heap: list[_Row]) -> _Row:
    """The reading in the middle of a heap, by those that do not contradict where there are any."""
    sound = [row for row in heap if row.reading.gross <= fe.USUAL_GROSS] or heap
    numbers = [row.reading for row in sound]
    if len(numbers) == 1:
        return sound[0]
    # The middle of many errs less than one, but never less than the way in which a scale is read.
    sd = max(1.25 * median(r.sd_sg for r in numbers) / sqrt(len(numbers)), _LEAST_SD_SG)
    reading = replace(
        numbers[0],
        day=median(r.day for r in numbers),
        gravity_sg=median(r.gravity_sg for r in numbers),
        sd_sg=sd,
        lift_sg=median(r.lift_sg for r in numbers),
    )
    return _Row(reading, tuple(seq for row in sound for seq in row.seqs))


def _known(brew: Brew, begun: Brew, shelf: Shelf, names: tuple[str, ...]) -> fe.Known:
    og, og_sd = _original(begun, shelf)
    attenuation, attenuation_sd = _attenuation(begun, og)
    pitch = _pitch(brew, shelf)
    return fe.Known(
        og_sg=og,
        og_sd_sg=og_sd,
        attenuation=attenuation,
        attenuation_sd=attenuation_sd,
        pitch=pitch,
        offsets=tuple(
            (number, 0.0, CHECKED_OFFSET_SD_SG) for number, name in enumerate(names) if _is_checked(shelf, name)
        ),
    )


def _is_checked(shelf: Shelf, name: str) -> bool:
    kept = shelf.instruments.get(name)
    return kept is not None and kept.offset is not None


def _original(begun: Brew, shelf: Shelf) -> tuple[float, float]:
    """By weights alone; wide where they are not known, and where a reading is trusted before them."""
    by_weight = og_by_weight(begun, shelf)
    if not isfinite(by_weight.value) or not isfinite(by_weight.low) or not isfinite(by_weight.high):
        return _ORDINARY_OG_SG, _ORDINARY_OG_SD_SG
    sd = max((by_weight.high - by_weight.low) / 2 / Z90, _LEAST_OG_SD_SG)
    if not _trusts_weights(begun, shelf):
        sd = max(sd, abs(original_gravity(begun, shelf).value - by_weight.value))
    return min(max(by_weight.value, 1.002), 1.15), min(sd, 0.03)


def _attenuation(begun: Brew, og: float) -> tuple[float, float]:
    """Share of the points that go, by the make-up weighed with the leaflet's own end."""
    made, gates, litres = ingredients_of(begun), leaflet_gates(begun), leaflet_volume_l(begun)
    found = final_gravity_expected(made, og, 0.0, gates, leaflet_volume_l=litres)
    if not isfinite(found.value):
        return fe.Known().attenuation, 0.1
    # The interval may reach farther to one side, to hold the leaflet's own range: its middle is what is likely.
    sd = (found.high - found.low) / 2 / Z90 / (og - 1)
    middle = (og - (found.high + found.low) / 2) / (og - 1)
    return min(max(middle, 0.2), 1.25), min(max(sd, _LEAST_ATTENUATION_SD), 0.2)


def _pitch(brew: Brew, shelf: Shelf) -> float:
    """The yeast's activity when it went in: the usual one, by live grams in the litre."""
    pitched, kit = brew.first(ev.Pitched), brew.plan.kit
    assert pitched is not None
    mass = pitched.event.mass or (kit.yeast_mass if kit else None)
    if mass is None or pitched.event.how == "liquid":
        return fe.Known().pitch
    best = pitched.event.best_before or (kit.best_before if kit else None)
    yeast = yeast_for(mass, yeast_kind(brew), best, start_l(brew, shelf), pitched.at.date())
    live = yeast.live_dose
    if not isfinite(live):
        return fe.Known().pitch
    share = live / _USUAL_LIVE_G_PER_L * (_REHYDRATED if pitched.event.how == "rehydrated" else 1.0)
    return min(max(fe.Known().pitch * share, _LEAST_PITCH), _MOST_PITCH)


def _warmth(track: Track, pitched_at: datetime, seen_at: datetime) -> fe.Warmth:
    """The beer's temperature from pitching on; half-day means where it was written more often than that."""
    later = [at for at in track.at if at > pitched_at]
    cuts = [pitched_at, *later]
    if len(cuts) > _STEPS_OF_WARMTH:
        end = max(seen_at, later[-1])
        step = max((end - pitched_at) / _STEPS_OF_WARMTH, DAY / 2)
        count = int((end - pitched_at) / step) + 1
        cuts = [pitched_at + number * step for number in range(count)]
        temps = [track.mean_c(at, at + step) for at in cuts[:-1]] + [track.at_moment(end)]
    else:
        temps = [track.at_moment(at) for at in cuts]
    # Of two entries of one moment the later one counts.
    steps = {_day(at, pitched_at): min(max(temp, 0.0), 40.0) for at, temp in zip(cuts, temps, strict=True)}
    return fe.Warmth(tuple(sorted(steps)), tuple(steps[day] for day in sorted(steps)), track.works_c)


def _hops(brew: Brew, facts: Facts, pitched_at: datetime) -> fe.Hops | None:
    """All dry hops as one dose on the last one's day, which leaves most to come."""
    if not facts.hops_g or facts.hopped_at is None:
        return None
    out = next((k.at for k in brew.kept if isinstance(k.event, ev.HopsRemoved) and k.at >= facts.hopped_at), None)
    out_day = _day(out, pitched_at) if out is not None else None
    return fe.Hops(_day(facts.hopped_at, pitched_at), min(facts.hops_g_per_l, 30.0), out_day)


def _additions(brew: Brew, begun: Brew, shelf: Shelf, facts: Facts, pitched_at: datetime) -> Iterator[fe.Addition]:
    """Sugar put in after the yeast: what it lifts the gravity by, and how far that falls (sugar ends below water)."""
    litres = max(start_l(brew, shelf).value, 0.1)
    extract = extract_g(ingredients_of(begun))
    before = _gravity(extract, litres)
    for kept in _added(brew, facts):
        assert kept.event.mass is not None
        material = kept.event.material or "sucrose"
        part = ev.Ingredient(material=material, mass=kept.event.mass)
        extract += extract_g((part,))
        after = _gravity(extract, litres)
        lifts = max(after - before, 0.0)
        before = after
        falls = lifts * material_of(part).apparent_attenuation.best
        yield fe.Addition(_day(kept.at, pitched_at), lifts, falls)


def _gravity(extract: float, litres: float) -> float:
    found = float(original_gravity_sg(extract, litres))
    return found if isfinite(found) else 1.15
