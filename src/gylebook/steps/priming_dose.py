"""The sum behind priming: a dose for a wish, what a dose gives, and the rails it must not leave."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isfinite
from typing import TYPE_CHECKING

from gylebook.phrases import capital, say, say_amount
from gylebook.science import priming
from gylebook.science.interval import Span
from gylebook.science.materials import MATERIALS
from gylebook.steps.answers import Figure, Finding, Given, Option, Urgency, Working
from gylebook.steps.asked import BAR, G_PER_L, GRAMS, GRAMS_1, VOLUMES, Shown, figure
from gylebook.steps.bottle_kinds import UNKNOWN, Bottle, limit_words, pressure_bar, weakest
from gylebook.steps.gas_parts import (
    NOTHING,
    UNEVEN,
    USUAL_BOTTLES,
    sucrose_equivalent_g_per_l,
    sugared,
    together,
    worst_of,
)
from gylebook.units import show

if TYPE_CHECKING:
    from gylebook.forecast.gas import Later
    from gylebook.steps.priming_measure import Dosed

MOST_UNKNOWN_GLASS_VOL = 4.0
MOST_SUGAR_G_PER_L = 10.0
LEAST_SUGAR_G_PER_L = 3.0
NEARLY_FLAT_VOL = 1.8
MOST_PRESSURE_BAR = 4.7
VOLUME_SLIP_L = 0.5

CAUTIONS = (
    say("Weigh the sugar. Never sugar the batch and the bottles too."),
    say("Boil it for a few minutes in a little water; let the syrup cool."),
    say("Syrup first, the beer quietly on top of it; stir gently, and again every 8 to 10 bottles."),
)


def sugar_words(key: str) -> str:
    """A priming sugar as a brewer reads it."""
    return MATERIALS[key].label


SUGAR_CHOICES = tuple((key, sugar_words(key)) for key in priming.PRIMING_SUGARS)


@dataclass(frozen=True, slots=True)
class Base:
    """What a dose starts from: litres, gas dissolved, gas still to come [vol], and where each came from.

    `later` is what the forecast leaves open, where it is known; `bottles` how many are filled, for the worst of them.
    """

    litres: Span
    residual: Span
    to_come: Span
    givens: tuple[Given, ...] = ()
    later: Later | None = None
    bottles: int = USUAL_BOTTLES

    def worst_with(self, gas: Span, uneven: float) -> float:
        """The worst of its bottles with so much gas from sugar [vol]."""
        return worst_of(self.residual, gas, self.to_come, uneven, self.bottles, later=self.later)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a mass of sugar gives: the average bottle, the worst one [vol], and grams of table sugar a litre.

    `gas` is what the sugar gives by itself, and `uneven` how far one bottle's share of it strays from another's.
    """

    grams: float
    sugar: str
    total: Span
    worst: float
    sucrose_g_per_l: float
    gas: Span = NOTHING
    uneven: float = UNEVEN["whole batch"]


def outcome(base: Base, grams: float, sugar: str, how: str = "whole batch", dose: Dosed | None = None) -> Outcome:
    """What so much sugar gives on this base, with what measuring it leaves open where that is told."""
    gas = sugared(grams, sugar, base.litres)
    gas = gas if dose is None else dose.of(gas)
    uneven = UNEVEN[how] if dose is None else dose.uneven
    return Outcome(
        grams,
        sugar,
        together(base.residual, gas, base.to_come),
        base.worst_with(gas, uneven),
        sucrose_equivalent_g_per_l(grams, sugar, base.litres.best),
        gas,
        uneven,
    )


def dose_g(base: Base, target: float, sugar: str) -> Span:
    """Sugar to weigh for a carbonation: what chemistry alone asks for, the customary rule, and the rule's own spread.

    The rule of 4.0 g/L of table sugar for each volume is 4 % above the chemistry, which is what a little growing
    yeast and the headspace take.
    """
    missing = (base.litres.best, target, base.residual.best, base.to_come.best)
    rule = float(priming.customary_sugar_g(*missing, sugar))
    alone = priming.sugar_g(*missing, sugar)
    low, high = float(alone.low), float(alone.high)
    return Span(min(low, rule), rule, max(high, rule))


def dose_figure(base: Base, target: float, sugar: str) -> Figure:
    """The dose with its working, key "sugar"."""
    span = dose_g(base, target, sugar)
    lacking = show(max(target - base.residual.best - base.to_come.best, 0.0), 2)
    parts = say(
        "{target} − {dissolved} − {to_come}",
        target=show(target, 2),
        dissolved=show(base.residual.best, 2),
        to_come=show(base.to_come.best, 2),
    )
    rule = say(
        "{litres} × {lacking} vol is {grams} of {sugar}",
        litres=say_amount(base.litres.best, 1, "L"),
        lacking=lacking,
        grams=say_amount(span.best, 0, "g"),
        sugar=sugar_words(sugar),
    )
    working = Working(
        say(
            "litres × (wanted − dissolved − still to ferment) × 4.0 g of table sugar for each volume; others in "
            "proportion"
        ),
        base.givens,
        ("draper_hibberd_1996", "co2_stoichiometry", "mass_balance"),
        (
            say("{parts} = {lacking} vol lacking", parts=parts, lacking=lacking),
            say("{rule}; by chemistry alone {grams}", rule=rule, grams=say_amount(span.low, 0, "g")),
        ),
    )
    return figure(
        "sugar",
        say("{sugar}, all of it", sugar=capital(sugar_words(sugar))),
        span.best,
        GRAMS,
        working,
        low=span.low,
        high=span.high,
        interval=say("from chemistry alone to the customary rule"),
    )


def sugar_options(base: Base, target: float, chosen: str) -> tuple[Option, ...]:
    """The same fizz with every sugar."""
    found = []
    for key, sugar in priming.PRIMING_SUGARS.items():
        dose = replace(dose_figure(base, target, key), label=say("All of it"))
        found.append(Option(sugar_words(key), (dose,), sugar.note, chosen=key == chosen))
    return tuple(found)


def bottle_figures(base: Base, grams: float, sugar: str, sizes_l: tuple[float, ...]) -> tuple[Figure, ...]:
    """The share of one bottle of each size, and the level teaspoons of the commonest size as a fallback."""
    working = Working(say("all the sugar × the bottle's share of the litres"), base.givens, ("mass_balance",))
    found = []
    for size in sizes_l:
        each = float(priming.dose_per_bottle_g(grams, max(base.litres.best, size), size))
        name = say("In each {size} bottle", size=say_amount(size * 1000, 0, "mL"))
        found.append(figure(f"each_{size * 1000:.0f}", name, each, GRAMS_1, working, spread=0.1))
    spoons = priming.level_teaspoons(
        float(priming.dose_per_bottle_g(grams, max(base.litres.best, sizes_l[0]), sizes_l[0])), sugar
    )
    if isfinite(float(spoons.best)):  # no spoon of the other sugars was ever weighed
        spoon = Working(
            say("grams ÷ what a level 5 mL spoon holds; a scale is better by far"),
            base.givens,
            ("common_practice",),
            (priming.PRIMING_SUGARS[sugar].note,),
        )
        found.append(
            figure(
                "spoons",
                say("Level teaspoons in {size}", size=say_amount(sizes_l[0] * 1000, 0, "mL")),
                float(spoons.best),
                Shown(say("teaspoons"), "", 2),
                spoon,
                low=float(spoons.low),
                high=float(spoons.high),
                interval=say("lightest and heaviest spoon"),
            )
        )
    return tuple(found)


def outcome_figures(base: Base, given: Outcome, bottles: tuple[Bottle, ...], store_c: float) -> tuple[Figure, ...]:
    """What the dose gives: gas, sugar a litre, pressure warm, the ceiling of the set, and half a litre wrong."""
    working = Working(
        say("dissolved + from sugar + still to ferment"),
        base.givens,
        ("draper_hibberd_1996", "co2_stoichiometry", "error_propagation"),
        (say("the worst bottle has up to {worst} vol", worst=show(given.worst, 2)),),
    )
    warm = pressure_bar(given.total.best, store_c)
    worst = pressure_bar(given.worst, store_c).best
    pressure = Working(
        say("gas shared between beer and headspace in a closed bottle"),
        base.givens,
        ("co2_mass_balance", "delange_2011"),
        (
            say(
                "at {store}; the worst bottle {worst}",
                store=say_amount(store_c, 0, "°C"),
                worst=say_amount(worst, 1, "bar"),
            ),
        ),
        (say("Above 25 °C the brewing chart is led on beyond its end."),) if store_c > 25 else (),
    )
    return (
        figure(
            "co2", say("Gas this gives"), given.total.best, VOLUMES, working, low=given.total.low, high=given.total.high
        ),
        figure("per_litre", say("As table sugar"), given.sucrose_g_per_l, G_PER_L, working),
        figure(
            "pressure",
            say("Pressure at {store}", store=say_amount(store_c, 0, "°C")),
            warm.best,
            BAR,
            pressure,
            low=warm.low,
            high=worst,
        ),
        _ceiling_figure(base, bottles, store_c),
        *slips(base, given, store_c),
    )


def _ceiling_figure(base: Base, bottles: tuple[Bottle, ...], store_c: float) -> Figure:
    """The most gas that the weakest of the set is fit for."""
    weak, store = weakest(bottles), say_amount(store_c, 0, "°C")
    ceiling = weak.most_volumes(store_c)
    limit = Working(
        say("the gas at which {weak} reaches what it is fit for, at {store}", weak=weak.words, store=store),
        base.givens,
        ("british_glass_tec7", "co2_mass_balance", "common_practice"),
        (limit_words(weak),),
        (say("No standard speaks of bottles refilled at home."),),
    )
    return figure(
        "ceiling",
        say("Most for these bottles at {store}", store=store)
        if bottles
        else say("Most for glass of unknown make at {store}", store=store),
        ceiling.best,
        VOLUMES,
        limit,
        low=ceiling.low,
        high=ceiling.high,
        interval=say("cautious and boldest habit"),
    )


def slips(base: Base, given: Outcome, store_c: float) -> tuple[Figure, ...]:
    """Gas, and the worst bottle's pressure, when there is half a litre less or more than was reckoned with."""
    found = []
    slip = say_amount(VOLUME_SLIP_L, None, "L")
    less, more = say("If there is {slip} less", slip=slip), say("If there is {slip} more", slip=slip)
    for key, name, change in (("short", less, -VOLUME_SLIP_L), ("long", more, VOLUME_SLIP_L)):
        litres = base.litres.best + change
        if litres < VOLUME_SLIP_L or given.gas.best <= 0:
            continue
        share = base.litres.best / litres
        gas = Span(*(share * end for end in given.gas))
        total, worst = together(base.residual, gas, base.to_come), base.worst_with(gas, given.uneven)
        warm = pressure_bar(worst, store_c)
        working = Working(
            say("the same sugar in another volume: its gas × litres reckoned with ÷ litres there are"),
            base.givens,
            ("mass_balance", "error_propagation"),
            (
                say(
                    "{gas} vol × {reckoned} ÷ {there}: {result}",
                    gas=show(given.gas.best, 2),
                    reckoned=show(base.litres.best, 1),
                    there=show(litres, 1),
                    result=show(gas.best, 2),
                ),
                say("with what is dissolved and still to come {volumes} vol", volumes=show(total.best, 2)),
                say("the worst bottle has up to {worst} vol", worst=show(worst, 2)),
            ),
        )
        found += [
            figure(f"if_{key}", name, total.best, VOLUMES, working, low=total.low, high=total.high),
            figure(
                f"if_{key}_worst",
                say("{case}: the worst bottle at {store}", case=name, store=say_amount(store_c, 0, "°C")),
                warm.best,
                BAR,
                working,
                low=warm.low,
                high=warm.high,
                interval=say("by how beer holds gas"),
            ),
        ]
    return tuple(found)


def rails(given: Outcome, bottles: tuple[Bottle, ...], store_c: float) -> tuple[Finding, ...]:
    """What this dose breaks; empty where it keeps within the rails. Every one of them asks for a written reason."""
    found = []
    unknown = not bottles or any(bottle.kind.key == UNKNOWN for bottle in bottles)
    if unknown and given.total.best > MOST_UNKNOWN_GLASS_VOL:
        fit = weakest(()).most_volumes(store_c).best
        text = say(
            "{volumes} volumes: glass of unknown make is fit for no more than {fit} at {store}, and above "
            "{limit} the book refuses it altogether.",
            volumes=show(given.total.best, 2),
            fit=show(fit, 1),
            store=say_amount(store_c, 0, "°C"),
            limit=show(MOST_UNKNOWN_GLASS_VOL, 1),
        )
        found.append(Finding(Urgency.DANGER, text, say("Which bottles are they really?"), key="unknown_glass"))
    if given.sucrose_g_per_l > MOST_SUGAR_G_PER_L:
        text = say(
            "{dose} g/L of sugar is past the 10 g/L at which bottles burst: it gives {volumes} "
            "volumes. “5 to 10 g a bottle” is a slip that goes round; half a litre takes about 3 g.",
            dose=show(given.sucrose_g_per_l, 1),
            volumes=show(given.total.best, 1),
        )
        found.append(Finding(Urgency.DANGER, text, say("Are the grams, and the litres, right?"), key="sugar_tenfold"))
    worst = pressure_bar(given.worst, store_c).best
    if worst > MOST_PRESSURE_BAR:
        text = say(
            "The worst bottle could reach {worst} at {store}; glass is not recommended above "
            "{limit}, a figure written for new glass of carbonated soft drinks.",
            worst=say_amount(worst, 1, "bar"),
            store=say_amount(store_c, 0, "°C"),
            limit=say_amount(MOST_PRESSURE_BAR, 1, "bar"),
        )
        found.append(Finding(Urgency.DANGER, text, say("Less sugar, or a cooler store?"), key="pressure"))
    return tuple(found)


def advice(given: Outcome, bottles: tuple[Bottle, ...], store_c: float) -> tuple[Finding, ...]:
    """What is worth saying short of the rails: too little sugar, and bottles that this is too much for."""
    found = []
    if 0 < given.sucrose_g_per_l < LEAST_SUGAR_G_PER_L:
        dose, gas = show(given.sucrose_g_per_l, 1), show(given.total.best, 1)
        text, check = say("{dose} g/L gives {gas} volumes: nearly flat.", dose=dose, gas=gas), say("Is it meant so?")
        if given.total.best >= NEARLY_FLAT_VOL:
            text = say(
                "{dose} g/L is little sugar: {gas} volumes come of it only with all the gas that is counted on.",
                dose=dose,
                gas=gas,
            )
            check = say("Was it never warmer since it finished?")
        found.append(Finding(Urgency.NOTHING, text, check, key="sugar_little"))
    for bottle in bottles:
        words = bottle.fit_words(given.total.best, given.worst, store_c)
        if words == "fit":
            continue
        if words == "never":
            text = say(
                "{bottle}: never for beer that still ferments. {note}", bottle=bottle.words, note=bottle.kind.note
            )
            found.append(Finding(Urgency.DANGER, text, say("Leave them out."), key="never_bottle"))
        else:
            text = say(
                "{bottle}: {words}. In a store of {store} this is too much for them.",
                bottle=bottle.words,
                words=words,
                store=say_amount(store_c, 0, "°C"),
            )
            found.append(Finding(Urgency.ACT, text, say("Less sugar, other bottles or a cooler store?"), key="not_fit"))
    return tuple(found)
