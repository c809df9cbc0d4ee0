"""Priming: how much sugar for which fizz, in the bottles there are, in the warmest place they will stand."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from gylebook.errors import InputError, Refused
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import capital, joined, say, say_amount
from gylebook.science.interval import Span
from gylebook.steps import sums_fields, volumes
from gylebook.steps.answers import Answer, Basis, Figure, Finding, Given, MomentFigure, Urgency, Working
from gylebook.steps.asked import GRAMS, Shown, figure, needed
from gylebook.steps.bottle_kinds import GLASS_CAUTIONS, pressure_bar
from gylebook.steps.bottle_stock import count_for, planned
from gylebook.steps.bottle_store import bottles_in_use, store_c
from gylebook.steps.decision import Act, Decision, Setting, Step
from gylebook.steps.fields import CHOICE, COUNT, TEXT, Field
from gylebook.steps.fizz import SUGARS, later_of, primed_of, span_of, to_come_of, warmest_of
from gylebook.steps.gas_parts import residual_of, together
from gylebook.steps.makeup import grams
from gylebook.steps.outlook import Outlook, gas_words, outlook
from gylebook.steps.priming_after import already, forgotten, in_parts
from gylebook.steps.priming_by_hand import coarse
from gylebook.steps.priming_case import ASK, INTO, Case
from gylebook.steps.priming_cold import dose_of_the_cold
from gylebook.steps.priming_dose import (
    CAUTIONS,
    SUGAR_CHOICES,
    Base,
    Outcome,
    advice,
    bottle_figures,
    dose_figure,
    dose_g,
    outcome,
    outcome_figures,
    rails,
    sugar_options,
    sugar_words,
)
from gylebook.steps.priming_litres import fewer_l, litres_findings, litres_of, primed_in_parts
from gylebook.steps.priming_measure import MEASURED, MEASURES, dosed, mass_of, measure_words
from gylebook.steps.readings import latest_first
from gylebook.steps.what_if import with_entry
from gylebook.units import show

_WRONG_LITRES = 1.08
_COLDER_C = 3.0
_USUAL_BOTTLE_L = 0.5
_NEXT_TO_NOTHING_G_PER_L = 0.5  # spoons counted for one bottle and written for the whole batch


def answer(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> Answer:
    """How much sugar; or, where sugar is in already, what it gives."""
    case = Case(brew, setting, asked)
    primed = primed_of(brew, setting)
    if primed is not None and case.asked.number("mass") is None:
        return already(brew, setting, case)
    if brew.all(ev.Bottled) and primed is None:
        return forgotten(case)
    mass = case.asked.number("mass")
    done = case.outlook.finished is True
    base = case.base if mass is not None else case.when_done
    dose = dose_figure(base, case.target, case.sugar)
    given = case.given_by(base, dose.value if mass is None else mass)
    # Of an unfinished beer one thing matters: that it is not. What sugar would do comes after.
    broken = rails(given, case.bottles, case.store.best) if done or mass is not None else ()
    by_hand = case.bench(base, given).findings()
    findings = (*_gate(case.outlook), *broken, *_of_case(brew, setting, case, given), *by_hand)
    headline, urgency = _headline(case, given, mass)
    if case.outlook.pitched:
        findings = latest_first(findings)
        urgency = min((urgency, *(finding.urgency for finding in findings)), key=list(Urgency).index)
    return Answer(
        headline,
        _why(case, base, given),
        urgency,
        tuple(_figures(brew, case, base, dose, given)),
        findings,
        sugar_options(base, case.target, case.sugar),
        missing=_missing(case),
        cautions=(*CAUTIONS, *GLASS_CAUTIONS),
        rule_of_thumb=say(
            "Not the beer's present cold but the warmest since it finished tells the gas it still holds."
        ),
        assumed=tuple(case.assumed),
    )


def _figures(brew: Brew, case: Case, base: Base, dose: Figure, given: Outcome) -> list[Figure | MomentFigure]:
    found: list[Figure | MomentFigure] = [dose]
    found += outcome_figures(base, given, case.bottles, case.store.best)
    found += bottle_figures(base, given.grams, case.sugar, case.sizes())
    found += case.bench(base, given).figures()
    found += case.figures()
    water = Working(say("about twice the sugar's weight, boiled a few minutes"), case.base.givens, ("common_practice",))
    about = max(100.0, round(2 * given.grams, -2))
    words = say("about {about}", about=say_amount(about, 0, "mL"))
    found.append(figure("syrup", say("Water for the syrup"), about, Shown("mL", "volume", 0), water, words=words))
    leaflet = _leaflet(brew, case)
    return [*found, leaflet] if leaflet else found


def _leaflet(brew: Brew, case: Case) -> Figure | None:
    kit = brew.plan.kit
    if kit is None or kit.priming_per_litre is None:
        return None
    per_litre = kit.priming_per_litre.to("g/L", "concentration")
    given = Given(say("leaflet's dose"), kit.priming_per_litre.said(), Basis.LEAFLET, kit.name)
    working = Working(say("the leaflet's grams a litre × litres"), (given,), ("mass_balance",))
    sugar = SUGARS.get(kit.priming_sugar, kit.priming_sugar.replace("_", " ")) or say("sugar")
    name = say("By the leaflet ({sugar})", sugar=sugar)
    return figure("leaflet", name, per_litre * case.litres.best, GRAMS, working)


def _headline(case: Case, given: Outcome, mass: float | None) -> tuple[str, Urgency]:
    litres = say_amount(case.litres.best, 1, "L")
    sugar = sugar_words(case.sugar)
    if mass is not None:
        words = say(
            "{mass} of {sugar} in {litres} gives {volumes} volumes.",
            mass=say_amount(mass, 0, "g"),
            sugar=sugar,
            litres=litres,
            volumes=show(given.total.best, 1),
        )
        bad = bool(rails(given, case.bottles, case.store.best))
        return words, Urgency.DANGER if bad else Urgency.NOTHING
    if case.outlook.finished is not True:
        lacking = case.outlook.missing[0] if case.outlook.missing else say("more evidence is wanted")
        word = say("Not yet") if case.outlook.finished is False else say("Not yet certain")
        if not case.outlook.pitched:
            sums = say(
                "When it is done, {litres} will want about {grams} of {sugar}.",
                litres=litres,
                grams=say_amount(given.grams, 0, "g"),
                sugar=sugar,
            )
            return say("Nothing to prime yet: no yeast has been written down. {sums}", sums=sums), Urgency.WAIT
        then = say(
            "Were it done, {litres} would want {grams} of {sugar}.",
            litres=litres,
            grams=say_amount(given.grams, 0, "g"),
            sugar=sugar,
        )
        return say("{word}: {lacking}. {then}", word=word, lacking=lacking, then=then), Urgency.MEASURE
    if given.grams <= 0:
        return say(
            "No sugar: it has, or will make, {target} volumes by itself.", target=show(case.target, 1)
        ), Urgency.NOTHING
    words = say(
        "{words} for {litres}: {target} volumes.",
        words=case.bench(case.base, given).words(),
        litres=litres,
        target=show(case.target, 1),
    )
    most = case.weak.most_volumes(case.store.best)
    if case.target > most.best and not case.weak.never:
        fewer = dose_g(case.base, most.best, case.sugar).best
        return (
            say(
                "{words} Too much for {weak} at {warmest}: give {less} ({most} volumes) or keep them cooler.",
                words=words,
                weak=case.weak.words,
                warmest=say_amount(case.store.best, 0, "°C"),
                less=say_amount(round(fewer, -1), 0, "g"),
                most=show(most.best, 1),
            )
        ), Urgency.ACT
    return words, Urgency.NOTHING


def _why(case: Case, base: Base, given: Outcome) -> str:
    most = case.weak.most_volumes(case.store.best)
    whose = say("these bottles") if case.bottles_known else say("bottles of unknown make")
    held, warmest = show(base.residual.best, 2), say_amount(case.warmest.best, 0, "°C")
    come, store = base.to_come, say_amount(case.store.best, 0, "°C")
    still = say(
        "{likely} ({most} at most) may still come by itself", likely=show(come.best, 1), most=show(come.high, 1)
    )
    if come.best == 0:
        still = say("nothing more is likely to come by itself ({most} at most)", most=show(come.high, 1))
    if base is not case.base:
        still = say("once it is finished, nothing more is counted on")
    parts = [
        say(
            "It holds {held} volumes already, as its warmest was {warmest}; {still}.",
            held=held,
            warmest=warmest,
            still=still,
        )
        if case.outlook.pitched
        else say(
            "When done it will hold about {held} volumes, if {warmest} is its warmest.", held=held, warmest=warmest
        ),
        say(
            "The most for {whose} at {store} is {best} volumes ({cautious} to be cautious).",
            whose=whose,
            store=store,
            best=show(most.best, 1),
            cautious=show(most.low, 1),
        ),
    ]
    less = case.litres.best - 1.0
    if less > 1:
        more = case.litres.best / less
        again = base.residual.best + more * given.gas.best + come.best
        parts.append(say("If there is a litre less than you think, it gives {again}.", again=show(again, 1)))
    return joined(" ", parts)


def _missing(case: Case) -> str:
    if not case.bottles_known:
        return say("Which bottles will it go into?")
    if "volume" not in case.asked:
        return say("How many litres are really in the bottling bucket?")
    return "" if "store" in case.asked else say("How warm can it get where the bottles will stand?")


def _gate(found: Outlook) -> tuple[Finding, ...]:
    """That fermentation is not known to be over, with what is lacking; empty where it is."""
    if found.finished is True:
        return ()
    if not found.pitched:
        text = say("It has not begun to ferment: no yeast has been written down.")
        return (Finding(Urgency.WAIT, text, say("Did the yeast go in, and was not written?"), key="not_finished"),)
    lacking = joined("; ", found.missing) or say("the evidence is thin")
    urgency = Urgency.ACT if found.finished is False else Urgency.MEASURE
    gas = gas_words(found.co2_to_come.high)
    text = say(
        "It is not known to be finished: {lacking}. {gas} could still come in the bottle.",
        lacking=lacking,
        gas=capital(gas),
    )
    return (Finding(urgency, text, say("One more reading, two days on?"), key="not_finished"),)


def _of_case(brew: Brew, setting: Setting, case: Case, given: Outcome) -> list[Finding]:
    found = list(advice(given, case.bottles, case.store.best))
    started = volumes.mixed_l(brew, setting.shelf)
    if started is not None and started.value > _WRONG_LITRES * case.litres.best:
        much = dose_g(case.when_done, case.target, case.sugar).best
        times = started.value / case.litres.best
        mixed = say_amount(started.value, 0 if f"{started.value:.1f}".endswith(".0") else 1, "L")
        text = say(
            "Not for the {mixed} that were mixed: {left} are left, so sugar bought for {mixed} is × "
            "{times}: {much}, not {bought}.",
            mixed=mixed,
            left=say_amount(case.litres.best, 1, "L"),
            times=show(1 / times, 2),
            much=say_amount(much, 0, "g"),
            bought=say_amount(much * times, 0, "g"),
        )
        found.append(
            Finding(Urgency.NOTHING, text, say("What does the bottling bucket's mark say?"), key="wrong_litres")
        )
    if "warmest" in case.asked and case.warmest.best < case.log_warmest.value - _COLDER_C:
        short = dose_g(case.when_done, case.target, case.sugar).best
        right = dose_g(
            Base(case.litres, residual_of(span_of(case.log_warmest)), case.when_done.to_come), case.target, case.sugar
        ).best
        text = say(
            "{written} is colder than its warmest, {warmest}: that would be {short} too little, and flat "
            "beer. Cold beer took up no gas by itself.",
            written=say_amount(case.warmest.best, 0, "°C"),
            warmest=say_amount(case.log_warmest.value, 0, "°C"),
            short=say_amount(right - short, 0, "g"),
        )
        check = say("Was it ever warmer after it had finished?")
        found.append(Finding(Urgency.MEASURE, text, check, key="cold_temperature"))
    return found


# --- the act --------------------------------------------------------------------------------------------------


def _prime(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    """Write the sugar. What breaks the rails, or comes before the end of fermentation, wants a written reason."""
    sugar: str = values.get("sugar") or "sucrose"
    measured: Any = values.get("measured") or ""  # one of the choices
    mass = mass_of(values.get("mass"), measured, values.get("measures"), sugar)
    event = ev.Primed(
        sugar=sugar,
        mass=needed({_MASS.name: mass}, _MASS),
        how=values.get("how") or "whole batch",
        volume=values.get("volume"),
        bottles=values.get("bottles"),
        syrup_water=values.get("syrup_water"),
        against_advice=str(values.get("against_advice") or "").strip(),
        measured=measured,
        measures=values.get("measures"),
    )
    found = outlook(brew, setting)
    base = _base_at(brew, setting, event, at, found)
    total_g = grams(event.mass) * (_count(event, base) if event.how == "each bottle" else 1.0)
    _refuse_next_to_nothing(event, total_g, base)
    dose = dosed(event.measured, event.sugar, event.how, event.mass, setting.shelf)
    given = outcome(base, total_g, event.sugar, event.how, dose)
    parts = primed_in_parts(brew, setting, brew.all(ev.Primed), event)
    before = None if parts else primed_of(brew, setting)
    if before is not None:
        given = Outcome(
            given.grams,
            given.sugar,
            together(given.total, before.gas),
            given.worst + before.gas.best,
            given.sucrose_g_per_l + before.dose_g_per_l,
        )
    bottles, _ = bottles_in_use(brew, setting.shelf, base.litres.best, setting.full_bottles())
    store = store_c(brew, setting.shelf).value
    broken = (*rails(given, bottles, store), *_both(brew, event), *_gate(found))
    if broken and not event.against_advice:
        raise Refused(_refusal(given, found, broken, store))
    after = with_entry(brew, at, event)
    findings = [*broken, *advice(given, bottles, store), *litres_findings(after, setting)]
    findings += dose_of_the_cold(after, setting, found)
    findings += in_parts() if parts else ()
    if event.how == "each bottle" and event.measured in {"", "scale"}:
        findings += coarse(grams(event.mass), setting.shelf)
    if before is not None:
        text = say("Sugar was written before (entry {seq}); both together count.", seq=brew.all(ev.Primed)[-1].seq)
        findings.insert(0, Finding(Urgency.ACT, text, say("Is it the same sugar, written twice?"), key="primed_twice"))
    words = say(
        "This gives {volumes} volumes, {dose} g/L as table sugar.",
        volumes=show(given.total.best, 1),
        dose=show(given.sucrose_g_per_l, 1),
    )
    findings.append(Finding(Urgency.NOTHING, words, key="primed"))
    return Decision(((at, event),), tuple(findings))


def _refuse_next_to_nothing(event: ev.Primed, total_g: float, base: Base) -> None:
    """Raise an InputError where spoons were counted for one bottle and written for the whole batch."""
    if event.measures is None or total_g >= _NEXT_TO_NOTHING_G_PER_L * base.litres.best:
        return
    fault = say(
        "{measures} × {measured} for {litres} is next to nothing",
        measures=event.measures,
        measured=measure_words(event.measured),
        litres=say_amount(base.litres.best, 1, "L"),
    )
    raise InputError(_INTO.label, fault, say("choose each bottle, or count them all"))


def _both(brew: Brew, event: ev.Primed) -> tuple[Finding, ...]:
    """That the batch and the bottles are both given sugar; empty where they are not."""
    other = next((kept for kept in brew.all(ev.Primed) if kept.event.how != event.how), None)
    if other is None:
        return ()
    if event.how == "each bottle":
        text = say(
            "Sugar is in the whole batch already (entry {seq}), and now in each bottle too: together they make bottles "
            "burst.",
            seq=other.seq,
        )
    else:
        text = say(
            "Sugar is in each bottle already (entry {seq}), and now in the whole batch too: together they make bottles "
            "burst.",
            seq=other.seq,
        )
    return (Finding(Urgency.DANGER, text, say("Was one of the two only meant?"), other.seq, "primed_both"),)


def _refusal(given: Outcome, found: Outlook, broken: tuple[Finding, ...], store: float) -> str:
    """One sentence: what speaks against it, and how it can be written all the same."""
    parts = []
    parts += [
        say("sugar was given before in another way (entry {seq})", seq=f.seq) for f in broken if f.key == "primed_both"
    ]
    if any(finding.key not in {"not_finished", "primed_both"} for finding in broken):
        worst = say_amount(pressure_bar(given.worst, store).best, 1, "bar")
        parts.append(
            say(
                "{dose} g/L of sugar makes {volumes} volumes, up to {worst} at {store}, which is too much for glass",
                dose=show(given.sucrose_g_per_l, 1),
                volumes=show(given.total.best, 1),
                worst=worst,
                store=say_amount(store, 0, "°C"),
            )
        )
    if any(finding.key == "not_finished" for finding in broken):
        lacking = found.missing[0] if found.missing else say("the evidence is thin")
        parts.append(say("it is not known to be finished ({lacking})", lacking=lacking))
    words = joined(say("; and "), parts)
    return say(
        "{words}: weigh and read again, or write the reason under “{label}” and it will be kept.",
        words=capital(words),
        label=_AGAINST.label,
    )


def _count(event: ev.Primed, base: Base) -> float:
    return float(event.bottles) if event.bottles else max(1.0, base.litres.best / _USUAL_BOTTLE_L)


def _base_at(brew: Brew, setting: Setting, event: ev.Primed, at: datetime, found: Outlook) -> Base:
    if event.volume is not None:
        written = fewer_l(with_entry(brew, at, event), setting, event) or event.volume.to("L", "volume")
        litres = Span(max(written - 0.3, 0.05), written, written + 0.3)
    elif event.how == "each bottle" and event.bottles:
        written = event.bottles * _USUAL_BOTTLE_L
        litres = Span(written, written, written)
    else:
        litres = litres_of(volumes.in_vessel_l(brew, setting.shelf, at))
    residual = residual_of(span_of(warmest_of(brew, setting, found)))
    count = event.bottles or count_for(litres.best, planned(litres.best, setting.shelf, setting.full_bottles()))
    return Base(litres, residual, to_come_of(found), later=later_of(found), bottles=count)


_MASS = sums_fields.mass("mass", say("How much (of the whole batch, or in each bottle)"), possible=(0.01, 5000.0))
_INTO = Field(
    "how", say("Into"), CHOICE, choices=INTO, default="whole batch", reason=say("a syrup in the bottling bucket")
)
_AGAINST = Field(
    "against_advice",
    say("Against advice, because"),
    TEXT,
    hint=say("only where the book advises against it: why it must be, or that it is in already"),
)

PRIME = Act(
    "prime",
    say("Added the priming sugar"),
    "priming",
    (
        Field(
            "sugar",
            say("Sugar"),
            CHOICE,
            choices=SUGAR_CHOICES,
            default="sucrose",
            reason=say("what every kitchen has"),
        ),
        _MASS,
        _INTO,
        sums_fields.volume("volume", say("Beer it went into"), possible=(0.1, 1000.0)),
        Field("bottles", say("How many bottles, where each got its own"), COUNT, possible=(1, 5000)),
        sums_fields.volume("syrup_water", say("Water of the syrup")),
        MEASURED,
        MEASURES,
        _AGAINST,
    ),
    _prime,
    (*CAUTIONS, *GLASS_CAUTIONS),
    about=say("Weigh it; write what the scale showed. Without a scale, count the spoons or drops."),
)

STEP = Step(
    "priming",
    say("Priming"),
    say("How much sugar, for which fizz?"),
    answer,
    ASK,
    (PRIME,),
    (*CAUTIONS, *GLASS_CAUTIONS),
)
