"""Conditioning: when the fizz is there, when to open one, where to keep them, and what to do when it is too much."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import say, say_amount
from gylebook.steps import sums_fields
from gylebook.steps.answers import Answer, Basis, Figure, Finding, MomentFigure, Urgency
from gylebook.steps.asked import Asked
from gylebook.steps.bottle_age import age_at, wild_since
from gylebook.steps.bottle_check import check_of, cool_at
from gylebook.steps.bottle_kinds import GLASS_CAUTIONS, Bottle
from gylebook.steps.bottle_moments import chances_ahead
from gylebook.steps.bottle_place import pressure_findings
from gylebook.steps.bottle_store import present_c, store_c
from gylebook.steps.bottle_times import bottle_times
from gylebook.steps.cellar import lots_left
from gylebook.steps.conditioning_acts import ACTS
from gylebook.steps.conditioning_danger import dangerous_bottles, gas_left, vent_plan
from gylebook.steps.conditioning_figures import Cellared, days_ahead, days_given, figures_of
from gylebook.steps.conditioning_fizz import causes_findings, diagnosis, opened_findings, pattern_findings
from gylebook.steps.conditioning_next import next_thing, of_height, outside_bar
from gylebook.steps.conditioning_place import Said, place_first
from gylebook.steps.decision import Setting, Step
from gylebook.steps.fields import QUANTITY, Field
from gylebook.steps.fizz import EARLY_VOL, Fizz, fizz_of
from gylebook.steps.gas_budget import ahead, budget, past_by
from gylebook.steps.priming_after import overruled
from gylebook.steps.priming_cold import dose_of_the_cold
from gylebook.steps.priming_litres import litres_findings
from gylebook.steps.rescue import Rescue
from gylebook.steps.rescue_answer import plan_of, with_plan
from gylebook.steps.warmth import beer_temp_c, place_at
from gylebook.units import show

__all__ = ["STEP", "answer", "dangerous_bottles"]

ASK = (
    sums_fields.temperature("temp", say("What if they get as warm as"), possible=(0.0, 50.0)),
    Field(
        "altitude", say("What if they go up to, in metres above the sea"), QUANTITY, ("number",), possible=(-400, 5000)
    ),
    Field(
        "from_altitude", say("And stand now at, in metres above the sea"), QUANTITY, ("number",), possible=(-400, 5000)
    ),
)


def answer(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> Answer:
    """How far the bottles are, what pressure they hold, and what to do next; with the rescue plan where one is due."""
    wanted = Asked(ASK, asked)
    gas = fizz_of(brew, setting)
    if any(field.name in wanted for field in ASK):
        return _answer(brew, setting, wanted, gas, None)
    plan = plan_of(brew, setting, gas)
    return with_plan(_answer(brew, setting, wanted, gas, plan), brew, setting, gas, plan)


def _answer(brew: Brew, setting: Setting, wanted: Asked, gas: Fizz, plan: Rescue | None) -> Answer:
    times = bottle_times(brew, setting.shelf, gas.outlook.original.value)
    age = age_at(brew, setting.shelf, setting.now)
    if times is None or age is None:
        return _not_bottled()
    here = beer_temp_c(brew, setting.shelf, setting.now)
    warm = wanted.number("temp")
    warm = store_c(brew, setting.shelf, setting.today).value if warm is None else warm
    if wild_since(brew) is not None or _lower_than_possible(gas):
        return _danger(brew, setting, gas, here, warm)
    check = check_of(brew, setting, gas, times)
    state = Cellared(
        gas,
        age,
        times,
        check,
        cool_at(brew, times, check),
        here,
        warm,
        outside_bar(wanted),
        plan.keep_c if plan is not None and not plan.over else None,
    )
    return _of_cellared(brew, setting, wanted, state, plan)


def _of_cellared(brew: Brew, setting: Setting, wanted: Asked, state: Cellared, plan: Rescue | None) -> Answer:
    """The answer for bottles of which none was wild, nor fell too low."""
    gas, age, times = state.gas, state.age, state.times
    bottles = tuple(lot for lot in lots_left(brew, setting.shelf) if lot.count)
    uphill, by_height = of_height(wanted, state)
    findings = _as_pressing([*_findings(brew, setting, wanted, state, bottles), *uphill], plan)
    headline, urgency, why = _early_words(gas) if _early(gas) else next_thing(brew, setting, state)
    hot = plan is not None and not plan.over and plan.hot  # none is to be carried before it is cold
    worst = min(
        (*(f.urgency for f in findings), *((Urgency.DANGER,) if hot else ())), key=_rank, default=Urgency.NOTHING
    )
    options = (*chances_ahead(times, setting.now, setting.zone, (days_given(age),)), *diagnosis(brew, age))
    if worst is Urgency.DANGER or _early(gas):
        options = (*days_ahead(brew, setting, gas, state.here.value), *vent_plan(gas_left(gas)))
    cool = min((b.warmest_c(gas.total.best, gas.worst) for b in bottles if not b.never), default=float("-inf"))
    if not _early(gas):
        unfit = any(f.key == "not_fit" for f in findings)
        headline = place_first(headline, worst if unfit else Urgency.NOTHING, cool, Said(setting, wanted, plan, age))
    store = store_c(brew, setting.shelf, setting.today)
    return Answer(
        headline,
        why,
        min((urgency, worst), key=_rank),
        (
            *figures_of(state, hands_off=worst is Urgency.DANGER or _early(gas)),
            *by_height,
            *_worst_figures(brew, setting, wanted),
        ),
        tuple(findings),
        options,
        missing=_missing(brew, store),
        cautions=GLASS_CAUTIONS,
        rule_of_thumb=say("How fast sugar is eaten in the bottle is the trade's habit, put into a curve."),
        assumed=_assumed(wanted, store, state.here),
    )


def _findings(
    brew: Brew, setting: Setting, wanted: Asked, state: Cellared, bottles: tuple[Bottle, ...]
) -> list[Finding]:
    gas = state.gas
    return [
        *pressure_findings(gas, bottles, state.warm, present_c(brew, setting) if "temp" not in wanted else state.warm),
        *opened_findings(brew, setting, state.age, gas),
        *litres_findings(brew, setting),
        *dose_of_the_cold(brew, setting, gas.outlook),
        *overruled(brew),
    ]


def _as_pressing(findings: list[Finding], plan: Rescue | None) -> list[Finding]:
    """The findings; what their place will be too warm for weeks from now is told, and presses nobody yet."""
    if plan is None or not plan.far:
        return findings
    return [
        replace(f, urgency=Urgency.WAIT) if f.key == "not_fit" and f.urgency is Urgency.ACT else f for f in findings
    ]


def _worst_figures(brew: Brew, setting: Setting, wanted: Asked) -> tuple[Figure | MomentFigure, ...]:
    """The worst of all bottles at its warmest, the chance that one is past its ceiling, and by when, if not yet."""
    found = budget(brew, setting)
    if found is None:
        return ()
    asked, outside = wanted.number("temp"), outside_bar(wanted)
    found = replace(
        found,
        warm_c=found.warm_c if asked is None else asked,
        outside_bar=found.outside_bar if outside is None else outside,
    )
    when = past_by(found, ahead(found, brew, setting)) if asked is None and outside is None else None
    return (found.worst_warm, found.chance, *((when,) if when is not None and when.value > setting.now else ()))


_ORDER = (Urgency.DANGER, Urgency.ACT, Urgency.MEASURE, Urgency.WAIT, Urgency.NOTHING)


def _rank(urgency: Urgency) -> int:
    return _ORDER.index(urgency)


def _not_bottled() -> Answer:
    return Answer(
        say("Not in bottles yet."),
        say("The fizz begins when it is sealed in with sugar and yeast."),
        Urgency.NOTHING,
        missing=say("When was it bottled?"),
    )


def _lower_than_possible(gas: Fizz) -> bool:
    return "below_possible" in gas.outlook.lacking


def _early(gas: Fizz) -> bool:
    return gas.to_come.best > EARLY_VOL


def _danger(brew: Brew, setting: Setting, gas: Fizz, here: Figure, warm: float) -> Answer:
    found = dangerous_bottles(gas, max(here.value, warm))
    why = (
        say("A bottle burst or gushed: the others share its cause.")
        if wild_since(brew) is not None
        else (say("It went lower than this make-up can: something wild may go on feeding."))
    )
    return Answer(
        found.headline,
        say("{why} {holding}", why=why, holding=found.why),
        Urgency.DANGER,
        (gas.figure(), *found.figures),
        (*found.findings, *pattern_findings(brew), *causes_findings(gas)),
        (*days_ahead(brew, setting, gas, here.value), *found.options),
        missing=say("Was it one bottle or several, and were they filled first or last?"),
        cautions=found.cautions,
        rule_of_thumb=found.rule_of_thumb,
    )


def _early_words(gas: Fizz) -> tuple[str, Urgency, str]:
    return (
        say(
            "Bottled early: {volumes} volumes beyond the sugar may come. Chill them all today, below 5 °C; or open "
            "each cold, pour back and let it finish.",
            volumes=show(gas.to_come.best, 1),
        ),
        Urgency.ACT,
        say("Vents alone let out too little."),
    )


def _missing(brew: Brew, store: Figure) -> str:
    if not brew.all(ev.Primed):
        return say("How much sugar went in?")
    if store.working.inputs[0].where != f"{place_at(brew)}, its warmest month":
        return say("Where do they stand, and how warm can it get there?")
    return "" if brew.all(ev.Opened) else say("How did the first opened bottle feel, from 1 (flat) to 5 (wild)?")


def _assumed(wanted: Asked, store: Figure, here: Figure) -> tuple[str, ...]:
    found = list(wanted.assumed)
    if "temp" not in wanted:
        found.append(
            say(
                "Warmest store: {temp} ({where})",
                temp=say_amount(store.value, 0, "°C"),
                where=store.working.inputs[0].where,
            )
        )
    if any(given.basis is Basis.ASSUMED for given in here.working.inputs):
        found.append(say("Where they stand: {temp}", temp=say_amount(here.value, 0, "°C")))
    return tuple(found)


STEP = Step(
    "conditioning",
    say("Conditioning"),
    say("Is the fizz there, and where should the bottles stand?"),
    answer,
    ASK,
    ACTS,
    GLASS_CAUTIONS,
)
