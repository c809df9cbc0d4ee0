"""Measuring the dose at the bench: what the scale's step is worth, teaspoons for want of a scale, syrup by the mL."""

from __future__ import annotations

from dataclasses import dataclass

from gylebook.journal.state import Shelf
from gylebook.phrases import say, say_amount, say_range
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
    measure_words,
    one_g,
    scale_step_g,
)
from gylebook.units import Quantity, show

_SPOONS = Shown(say("teaspoons"), "", 2)
_ML_1 = Shown("mL", "volume", 1)
_TENTHS = Shown("%", "share", 1)
_SYRUP_ML_PER_L = 20.0  # 10 mL in a half litre: a common syringe, and thin enough for every sugar to stay dissolved
_SYRINGE_ML = 0.2
_SOURCES = ("common_practice", "mass_balance")
_BETTER = say("A scale is better by far.")
_WORST, _BY_SPOON = say("by how beer holds gas"), say("lightest and heaviest spoon")


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
        sugar, bottle = sugar_words(self.given.sugar), say("each {size} bottle", size=say_amount(size * 1000, 0, "mL"))
        one, each = one_g(self.measured, self.given.sugar), each_g(self.base, all_of_it, size)
        if one is not None:
            return say(
                "About {each} × {measured} of {sugar} into {bottle}",
                each=show(each / one.best, 1),
                measured=measure_words(self.measured),
                sugar=sugar,
                bottle=bottle,
            )
        if self.measured == SYRINGE:
            whole, ml = _SYRUP_ML_PER_L * self.base.litres.best, _SYRUP_ML_PER_L * size
            return say(
                "{all_of_it} of {sugar} made up to {whole}, {ml} into {bottle}",
                all_of_it=say_amount(all_of_it, 0, "g"),
                sugar=sugar,
                whole=say_amount(whole, 0, "mL"),
                ml=say_amount(ml, 1, "mL"),
                bottle=bottle,
            )
        if self.how == "each bottle":
            return say(
                "Weigh {each} of {sugar} into {bottle}", each=say_amount(each, 1, "g"), sugar=sugar, bottle=bottle
            )
        return say("Weigh {all_of_it} of {sugar}", all_of_it=say_amount(all_of_it, 0, "g"), sugar=sugar)

    def findings(self) -> tuple[Finding, ...]:
        """What is to be said of the way the dose is measured."""
        if self.given.grams <= 0:
            return ()
        if self.measured in SPOONS and self.spoon:
            holds = one_g(self.spoon, self.given.sugar)
            assert holds is not None
            spooned, weighed = (pressure_bar(worst, self.store_c).best for worst in self._worst())
            worst = say(
                "{spooned} at {store}, {weighed} with a weighed syrup",
                spooned=say_amount(spooned, 1, "bar"),
                store=say_amount(self.store_c, 0, "°C"),
                weighed=say_amount(weighed, 1, "bar"),
            )
            span = say_range(holds.low, holds.high, 1, "g")
            text = say(
                "A {spoon} holds {span}, and no two are alike: the worst bottle could reach {worst}. {better}",
                spoon=measure_words(self.spoon),
                span=span,
                worst=worst,
                better=_BETTER,
            )
            return (Finding(Urgency.NOTHING, text, say("Can a scale be borrowed?"), key="by_spoon"),)
        if self.how == "each bottle" and self.measured in {"", SCALE}:
            return coarse(each_g(self.base, self.given.grams, self.sizes_l[0]), self.shelf)
        return ()

    def _scale(self) -> list[Figure]:
        """Half a step of the scale, as a part of all the sugar and of one bottle's."""
        kept = scale_step_g(self.shelf)
        step = USUAL_STEP_G if kept is None else kept
        told = Given(say("scale's step"), say_amount(step, None, "g"), Basis.ASSUMED, say("a kitchen scale"))
        if kept is not None:
            told = Given(
                say("scale's step"), say_amount(step, None, "g"), Basis.MEASURED, say("the scale on the shelf")
            )
        one, size, found = each_g(self.base, self.given.grams, self.sizes_l[0]), self.sizes_l[0], []
        for key, name, grams in (
            ("scale_batch", say("all the sugar"), self.given.grams),
            ("scale_bottle", say("each {size} bottle", size=say_amount(size * 1000, 0, "mL")), one),
        ):
            off = 50.0 * step / grams
            working = Working(
                say("half a step of the scale ÷ the grams"),
                (told, *self.base.givens),
                _SOURCES,
                (
                    say(
                        "{step} ÷ {grams} is {off} %",
                        step=say_amount(step / 2, 2, "g"),
                        grams=say_amount(grams, 1, "g"),
                        off=show(off, 1),
                    ),
                ),
                (say("Prime the whole batch, or dose a syrup by the mL."),) if off > 100 * COARSE else (),
            )
            shown = PER_CENT if off >= 1 else _TENTHS
            words, label = (
                say("± {off} %", off=show(off, shown.digits)),
                say("A scale of {step}, on {name}", step=say_amount(step, None, "g"), name=name),
            )
            found.append(figure(key, label, off, shown, working, low=0.0, interval=say("at the most"), words=words))
        return found

    def _syrup(self) -> list[Figure]:
        """A syrup of known volume, and its millilitres for a bottle."""
        litres = self.base.litres
        whole = _SYRUP_ML_PER_L * litres.best
        strength = say("{grams} of sugar in each mL", grams=say_amount(self.given.grams / whole, 2, "g"))
        working = Working(
            say("all the sugar, with boiled water made up to 20 mL for each litre of beer; × the bottle's litres"),
            self.base.givens,
            _SOURCES,
            (
                say(
                    "{grams} ÷ {whole} is {strength}",
                    grams=say_amount(self.given.grams, 1, "g"),
                    whole=say_amount(whole, 0, "mL"),
                    strength=strength,
                ),
            ),
            (say("The syrup goes into the bottles or into the bucket, never into both."),),
        )
        words = say("{whole} ({strength})", whole=say_amount(whole, 0, "mL"), strength=strength)
        low, high = (_SYRUP_ML_PER_L * end for end in (litres.low, litres.high))
        label = say("Syrup to dose by syringe")
        found = [figure("dosing", label, whole, MILLILITRES, working, low=low, high=high, words=words)]
        for size in self.sizes_l:
            label, each = (
                say("Of that syrup in each {size} bottle", size=say_amount(size * 1000, 0, "mL")),
                _SYRUP_ML_PER_L * size,
            )
            key, how = f"dosing_{size * 1000:.0f}", say("as a syringe is read")
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
                say("grams ÷ what a {spoon} holds; a scale is better by far", spoon=measure_words(self.spoon)),
                self.base.givens,
                ("common_practice",),
                (
                    say(
                        "{grams} ÷ {holds} ({between})",
                        grams=say_amount(grams, 1, "g"),
                        holds=say_amount(one.best, 1, "g"),
                        between=say_range(one.low, one.high, 1, "g"),
                    ),
                ),
            )
            key, label = (
                f"spoons_{size * 1000:.0f}",
                _spoons_in(self.spoon, size),
            )
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
            say("the worst of all bottles, each with its own spoonful and all of them from one spoon"),
            self.base.givens,
            ("error_propagation", "co2_mass_balance", "common_practice"),
            (
                say(
                    "by {spoon} up to {spooned} vol, {pressure}",
                    spoon=measure_words(self.spoon),
                    spooned=show(spooned, 2),
                    pressure=say_amount(warm.best, 1, "bar"),
                ),
                say(
                    "weighed for the batch up to {weighed} vol, {pressure}",
                    weighed=show(weighed, 2),
                    pressure=say_amount(beside.best, 1, "bar"),
                ),
            ),
            (_BETTER,),
        )
        label = say(
            "By {spoon}: the worst bottle at {store}",
            spoon=measure_words(self.spoon),
            store=say_amount(self.store_c, 0, "°C"),
        )
        return figure("spoon_worst", label, warm.best, BAR, working, low=warm.low, high=warm.high, interval=_WORST)


def _spoons_in(spoon: str, size_l: float) -> str:
    size = say_amount(size_l * 1000, 0, "mL")
    return (
        say("Level teaspoons in {size}", size=size) if spoon == LEVEL else say("Heaped teaspoons in {size}", size=size)
    )


def coarse(one: float, shelf: Shelf) -> tuple[Finding, ...]:
    """That the scale's step is too coarse to weigh so few grams for each bottle; empty where it is not."""
    kept = scale_step_g(shelf)
    step = USUAL_STEP_G if kept is None else kept
    if one <= 0 or step / 2 / one <= COARSE:
        return ()
    text = say(
        "A scale of {step} tells {one} only to ± {off} %: prime the whole batch, or dose a syrup by the mL.",
        step=say_amount(step, None, "g"),
        one=say_amount(one, 1, "g"),
        off=show(50 * step / one, 0),
    )
    return (Finding(Urgency.NOTHING, text, say("Does the scale show tenths?"), key="coarse_scale"),)
