"""Over how much beer priming sugar was shared: as written, or as little as the book knows there was; part by part."""

from __future__ import annotations

from collections.abc import Sequence

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept
from gylebook.phrases import say, say_amount
from gylebook.science.interval import Span
from gylebook.steps import volumes
from gylebook.steps.answers import Basis, Figure, Finding, Urgency
from gylebook.steps.decision import Setting
from gylebook.units import show

USUAL_BOTTLE_L = 0.5
FAR_OFF = 1.08  # sugar a twelfth stronger than it was meant: a step of the fizz that a hand feels
_UNDER_THE_TAP_L = 0.3  # what is primed and never reaches a bottle: common practice
_ELSEWHERE = 1.45  # so much more beer than in the bottles is in a barrel, or waits for bottles: common practice
_WHOLE = 0.85  # of the beer there is: what was written for more than that is no part of it
_OF_ALL = 1.05


def litres_of(found: Figure) -> Span:
    """Litres that sugar can be shared over: never quite nothing, whatever the log leaves."""
    return Span(max(found.low, 0.05), max(found.value, 0.1), max(found.high, 0.15))


def bottled_l(brew: Brew) -> float:
    """What all bottles hold that were filled, or the beer that was read then, if that was more; 0 before [L]."""
    filled = read = 0.0
    for kept in brew.all(ev.Bottled):
        filled += sum(lot.count * lot.size.to("L", "volume") for lot in kept.event.lots)
        if kept.event.volume is not None:
            read += kept.event.volume.to("L", "volume")
    return max(filled, read)


def fewer_l(brew: Brew, setting: Setting, event: ev.Primed) -> float | None:
    """The litres that there were by the book, where sugar is written for far more; None where the two agree.

    Bottles tell it best; before, a volume that was read when it was racked. A volume reckoned from the mixing is no
    match for one that was read; and where far more is missing than anybody misreads, it went into something else.
    """
    if event.how != "whole batch" or event.volume is None or primed_in_parts(brew, setting, brew.all(ev.Primed)):
        return None
    filled = bottled_l(brew)
    if filled:
        there = filled + _UNDER_THE_TAP_L
    elif any(kept.event.volume is not None for kept in brew.all(ev.Racked)):
        there = volumes.in_vessel_l(brew, setting.shelf).value
    else:
        return None
    written = event.volume.to("L", "volume")
    return there if FAR_OFF * there < written < _ELSEWHERE * there else None


def shared_over(brew: Brew, setting: Setting, kept: Kept[ev.Primed]) -> tuple[Span, Basis]:
    """The beer that an addition was shared over: as written, unless there was far less; else as reckoned."""
    event = kept.event
    if event.how == "each bottle" and event.volume is not None:
        litres = event.volume.to("L", "volume")
        return Span(litres * 0.98, litres, litres * 1.02), Basis.MEASURED
    if event.volume is not None:
        litres = max(event.volume.to("L", "volume"), 0.1)
        fewer = fewer_l(brew, setting, event)
        if fewer is not None:  # the less beer, the more gas: what is not known counts against the bottles
            return Span(max(fewer - 0.5, 0.05), fewer, litres), Basis.MEASURED
        return Span(max(litres - 0.5, 0.05), litres, litres + 0.5), Basis.MEASURED
    if event.how == "each bottle" and event.bottles:
        litres = (_mean_size_l(brew.first(ev.Bottled)) or USUAL_BOTTLE_L) * event.bottles
        return Span(litres * 0.98, litres, litres * 1.02), Basis.RECKONED
    return litres_of(volumes.in_vessel_l(brew, setting.shelf, kept.at)), Basis.RECKONED


def _mean_size_l(bottled: Kept[ev.Bottled] | None) -> float | None:
    if bottled is None:
        return None
    count = sum(lot.count for lot in bottled.event.lots)
    return sum(lot.count * lot.size.to("L", "volume") for lot in bottled.event.lots) / count if count else None


def primed_in_parts(brew: Brew, setting: Setting, entries: Sequence[Kept[ev.Primed]], *more: ev.Primed) -> bool:
    """Whether several additions each went into a part of the beer of its own, and not one after the other into all.

    So it is where each is written with its litres, each of them fewer than there are, and all of them no more.
    """
    events = [*(kept.event for kept in entries), *more]
    if len(events) < 2 or any(event.how != "whole batch" or event.volume is None for event in events):
        return False
    litres = [event.volume.to("L", "volume") for event in events if event.volume is not None]
    there = bottled_l(brew) + _UNDER_THE_TAP_L if brew.all(ev.Bottled) else 0.0
    there = max(there, volumes.in_vessel_l(brew, setting.shelf).value)
    return max(litres) <= _WHOLE * there and sum(litres) <= _OF_ALL * there


def litres_findings(brew: Brew, setting: Setting) -> tuple[Finding, ...]:
    """Sugar that is written for far more beer than there was, with what it gives; empty where the litres agree."""
    found = []
    bottled = bool(brew.all(ev.Bottled))
    for kept in brew.all(ev.Primed):
        fewer = fewer_l(brew, setting, kept.event)
        if fewer is None or kept.event.volume is None:
            continue
        written = kept.event.volume.to("L", "volume")
        meant, times = say_amount(written, 1, "L"), show(written / fewer, 2)
        text = (
            say(
                "Sugar for {meant}, and only {litres} were bottled: that is {times} times as much in each litre. The "
                "book reckons with that.",
                meant=meant,
                litres=say_amount(bottled_l(brew), 1, "L"),
                times=times,
            )
            if bottled
            else say(
                "Sugar for {meant}, and only {litres} are there by the log: that is {times} times as much in each "
                "litre. The book reckons with that.",
                meant=meant,
                litres=say_amount(fewer, 1, "L"),
                times=times,
            )
        )
        check = say("Was beer poured away, or are bottles still to be written?") if bottled else _MARK
        found.append(Finding(Urgency.ACT, text, check, kept.seq, "fewer_litres"))
    return tuple(found)


_MARK = say(
    "What does the bottling bucket's mark say? More beer that has finished makes up for it; more time does not."
)
