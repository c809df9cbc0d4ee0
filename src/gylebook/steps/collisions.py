"""What collides between brews: two bottlings at once, too few bottles, one vessel promised twice, hops due out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import UTC, datetime, time, timedelta, tzinfo
from itertools import pairwise

from gylebook.phrases import say
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.cards import Card, urgency_now
from gylebook.steps.moments import coming_words, day_words

_BOTTLING_HOURS = 2
_SOON = timedelta(days=3)
_IN_VESSEL = {"mixed", "fermenting", "racked"}
_USUAL_OCCUPANCY = timedelta(days=21)


def collisions(cards: Sequence[Card], now: datetime, zone: tzinfo, empties: int | None) -> tuple[Finding, ...]:
    """Everything that collides between open brews, the most pressing first."""
    return (*_bottlings(cards, now, empties), *_vessels(cards, now, zone), *_hops(cards, now, zone))


def _bottling_now(card: Card, now: datetime) -> bool:
    return any(task.act in {"prime", "bottle"} and urgency_now(task, now) is Urgency.ACT for task in card.tasks)


def _bottlings(cards: Sequence[Card], now: datetime, empties: int | None) -> list[Finding]:
    ready = sorted((c for c in cards if _bottling_now(c, now)), key=_first_to_bottle)
    found = []
    wanted = sum(card.bottles_wanted for card in ready)
    if len(ready) > 1:
        names = _names(ready)
        text = say(
            "{count} brews are ready to bottle: {names}. That is about {hours} hours and {wanted} "
            "half-litre bottles. Take {first} first; the others may wait on their yeast.",
            count=len(ready),
            names=names,
            hours=_BOTTLING_HOURS * len(ready),
            wanted=wanted,
            first=ready[0].name,
        )
        found.append(Finding(Urgency.MEASURE, text, say("Which evening for which?"), key="two_bottlings"))
    if ready and empties is not None and wanted > empties:
        text = say(
            "{wanted} half-litre bottles are wanted, and {empties} stand empty: {short} short.",
            wanted=wanted,
            empties=empties,
            short=wanted - empties,
        )
        found.append(Finding(Urgency.MEASURE, text, say("Which bottles will be free by then?"), key="bottles_short"))
    return found


def _first_to_bottle(card: Card) -> tuple[bool, datetime, int]:
    """Primed beer cannot wait; then the one longest in its vessel."""
    primed = any(task.act == "bottle" for task in card.tasks)
    # Sugar may be written of beer whose mixing and pitching never were: nobody knows for how long it has stood.
    started = card.pitched or card.started or datetime.max.replace(tzinfo=UTC)
    return not primed, started, card.number


def _vessels(cards: Sequence[Card], now: datetime, zone: tzinfo) -> list[Finding]:
    by_vessel: dict[str, list[Card]] = defaultdict(list)
    for card in cards:
        if card.vessel:
            by_vessel[card.vessel].append(card)
    found: list[Finding] = []
    for vessel, users in sorted(by_vessel.items()):
        inside = [card for card in users if card.stage in _IN_VESSEL]
        if len(inside) > 1:
            text = say("{names} are both written as being in {vessel}.", names=_names(inside), vessel=vessel)
            found.append(Finding(Urgency.MEASURE, text, say("Which of them is it really?"), key="one_vessel_twice"))
        planned = sorted(
            (c for c in users if c.stage == "planned" and c.start_on),
            key=lambda c: (c.start_on is None, str(c.start_on)),
        )
        found += [finding for card in planned for finding in _not_free(card, vessel, inside, now, zone)]
        found += _planned_twice(planned, vessel)
    return found


def _not_free(card: Card, vessel: str, inside: Sequence[Card], now: datetime, zone: tzinfo) -> list[Finding]:
    assert card.start_on is not None
    start = datetime.combine(card.start_on, time(9), zone)
    found = []
    for other in inside:
        free = other.free_from
        if free is None or free > start:
            until = (
                say("until about {day}", day=day_words(free, now, zone)) if free else say("for a time not known yet")
            )
            day = day_words(start, now, zone)
            text = say(
                "{vessel} is planned for {brew} ({day}), but {other} is in it {until}.",
                vessel=vessel,
                brew=card.name,
                day=day,
                other=other.name,
                until=until,
            )
            found.append(Finding(Urgency.MEASURE, text, say("Another vessel, or another day?"), key="vessel_not_free"))
    return found


def _planned_twice(planned: Sequence[Card], vessel: str) -> list[Finding]:
    found = []
    for one, two in pairwise(planned):
        assert one.start_on is not None
        assert two.start_on is not None
        if two.start_on - one.start_on < _USUAL_OCCUPANCY:
            text = say(
                "{one} and {two} are both planned in {vessel}, less than three weeks apart.",
                one=one.name,
                two=two.name,
                vessel=vessel,
            )
            found.append(Finding(Urgency.MEASURE, text, say("Another vessel, or another day?"), key="planned_twice"))
    return found


def _hops(cards: Sequence[Card], now: datetime, zone: tzinfo) -> list[Finding]:
    found = []
    for card in cards:
        for task in card.tasks:
            if task.act == "hops_out" and timedelta(0) < task.due_from - now <= _SOON:
                day = coming_words(task.due_from, now, zone)
                text = say(
                    "The hops of {brew} are due out {day}: be there, or take them out before.", brew=card.name, day=day
                )
                found.append(Finding(Urgency.WAIT, text, key="hops_due_out"))
    return found


def _names(cards: Sequence[Card]) -> str:
    names = [card.name for card in cards]
    return say("{names} and {last}", names=", ".join(names[:-1]), last=names[-1]) if len(names) > 1 else names[0]
