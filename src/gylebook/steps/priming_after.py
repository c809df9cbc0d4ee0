"""After priming: what the sugar that is in will give, and what to do when it was forgotten."""

from __future__ import annotations

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import say, say_amount
from gylebook.science.interval import Span
from gylebook.steps.answers import Answer, Finding, Urgency
from gylebook.steps.bottle_kinds import GLASS_CAUTIONS
from gylebook.steps.bottle_store import bottles_in_use, store_c
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import Fizz, fizz_of
from gylebook.steps.makeup import grams
from gylebook.steps.priming_case import Case
from gylebook.steps.priming_cold import dose_of_the_cold
from gylebook.steps.priming_dose import (
    CAUTIONS,
    Base,
    Outcome,
    advice,
    bottle_figures,
    dose_figure,
    outcome_figures,
    rails,
    slips,
)
from gylebook.steps.priming_litres import litres_findings
from gylebook.units import show

LET_OUT = say("Do not bottle it: let it ferment out under an airlock, then prime anew.")
_PARTS = say(
    "Each part is primed by itself. Which bottles hold which is not written, so all of them count as the livelier "
    "part: the others hold less."
)


def in_parts() -> tuple[Finding, ...]:
    """That several additions are no second dose, but one for each part of the beer."""
    return (Finding(Urgency.NOTHING, _PARTS, say("Are the caps of the parts marked apart?"), key="in_parts"),)


def too_much(brew: Brew, setting: Setting, fizz: Fizz) -> tuple[Finding, ...]:
    """What speaks against bottling beer that is primed already, whatever the glass; empty where nothing does."""
    if fizz.primed is None:
        return ()
    litres = fizz.primed.litres
    bottles, _ = bottles_in_use(brew, setting.shelf, litres, setting.full_bottles())
    return rails(_given(brew, fizz), bottles, store_c(brew, setting.shelf).value)


def _given(brew: Brew, fizz: Fizz) -> Outcome:
    assert fizz.primed is not None
    last = brew.all(ev.Primed)[-1].event
    primed = fizz.primed
    return Outcome(
        grams(last.mass), "sucrose", fizz.total, fizz.worst, primed.dose_g_per_l, fizz.priming, primed.uneven
    )


def already(brew: Brew, setting: Setting, case: Case) -> Answer:
    """Sugar is in: what it gives, and whether that is too much for the bottles."""
    fizz = fizz_of(brew, setting)
    assert fizz.primed is not None
    entries = brew.all(ev.Primed)
    primed = fizz.primed
    given = _given(brew, fizz)
    findings = [*rails(given, case.bottles, case.store.best), *advice(given, case.bottles, case.store.best)]
    findings += [*overruled(brew), *litres_findings(brew, setting), *dose_of_the_cold(brew, setting, fizz.outlook)]
    if primed.in_parts:
        findings[:0] = in_parts()
    elif len(entries) > 1:
        text = say(
            "Sugar is written {times} times. Added up it gives {volumes} volumes.",
            times=len(entries),
            volumes=show(fizz.total.best, 1),
        )
        findings.insert(
            0, Finding(Urgency.ACT, text, say("Was it really added twice?"), entries[-1].seq, "primed_twice")
        )
    danger = any(f.urgency is Urgency.DANGER for f in findings)
    words = say(
        "Primed: {volumes} volumes ({low} to {high}). ",
        volumes=show(fizz.total.best, 1),
        low=show(fizz.total.low, 1),
        high=show(fizz.total.high, 1),
    )
    words += _then(brew, danger=danger)
    litres = Span(primed.litres, primed.litres, primed.litres)
    base = Base(litres, fizz.residual, fizz.to_come, fizz.givens, case.base.later, case.base.bottles)
    # Until it is bottled nobody knows how much there was; then the bottles tell.
    half_a_litre = () if brew.all(ev.Bottled) else slips(base, given, case.store.best)
    return Answer(
        words,
        say(
            "{held} were in it, {sugar} come from the sugar, {come} may still ferment.",
            held=show(fizz.residual.best, 2),
            sugar=show(fizz.priming.best, 2),
            come=show(fizz.to_come.best, 2),
        ),
        Urgency.DANGER if danger else Urgency.NOTHING,
        (fizz.figure(), *outcome_figures(base, given, case.bottles, case.store.best)[1:4], *half_a_litre),
        tuple(findings),
        missing="" if case.bottles_known else say("Which bottles is it in?"),
        cautions=(*CAUTIONS, *GLASS_CAUTIONS),
        assumed=tuple(case.assumed),
    )


def _then(brew: Brew, *, danger: bool) -> str:
    if not danger:
        return say("Add no more.")
    return (
        say("Too much: see what to do with such bottles.")
        if brew.all(ev.Bottled)
        else say("Too much for glass. {what_to_do}", what_to_do=LET_OUT)
    )


def overruled(brew: Brew) -> tuple[Finding, ...]:
    """Sugar that was given against the book's advice, with the brewer's reason; empty where none was."""
    return tuple(
        Finding(
            Urgency.NOTHING,
            say(
                "Sugar was given against the book's advice (entry {seq}), because: {reason}",
                seq=kept.seq,
                reason=kept.event.against_advice,
            ),
            say("Does the reason still hold?"),
            kept.seq,
            "against_advice",
        )
        for kept in brew.all(ev.Primed)
        if kept.event.against_advice
    )


def forgotten(case: Case) -> Answer:
    """Bottled, and no sugar written: what each bottle would want, and when not to open any."""
    dose = dose_figure(case.base, case.target, case.sugar)
    each = bottle_figures(case.base, dose.value, case.sugar, case.sizes())
    size = case.sizes()[0] * 1000
    return Answer(
        say(
            "No sugar is written. If it was forgotten: {each} into each {size} bottle, one after the other, "
            "and close at once.",
            each=say_amount(each[0].value, 1, "g"),
            size=say_amount(size, 0, "mL"),
        ),
        say("If any bottle hisses when opened, sugar did go in, or it was not finished: then add none."),
        Urgency.MEASURE,
        (dose, *each),
        (
            Finding(
                Urgency.MEASURE,
                say("It is bottled without a written priming."),
                say("Open one: is it flat?"),
                key="forgot",
            ),
        ),
        missing=say("Was sugar added, and how much?"),
        cautions=(
            say("Sugar dropped into a fizzy beer makes it leap out: a lump, not powder, and a cold bottle."),
            *GLASS_CAUTIONS,
        ),
        assumed=tuple(case.assumed),
    )
