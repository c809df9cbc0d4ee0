"""How a dose of sugar was measured: what it may really have been, and how far one bottle's share strays from another's.

A scale is told by its step. Spoons, drops, jugs and syringes are told by the trade's habit: nobody has published how
evenly a brewer fills a teaspoon at the fortieth bottle, so their spread is common practice and meant to be wide.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from gylebook.errors import InputError
from gylebook.journal.state import Shelf
from gylebook.phrases import say, say_range
from gylebook.science import priming
from gylebook.science.interval import Span
from gylebook.steps.asked import NORMAL_90
from gylebook.steps.fields import CHOICE, QUANTITY, Field
from gylebook.steps.gas_parts import UNEVEN
from gylebook.steps.makeup import grams
from gylebook.units import Quantity, show

LEVEL, HEAPED, DROP, JUG, SYRINGE, SCALE = (
    "level teaspoon",
    "heaped teaspoon",
    "carbonation drop",
    "jug",
    "syringe",
    "scale",
)
SPOONS = (LEVEL, HEAPED)
COUNTED = (LEVEL, HEAPED, DROP)  # what is counted where nothing was weighed
BY_BOTTLE = (*COUNTED, SYRINGE)  # what goes into each bottle unless it is said otherwise
USUAL_STEP_G = 1.0  # of a kitchen scale
COARSE = 0.1  # half a step of the scale over the dose from which it should not be weighed so
# Heaped over level: half as much again, to twice. One bottle from another, standard deviation: all common practice.
_HEAPED_OVER_LEVEL = Span(1.4, 1.75, 2.2)
_UNEVEN = {LEVEL: 0.12, HEAPED: 0.25, DROP: 0.04, SYRINGE: 0.04, JUG: 0.15}
_DROP_G = Span(2.5, 3.0, 4.0)  # pressed sugar, by the maker; the packet tells
_OF_VOLUME = Span(0.88, 1.0, 1.12)  # sugar lies looser or closer in a jug
_OF_SYRUP = Span(0.97, 1.0, 1.03)
_AS_WRITTEN = Span(1.0, 1.0, 1.0)

_ONE = {LEVEL: say("level teaspoon"), HEAPED: say("heaped teaspoon"), DROP: say("carbonation drop")}

MEASURED = Field(
    "measured",
    say("Measured by"),
    CHOICE,
    choices=(
        (SCALE, say("a scale")),
        (LEVEL, say("level teaspoons")),
        (HEAPED, say("heaped teaspoons")),
        (DROP, say("carbonation drops")),
        (JUG, say("a jug or cup")),
        (SYRINGE, say("a syrup, by syringe")),
    ),
    hint=say("left out, as if weighed"),
)
MEASURES = Field(
    "measures",
    say("How many spoons or drops"),
    QUANTITY,
    ("number",),
    possible=(0.05, 5000.0),
    hint=say("where nothing was weighed: 0.5 in each bottle"),
)


@dataclass(frozen=True, slots=True)
class Dosed:
    """What a way of measuring leaves open.

    Parameters
    ----------
    mean
        All of the sugar, as a part of what was written: middle nine tenths [1].
    uneven
        Standard deviation of one bottle's share, as a part of the share [1].
    """

    mean: Span
    uneven: float

    def of(self, gas: Span) -> Span:
        """Gas from sugar with what the measuring leaves open added."""
        low = gas.best - sqrt((gas.best - gas.low) ** 2 + (gas.best * (1.0 - self.mean.low)) ** 2)
        high = gas.best + sqrt((gas.high - gas.best) ** 2 + (gas.best * (self.mean.high - 1.0)) ** 2)
        return Span(max(0.0, low), gas.best, high)


def one_g(measured: str, sugar: str) -> Span | None:
    """What one spoon or drop holds [g]; None where it is not known."""
    if measured == DROP:
        return _DROP_G if sugar in {"sucrose", "glucose_anhydrous", "glucose_monohydrate"} else None
    known = priming.PRIMING_SUGARS[sugar].level_teaspoon_g if sugar in priming.PRIMING_SUGARS else None
    if known is None or measured not in SPOONS:
        return None
    if measured == LEVEL:
        return known
    times = _HEAPED_OVER_LEVEL
    return Span(known.low * times.low, known.best * times.best, known.high * times.high)


def measure_words(measured: str) -> str:
    """One spoon or drop as a brewer reads it; other ways of measuring as they are written."""
    return _ONE.get(measured, measured)


def scale_step_g(shelf: Shelf) -> float | None:
    """The finest step of the scales on the shelf [g]; None where none tells."""
    steps = [kept.step for kept in shelf.instruments.values() if kept.what == "scale" and kept.step is not None]
    return min(map(grams, steps)) if steps else None


def has_scale(shelf: Shelf) -> bool:
    """Whether a scale is kept on the shelf."""
    return any(kept.what == "scale" for kept in shelf.instruments.values())


def dosed(measured: str, sugar: str, how: str, mass: Quantity, shelf: Shelf) -> Dosed:
    """What measuring so much, of the whole batch or for each bottle, leaves open.

    A scale's step is that of the one on the shelf, else the last figure that was written: 3 g may be 2.5 to 3.5.
    """
    by_stirring = UNEVEN[how]
    each = how == "each bottle"
    if measured in _UNEVEN:
        one = one_g(measured, sugar)
        mean = _AS_WRITTEN
        if one is not None:
            mean = Span(one.low / one.best, 1.0, one.high / one.best)
        elif measured in (*SPOONS, JUG):  # a spoon of a sugar that was never weighed is no better than a jug
            mean = _OF_VOLUME
        elif measured == SYRINGE:
            mean = _OF_SYRUP
        return Dosed(mean, _UNEVEN[measured] if each else by_stirring)
    kept = scale_step_g(shelf)
    step = grams(Quantity(_one_of_last(mass), mass.unit)) if kept is None else kept
    off = step / sqrt(12.0) / max(grams(mass), 0.01)
    if each:
        return Dosed(_AS_WRITTEN, max(by_stirring, min(off, 0.5)))
    wide = min(NORMAL_90 * off, 0.9)
    return Dosed(Span(1.0 - wide, 1.0, 1.0 + wide), by_stirring)


def _one_of_last(mass: Quantity) -> str:
    """One of the last figure that was written."""
    places = len(mass.text.replace(",", ".").partition(".")[2])
    return f"{10.0**-places:.{places}f}"


def mass_of(mass: Quantity | None, measured: str, measures: Quantity | None, sugar: str) -> Quantity | None:
    """The grams of an entry: as weighed, else what so many spoons or drops usually hold; None where nothing tells.

    Raises
    ------
    InputError
        When spoons are counted that nothing is known of, or do not go together with the grams.
    """
    if measures is None:
        return mass
    if measured not in COUNTED:
        raise InputError(
            MEASURES.label,
            say("{measures} of what was not said", measures=measures),
            say("choose teaspoons or drops under “{label}”", label=MEASURED.label),
        )
    one = one_g(measured, sugar)
    if one is None:
        if mass is not None:
            return mass
        words = sugar.replace("_", " ")
        raise InputError(
            MEASURES.label,
            say("what a {measured} of {words} holds is not known", measured=measure_words(measured), words=words),
            say("weigh it, and write the grams"),
        )
    number = measures.number()
    if mass is None:
        return Quantity(show(number * one.best, 2), "g")
    low, high = number * one.low, number * one.high
    if not 0.95 * low <= grams(mass) <= 1.05 * high:
        raise InputError(
            MEASURES.label,
            say(
                "{measures} × {measured} hold {range}, not {mass}",
                measures=measures,
                measured=measure_words(measured),
                range=say_range(low, high, 1, "g"),
                mass=mass,
            ),
            say("correct one of the two, or leave the grams empty"),
        )
    return mass
