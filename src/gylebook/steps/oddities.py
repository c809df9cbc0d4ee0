"""What is odd about a reading: causes in order of likelihood, and the one check that tells them apart.

A true reading is never refused. What contradicts is kept, taken lightly, and explained.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from math import hypot

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import joined, say, say_amount
from gylebook.science.extract import HIGHEST_SG, extract_g_per_l, sg_from_plato
from gylebook.steps.answers import Figure, Finding, Urgency
from gylebook.steps.makeup import extract_g, ingredients_of, sg_of
from gylebook.units import Quantity, show

Z90 = 1.645
_HOT_C = 40.0
_SWAP_POINTS = 6.0  # a jump this far up is seldom the same beer
_HOP_CREEP_POINTS = 3.0


@dataclass(frozen=True, slots=True)
class Seen:
    """A reading under judgement."""

    seq: int
    at: datetime
    gravity_sg: float
    sd_sg: float
    temp_c: float | None
    event: ev.Measured
    before_pitch: bool
    as_read: bool  # no relation corrects a reading at such a temperature


@dataclass(frozen=True, slots=True)
class Expected:
    """What the make-up leads one to expect."""

    by_weight: Figure | None
    og: Figure
    fg: Figure


def judge(
    brew: Brew, seen: Seen, expected: Expected, lowest: Seen | None, later: Iterable[Seen]
) -> tuple[tuple[Finding, ...], bool]:
    """Findings on a reading, and whether it is to be taken lightly.

    `lowest` is the lowest of the readings of beer before it that were not taken lightly, `later` are all that follow.
    """
    found: list[Finding] = []
    lightly = False
    if seen.temp_c is not None and seen.temp_c > _HOT_C:
        lightly = True
        found.append(_hot(seen))
    if seen.before_pitch:
        odd = _layered(brew, seen, expected)
        if odd is not None:
            found.append(odd)
        return tuple(found), lightly or odd is not None
    contradicting = (
        _above_original(seen, expected) or _went_up(brew, seen, lowest, later) or _below_possible(brew, seen, expected)
    )
    if contradicting is not None:
        found.append(contradicting)
        lightly = lightly or contradicting.key != "below_possible"
    if seen.event.fizz in {"some", "fizzy"}:
        lightly = lightly or seen.event.fizz == "fizzy"
        found.append(_bubbles(seen))
    if seen.temp_c is None:
        found.append(_temp_missing(seen))
    return tuple(found), lightly


def _hot(seen: Seen) -> Finding:
    assert seen.temp_c is not None
    return Finding(
        Urgency.MEASURE,
        say(
            "The sample was {temp}. Above {hot} it cools while it is read, and each degree is worth half a point.",
            temp=say_amount(seen.temp_c, 0, "°C"),
            hot=say_amount(_HOT_C, None, "°C"),
        ),
        say("Let the sample cool to about 20 °C, covered, and read it again."),
        seen.seq,
        "hot_sample",
    )


def _temp_missing(seen: Seen) -> Finding:
    return Finding(
        Urgency.WAIT,
        say("The sample's temperature was not written, so the beer's own was taken; five degrees are about one point."),
        say("Write the temperature beside the next reading, or correct this one."),
        seen.seq,
        "temp_missing",
    )


def _bubbles(seen: Seen) -> Finding:
    return Finding(
        Urgency.WAIT if seen.event.fizz == "some" else Urgency.MEASURE,
        say("Gas in the sample lifts the hydrometer: the reading may be one to four points too high."),
        say(
            "Pour the sample to and fro between two glasses, let it stand ten minutes, spin the hydrometer and "
            "read again."
        ),
        seen.seq,
        "bubbles",
    )


def _layered(brew: Brew, seen: Seen, expected: Expected) -> Finding | None:
    """A reading before the yeast that the weights do not allow."""
    by_weight = expected.by_weight
    if by_weight is None:
        return None
    weight_sd = (by_weight.high - by_weight.low) / 2 / Z90
    gap = 1000 * (seen.gravity_sg - by_weight.value)
    if abs(gap) <= max(3.0, 2.5 * 1000 * hypot(weight_sd, 0.001)):
        return None
    head = say(
        "Read {gravity_sg}, but what went in makes {by_weight} ({by_weight_low} to {by_weight_high}). ",
        gravity_sg=show(seen.gravity_sg, 4),
        by_weight=show(by_weight.value, 4),
        by_weight_low=show(by_weight.low, 4),
        by_weight_high=show(by_weight.high, 4),
    )
    would = _would_need(brew, seen.gravity_sg, by_weight.value)
    if seen.event.stirred == "well":
        first = say("First cause to look for: the volume or a mass is not as written; next, layers after all. ")
        check = say("Read the bucket's mark again at eye level, and look whether all extract left its can.")
    else:
        first = say("Most likely it was not mixed through: syrup lies below, water on top. ")
        check = say("If no yeast is in yet, stir hard for three minutes, draw from the middle and read again.")
    ending = say("Add nothing for it; {by_weight} is used.", by_weight=show(by_weight.value, 4))
    return Finding(
        Urgency.MEASURE if abs(gap) > 5 else Urgency.WAIT,
        say("{head}{first}{would}{ending}", head=head, first=first, would=would, ending=ending),
        check,
        seen.seq,
        "unmixed",
    )


def _would_need(brew: Brew, read: float, weighed: float) -> str:
    """What the reading would mean if it were true of the whole wort."""
    if read >= HIGHEST_SG:
        return ""
    total = extract_g(ingredients_of(brew))
    read_g, weighed_g = float(extract_g_per_l(max(read, 1.0005))), float(extract_g_per_l(weighed))
    volume = total / weighed_g
    needed = total / read_g
    if read < weighed:
        left = (weighed_g - read_g) * volume / 0.8 / 1000
        return say(
            "To be true of the whole it would need {needed} in the vessel, or {left} of extract left behind. ",
            needed=say_amount(needed, 0, "L"),
            left=say_amount(left, 1, "kg"),
        )
    return say(
        "To be true of the whole there would have to be only {needed} in the vessel. ",
        needed=say_amount(needed, 1, "L"),
    )


def _above_original(seen: Seen, expected: Expected) -> Finding | None:
    og_sd = (expected.og.high - expected.og.low) / 2 / Z90
    gap = 1000 * (seen.gravity_sg - expected.og.value)
    if gap <= max(3.0, 3.0 * 1000 * hypot(og_sd, seen.sd_sg)):
        return None
    return Finding(
        Urgency.MEASURE,
        say(
            "{gravity_sg} is {gap} points above the original gravity, which beer cannot do. In order of "
            "likelihood: another vessel's sample, syrup from the bottom, a slip in writing, sugar added and "
            "not written.",
            gravity_sg=show(seen.gravity_sg, 4),
            gap=show(gap, 0),
        ),
        say("Read again from the middle, and look at the vessel's label while you do."),
        seen.seq,
        "above_original",
    )


def _went_up(brew: Brew, seen: Seen, lowest: Seen | None, later: Iterable[Seen]) -> Finding | None:
    """A rise beyond what two honest readings can differ by."""
    if lowest is None:
        return None
    before = lowest.gravity_sg
    rise = 1000 * (seen.gravity_sg - before)
    if rise <= max(1.5, 2.3 * 1000 * hypot(seen.sd_sg, lowest.sd_sg)):
        return None
    if _fed_between(brew, lowest.at, seen.at):
        return None
    confirmed = any(
        abs(each.gravity_sg - seen.gravity_sg) <= 2 * hypot(each.sd_sg, seen.sd_sg)
        for each in later
        if not each.before_pitch
    )
    causes = _rise_causes(seen, before, rise, confirmed=confirmed)
    listed = joined(
        "; ", (say("{number}. {words}", number=number, words=words) for number, (_, words, _) in enumerate(causes, 1))
    )
    key, _, check = causes[0]
    return Finding(
        Urgency.MEASURE,
        say(
            "It went up {rise} points since entry {seq} ({before}), which beer does not do by itself. In "
            "order of likelihood: {listed}. The reading is kept and taken lightly.",
            rise=show(rise, 1),
            seq=lowest.seq,
            before=show(before, 4),
            listed=listed,
        ),
        check,
        seen.seq,
        key,
    )


def _fed_between(brew: Brew, start: datetime, end: datetime) -> bool:
    fed = brew.once(_fed_between, lambda: _fed(brew))
    return bisect_left(fed, start) < bisect_right(fed, end)


def _fed(brew: Brew) -> list[datetime]:
    """When anything sweet went in."""
    added = [k.at for k in brew.all(ev.Added) if k.event.purpose in {"fermentable", "flavour"}]
    return sorted([*added, *(k.at for k in brew.all(ev.Primed))])


def _rise_causes(seen: Seen, before: float, rise: float, *, confirmed: bool) -> list[tuple[str, str, str]]:
    """(key, words, check) in order of likelihood for this reading."""
    bubbles = (
        "bubbles",
        say("gas in the sample (one to four points)"),
        say("Degas the sample: pour it to and fro, wait ten minutes, spin the hydrometer, read at eye level."),
    )
    temperature = (
        "temperature",
        say("a sample colder than before, with no temperature written"),
        say("Bring the sample to about 20 °C and read again."),
    )
    swapped = (
        "swapped_vessel",
        say("a sample from another vessel"),
        say("Was it this vessel? Read it again, label in hand."),
    )
    digits = (
        "digits",
        say(
            "{before} and {now} look alike when digits change places",
            before=show(before, 3),
            now=show(seen.gravity_sg, 3),
        ),
        say("Look at the note or the photograph, or read again."),
    )
    glass = (
        "glass",
        say("another hydrometer, or a paper scale that slipped"),
        say("Float the hydrometer in plain water at its own temperature: it must show 1.000."),
    )
    ranked: list[tuple[float, tuple[str, str, str]]] = [
        (3.0 if seen.event.fizz != "flat" and rise <= 4.5 else 0.3, bubbles),
        (2.0 if seen.temp_c is None and rise <= 3 else 0.4, temperature),
        (4.0 if rise > _SWAP_POINTS else 0.5, swapped),
        (5.0 if _alike(before, seen.gravity_sg) else 0.0, digits),
        (2.5 if confirmed else 0.8, glass),
    ]
    return [cause for weight, cause in sorted(ranked, key=lambda pair: -pair[0]) if weight > 0]


def _alike(one: float, two: float) -> bool:
    """Whether the last two digits of the readings are each other's mirror (1.020 and 1.002)."""
    first, second = f"{one:.3f}"[-2:], f"{two:.3f}"[-2:]
    return first != second and first == second[::-1]


def _below_possible(brew: Brew, seen: Seen, expected: Expected) -> Finding | None:
    """Gravity lower than the make-up can reach."""
    fg_sd = (expected.fg.value - expected.fg.low) / Z90
    og_sd = (expected.og.high - expected.og.low) / 2 / Z90
    gap = 1000 * (expected.fg.value - seen.gravity_sg)
    # Hops in the cold beer open up what yeast could not use before: one to three points lower is their doing.
    hops = brew.first(ev.Hopped)
    hopped = hops is not None and hops.at < seen.at
    if gap <= max(2.0, 2.8 * 1000 * hypot(fg_sd, seen.sd_sg, 0.2 * og_sd)) + (_HOP_CREEP_POINTS if hopped else 0.0):
        return None
    return Finding(
        Urgency.ACT,
        say(
            "{gravity_sg} is lower than this make-up can reach: {fg_low} to {fg_high} was expected. In order "
            "of likelihood: more sugar went in than is written; the hydrometer reads low; wild yeast is "
            "eating what beer yeast leaves. If it is wild yeast, bottles would go on building pressure: do "
            "not bottle until it is settled.",
            gravity_sg=show(seen.gravity_sg, 4),
            fg_low=show(expected.fg.low, 4),
            fg_high=show(expected.fg.high, 4),
        ),
        say(
            "Float the hydrometer in plain water at its own temperature; if it shows 1.000, compare the sugar "
            "written with "
            "what went in, and taste for sourness."
        ),
        seen.seq,
        "below_possible",
    )


def unusable_finding(quantity: Quantity, seq: int | None) -> Finding:
    """What a number that is no specific gravity may mean."""
    value = sg_of(quantity) if quantity.unit == "SG" else quantity.number()
    shown = quantity.text
    if value < 0:
        return Finding(
            Urgency.MEASURE,
            say(
                "{shown} is what a spirit hydrometer shows in beer; it is made for distilled spirit only.", shown=shown
            ),
            say("Use a hydrometer whose scale runs from about 0.990 to 1.120."),
            seq,
            "wrong_scale",
        )
    if value == 0:
        return Finding(
            Urgency.WAIT,
            say(
                "0 was read on the potential-alcohol scale, not on the gravity scale. Beside it stands about 1.000: "
                "nearly "
                "all sugar is gone, as in a dry beer that is done. It does not mean that nothing fermented."
            ),
            say("Turn the hydrometer and read the scale that runs from 0.990 to 1.120."),
            seq,
            "wrong_scale",
        )
    if value < 0.98 or 1.16 < value < 40:
        return Finding(
            Urgency.MEASURE,
            say(
                "{shown} is no specific gravity. On the Brix scale it would be about {from_brix}; on the "
                "potential-alcohol scale about {value}.",
                shown=shown,
                from_brix=_from_brix(value),
                value=show(1 + value * 0.0075, 3),
            ),
            say("Turn the hydrometer and read the scale that runs from 0.990 to 1.120; then correct this entry."),
            seq,
            "wrong_scale",
        )
    return Finding(
        Urgency.MEASURE,
        say(
            "{shown} is no specific gravity of beer or wort; it is kept as written and not reckoned with.", shown=shown
        ),
        say("Correct the entry, such as 1.012."),
        seq,
        "wrong_scale",
    )


def _from_brix(value: float) -> str:
    return show(float(sg_from_plato(value)), 3)


def likely_gravity(quantity: Quantity) -> str | None:
    """The obvious reading of a slip ("1062", "20") as text; None where there is none."""
    if quantity.unit != "SG":
        return None
    value = quantity.number()
    if 980 <= value <= 1160:
        return show(value / 1000, 3)
    if 20 <= value <= 160:
        return show(1 + value / 1000, 3)
    return None
