"""Figures and moments in the brewer's own units and time zone, as words for page, print and command line."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from zoneinfo import ZoneInfo

from gylebook.journal.events import SettingsKept
from gylebook.phrases import joined, say
from gylebook.steps.answers import Figure, MomentFigure
from gylebook.steps.moments import date_words
from gylebook.units import convert, show, unit_named, units_of

# Units that belong together: a figure given in one of a family stays as it is for a brewer who reads that family.
# Each with the amount in the base unit from which it is the handy one, largest first. Bottles and what a pint would
# hold are fluid ounces in the United States.
_NEVER = 1e9
FAMILIES: dict[str, tuple[tuple[tuple[str, float], ...], ...]] = {
    "mass": ((("kg", 1000.0), ("g", 0.1), ("mg", 0.0)), (("lb", 453.59237), ("oz", 0.0))),
    "volume": (
        (("L", 0.9), ("mL", 0.0)),
        (("imp gal", 4.54609), ("imp pt", 0.28), ("imp fl oz", 0.0)),
        (("US gal", 3.785411784), ("US qt", 0.9), ("US pt", _NEVER), ("US fl oz", 0.0)),
    ),
    "pressure": ((("bar", 0.0), ("kPa", 0.0)), (("psi", 0.0),)),
}


@dataclass(frozen=True, slots=True)
class Words:
    """A figure in words: the value, and its interval where it has one ("± 0.0008", "1.010 to 1.014").

    `half` are the ends of the middle half, "" where they are not known.
    """

    value: str
    interval: str = ""
    half: str = ""

    def __str__(self) -> str:
        return say("{value} ({interval})", value=self.value, interval=self.interval) if self.interval else self.value


@dataclass(frozen=True, slots=True)
class Measures:
    """The units and the zone that one brewer reads, and the year that goes without saying (0 leaves every year out)."""

    mass: str = "g"
    volume: str = "L"
    temperature: str = "°C"
    pressure: str = "bar"
    co2: str = "vol"
    zone: tzinfo = UTC
    this_year: int = 0

    @classmethod
    def of(cls, settings: SettingsKept, zone: tzinfo) -> Measures:
        """From the shelf's settings; what is not set there keeps its usual unit, and `zone` where none is set."""
        plain = cls()
        return cls(
            mass=settings.mass or plain.mass,
            volume=settings.volume or plain.volume,
            temperature=settings.temperature or plain.temperature,
            pressure=settings.pressure or plain.pressure,
            co2=settings.co2 or plain.co2,
            zone=ZoneInfo(settings.time_zone) if settings.time_zone else zone,
        )

    def figure(self, figure: Figure | MomentFigure) -> Words:
        """A figure with its interval."""
        if isinstance(figure, MomentFigure):
            return self.moment_figure(figure)
        if figure.words:
            return Words(figure.words)
        unit = self.unit_for(figure.value, figure.unit, figure.dimension)
        numbers = (figure.value, figure.low, figure.high, *(figure.half or ()))
        if unit == figure.unit:
            (value, low, high, *half), digits = numbers, figure.digits
        else:
            value, low, high, *half = (convert(number, figure.unit, unit, figure.dimension) for number in numbers)
            digits = digits_in(unit, figure.unit, figure.dimension, figure.digits)
        if not math.isfinite(value):
            return Words(show(value, digits))
        digits += _hides_its_width(low, high, digits, figure.dimension)
        shown = show(value, digits)
        # A specific gravity is known by its look; its unit would only be in the way.
        shown = shown if unit in ("SG", "") else say("{shown} {unit}", shown=shown, unit=_UNIT_WORDS.get(unit, unit))
        interval = _interval(value, low, high, digits)
        if not half:
            return Words(shown, interval)
        # Beside the middle half, "±" would be read as one of a pair of signs.
        return Words(shown, _ends(low, high, digits) if interval else "", _ends(half[0], half[1], digits))

    def unit_for(self, value: float, unit: str, dimension: str) -> str:
        """The unit in which this brewer reads a value given in `unit`."""
        wanted = str(getattr(self, dimension, unit)) if dimension in _WANTED else unit
        if wanted == unit:
            return unit
        for family in FAMILIES.get(dimension, ()):
            symbols = [symbol for symbol, _ in family]
            if wanted not in symbols:
                continue
            if unit in symbols:
                return unit
            base = abs(convert(value, unit, units_of(dimension)[0].symbol, dimension))
            fine, smallest = TOO_FINE.get(dimension, ("", 0.0))
            if base < smallest and family is not FAMILIES[dimension][0]:
                return fine
            return next((symbol for symbol, from_base in family if base >= from_base), wanted)
        return wanted

    def moment_figure(self, figure: MomentFigure) -> Words:
        """A reckoned time; to the hour only where it is known to within a day and a half."""
        fine = figure.high - figure.low <= timedelta(hours=36)
        if not fine:
            value, low, high, *half = (
                self.day(at) for at in (figure.value, figure.low, figure.high, *(figure.half or ()))
            )
            return Words(
                value,
                say("{low} to {high}", low=low, high=high) if low != high else "",
                joined(say(" to "), dict.fromkeys(half)),
            )
        low, high = self.moment(figure.low), self.moment(figure.high)
        if self.day(figure.low) == self.day(figure.high):
            high = self.clock(figure.high)
        middle = joined(say(" to "), dict.fromkeys(self.moment(at) for at in figure.half or ()))
        return Words(
            self.moment(figure.value),
            say("{low} to {high}", low=low, high=high) if figure.low != figure.high else "",
            middle,
        )

    def day(self, at: datetime) -> str:
        """As “Tue 3 Nov” in the brewer's zone; with its year where that is another than this one."""
        local = at.astimezone(self.zone)
        return date_words(local.date(), year=bool(self.this_year) and local.year != self.this_year)

    def clock(self, at: datetime) -> str:
        """As “18:30” in the brewer's zone."""
        local = at.astimezone(self.zone)
        return f"{local.hour:02}:{local.minute:02}"

    def moment(self, at: datetime) -> str:
        """As “Tue 3 Nov, 18:30” in the brewer's zone."""
        return say("{day}, {clock}", day=self.day(at), clock=self.clock(at))


# Units that are words, and not the same in every language.
_UNIT_WORDS = {"points": say("points"), "points/day": say("points/day"), "d": say("d"), "% vol": say("% vol")}
# Less than an ounce is told in grams and millilitres to everybody: a tenth of an ounce is too coarse for a sachet of
# yeast, a spoon of sugar or a dose of bleach.
TOO_FINE = {"mass": ("g", 28.349523125), "volume": ("mL", 0.0284130625)}
_WANTED = frozenset({"mass", "volume", "temperature", "pressure", "co2"})


def digits_in(unit: str, given: str, dimension: str, digits: int) -> int:
    """Decimals in `unit` that keep about the fineness of `digits` decimals in `given`."""
    ratio = unit_named(given, dimension).factor / unit_named(unit, dimension).factor
    return max(0, math.ceil(-math.log10(10.0**-digits * ratio) - 0.3))


def _hides_its_width(low: float, high: float, digits: int, dimension: str) -> bool:
    """Whether an interval would be told as “± 0.0” though its ends look unlike: then one more decimal tells it.

    Whole things have no decimals, and past the third one nothing in a brewery is known.
    """
    if not (math.isfinite(low) and math.isfinite(high)) or digits >= 3 or (dimension == "count" and digits == 0):
        return False
    return show(low, digits) != show(high, digits) and float(f"{(high - low) / 2:.{digits}f}") == 0


def _interval(value: float, low: float, high: float, digits: int) -> str:
    """As “± half” where both sides look alike, else "low to high"; empty where there is no width to show."""
    if not all(map(math.isfinite, (value, low, high))):
        return ""
    below, above = show(low, digits), show(high, digits)
    if below == above:
        return ""
    half = show((high - low) / 2, digits)
    alike = show(value - low, digits) == half == show(high - value, digits) and float(half) != 0
    return say("± {half}", half=half) if alike else say("{below} to {above}", below=below, above=above)


def _ends(low: float, high: float, digits: int) -> str:
    """Both ends; empty where they are the same when rounded, or where one is not known."""
    if not (math.isfinite(low) and math.isfinite(high)):
        return ""
    below, above = show(low, digits), show(high, digits)
    return say("{below} to {above}", below=below, above=above) if below != above else ""
