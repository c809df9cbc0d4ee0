"""What can be written in the book: one struct for each kind of entry.

Only what was seen or done is here, as it was written; nothing that a sum could give. Each kind has a short word
that never changes once released, and a version; older versions are lifted in `upcasts.py`.
Empty text and None mean "not written down": every entry works with missing fields. A field that holds its default
is left out of the stored body, so a default never changes once released.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any, Literal

import msgspec

from gylebook.units import Quantity


class Event(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """The root of everything that can be written."""


class Part(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, omit_defaults=True):
    """A piece of an entry that is not an entry by itself."""


# --- pieces ---------------------------------------------------------------------------------------------------


class Ingredient(Part, frozen=True):
    """Something fermentable (or not, like lactose) that goes into the wort.

    `material` is a key of the materials table: liquid_malt_extract, dried_malt_extract, sucrose,
    glucose_anhydrous, glucose_monohydrate, enhancer_blend, honey, lactose, maltodextrin.
    """

    material: str
    mass: Quantity
    name: str = ""
    solids: Quantity | None = None  # per cent by mass, where the label gives it
    temp: Quantity | None = None
    left_behind: Quantity | None = None  # what stayed in the can


class Gates(Part, frozen=True):
    """The gravities that a leaflet asks for before each stage."""

    hop_at_or_below: Quantity | None = None
    bottle_at_or_below: Quantity | None = None
    final_from: Quantity | None = None
    final_to: Quantity | None = None


class Alternative(Part, frozen=True):
    """One choice of what is added to the kit, with its own gates."""

    key: str
    name: str
    additions: tuple[Ingredient, ...] = ()
    gates: Gates = Gates()
    cost: str = ""


class HopPlan(Part, frozen=True):
    """A dose of hops that comes with the kit or is planned."""

    name: str
    mass: Quantity
    on_day: int | None = None
    contact_days: int | None = None


class Kit(Part, frozen=True):
    """A kit as its leaflet describes it, entered once."""

    name: str
    ingredients: tuple[Ingredient, ...]
    volume: Quantity
    alternatives: tuple[Alternative, ...] = ()
    gates: Gates = Gates()  # where the leaflet gives one set for all
    yeast: str = ""
    yeast_mass: Quantity | None = None
    yeast_kind: Literal["ale", "lager", "wheat", "other", ""] = ""
    hops: tuple[HopPlan, ...] = ()
    temp_from: Quantity | None = None
    temp_to: Quantity | None = None
    days: int | None = None
    priming_sugar: str = ""
    priming_per_litre: Quantity | None = None
    bitterness: Quantity | None = None
    colour: Quantity | None = None
    claimed_strength: Quantity | None = None
    best_before: date | None = None
    cost: str = ""
    note: str = ""


class BottleLot(Part, frozen=True):
    """Bottles of one kind filled together. `bottle` is a key of the bottle table or a kind kept on the shelf."""

    bottle: str
    count: int
    size: Quantity
    first: bool = False  # filled first of the batch
    last: bool = False  # filled last


# --- the life of a brew ---------------------------------------------------------------------------------------


class Planned(Event, frozen=True):
    """A brew was planned: the first entry of each brew."""

    name: str
    kit: Kit | None = None
    choice: str = ""  # key of the kit's alternative
    volume: Quantity | None = None
    vessel: str = ""
    place: str = ""
    start_on: date | None = None
    drink_on: date | None = None
    co2_wanted: Quantity | None = None
    intent: str = ""


class Cleaned(Event, frozen=True):
    """Something was cleaned or sanitised."""

    what: str
    agent: str
    dilution: str = ""
    contact: Quantity | None = None
    rinsed: bool | None = None


class Mixed(Event, frozen=True):
    """The wort was mixed and made up to its volume."""

    ingredients: tuple[Ingredient, ...] = ()
    volume: Quantity | None = None
    volume_from: Literal["bucket mark", "calibrated mark", "jug", "scale", "guess", ""] = ""
    temp: Quantity | None = None
    boiling_water: Quantity | None = None
    tap_temp: Quantity | None = None
    stirred: Literal["well", "a little", "no", ""] = ""
    vessel: str = ""


class ToppedUp(Event, frozen=True):
    """Water was added to the wort or beer."""

    water: Quantity | None = None
    new_volume: Quantity | None = None
    stirred: Literal["well", "a little", "no", ""] = ""


class Measured(Event, frozen=True):
    """A hydrometer was read."""

    gravity: Quantity  # SG or degP, as read
    temp: Quantity | None = None
    instrument: str = ""
    sample_from: Literal["tap", "top", "thief", "jar", "forced sample", ""] = ""
    fizz: Literal["flat", "some", "fizzy", ""] = ""
    stirred: Literal["well", "a little", "no", ""] = ""
    looks: str = ""
    taste: str = ""


class Pitched(Event, frozen=True):
    """Yeast was added."""

    yeast: str = ""
    mass: Quantity | None = None
    kind: Literal["ale", "lager", "wheat", "other", ""] = ""
    best_before: date | None = None
    how: Literal["sprinkled", "rehydrated", "liquid", ""] = ""
    temp: Quantity | None = None


class TempSeen(Event, frozen=True):
    """A temperature was read, of the beer or of the room; low and high where a min-max thermometer was used."""

    of: Literal["beer", "room"]
    temp: Quantity | None = None
    low: Quantity | None = None
    high: Quantity | None = None


class Moved(Event, frozen=True):
    """Vessel or bottles went to another place."""

    place: str
    temp: Quantity | None = None


class Added(Event, frozen=True):
    """Something other than hops, yeast or priming sugar went in."""

    what: str
    mass: Quantity | None = None
    purpose: Literal["fermentable", "finings", "nutrient", "flavour", "other"] = "other"
    material: str = ""  # for a fermentable: key of the materials table


class Roused(Event, frozen=True):
    """The yeast was stirred up or the vessel warmed on purpose."""

    how: str = ""


class Hopped(Event, frozen=True):
    """Hops went into the cold beer."""

    hop: str
    mass: Quantity
    form: Literal["pellets", "leaf", ""] = ""
    bagged: bool | None = None
    planned_days: int | None = None


class HopsRemoved(Event, frozen=True):
    """The hops came out."""

    hop: str = ""


class Racked(Event, frozen=True):
    """The beer was moved off its sediment."""

    vessel: str = ""
    volume: Quantity | None = None


class Judged(Event, frozen=True):
    """The brewer decided how far the beer is."""

    verdict: Literal["finished", "not finished", "stuck", "infected"]
    because: str = ""


class Primed(Event, frozen=True):
    """Sugar was added for the bottle's fizz."""

    sugar: str  # key of the sugar table
    mass: Quantity  # as weighed; where spoons or drops were counted, what they usually hold
    how: Literal["whole batch", "each bottle"] = "whole batch"
    volume: Quantity | None = None
    bottles: int | None = None
    syrup_water: Quantity | None = None
    against_advice: str = ""  # why, where the book had advised against it
    # By what; not written counts as weighed.
    measured: Literal["scale", "level teaspoon", "heaped teaspoon", "carbonation drop", "jug", "syringe", ""] = ""
    measures: Quantity | None = None  # spoons or drops, as counted


class Filling(Event, frozen=True):
    """The filling of bottles began, rested or went on."""

    what: Literal["begun", "paused", "resumed"]
    volume: Quantity | None = None  # beer there was to fill, where it was read
    place: str = ""  # where the bottles will stand
    cap_code: str = ""
    note: str = ""


class Filled(Event, frozen=True):
    """Bottles of one kind were filled, counted as they came; the order of such entries is the order of filling."""

    bottle: str  # key of the bottle table or a kind kept on the shelf
    count: int
    size: Quantity
    indicator: bool = False  # a plastic one, to be squeezed later
    note: str = ""


class Bottled(Event, frozen=True):
    """The beer went into bottles."""

    lots: tuple[BottleLot, ...]
    place: str = ""
    cap_code: str = ""
    volume: Quantity | None = None


class Opened(Event, frozen=True):
    """A bottle was opened to see."""

    fizz: int | None = None  # felt, 1 flat to 5 wild
    gushed: bool | None = None
    bottle: str = ""
    note: str = ""
    sediment: Literal["thin", "usual", "thick", ""] = ""


class Burst(Event, frozen=True):
    """A bottle burst."""

    bottle: str = ""
    note: str = ""


class Vented(Event, frozen=True):
    """Bottles were vented and closed again."""

    temp: Quantity | None = None
    count: int | None = None


class Tasted(Event, frozen=True):
    """The beer was judged by mouth."""

    score: int | None = None  # 1 to 10
    faults: tuple[str, ...] = ()
    words: str = ""
    again: bool | None = None
    change: str = ""


class TakenOut(Event, frozen=True):
    """Bottles left the cellar."""

    count: int
    bottle: str = ""
    to: Literal["drunk", "given", "lost", ""] = ""


class Noted(Event, frozen=True):
    """Anything else worth keeping."""

    text: str


class Corrected(Event, frozen=True):
    """An earlier entry was wrong. It stays readable; `instead` takes its place, or nothing does."""

    seq: int
    because: str = ""
    kind: str = ""
    version: int = 0
    instead: dict[str, Any] | None = None  # the body that takes its place
    happened_at: datetime | None = None


class Closed(Event, frozen=True):
    """The brew is drunk and done."""

    lesson: str = ""


class Dumped(Event, frozen=True):
    """The brew was thrown away."""

    because: str = ""


# --- the shelf: what belongs to no single brew ----------------------------------------------------------------


class KitKept(Event, frozen=True):
    """A kit was entered or entered anew; the name is its identity."""

    kit: Kit


class InstrumentKept(Event, frozen=True):
    """A hydrometer, thermometer or scale."""

    name: str
    what: Literal["hydrometer", "thermometer", "scale"] = "hydrometer"
    ref_temp: Quantity | None = None
    offset: Quantity | None = None  # what it shows in plain water at its own temperature, less 1.000
    step: Quantity | None = None


class Mark(Part, frozen=True):
    """A mark on a vessel and what it really holds."""

    mark: Quantity
    holds: Quantity


class VesselKept(Event, frozen=True):
    """A fermenter or bottling bucket, with its own marks calibrated."""

    name: str
    what: Literal["fermenter", "bottling bucket"] = "fermenter"
    capacity: Quantity | None = None
    marks: tuple[Mark, ...] = ()
    trub_loss: Quantity | None = None


class MonthRange(Part, frozen=True):
    """Lowest and highest temperature of a place in one month."""

    month: int
    low: Quantity
    high: Quantity


class PlaceKept(Event, frozen=True):
    """A place where vessels or bottles stand."""

    name: str
    low: Quantity | None = None
    high: Quantity | None = None
    months: tuple[MonthRange, ...] = ()
    room_volume: Quantity | None = None


class BottlesKept(Event, frozen=True):
    """How many empty bottles of a kind are owned. `kind` is a key of the bottle table."""

    name: str
    kind: str
    size: Quantity
    count: int
    washes: int | None = None


class StockKept(Event, frozen=True):
    """How much of something is in the cupboard now."""

    item: str
    what: Literal["kit", "sugar", "extract", "hops", "yeast", "caps", "cleaner", "other"] = "other"
    amount: Quantity | None = None
    best_before: date | None = None
    cost: str = ""


class WarmSpell(Event, frozen=True):
    """Some days of warm or frosty weather, foretold or felt. Place and first day are its identity."""

    high: Quantity
    from_on: date
    to_on: date  # the last day
    place: str = ""  # left out: everywhere
    low: Quantity | None = None
    note: str = ""

    @property
    def name(self) -> str:
        """What it is called on the shelf: its place and its first day."""
        return f"{self.place or 'everywhere'} {self.from_on.isoformat()}"


class Forgotten(Event, frozen=True):
    """Something is no longer on the shelf. Warm weather is named by its place, or everywhere, and its first day."""

    thing: Literal["kit", "instrument", "vessel", "place", "bottles", "stock", "warm weather"]
    name: str


class SettingsKept(Event, frozen=True):
    """How the book speaks to its brewer. None leaves a setting as it was."""

    volume: str | None = None
    mass: str | None = None
    temperature: str | None = None
    gravity: str | None = None
    pressure: str | None = None
    co2: str | None = None
    time_zone: str | None = None
    country: Literal["UK", "EU", "US", "other", "Germany", "Ireland", "Australia", "Canada", "New Zealand"] | None = (
        None
    )
    brewer: str | None = None
    currency: str | None = None
    language: Literal["en-GB", "en-US", "de"] | None = None


class LessonsKept(Event, frozen=True):
    """What finished brews may teach: earlier lessons are forgotten, or count again."""

    count: bool  # false: forgotten; true: all of them count again
    thing: Literal["everything", "kit", "yeast", "hydrometer", "vessel", "place"] = "everything"
    name: str = ""
    until: date | None = None  # the last day, in UTC, of the brews it is about; left out: all that had ended by then


KINDS: dict[str, tuple[type[Event], int]] = {
    "planned": (Planned, 1),
    "cleaned": (Cleaned, 1),
    "mixed": (Mixed, 1),
    "topped_up": (ToppedUp, 1),
    "measured": (Measured, 1),
    "pitched": (Pitched, 1),
    "temp_seen": (TempSeen, 1),
    "moved": (Moved, 1),
    "added": (Added, 1),
    "roused": (Roused, 1),
    "hopped": (Hopped, 1),
    "hops_removed": (HopsRemoved, 1),
    "racked": (Racked, 1),
    "judged": (Judged, 1),
    "primed": (Primed, 1),
    "filling": (Filling, 1),
    "filled": (Filled, 1),
    "bottled": (Bottled, 1),
    "opened": (Opened, 1),
    "burst": (Burst, 1),
    "vented": (Vented, 1),
    "tasted": (Tasted, 1),
    "taken_out": (TakenOut, 1),
    "noted": (Noted, 1),
    "corrected": (Corrected, 1),
    "closed": (Closed, 1),
    "dumped": (Dumped, 1),
    "kit_kept": (KitKept, 1),
    "instrument_kept": (InstrumentKept, 1),
    "vessel_kept": (VesselKept, 1),
    "place_kept": (PlaceKept, 1),
    "bottles_kept": (BottlesKept, 1),
    "stock_kept": (StockKept, 1),
    "forgotten": (Forgotten, 1),
    "settings_kept": (SettingsKept, 1),
    "lessons_kept": (LessonsKept, 1),
    "warm_spell": (WarmSpell, 1),
}

SHELF_KINDS = frozenset(
    {
        "kit_kept",
        "instrument_kept",
        "vessel_kept",
        "place_kept",
        "bottles_kept",
        "stock_kept",
        "forgotten",
        "settings_kept",
        "lessons_kept",
        "warm_spell",
        "corrected",
        "noted",
    }
)

KIND_OF: dict[type[Event], str] = {struct: kind for kind, (struct, _) in KINDS.items()}
