"""What the beer there is goes into: each kind of bottle with how many are filled and the gas that they get."""

from __future__ import annotations

from dataclasses import dataclass, replace

from gylebook.phrases import say, say_amount
from gylebook.science.glass import bottles_filled
from gylebook.science.interval import Span
from gylebook.steps.answers import Basis, Figure, Finding, Given, Urgency, Working
from gylebook.steps.asked import LITRES_2, figure
from gylebook.steps.bottle_advice import Beer, bottles_listed, chosen, primed_gas
from gylebook.steps.bottle_kinds import Bottle
from gylebook.steps.bottle_stock import count_for
from gylebook.steps.fizz import Fizz, later_when_done
from gylebook.steps.gas_parts import UNEVEN, together, worst_of
from gylebook.steps.priming_dose import Base
from gylebook.units import show

FILL_LOSS_L = 0.2  # what stays under the tap of the bottling bucket
_LITTLE_LEFT_L = 0.5  # not worth a bottle that is not fit

Fill = tuple[Bottle, int, Fizz]  # a kind, how many of it are filled, and the gas that they get


@dataclass(frozen=True, slots=True)
class Filling:
    """Bottles with how many of them are filled and the gas that they get; what is said and reckoned of them."""

    fills: tuple[Fill, ...]
    headline: str
    why: str
    figures: list[Figure]
    findings: list[Finding]


def unfit(bottle: Bottle, gas: Fizz, store: float) -> Finding | None:
    """What is said of a kind that must not hold so much gas in so warm a store [°C]; None where it is fit."""
    words = bottle.fit_words(gas.total.best, gas.worst, store)
    if words == "never":
        text = say("{bottle}: never. {why_never}", bottle=bottle.words, why_never=_why_never(bottle))
        return Finding(Urgency.DANGER, text, say("Leave them out."), key="never_bottle")
    if words == "not fit":
        text = say(
            "{bottle}: not fit for {best} volumes in any ordinary room.",
            bottle=bottle.words,
            best=show(gas.total.best, 1),
        )
        return Finding(Urgency.DANGER, text, say("Other bottles?"), key="not_fit")
    if words != "fit":
        text = say(
            "{bottle}: {fit}, and their place can get {store}.",
            bottle=bottle.words,
            fit=words,
            store=say_amount(store, 0, "°C"),
        )
        return Finding(Urgency.ACT, text, say("Is there a cooler place for them?"), key="too_warm")
    return None


def _why_never(bottle: Bottle) -> str:
    if bottle.kind.never:
        return bottle.kind.note
    return say("Glass larger than 1.15 L takes no pressure of refermentation.")


def wished(gas: Fizz, target: float | None, bottles: int) -> Fizz:
    """The gas of a beer that is not primed yet, primed to another fizz, with the worst of so many bottles."""
    if target is None:
        return gas
    lacking = max(0.0, target - gas.residual.best - gas.to_come.best)
    sugar = Span(0.97 * lacking, lacking, 1.03 * lacking)
    total = together(gas.residual, sugar, gas.to_come)
    later = later_when_done(gas.outlook)
    worst = worst_of(gas.residual, sugar, gas.to_come, UNEVEN["whole batch"], bottles, later=later)
    return replace(gas, priming=sugar, total=total, worst=worst)


def filling(gas: Fizz, litres: Figure, at_hand: tuple[Bottle, ...], store: float, *, primed: bool) -> Filling:
    """What the beer there is goes into; beer that is primed already must go somewhere, with a warning if need be."""
    volume, most = (max(0.0, each - FILL_LOSS_L) for each in (litres.value, litres.high))
    average, by_itself = gas.total.best, gas.residual.best + gas.to_come.best
    later = later_when_done(gas.outlook)
    count = count_for(volume, at_hand)
    base = Base(Span(volume, volume, volume), gas.residual, gas.to_come, later=later, bottles=count)
    given = Given(
        say("beer"),
        litres.text(),
        Basis.RECKONED,
        say("less {FILL_LOSS_L} under the tap", FILL_LOSS_L=say_amount(FILL_LOSS_L, None, "L")),
    )
    if primed:
        beer = Beer(litres.value, volume, most, average, average, lambda _: (average, gas.worst), store, None, (given,))
    else:
        beer = Beer(litres.value, volume, most, average, by_itself, primed_gas(base), store, base, (given,))
    found = chosen(beer, at_hand)
    full, headline, figures = found.full, found.headline(), found.figures()
    if primed and found.left_l > _LITTLE_LEFT_L:
        counted = bottles_filled(volume, [b.size_l for b in at_hand], [0 if b.never else b.count for b in at_hand])
        if counted.left_l < found.left_l:
            full, headline = (
                counted.full,
                say(
                    "{litres}: {bottles_listed}",
                    litres=say_amount(litres.value, 1, "L"),
                    bottles_listed=bottles_listed(at_hand, counted.full),
                ),
            )
            if counted.left_l > _LITTLE_LEFT_L:
                headline = say(
                    "{filled}; {left_l} are left over: more bottles",
                    filled=headline,
                    left_l=say_amount(counted.left_l, 1, "L"),
                )
            working = Working(say("beer less what the bottles hold"), litres.working.inputs, ("mass_balance",))
            figures = [figure("left", say("Left over"), counted.left_l, LITRES_2, working)]
    fizz = [found.fizz_of(place) for place in range(len(at_hand))]
    count = sum(full) or count  # with two parts the worst is still sought among all of them
    gases = {target: gas if primed else wished(gas, target, count) for target in set(fizz)}
    fills = tuple((bottle, count, gases[target]) for bottle, count, target in zip(at_hand, full, fizz, strict=True))
    return Filling(fills, say("{headline}.", headline=headline), found.why(), figures, found.findings())
