"""Correcting and withdrawing an entry: the one act that every other act shares.

A correction is a new entry. The act that would have been right decides as if the wrong entry had never been written;
what it decides takes the wrong entry's place, and the wrong one stays readable.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from gylebook.errors import Conflict, NotFound, Refused
from gylebook.journal import events as ev
from gylebook.journal.codec import kind_of, plain_of, version_of
from gylebook.journal.state import Brew, Kept
from gylebook.phrases import joined, say
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.lines import bottle_lots_text, ingredients_text
from gylebook.units import Quantity

# The act that writes each kind of entry.
ACT_OF: dict[type[ev.Event], str] = {
    ev.Planned: "plan",
    ev.Noted: "note",
    ev.Closed: "close",
    ev.Dumped: "dump",
    ev.Cleaned: "clean",
    ev.Mixed: "mix",
    ev.ToppedUp: "top_up",
    ev.Measured: "reading",
    ev.TempSeen: "temperature",
    ev.Pitched: "pitch",
    ev.Roused: "rouse",
    ev.Moved: "move",
    ev.Added: "add",
    ev.Hopped: "hop",
    ev.HopsRemoved: "hops_out",
    ev.Judged: "judge",
    ev.Racked: "rack",
    ev.Primed: "prime",
    ev.Filling: "filling",
    ev.Filled: "fill",
    ev.Bottled: "bottle",
    ev.Opened: "open_bottle",
    ev.Vented: "vent",
    ev.Burst: "burst",
    ev.TakenOut: "take_out",
    ev.Tasted: "taste",
}


def standing(brew: Brew, seq: int) -> Kept[ev.Event]:
    """What now stands for an entry, or for the entry that it corrected.

    Raises
    ------
    NotFound
        There is no such entry, or it was withdrawn.
    """
    root: dict[int, int] = {}
    for entry in brew.entries:
        if isinstance(entry.body, ev.Corrected):
            root[entry.seq] = root.get(entry.body.seq, entry.body.seq)
    if not any(entry.seq == seq for entry in brew.entries):
        raise NotFound(
            say(
                "Brew {brew} has no entry {entry}; its last one is {last}.", brew=brew.id, entry=seq, last=brew.head_seq
            )
        )
    found = next((kept for kept in brew.kept if kept.seq == root.get(seq, seq)), None)
    if found is None:
        raise NotFound(
            say("Entry {entry} of brew {brew} was withdrawn; write it down anew instead.", entry=seq, brew=brew.id)
        )
    return found


def as_seen(brew: Brew, seen: int) -> int:
    """The number by which an entry can be corrected, provided that it still stands as somebody saw it.

    Raises
    ------
    Conflict
        It was corrected, or taken back, since it was seen.
    """
    kept = next((k for k in brew.kept if seen in {k.seq, k.corrected_by}), None)
    if kept is None or (kept.corrected_by or kept.seq) != seen:
        raise Conflict(
            say("Entry {seq} was corrected meanwhile; look at what stands there now, then send it once more.", seq=seen)
        )
    return seen


def correct(
    brew: Brew,
    seq: int,
    act: Act,
    values: Mapping[str, Any],
    setting: Setting,
    *,
    at: datetime | None = None,
    because: str = "",
) -> Decision:
    """The correction that puts what an act decides in an entry's place.

    Parameters
    ----------
    brew
        As it stands, the wrong entry included.
    seq
        The entry, or a correction of it.
    act, values
        What should have been written.
    setting
        The moment of correcting, the shelf and the zone.
    at
        When it really happened; None where the time was right.
    because
        Why it was wrong, in a few words.

    Raises
    ------
    NotFound, Refused, InputError
        No such entry; a plan turned into something else; or what the act itself refuses.
    """
    wrong = standing(brew, seq)
    without = replace(brew, kept=tuple(kept for kept in brew.kept if kept.seq != wrong.seq))
    decided = act.decide(without, values, at or wrong.at, setting)
    if not decided.events:
        raise Refused(
            say("Nothing would take the place of entry {entry}; withdraw it if it should not be there.", entry=seq)
        )
    (_, event), *further = decided.events
    if isinstance(wrong.event, ev.Planned) and not isinstance(event, ev.Planned):
        raise Refused(
            say("The first entry of a brew is its plan; correct the plan, or write the other thing by itself.")
        )
    correction = ev.Corrected(
        seq=seq,
        because=because,
        kind=kind_of(event),
        version=version_of(event),
        instead=plain_of(event),
        happened_at=at,
    )
    return Decision(((setting.now, correction), *further), decided.findings)


def withdraw(brew: Brew, seq: int, setting: Setting, *, because: str = "") -> Decision:
    """The correction that takes an entry back; nothing stands in its place.

    Raises
    ------
    NotFound, Refused
        No such entry; or it is the only plan, without which there is no brew.
    """
    if isinstance(standing(brew, seq).event, ev.Planned) and len(brew.all(ev.Planned)) == 1:
        raise Refused(say("The plan cannot be withdrawn, since the brew hangs on it; correct it, or close the brew."))
    return Decision(((setting.now, ev.Corrected(seq=seq, because=because)),))


def texts_of(event: ev.Event, act: Act) -> dict[str, str]:
    """What an entry says, as the texts that its act's fields would have been given; for a form to begin from."""
    found: dict[str, str] = {}
    for field in act.fields:
        value = getattr(event, field.name, None)
        text = _text(value)
        if text:
            found[field.name] = text
    return found


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, ev.Kit):
        return value.name
    if isinstance(value, Quantity | int | str):
        return str(value)
    if isinstance(value, date):
        return value.isoformat()
    if not isinstance(value, tuple) or not value:
        return ""
    match value[0]:
        case ev.Ingredient():
            return ingredients_text(value)
        case ev.BottleLot():
            return bottle_lots_text(value)
        case _:
            return joined(", ", map(str, value))
