"""Filling bottles, counted tap by tap: what was filled in which order, and the entry of bottling that comes of it.

Every count is an entry of its own. The order of filling is the order of the entries; it is worked out here and never
stored. A mistaken count is withdrawn as any entry is, and all that was filled after it moves up.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept, Shelf
from gylebook.phrases import joined, say
from gylebook.steps import sums_fields
from gylebook.steps.answers import Basis, Figure, Finding, Given, Urgency, Working
from gylebook.steps.asked import LITRES, figure, needed
from gylebook.steps.bottle_fills import unfit
from gylebook.steps.bottle_kinds import GLASS_CAUTIONS, NAMES, Bottle, bottle_of, words_to_keys
from gylebook.steps.bottle_store import store_c
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import CHOICE, COUNT, FLAG, QUANTITY, TEXT, Field
from gylebook.steps.fizz import fizz_of, intended_of
from gylebook.steps.lines import bottle_lots_text
from gylebook.steps.what_if import with_entry
from gylebook.units import Quantity

STIR = say("Stir the beer gently before you go on: the sugar may have settled while it stood.")
_NAME_OF = {key: names[0] for key, names in NAMES.items()}


@dataclass(frozen=True, slots=True)
class Tap:
    """One count: bottles of one kind, with the places in the order that they were filled in."""

    seq: int
    at: datetime
    bottle: str
    size: Quantity
    count: int
    first: int
    indicator: bool

    @property
    def last(self) -> int:
        """Place of the last of them."""
        return self.first + self.count - 1

    @property
    def kind(self) -> tuple[str, str]:
        """What tells one kind from another: its name and size."""
        return self.bottle, str(self.size)

    @property
    def words(self) -> str:
        """The kind as a brewer reads it."""
        return say("{size} {name}", size=self.size, name=_NAME_OF.get(self.bottle, self.bottle))


@dataclass(frozen=True, slots=True)
class Run:
    """Bottles of one kind that were filled without another between them: from which place to which."""

    words: str
    first: int
    last: int
    indicator: bool

    @property
    def places(self) -> str:
        """The places: "1 to 24", or "25"."""
        return (
            str(self.first) if self.first == self.last else say("{first} to {last}", first=self.first, last=self.last)
        )


@dataclass(frozen=True, slots=True)
class Session:
    """A filling that is not closed by an entry of bottling yet: what was said of it, and every count in its order."""

    begun: Kept[ev.Filling] | None
    paused: Kept[ev.Filling] | None
    volume: Quantity | None
    place: str
    cap_code: str
    taps: tuple[Tap, ...]

    @property
    def count(self) -> int:
        """Bottles filled."""
        return self.taps[-1].last if self.taps else 0

    @property
    def litres(self) -> float:
        """Beer in them [L]."""
        return sum(tap.count * tap.size.to("L", "volume") for tap in self.taps)

    @property
    def left_l(self) -> float | None:
        """Beer that is left to fill [L]; None where it was not said how much there was."""
        return None if self.volume is None else self.volume.to("L", "volume") - self.litres

    def of_kind(self, bottle: str, size: Quantity) -> int:
        """Bottles of one kind and size."""
        return sum(tap.count for tap in self.taps if tap.kind == (bottle, str(size)))

    @property
    def runs(self) -> tuple[Run, ...]:
        """The order of filling; one that is to be squeezed stands by itself."""
        found: list[Run] = []
        for tap in self.taps:
            before = found[-1] if found else None
            if before is not None and (before.words, before.indicator) == (tap.words, tap.indicator):
                found[-1] = Run(tap.words, before.first, tap.last, tap.indicator)
            else:
                found.append(Run(tap.words, tap.first, tap.last, tap.indicator))
        return tuple(found)

    @property
    def lots(self) -> tuple[ev.BottleLot, ...]:
        """The lots of bottling that these counts come to; the first and the last bottle stand by themselves."""
        counts: dict[tuple[str, str], int] = {}
        sizes = {tap.kind: tap.size for tap in self.taps}
        for tap in self.taps:
            counts[tap.kind] = counts.get(tap.kind, 0) + tap.count
        if not self.taps:
            return ()
        first, last = self.taps[0].kind, self.taps[-1].kind
        if self.count == 1:
            return (ev.BottleLot(bottle=first[0], count=1, size=sizes[first], first=True, last=True),)
        counts[first] -= 1
        counts[last] -= 1
        between = (ev.BottleLot(bottle=kind[0], count=n, size=sizes[kind]) for kind, n in counts.items() if n)
        return (
            ev.BottleLot(bottle=first[0], count=1, size=sizes[first], first=True),
            *between,
            ev.BottleLot(bottle=last[0], count=1, size=sizes[last], last=True),
        )

    @property
    def texts(self) -> dict[str, str]:
        """What the form of bottling begins with."""
        found = {
            "lots": bottle_lots_text(self.lots, _NAME_OF),
            "place": self.place,
            "cap_code": self.cap_code,
            "volume": str(self.volume or ""),
        }
        return {name: text for name, text in found.items() if text}


def session(brew: Brew) -> Session | None:
    """The filling that goes on; None where none was begun since the beer was last written as bottled."""
    closed = max((kept.seq for kept in brew.all(ev.Bottled)), default=0)
    said = [kept for kept in brew.all(ev.Filling) if kept.seq > closed]
    filled = [kept for kept in brew.all(ev.Filled) if kept.seq > closed]
    if not said and not filled:
        return None
    taps: list[Tap] = []
    for kept in filled:
        event, first = kept.event, taps[-1].last + 1 if taps else 1
        taps.append(Tap(kept.seq, kept.at, event.bottle, event.size, event.count, first, event.indicator))
    stopped = said[-1] if said and said[-1].event.what == "paused" else None
    if stopped is not None and taps and (taps[-1].at, taps[-1].seq) > (stopped.at, stopped.seq):
        stopped = None  # bottles were filled since
    begun = [kept for kept in said if kept.event.what == "begun"]
    return Session(
        begun[-1] if begun else None,
        stopped,
        next((kept.event.volume for kept in reversed(said) if kept.event.volume is not None), None),
        next((kept.event.place for kept in reversed(said) if kept.event.place), ""),
        next((kept.event.cap_code for kept in reversed(said) if kept.event.cap_code), ""),
        tuple(taps),
    )


def standing_of(brew: Brew) -> Session:
    """The filling that goes on, or one in which nothing has happened yet."""
    return session(brew) or Session(None, None, None, "", "", ())


def figures_of(now: Session) -> tuple[Figure, ...]:
    """Beer in the bottles, and what is left to fill where it was said how much there was."""
    counted = tuple(
        Given(
            say("bottles {places}", places=run.places),
            say("{count} × {kind}", count=run.last - run.first + 1, kind=run.words),
            Basis.MEASURED,
            say("as counted"),
        )
        for run in now.runs
    )
    working = Working(say("bottles × their size"), counted, ("by_definition",))
    found = [figure("filled", say("In bottles"), now.litres, LITRES, working)]
    if now.volume is not None and now.left_l is not None:
        there = Given(say("beer to fill"), now.volume.said(), Basis.MEASURED, say("as read at the beginning"))
        left = Working(say("beer there was − beer in bottles"), (there, *counted), ("mass_balance",))
        found.append(figure("left", say("Left to fill"), max(0.0, now.left_l), LITRES, left))
    return tuple(found)


# --- the acts -------------------------------------------------------------------------------------------------


def _fill(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    """Write bottles as they were filled. What must not hold beer is told at once; what was done stays written."""
    text = str(needed(values, _BOTTLE)).strip()
    key = words_to_keys(setting.shelf).get(text.lower())
    if key is None:
        known = joined(", ", dict.fromkeys((*setting.shelf.bottles, *_NAME_OF.values())))
        raise InputError(
            _BOTTLE.label,
            say("“{text}” is no kind of bottle that is known here", text=text[:40]),
            say("use one of: {known}", known=known),
        )
    event = ev.Filled(
        bottle=key,
        count=values.get("count") or 1,
        size=_size(values, key, setting.shelf),
        indicator=bool(values.get("indicator")),
        note=str(values.get("note") or "").strip(),
    )
    bottle = bottle_of(key, event.size, event.count, setting.shelf)
    found = []
    if bottle.never:
        text = say(
            "{bottle}: never for beer that works in the bottle. {note}", bottle=bottle.words, note=bottle.kind.note
        )
        found.append(
            Finding(Urgency.DANGER, text, say("Pour them back, gently, into a fit bottle."), key="never_bottle")
        )
    elif not standing_of(brew).of_kind(key, event.size):  # once for each kind
        found += _unfit(brew, bottle, at, setting)
    if event.indicator and bottle.kind.glass:
        text = say(
            "{bottle} is glass: only a plastic bottle can be squeezed to feel whether it has started.",
            bottle=bottle.words,
        )
        found.append(Finding(Urgency.MEASURE, text, say("Is it a plastic one?"), key="no_indicator"))
    return Decision(((at, event),), tuple(found))


def _unfit(brew: Brew, bottle: Bottle, at: datetime, setting: Setting) -> list[Finding]:
    """What bottling will say of the kind, told with the first bottle that is filled: the others can still change."""
    gas = fizz_of(brew, setting) if brew.all(ev.Primed) else intended_of(brew, setting)
    stood = with_entry(brew, at, ev.Bottled(lots=(), place=standing_of(brew).place))
    said = unfit(bottle, gas, store_c(stood, setting.shelf).value)
    return [said] if said is not None else []


def _size(values: Mapping[str, Any], key: str, shelf: Shelf) -> Quantity:
    size: Quantity | None = values.get("size")
    if size is not None:
        return size
    kept = shelf.bottles.get(key)
    if kept is None:
        raise InputError(
            _SIZE.label, say("nothing was written"), say("write it, for no bottle of that name is kept on the shelf")
        )
    return kept.size


def _filling(_brew: Brew, values: Mapping[str, Any], at: datetime, _setting: Setting) -> Decision:
    event = ev.Filling(
        what=values.get("what") or "begun",
        volume=values.get("volume"),
        place=str(values.get("place") or "").strip(),
        cap_code=str(values.get("cap_code") or "").strip(),
        note=str(values.get("note") or "").strip(),
    )
    found = (Finding(Urgency.NOTHING, STIR, key="stir"),) if event.what == "resumed" else ()
    return Decision(((at, event),), found)


_BOTTLE = Field(
    "bottle", say("Kind of bottle"), TEXT, required=True, hint=say("brown returnable, or a kind that you keep")
)
_SIZE = Field(
    "size", say("Size"), QUANTITY, ("volume",), possible=(0.05, 60.0), usual=(0.15, 5.0),
    hint=say("500 mL; left out, as kept on the shelf"),
)  # fmt: skip

FILLING = Act(
    "filling",
    say("Began, paused or went on filling"),
    "bottling",
    (
        Field(
            "what",
            say("What"),
            CHOICE,
            choices=(("begun", say("began to fill")), ("paused", say("paused")), ("resumed", say("went on"))),
            default="begun",
            reason=say("it comes first"),
        ),
        sums_fields.volume("volume", say("Beer there is to fill"), possible=(0.1, 1000.0)),
        Field("place", say("Where they will stand"), TEXT),
        Field("cap_code", say("Code on the caps"), TEXT, hint="L27"),
        Field("note", say("Note"), TEXT),
    ),
    _filling,
    GLASS_CAUTIONS,
)

FILL = Act(
    "fill",
    say("Count filled bottles"),
    "bottling",
    (
        _BOTTLE,
        Field("count", say("How many"), COUNT, possible=(1, 500), default="1", reason=say("one at a time")),
        _SIZE,
        Field("indicator", say("Plastic, to be squeezed later"), FLAG),
        Field("note", say("Note"), TEXT),
    ),
    _fill,
    (GLASS_CAUTIONS[2],),
    about=say("When all are filled, write the bottling: it begins with what was counted."),
)
