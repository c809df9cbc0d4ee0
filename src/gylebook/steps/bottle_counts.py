"""What is written as bottled against what was counted while filling, and against what the bucket held."""

from __future__ import annotations

from collections import Counter

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import joined, say, say_amount, say_count
from gylebook.steps import volumes
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.decision import Setting
from gylebook.steps.filling import Session
from gylebook.units import Quantity, show


def left_out(lots: tuple[ev.BottleLot, ...], counted: Session) -> list[Finding]:
    """Bottles that were counted as they were filled, and are not among what is written as bottled."""
    missing: Counter[tuple[str, int]] = Counter()
    for tap in counted.taps:
        missing[tap.bottle, _millilitres(tap.size)] += tap.count
    words = {(tap.bottle, _millilitres(tap.size)): tap.words for tap in counted.taps}
    for lot in lots:
        missing[lot.bottle, _millilitres(lot.size)] -= lot.count
    listed = joined(
        " + ",
        (say("{number} × {words}", number=number, words=words[kind]) for kind, number in missing.items() if number > 0),
    )
    if not listed:
        return []
    text = say(
        "Counted as they were filled, and not in this bottling: {listed}. The log keeps their count.", listed=listed
    )
    check = say("Are they full? Then correct the bottling, so that they are watched with the others.")
    return [Finding(Urgency.MEASURE, text, check, key="not_in_bottling")]


def _millilitres(size: Quantity) -> int:
    return round(1000 * size.to("L", "volume"))


def of_amount(brew: Brew, setting: Setting, lots: tuple[ev.BottleLot, ...], event: ev.Bottled) -> list[Finding]:
    """Whether the bottles hold about what was in the bucket."""
    filled = sum(lot.count * lot.size.to("L", "volume") for lot in lots)
    held = event.volume.to("L", "volume") if event.volume else volumes.in_vessel_l(brew, setting.shelf).value
    count = sum(lot.count for lot in lots)
    words = say_count(count, "{filled} in {n} bottle", "{filled} in {n} bottles", filled=say_amount(filled, 1, "L"))
    if held > 0 and filled > 1.15 * held + 0.5:
        text = say("{bottled}, and only {held} were there by the log.", bottled=words, held=say_amount(held, 1, "L"))
        return [Finding(Urgency.MEASURE, text, say("Are the counts and sizes right?"), key="too_many")]
    found = [Finding(Urgency.NOTHING, say("{words}.", words=words), key="bottled")]
    primed = brew.last(ev.Primed)
    if primed is not None and held > 0 and filled < 0.88 * held:
        more = 100 * (held / filled - 1) if filled > 0 else 0.0
        text = say(
            "{bottled}, {less} less than reckoned: if no more beer was there, each bottle has {more} % more "
            "sugar than planned.",
            bottled=words,
            less=say_amount(held - filled, 1, "L"),
            more=show(more, 0),
        )
        found.append(Finding(Urgency.MEASURE, text, say("Where did the rest go?"), key="less_beer"))
    return found
