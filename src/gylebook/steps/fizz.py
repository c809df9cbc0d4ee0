"""The carbon dioxide of a bottle: what is dissolved already, what priming gives, what is still to ferment.

Each part is a span in volumes whose ends hold the middle nine tenths. The worst is the worst of all bottles of the
batch, with a larger share of the sugar and less headspace than the others: one batch in twenty has a worse one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import say, say_amount
from gylebook.science import priming
from gylebook.science.interval import Span
from gylebook.steps import volumes, warmth
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.asked import VOLUMES, figure
from gylebook.steps.bottle_age import let_out
from gylebook.steps.bottle_kinds import pressure_bar
from gylebook.steps.bottle_stock import count_for, planned
from gylebook.steps.decision import Setting
from gylebook.steps.gas_parts import (
    NOTHING,
    UNEVEN,
    USUAL_VOL,
    charge_of,
    residual_of,
    sucrose_equivalent_g_per_l,
    sugared,
    together,
    worst_of,
    worst_vol,
)
from gylebook.steps.makeup import grams
from gylebook.steps.opened import Opened, opened_of, vents_of
from gylebook.steps.outlook import Outlook, outlook
from gylebook.steps.outlook_gates import UNTRUSTED
from gylebook.steps.priming_litres import USUAL_BOTTLE_L, primed_in_parts, shared_over
from gylebook.steps.priming_measure import dosed
from gylebook.units import show

if TYPE_CHECKING:
    from gylebook.forecast.gas import Charge, Draws, Later, Vent

_MOST_TO_COME_VOL = 40.0  # all of a very strong wort; beyond it a log holds slips
# What may still come in a beer whose readings lie level: a hydrometer cannot promise less than one point.
DONE = Span(0.0, 0.0, 0.53)
EARLY_VOL = 0.8  # so much still to ferment when bottled is a second dose of sugar
# The priming sugars, and what they may be measured by, as a line of a working has them.
SUGARS = {
    "sucrose": say("sucrose"),
    "glucose_anhydrous": say("glucose anhydrous"),
    "glucose_monohydrate": say("glucose monohydrate"),
    "dried_malt_extract": say("dried malt extract"),
    "honey": say("honey"),
}
_MEASURES = {
    "level teaspoon": say("level teaspoon"),
    "heaped teaspoon": say("heaped teaspoon"),
    "carbonation drop": say("carbonation drop"),
    "jug": say("jug"),
    "syringe": say("syringe"),
    "scale": say("scale"),
}


def span_of(found: Figure) -> Span:
    """A figure's ends and middle."""
    return Span(found.low, found.value, found.high)


@dataclass(frozen=True, slots=True)
class Primed:
    """All priming sugar of a brew: its gas [vol], the dose [g/L of table sugar], and where it was written.

    `litres` is the most beer that any of it was shared over. Beer that was primed `in_parts` counts as its liveliest
    part.
    """

    gas: Span
    dose_g_per_l: float
    uneven: float
    givens: tuple[Given, ...]
    times: int
    litres: float
    in_parts: bool = False


def primed_of(brew: Brew, setting: Setting) -> Primed | None:
    """What priming gives, all entries added up, or of its liveliest part; None where none was written."""
    entries = brew.all(ev.Primed)
    if not entries:
        return None
    parts, doses, givens = [], [], []
    uneven, most_l = 0.0, 0.0
    for kept in entries:
        event = kept.event
        litres, basis = shared_over(brew, setting, kept)
        total = grams(event.mass) * (_bottles_of(event, litres.best) if event.how == "each bottle" else 1.0)
        sugar = _known_sugar(event.sugar)
        dose = dosed(event.measured, sugar, event.how, event.mass, setting.shelf)
        parts.append(dose.of(sugared(total, sugar, litres)))
        doses.append(sucrose_equivalent_g_per_l(total, sugar, litres.best))
        uneven, most_l = max(uneven, dose.uneven), max(most_l, litres.best)
        words = _dose_words(event, sugar, litres.best)
        givens.append(Given(say("priming"), words, basis, say("entry {seq}", seq=kept.seq), kept.seq))
    if primed_in_parts(brew, setting, entries):  # which bottles hold which part is not written
        liveliest = max(parts, key=lambda part: part.best)
        return Primed(liveliest, max(doses), uneven, tuple(givens), len(entries), most_l, in_parts=True)
    return Primed(together(*parts), sum(doses), uneven, tuple(givens), len(entries), most_l)


def _dose_words(event: ev.Primed, sugar: str, litres: float) -> str:
    """One dose in a line: how much of which sugar, by what it was measured, for what, and over how many litres."""
    parts = {"mass": event.mass, "sugar": SUGARS[sugar], "litres": say_amount(litres, 1, "L")}
    each = event.how == "each bottle"
    if not event.measured:
        if each:
            return say("{mass} of {sugar} for each bottle, {litres}", **parts)
        return say("{mass} of {sugar} for the whole batch, {litres}", **parts)
    measure = _MEASURES.get(event.measured, event.measured)
    if each:
        return say("{mass} of {sugar} by {measure} for each bottle, {litres}", measure=measure, **parts)
    return say("{mass} of {sugar} by {measure} for the whole batch, {litres}", measure=measure, **parts)


def _known_sugar(key: str) -> str:
    return key if key in priming.PRIMING_SUGARS else "sucrose"  # an unknown sugar counts as the strongest


def _bottles_of(event: ev.Primed, litres: float) -> float:
    return float(event.bottles) if event.bottles else max(1.0, litres / USUAL_BOTTLE_L)


@dataclass(frozen=True, slots=True)
class Fizz:
    """Everything that becomes pressure, part by part [vol].

    `total` is the average bottle when all of it is made, less what vents have let out; `worst` the
    worst of all its bottles, which one batch in twenty surpasses; as gas of a bottle filled as usual. The parts are as
    they were written; both totals are as the bottles `opened` leave them.
    """

    residual: Span
    priming: Span
    to_come: Span
    total: Span
    worst: float
    warmest: Figure
    outlook: Outlook
    primed: Primed | None
    givens: tuple[Given, ...]
    let_out: float = 0.0
    opened: Opened | None = None
    vents: tuple[Vent, ...] = ()

    def now(self, age_days: float) -> Span:
        """Gas of the average bottle at an age, counted in days as if at 20 °C [vol]; of the budget's own draws."""
        from gylebook.forecast.gas import spread_ends

        return spread_ends(self.draws().average_vol(age_days))

    def draws(self) -> Draws:
        """The batch drawn many times over, as opened bottles leave it."""
        from gylebook.forecast.gas import Draws

        return Draws(charge_of_fizz(self)) if self.opened is None else self.opened.told.draws

    def figure(self, key: str = "co2", label: str = say("Carbon dioxide in the bottle")) -> Figure:
        """The total of the average bottle with its interval."""
        return figure(key, label, self.total.best, VOLUMES, self.working(), low=self.total.low, high=self.total.high)

    def pressure(self, temp_c: float, outside_bar: float | None = None) -> Span:
        """Pressure of the average bottle when all the gas is made [bar, gauge], up to the worst bottle."""
        low, middle, high, worst = (
            pressure_bar(gas, temp_c, outside_bar)
            for gas in (self.total.low, self.total.best, self.total.high, self.worst)
        )
        return Span(low.low, middle.best, max(high.high, worst.best))

    def working(self) -> Working:
        """How the total was reached."""
        return Working(
            say("dissolved after fermentation + from priming sugar + still to ferment"),
            self.givens,
            (
                *("draper_hibberd_1996", "co2_stoichiometry", "delange_2011", "error_propagation"),
                *(("common_practice",) if self.opened is not None else ()),
            ),
            (
                say("dissolved {told}", told=_told(self.residual)),
                say("priming {told}", told=_told(self.priming)),
                say("still to ferment {told}", told=_told(self.to_come)),
                *(
                    (say("vents have let out {let_out} vol at the least", let_out=show(self.let_out, 2)),)
                    if self.let_out
                    else ()
                ),
                *(self.opened.steps if self.opened is not None else ()),
                say("the worst bottle of all has up to {worst} vol", worst=show(self.worst, 2)),
            ),
        )


def _told(part: Span) -> str:
    return say("{best} vol ({low} to {high})", best=show(part.best, 2), low=show(part.low, 2), high=show(part.high, 2))


def to_come_of(found: Outlook) -> Span:
    """What is still to ferment [vol]. Level readings make nothing the likeliest; the upper end stays."""
    span = Span(*(min(end, _MOST_TO_COME_VOL) for end in span_of(found.co2_to_come)))
    if found.finished is True and found.hop_points == 0 and span.low < 0.05:
        return Span(0.0, 0.0, span.high)
    return span


def warmest_of(brew: Brew, setting: Setting, found: Outlook) -> Figure:
    """The warmest of the beer since it came to its end, which tells the gas still dissolved, key "warmest"."""
    return warmth.warmest_since_end_c(brew, setting.shelf, found.level_since)


def fizz_of(brew: Brew, setting: Setting) -> Fizz:
    """The gas of a brew as it is written, primed or not, bottled or not, and as its opened bottles leave it."""
    found = outlook(brew, setting)
    warmest = warmest_of(brew, setting, found)
    primed = primed_of(brew, setting)
    residual, to_come = residual_of(span_of(warmest)), to_come_of(found)
    sugar = primed.gas if primed else NOTHING
    uneven = primed.uneven if primed else 0.0
    givens = (
        Given(say("warmest since the end"), warmest.text(), Basis.RECKONED, say("the log")),
        *(
            primed.givens
            if primed
            else (Given(say("priming"), say("not written"), Basis.ASSUMED, say("taken as none")),)
        ),
        Given(say("still to ferment"), found.co2_to_come.text(), Basis.RECKONED, say("the outlook")),
    )
    total = together(residual, sugar, to_come)
    lost = let_out(brew, setting.shelf, residual.best, sugar.best + to_come.best)
    vents = vents_of(brew, setting)
    charge = charge_of(residual, sugar, to_come, uneven, vents=vents, later=later_of(found))
    fell = "below_possible" in found.lacking
    opened = opened_of(brew, setting, charge, fell=fell)
    count = filled_bottles(brew) or planned_bottles(brew, setting)
    average = Span(*(max(0.0, end - lost) for end in total))
    worst = worst_vol(charge, count, opened.told.draws if opened is not None else None)
    if opened is not None:
        average, givens = opened.average, (*givens, *opened.givens)
    return Fizz(
        residual,
        sugar,
        to_come,
        average,
        worst,
        warmest,
        found,
        primed,
        givens,
        lost,
        opened,
        vents,
    )


def later_of(found: Outlook) -> Later | None:
    """What the forecast leaves open, all of its courses weighed; None where no sum is to be trusted."""
    if found.forecast is None or UNTRUSTED & set(found.lacking):
        return None
    from gylebook.forecast.constants import CO2_G_PER_L_PER_SG
    from gylebook.forecast.gas import later_of_mixture

    return later_of_mixture(*found.forecast.left_sg, found.forecast.weight, CO2_G_PER_L_PER_SG)


def later_when_done(found: Outlook) -> Later | None:
    """The same for beer that will not be bottled before it is done: what is left open of finished beer, else None."""
    return later_of(found) if found.finished is True else None


def charge_of_fizz(gas: Fizz) -> Charge:
    """What a budget draws from, of the gas as it is written."""
    uneven = gas.primed.uneven if gas.primed else 0.0
    return charge_of(gas.residual, gas.priming, gas.to_come, uneven, vents=gas.vents, later=later_of(gas.outlook))


def filled_bottles(brew: Brew) -> int:
    """How many bottles were filled; none where none is written."""
    return sum(lot.count for kept in brew.all(ev.Bottled) for lot in kept.event.lots)


def planned_bottles(brew: Brew, setting: Setting) -> int:
    """How many bottles the beer there is would fill, from those on the shelf; half litres where none are kept."""
    litres = volumes.in_vessel_l(brew, setting.shelf).value
    return count_for(litres, planned(litres, setting.shelf))


def wanted_vol(brew: Brew) -> float | None:
    """The fizz that was planned [vol]; None where none was."""
    planned = brew.plan.co2_wanted
    return planned.to("vol", "co2") if planned is not None else None


def intended_of(brew: Brew, setting: Setting) -> Fizz:
    """The gas of a brew that is not primed yet, as it will be: finished, and primed to the fizz that is wanted.

    The worst is of as many bottles as the beer would fill.
    """
    found = outlook(brew, setting)
    warmest = warmest_of(brew, setting, found)
    residual = residual_of(span_of(warmest))
    to_come = to_come_of(found) if found.finished is True else DONE
    wanted = wanted_vol(brew)
    target = USUAL_VOL if wanted is None else wanted
    sugar = max(0.0, target - residual.best - to_come.best)
    gas = Span(0.97 * sugar, sugar, 1.03 * sugar)
    basis, where = (Basis.ASSUMED, say("an ordinary ale")) if wanted is None else (Basis.ASKED, say("the plan"))
    givens = (Given(say("fizz wanted"), say("{target} vol", target=show(target, 1)), basis, where),)
    total = together(residual, gas, to_come)
    count = planned_bottles(brew, setting)
    worst = worst_of(residual, gas, to_come, UNEVEN["whole batch"], count, later=later_when_done(found))
    return Fizz(residual, gas, to_come, total, worst, warmest, found, None, givens)
