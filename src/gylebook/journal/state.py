"""What a journal amounts to: entries folded into a brew, or into the shelf.

The fold gathers and orders what was written; it works nothing out.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, time
from typing import Any, Generic, TypeVar, cast

from gylebook.journal import events as ev
from gylebook.journal.codec import decode_plain

E = TypeVar("E", bound=ev.Event)
T = TypeVar("T")

SHELF = "shelf"

STAGES = ("planned", "mixed", "fermenting", "racked", "bottled", "drinking", "closed", "dumped")


@dataclass(frozen=True, slots=True)
class Entry:
    """One row of the journal. Times are aware, in UTC."""

    brew: str
    seq: int
    kind: str
    version: int
    happened_at: datetime
    recorded_at: datetime
    recorded_by: str
    source: str
    command_id: str
    body: ev.Event


@dataclass(frozen=True, slots=True)
class Kept(Generic[E]):
    """An event that counts, with the entry that holds it (the original's seq where it was corrected)."""

    seq: int
    at: datetime
    event: E
    corrected_by: int | None = None


@dataclass(frozen=True, slots=True)
class Brew:
    """A brew as its journal tells it."""

    id: str
    entries: tuple[Entry, ...]
    kept: tuple[Kept[ev.Event], ...]  # by happened_at, then seq; struck entries are absent, corrected ones replaced
    struck: frozenset[int] = field(default_factory=frozenset)  # seq of entries withdrawn or replaced
    # What was worked out from this very brew. It goes with it: a brew with one entry more begins with nothing.
    _known: dict[Hashable, Any] = field(default_factory=dict, init=False, repr=False, compare=False)

    @property
    def head_seq(self) -> int:
        """The last sequence number, 0 for a brew without entries."""
        return self.entries[-1].seq if self.entries else 0

    def all(self, kind: type[E]) -> tuple[Kept[E], ...]:
        """Everything of one kind that counts, in order of happening."""
        return cast("tuple[Kept[E], ...]", self._kinds.get(kind, ()))

    def once(self, key: Hashable, work: Callable[[], T]) -> T:
        """What `work` makes of this brew; worked out when first asked for, since a brew never changes."""
        try:
            return cast("T", self._known[key])
        except KeyError:
            return cast("T", self._known.setdefault(key, work()))

    @property
    def _kinds(self) -> dict[type[ev.Event], tuple[Kept[ev.Event], ...]]:
        return self.once("kinds", self._by_kind)

    def _by_kind(self) -> dict[type[ev.Event], tuple[Kept[ev.Event], ...]]:
        found: dict[type[ev.Event], list[Kept[ev.Event]]] = {}
        for kept in self.kept:
            found.setdefault(type(kept.event), []).append(kept)
        return {kind: tuple(those) for kind, those in found.items()}

    def last(self, kind: type[E]) -> Kept[E] | None:
        """The latest of a kind, or None."""
        found = self.all(kind)
        return found[-1] if found else None

    def first(self, kind: type[E]) -> Kept[E] | None:
        """The earliest of a kind, or None."""
        found = self.all(kind)
        return found[0] if found else None

    @property
    def plan(self) -> ev.Planned:
        """The plan as it now stands; an empty one where none was written."""
        kept = self.last(ev.Planned)
        return kept.event if kept else ev.Planned(name="")

    @property
    def name(self) -> str:
        """The brew's name."""
        return self.plan.name or f"Brew {self.id}"

    @property
    def alternative(self) -> ev.Alternative | None:
        """The chosen alternative of the kit, where one was chosen."""
        kit = self.plan.kit
        if kit is None:
            return None
        return next((a for a in kit.alternatives if a.key == self.plan.choice), None)

    @property
    def stage(self) -> str:
        """Where the brew stands, one of STAGES, from what was last done."""
        has = self._kinds
        ladder: tuple[tuple[type[ev.Event], str], ...] = (
            (ev.Dumped, "dumped"),
            (ev.Closed, "closed"),
            (ev.Tasted, "drinking"),
            (ev.Bottled, "bottled"),
            (ev.Racked, "racked"),
            (ev.Pitched, "fermenting"),
            (ev.Mixed, "mixed"),
        )
        return next((stage for kind, stage in ladder if kind in has), "planned")

    @property
    def open(self) -> bool:
        """Whether anything may still be due."""
        return self.stage not in {"closed", "dumped"}


@dataclass(frozen=True, slots=True)
class Shelf:
    """Kits, instruments, vessels, places, bottles, stock and spells of warm weather, by name, and the settings.

    `forgotten` holds what finished brews teach no more: sort and name of a thing, and until when. `read_c` is no
    entry: whoever reckons puts there what thermometers showed in each place, by its name in small letters and by month,
    lowest and highest [°C].
    """

    entries: tuple[Entry, ...] = ()
    kits: dict[str, ev.Kit] = field(default_factory=dict)
    instruments: dict[str, ev.InstrumentKept] = field(default_factory=dict)
    vessels: dict[str, ev.VesselKept] = field(default_factory=dict)
    places: dict[str, ev.PlaceKept] = field(default_factory=dict)
    bottles: dict[str, ev.BottlesKept] = field(default_factory=dict)
    stock: dict[str, ev.StockKept] = field(default_factory=dict)
    spells: dict[str, ev.WarmSpell] = field(default_factory=dict)
    settings: ev.SettingsKept = field(default_factory=ev.SettingsKept)
    forgotten: dict[tuple[str, str], datetime] = field(default_factory=dict)
    read_c: Mapping[str, Mapping[int, tuple[float, float]]] = field(default_factory=dict)

    @property
    def head_seq(self) -> int:
        """The last sequence number, 0 for an empty shelf."""
        return self.entries[-1].seq if self.entries else 0


def fold(brew: str, entries: Iterable[Entry]) -> Brew:
    """Fold a brew's entries.

    A correction takes the place of the entry it names, at that entry's time unless it gives another; a correction
    of a correction counts for the same entry. A correction without `instead` withdraws the entry.
    """
    rows = tuple(sorted(entries, key=lambda entry: entry.seq))
    struck: set[int] = set()
    root: dict[int, int] = {}
    current: dict[int, Kept[ev.Event]] = {}
    for row in rows:
        body = row.body
        if not isinstance(body, ev.Corrected):
            current[row.seq] = Kept(row.seq, row.happened_at, body)
            continue
        target = root.get(body.seq, body.seq)
        root[row.seq] = target
        struck.add(body.seq)
        before = current.pop(target, None)
        if body.instead is not None:
            event = decode_plain(body.kind, body.version, body.instead)
            at = body.happened_at or (before.at if before else row.happened_at)
            current[target] = Kept(target, at, event, corrected_by=row.seq)
    kept = tuple(sorted(current.values(), key=lambda k: (k.at, k.seq)))
    return Brew(brew, rows, kept, frozenset(struck))


def further(brew: Brew, entries: Iterable[Entry]) -> Brew:
    """The brew with entries after all of its own: what `fold` makes of them all, without reading the old ones anew."""
    new = tuple(entries)
    if any(isinstance(row.body, ev.Corrected) for row in new):
        return fold(brew.id, (*brew.entries, *new))
    kept = list(brew.kept)
    for row in new:
        insort(kept, Kept(row.seq, row.happened_at, row.body), key=lambda k: (k.at, k.seq))
    return Brew(brew.id, (*brew.entries, *new), tuple(kept), brew.struck)


def fold_shelf(entries: Iterable[Entry]) -> Shelf:
    """Fold the shelf's entries; the latest of each name counts."""
    folded = fold(SHELF, entries)
    shelf = Shelf(entries=folded.entries)
    tables: dict[str, dict[str, Any]] = {
        "kit": shelf.kits,
        "instrument": shelf.instruments,
        "vessel": shelf.vessels,
        "place": shelf.places,
        "bottles": shelf.bottles,
        "stock": shelf.stock,
        "warm weather": shelf.spells,
    }
    settings = shelf.settings
    for name, table, thing in _kept_things(folded):
        if table == "forgotten":
            assert isinstance(thing, ev.Forgotten)
            tables[thing.thing].pop(name, None)
        elif table == "settings":
            assert isinstance(thing, ev.SettingsKept)
            settings = _merged(settings, thing)
        else:
            tables[table][name] = thing
    return replace(shelf, settings=settings, forgotten=_forgotten(folded))


def _forgotten(folded: Brew) -> dict[tuple[str, str], datetime]:
    found: dict[tuple[str, str], datetime] = {}
    for kept in folded.all(ev.LessonsKept):
        key = (kept.event.thing, kept.event.name)
        if not kept.event.count:
            day = kept.event.until
            found[key] = kept.at if day is None else datetime.combine(day, time.max, UTC)
        elif kept.event.thing == "everything":
            found.clear()
        else:
            found.pop(key, None)
    return found


def _kept_things(folded: Brew) -> Iterator[tuple[str, str, object]]:
    for kept in folded.kept:
        match kept.event:
            case ev.KitKept(kit=kit):
                yield kit.name, "kit", kit
            case ev.InstrumentKept() as thing:
                yield thing.name, "instrument", thing
            case ev.VesselKept() as thing:
                yield thing.name, "vessel", thing
            case ev.PlaceKept() as thing:
                yield thing.name, "place", thing
            case ev.BottlesKept() as thing:
                yield thing.name, "bottles", thing
            case ev.StockKept() as thing:
                yield thing.item, "stock", thing
            case ev.WarmSpell() as thing:
                yield thing.name, "warm weather", thing
            case ev.Forgotten() as thing:
                yield thing.name, "forgotten", thing
            case ev.SettingsKept() as thing:
                yield "", "settings", thing
            case _:
                pass


def _merged(old: ev.SettingsKept, new: ev.SettingsKept) -> ev.SettingsKept:
    fields = {name: getattr(new, name) for name in new.__struct_fields__ if getattr(new, name) is not None}
    return ev.SettingsKept(**{name: fields.get(name, getattr(old, name)) for name in old.__struct_fields__})
