"""What hangs on the answer: the gas in the worst case if it were bottled now, and how long it may wait instead."""

from __future__ import annotations

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import say, say_amount
from gylebook.steps.answers import Basis, Figure, Finding, Given, MomentFigure, Urgency, Working
from gylebook.steps.asked import VOLUMES, figure
from gylebook.steps.bottle_kinds import weakest
from gylebook.steps.bottle_store import bottles_in_use, store_c
from gylebook.steps.decision import Setting
from gylebook.steps.gas_parts import USUAL_VOL
from gylebook.steps.outlook import MOST_HELD_VOL, Outlook, gas_range_words
from gylebook.steps.volumes import in_vessel_l
from gylebook.steps.warm_days import track
from gylebook.units import show

# Four to eight warm weeks on the yeast before a meaty taste is to be feared; six are reckoned with.
_WARM_DAYS_ON_YEAST = (28.0, 42.0, 56.0)


def worst_case(brew: Brew, setting: Setting, found: Outlook) -> tuple[Figure, Finding] | None:
    """The fizz that was planned and what may come on top, laid at the bottles; None where the question is past."""
    past = any(isinstance(k.event, ev.Primed | ev.Bottled) for k in brew.kept)
    if past or found.now_sg is None or "below_possible" in found.lacking:
        return None
    planned = brew.plan.co2_wanted.to("vol", "co2") if brew.plan.co2_wanted is not None else USUAL_VOL
    basis = Basis.ASKED if brew.plan.co2_wanted is not None else Basis.ASSUMED
    come = found.co2_to_come
    working = Working(
        say("fizz planned + gas still to come, where the priming does not allow for it"),
        (
            Given(
                say("fizz planned"),
                say("{volumes} vol", volumes=show(planned, 1)),
                basis,
                say("the plan") if basis is Basis.ASKED else say("an ordinary ale"),
            ),
            Given(say("gas still to come"), come.text(), Basis.RECKONED, say("the outlook")),
        ),
        ("co2_stoichiometry",),
        (
            say(
                "{planned} + at most {more} = {all} vol",
                planned=show(planned, 1),
                more=show(come.high, 1),
                all=show(planned + come.high, 1),
            ),
        ),
    )
    worst = figure(
        "worst_co2",
        say("Fizz if bottled now"),
        planned + come.value,
        VOLUMES,
        working,
        low=planned + come.low,
        high=planned + come.high,
        words=gas_range_words(planned + come.value, planned + come.high),
    )
    bottles, _ = bottles_in_use(brew, setting.shelf, in_vessel_l(brew, setting.shelf).value)
    weak, store = weakest(bottles), store_c(brew, setting.shelf)
    fit = weak.fit_words(planned + come.value, planned + come.high, store.value)
    whose = (
        say("the weakest of your bottles ({bottle})", bottle=weak.words) if bottles else say("bottles of unknown make")
    )
    most = planned + come.high
    worst_words = (
        say("more gas than any bottle holds") if most > MOST_HELD_VOL else say("{volumes} vol", volumes=show(most, 1))
    )
    text = say(
        "Bottled now, the worst case is {worst} for {planned} vol planned: {whose} {would}.",
        worst=worst_words,
        planned=show(planned, 1),
        whose=whose,
        would=_would(fit, say_amount(store.value, 0, "°C")),
    )
    grave = fit in {"not fit", "never"} and not found.finished
    return worst, Finding(Urgency.MEASURE if grave else Urgency.NOTHING, text, key="worst_case")


def _would(fit: str, store: str) -> str:
    """What the weakest bottle would be, to stand behind its name."""
    if fit == "fit":
        return say("would be fit, even where it gets {temp}", temp=store)
    if fit == "never":
        return say("are never fit for beer that makes gas")
    return (
        say("would not be fit where it gets {temp}", temp=store)
        if fit == "not fit"
        else say("would be {fit}; it may get {temp}", fit=fit, temp=store)
    )


def may_stay(brew: Brew, setting: Setting) -> MomentFigure | None:
    """Until when it may stay on its yeast; None before the yeast is in and once it has left it."""
    pitched = brew.first(ev.Pitched)
    if pitched is None or any(isinstance(k.event, ev.Racked | ev.Bottled) for k in brew.kept):
        return None
    warmth = track(brew, setting.shelf)
    low, value, high = (warmth.after_warm_days(pitched.at, days) for days in _WARM_DAYS_ON_YEAST)
    basis = Basis.MEASURED if warmth.known else Basis.ASSUMED
    working = Working(
        say("six weeks at 20 °C from pitching, longer in the cool; between four and eight by whom one asks"),
        (
            Given(say("yeast in"), say("entry {seq}", seq=pitched.seq), Basis.MEASURED, seq=pitched.seq),
            Given(
                say("temperature from now on"),
                say_amount(warmth.temp_c[-1], 0, "°C"),
                basis,
                say("the last that is known or assumed"),
            ),
        ),
        ("common_practice",),
        cautions=(say("Keep the airlock full. Never bottle an unfinished beer to catch a train."),),
    )
    return MomentFigure("may_stay", say("May stay on its yeast until"), value, low, high, working, say("usual range"))
