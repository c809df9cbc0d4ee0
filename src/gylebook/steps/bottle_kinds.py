"""Kinds of bottles in words: what a brewer calls them, what each is fit for, and the weakest of a set."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gylebook.journal import events as ev
from gylebook.journal.state import Shelf
from gylebook.phrases import say, say_amount
from gylebook.science import bottle_limits, carbonation, glass
from gylebook.science.interval import Span
from gylebook.steps.lines import BOTTLES_HINT
from gylebook.units import Quantity

GLASS_CAUTIONS = (
    say(
        "Glass under pressure: eye protection and thick gloves when a batch is in doubt; caps pointed away from faces."
    ),
    say(
        "Keep bottles boxed or in crates with a lid, on the floor, cool, away from where people sleep or children play."
    ),
    say("Never fill wine, spirit, square, thin or chipped bottles, nor glass above 1.15 L."),
)
COOL_THEM = say("Keep away; cool them where they stand, boxed or covered; move and open them only cold.")
HINT = BOTTLES_HINT + say(". Kinds: brown returnable, one-way, heavy, swing-top, PET, unknown glass")
UNKNOWN = "unknown_glass"
PLASTIC_WARMEST_C = 30.0  # it softens with heat, long before its pressure at a room's warmth would tell
HEADSPACE = 0.04  # two to three centimetres under a crown cap, litres of gas over a litre of beer
PUBLISHED_LIMIT = say(
    "What a kind is fit for is the trade's habit below one published figure, 4.7 bar, which was written for new glass "
    "of carbonated soft drinks."
)

# What brewers call each kind, in small letters. The first is what the book calls it; all of them are understood when
# they are typed. A returnable bottle's size settles which of the two it is.
NAMES = {
    "returnable_500": (
        *(say("brown returnable"), "returnable", "brown", "brown returnable bottle", "beer bottle, returnable"),
        *("mehrweg braun", "mehrweg", "braun", "braune mehrwegflasche", "bierflasche"),
    ),
    "returnable_330": (
        say("small brown returnable"),
        "small returnable",
        "mehrweg braun klein",
        "kleine mehrwegflasche",
    ),
    "one_way": (
        *(say("light one-way"), "one-way", "one way", "clear", "green", "clear one-way", "thin clear", "longneck"),
        *("einweg leicht", "einweg", "leichte einwegflasche", "klarglas"),
    ),
    "heavy": (
        say("heavy"),
        "belgian",
        "heavy belgian",
        "champagne",
        "sparkling wine",
        "sparkling-wine",
        "dickglas",
        "schwer",
        "sekt",
        "sektflasche",
    ),
    "swing_top": (say("swing-top"), "swing top", "flip-top", "flip top", "swingtop", "bügelflasche", "bügel"),
    "pet": (say("PET"), "pet", "plastic", "pet bottle", "plastic bottle", "plastik", "pet-flasche"),
    "unknown_glass": (
        say("unknown glass"),
        "unknown",
        "glass",
        "mixed",
        "odd",
        "bottle",
        "bottles",
        "glas unbekannter art",
        "unbekanntes glas",
        "unbekannt",
        "glas",
        "gemischt",
    ),
    "wine": (say("wine bottle"), "wine", "weinflasche", "wein"),
    "spirit": (say("spirit bottle"), "spirit", "whisky", "gin", "schnapsflasche", "schnaps"),
    "decorative": (say("decorative"), "square", "thin", "zierflasche", "eckig"),
    "oversize_glass": (
        say("oversize glass"),
        "demijohn",
        "growler",
        "carboy",
        "glas in übergröße",
        "ballon",
        "glasballon",
    ),
    "chipped": (
        say("chipped"),
        "cracked",
        "scratched",
        "angeschlagenes glas",
        "angeschlagen",
        "gesprungen",
        "zerkratzt",
    ),
}


# The order in which kinds are filled: made for beer first, plastic after glass that is, the weakest last.
_FILL_ORDER = ("returnable_500", "returnable_330", "heavy", "swing_top", "pet", "one_way", "unknown_glass")


def words_to_keys(shelf: Shelf) -> dict[str, str]:
    """Words in small letters -> key of the bottle table, or the name of a kind kept on the shelf."""
    # As they are typed, whatever the reader's language: what is told of this table has to be understood again.
    table = {str.lower(name): key for key, names in NAMES.items() for name in names}
    for kind in glass.BOTTLES.values():
        table |= {kind.key: kind.key, kind.key.replace("_", " "): kind.key, str.lower(kind.label): kind.key}
    table |= {kept.name.lower(): kept.name for kept in shelf.bottles.values()}
    return table


@dataclass(frozen=True, slots=True)
class Bottle:
    """Bottles of one kind and size, with the pressure they are fit for."""

    name: str
    kind: glass.BottleKind
    size: Quantity
    count: int
    washes: int
    limit_bar: Span

    @property
    def size_l(self) -> float:
        """Beer in one of them [L]."""
        return self.size.to("L", "volume")

    @property
    def words(self) -> str:
        """Size and kind as a brewer reads them."""
        return say("{size} {kind}", size=self.size, kind=self.name)

    @property
    def never(self) -> bool:
        """Whether it must never hold refermenting beer: its kind, or glass too large."""
        return self.kind.never or not bool(glass.size_is_fit(self.kind.key, self.size_l))

    def warmest_c(self, average: float, worst: float) -> float:
        """The warmest place in which the beer keeps within what the bottle is fit for; minus infinity for none.

        The trade's ladder speaks of the gas that is planned: the average bottle is held to its cautious end. The
        worst bottle is held to its boldest, less what washing took; glass is never held to more than the
        one published ceiling.
        """
        if self.never:
            return float("-inf")
        # Cautious limits with the middling solubility: caution is not stacked upon caution.
        volumes, limits = self._held_to(average, worst)
        found = float(np.min(bottle_limits.warmest_temp_c(volumes, limits, HEADSPACE).best))
        return found if self.kind.glass else min(found, PLASTIC_WARMEST_C)

    def _held_to(self, average: float, worst: float) -> tuple[list[float], list[float]]:
        """The gas of the average and of the worst bottle, and the pressure that each is held to."""
        volumes = [min(max(gas, 0.1), 12.0) for gas in (average, worst)]
        return volumes, [self.limit_bar.low, self.limit_bar.high]

    def most_volumes(self, temp_c: float) -> Span:
        """The gas that it is fit for at a temperature: cautious, middling and boldest habit [vol]."""
        if self.never:
            return Span(0.0, 0.0, 0.0)
        found = bottle_limits.most_volumes(np.asarray(self.limit_bar), min(max(temp_c, 0.0), 50.0), HEADSPACE)
        low, best, high = (float(each) for each in found.best)
        return Span(low, best, high)

    def may_burst(self, average: float, temp_c: float) -> bool:
        """Whether the average bottle, not only the worst, holds more at a temperature than the boldest habit grants."""
        if self.never:
            return True
        return pressure_bar(average, temp_c).best > self.limit_bar.high

    def fit_words(self, average: float, worst: float, store_c: float) -> str:
        """Whether it is fit for so much gas in so warm a store: fit, fit if kept below some °C, not fit, or never."""
        if self.never:
            return say("never")
        volumes, limits = self._held_to(average, worst)
        here = carbonation.gauge_pressure_bar(volumes, min(max(store_c, 0.0), 50.0), HEADSPACE)
        softens = not self.kind.glass and store_c > PLASTIC_WARMEST_C
        if bool(np.all(here <= limits)) and not softens:
            return say("fit")
        warmest = self.warmest_c(average, worst)
        if warmest >= 12.0:
            return say("fit if kept below {warmest}", warmest=say_amount(int(warmest), 0, "°C"))
        return say("not fit")


def bottle_of(name: str, size: Quantity, count: int, shelf: Shelf) -> Bottle:
    """A kind as it was written, with its limit; an unknown word counts as glass of unknown make."""
    kept = shelf.bottles.get(name)
    key = kept.kind if kept is not None else name
    if key not in glass.BOTTLES:
        key = words_to_keys(shelf).get(key.lower(), UNKNOWN)
    litres = size.to("L", "volume")
    if key == "returnable_500" and litres < 0.4:
        key = "returnable_330"
    kind = glass.BOTTLES[key]
    washes = kept.washes if kept is not None and kept.washes else 0
    found = glass.pressure_limit_bar(key, min(washes, 200))
    label = name if kept is not None else NAMES[key][0]
    return Bottle(label, kind, size, count, washes, Span(float(found.low), float(found.best), float(found.high)))


def bottles_of(lots: tuple[ev.BottleLot, ...], shelf: Shelf) -> tuple[Bottle, ...]:
    """The kinds of some lots."""
    return tuple(bottle_of(lot.bottle, lot.size, lot.count, shelf) for lot in lots)


def owned(shelf: Shelf) -> tuple[Bottle, ...]:
    """Every kind kept on the shelf in the order of filling; those that must never be filled left out."""
    found = [bottle_of(kept.name, kept.size, kept.count, shelf) for kept in shelf.bottles.values()]
    return tuple(sorted((b for b in found if not b.never), key=lambda b: (_FILL_ORDER.index(b.kind.key), b.name)))


def weakest(bottles: tuple[Bottle, ...]) -> Bottle:
    """The one fit for the least pressure; glass of unknown make where no bottles are known."""
    if not bottles:
        return bottle_of(UNKNOWN, Quantity("500", "mL"), 0, Shelf())
    return min(bottles, key=lambda bottle: (not bottle.never, bottle.limit_bar.low))


def pressure_bar(volumes: float, temp_c: float, ambient_bar: float | None = None) -> Span:
    """Gauge pressure of so much gas at a temperature, with what solubility leaves open."""
    outside = {} if ambient_bar is None else {"ambient_bar": ambient_bar}
    found = carbonation.gauge_pressure_interval_bar(
        min(max(volumes, 0.1), 12.0), min(max(temp_c, 0.0), 50.0), HEADSPACE, **outside
    )
    return Span(float(found.low), float(found.best), float(found.high))


def limit_words(bottle: Bottle) -> str:
    """The pressure that a kind is held to, in words with its spread."""
    if bottle.never:
        return say("no pressure at all")
    low, high = say_amount(bottle.limit_bar.low, 1, "bar"), bare_bar(bottle.limit_bar.high)
    return say("{low} by the cautious, {high} by the boldest habit", low=low, high=high)


def bare_bar(pressure: float) -> str:
    """A pressure beside another one with its unit [bar]: the number alone, but with the unit where it is another."""
    return say_amount(pressure, 1, "bar").removesuffix(" bar")
