"""Measuring the dose at the bench: what the scale's step is worth, teaspoons for want of a scale, syrup by the mL."""

from __future__ import annotations

from dataclasses import dataclass

from gylebook.journal.state import Shelf
from gylebook.science import priming
from gylebook.steps.answers import Basis, Figure, Finding, Given, Urgency, Working
from gylebook.steps.asked import BAR, MILLILITRES, PER_CENT, Shown, figure
from gylebook.steps.bottle_kinds import pressure_bar
from gylebook.steps.priming_dose import Base, Outcome, outcome, sugar_words
from gylebook.steps.priming_measure import (
    COARSE,
    LEVEL,
    SCALE,
    SPOONS,
    SYRINGE,
    USUAL_STEP_G,
    dosed,
    has_scale,
    one_g,
    scale_step_g,
)
from gylebook.units import Quantity, show

_SPOONS = Shown("teaspoons", "", 2)
_ML_1 = Shown("mL", "volume", 1)
_TENTHS = Shown("%", "share", 1)
_SYRUP_ML_PER_L = 20.0  # 10 mL in a half litre: a common syringe, and thin enough for every sugar to stay dissolved
_SYRINGE_ML = 0.2
_SOURCES = ("common_practice", "mass_balance")
_BETTER = "A scale is better by far."
_WORST, _BY_SPOON = "by how beer holds gas", "lightest and heaviest spoon"


def each_g(base: Base, grams: float, size_l: float) -> float:
    """The share of one bottle of that size [g]."""
    return float(priming.dose_per_bottle_g(grams, max(base.litres.best, size_l), size_l))


@dataclass(frozen=True, slots=True)
class Bench:
    """A dose about to be measured: what it gives, into bottles of which sizes, how, and what is on the shelf."""

    base: Base
    given: Outcome
    sizes_l: tuple[float, ...]
    shelf: Shelf
    store_c: float
    how: str
    measured: str

    @property
    def spoon(self) -> str:
        """The spoon that is asked for; a level one for want of a scale, "" where neither, or where none is known."""
        spoon = self.measured if self.measured in SPOONS else "" if has_scale(self.shelf) else LEVEL
        return spoon if one_g(spoon, self.given.sugar) is not None else ""

    def figures(self) -> tuple[Figure, ...]:
        """What the scale's step is worth, syrup by the mL, and teaspoons."""
        if self.given.grams <= 0:
            return ()
        spoons = (*self._spoons(), self._worst_by_spoon()) if self.spoon else ()
        return (*self._scale(), *self._syrup(), *spoons)

    def words(self) -> str:
        """What to measure into each bottle, or weigh for all of it; without a full stop."""
        size, all_of_it = self.sizes_l[0], self.given.grams
        sugar, bottle = sugar_words(self.given.sugar), f"each {size * 1000:.0f} mL bottle"
        one, each = one_g(self.measured, self.given.sugar), each_g(self.base, all_of_it, size)
        if one is not None:
            return f"About {show(each / one.best, 1)} × {self.measured} of {sugar} into {bottle}"
        if self.measured == SYRINGE:
            whole, ml = _SYRUP_ML_PER_L * self.base.litres.best, _SYRUP_ML_PER_L * size
            return f"{show(all_of_it, 0)} g of {sugar} made up to {show(whole, 0)} mL, {show(ml, 1)} mL into {bottle}"
        if self.how == "each bottle":
            return f"Weigh {show(each, 1)} g of {sugar} into {bottle}"
        return f"Weigh {show(all_of_it, 0)} g of {sugar}"

    def findings(self) -> tuple[Finding, ...]:
        """What is to be said of the way the dose is measured."""
        if self.given.grams <= 0:
            return ()
        if self.measured in SPOONS and self.spoon:
            holds = one_g(self.spoon, self.given.sugar)
            assert holds is not None
            spooned, weighed = (pressure_bar(worst, self.store_c).best for worst in self._worst())
            worst = f"{show(spooned, 1)} bar at {show(self.store_c, 0)} °C, {show(weighed, 1)} with a weighed syrup"
            span = f"{show(holds.low, 1)} to {show(holds.high, 1)} g"
            text = f"A {self.spoon} holds {span}, and no two are alike: the worst bottle could reach {worst}. {_BETTER}"
            return (Finding(Urgency.NOTHING, text, "Can a scale be borrowed?", key="by_spoon"),)
        if self.how == "each bottle" and self.measured in {"", SCALE}:
            return coarse(each_g(self.base, self.given.grams, self.sizes_l[0]), self.shelf)
        return ()

    def _scale(self) -> list[Figure]:
        """Half a step of the scale, as a part of all the sugar and of one bottle's."""
        kept = scale_step_g(self.shelf)
        step = USUAL_STEP_G if kept is None else kept
        told = Given("scale's step", f"{step:g} g", Basis.ASSUMED, "a kitchen scale")
        if kept is not None:
            told = Given("scale's step", f"{step:g} g", Basis.MEASURED, "the scale on the shelf")
        one, size, found = each_g(self.base, self.given.grams, self.sizes_l[0]), self.sizes_l[0], []
        for key, name, grams in (
            ("scale_batch", "all the sugar", self.given.grams),
            ("scale_bottle", f"each {size * 1000:.0f} mL bottle", one),
        ):
            off = 50.0 * step / grams
            working = Working(
                "half a step of the scale ÷ the grams",
                (told, *self.base.givens),
                _SOURCES,
                (f"{show(step / 2, 2)} g ÷ {show(grams, 1)} g is {show(off, 1)} %",),
                ("Prime the whole batch, or dose a syrup by the mL.",) if off > 100 * COARSE else (),
            )
            shown = PER_CENT if off >= 1 else _TENTHS
            words, label = f"± {show(off, shown.digits)} %", f"A scale of {step:g} g, on {name}"
            found.append(figure(key, label, off, shown, working, low=0.0, interval="at the most", words=words))
        return found

    def _syrup(self) -> list[Figure]:
        """A syrup of known volume, and its millilitres for a bottle."""
        litres = self.base.litres
        whole = _SYRUP_ML_PER_L * litres.best
        strength = f"{show(self.given.grams / whole, 2)} g of sugar in each mL"
        working = Working(
            "all the sugar, with boiled water made up to 20 mL for each litre of beer; × the bottle's litres",
            self.base.givens,
            _SOURCES,
            (f"{show(self.given.grams, 1)} g ÷ {show(whole, 0)} mL is {strength}",),
            ("The syrup goes into the bottles or into the bucket, never into both.",),
        )
        words = f"{show(whole, 0)} mL ({strength})"
        low, high = (_SYRUP_ML_PER_L * end for end in (litres.low, litres.high))
        label = "Syrup to dose by syringe"
        found = [figure("dosing", label, whole, MILLILITRES, working, low=low, high=high, words=words)]
        for size in self.sizes_l:
            label, each = f"Of that syrup in each {size * 1000:.0f} mL bottle", _SYRUP_ML_PER_L * size
            key, how = f"dosing_{size * 1000:.0f}", "as a syringe is read"
            found.append(figure(key, label, each, _ML_1, working, spread=_SYRINGE_ML, interval=how))
        return found

    def _spoons(self) -> list[Figure]:
        """Spoons for each size; level ones for the first size are told already."""
        found, one = [], one_g(self.spoon, self.given.sugar)
        assert one is not None
        for place, size in enumerate(self.sizes_l):
            if place == 0 and self.spoon == LEVEL:
                continue
            grams = each_g(self.base, self.given.grams, size)
            working = Working(
                f"grams ÷ what a {self.spoon} holds; a scale is better by far",
                self.base.givens,
                ("common_practice",),
                (f"{show(grams, 1)} g ÷ {show(one.best, 1)} g ({show(one.low, 1)} to {show(one.high, 1)})",),
            )
            key, label = f"spoons_{size * 1000:.0f}", f"{self.spoon.capitalize()}s in {size * 1000:.0f} mL"
            low, best, high = (grams / each for each in reversed(one))
            found.append(figure(key, label, best, _SPOONS, working, low=low, high=high, interval=_BY_SPOON))
        return found

    def _worst(self) -> tuple[float, float]:
        """The worst bottle's gas where each gets its own spoon, and where a weighed syrup goes into the batch [vol]."""
        grams, sugar = self.given.grams, self.given.sugar
        share = Quantity(show(max(each_g(self.base, grams, self.sizes_l[0]), 0.01), 2), "g")
        dose = dosed(self.spoon, sugar, "each bottle", share, self.shelf)
        spooned = outcome(self.base, grams, sugar, "each bottle", dose).worst
        return spooned, outcome(self.base, grams, sugar).worst

    def _worst_by_spoon(self) -> Figure:
        """The worst bottle's pressure where the sugar is spooned into each, beside a syrup weighed for all."""
        spooned, weighed = self._worst()
        warm, beside = pressure_bar(spooned, self.store_c), pressure_bar(weighed, self.store_c)
        working = Working(
            "the worst of all bottles, each with its own spoonful and all of them from one spoon",
            self.base.givens,
            ("error_propagation", "co2_mass_balance", "common_practice"),
            (
                f"by {self.spoon} up to {show(spooned, 2)} vol, {show(warm.best, 1)} bar",
                f"weighed for the batch up to {show(weighed, 2)} vol, {show(beside.best, 1)} bar",
            ),
            (_BETTER,),
        )
        label = f"By {self.spoon}: the worst bottle at {show(self.store_c, 0)} °C"
        return figure("spoon_worst", label, warm.best, BAR, working, low=warm.low, high=warm.high, interval=_WORST)


def coarse(one: float, shelf: Shelf) -> tuple[Finding, ...]:
    """That the scale's step is too coarse to weigh so few grams for each bottle; empty where it is not."""
    kept = scale_step_g(shelf)
    step = USUAL_STEP_G if kept is None else kept
    if one <= 0 or step / 2 / one <= COARSE:
        return ()
    text = (
        f"A scale of {step:g} g tells {show(one, 1)} g only to ± {show(50 * step / one, 0)} %: prime the whole batch, "
        "or dose a syrup by the mL."
    )
    return (Finding(Urgency.NOTHING, text, "Does the scale show tenths?", key="coarse_scale"),)
