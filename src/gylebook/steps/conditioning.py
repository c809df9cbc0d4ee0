"""Conditioning: when the fizz is there, when to open one, where to keep them, and what to do when it is too much."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.science.carbon_dioxide import ambient_pressure_bar
from gylebook.steps import sums_fields
from gylebook.steps.answers import Answer, Basis, Figure, Finding, MomentFigure, Urgency
from gylebook.steps.asked import Asked, within
from gylebook.steps.bottle_age import age_at
from gylebook.steps.bottle_kinds import GLASS_CAUTIONS, bottles_of, pressure_bar
from gylebook.steps.bottle_place import pressure_findings
from gylebook.steps.bottle_store import present_c, store_c
from gylebook.steps.bottle_times import bottle_times
from gylebook.steps.conditioning_acts import ACTS
from gylebook.steps.conditioning_danger import dangerous_bottles, vent_plan
from gylebook.steps.conditioning_figures import Cellared, days_ahead, figures_of
from gylebook.steps.conditioning_fizz import diagnosis, opened_findings, pattern_findings
from gylebook.steps.decision import Setting, Step
from gylebook.steps.fields import QUANTITY, Field
from gylebook.steps.fizz import Fizz, fizz_of
from gylebook.steps.gas_budget import ahead, budget, past_by
from gylebook.steps.moments import coming_words, day_words, on_words
from gylebook.steps.priming_after import overruled
from gylebook.steps.warmth import beer_temp_c, place_at
from gylebook.units import show

__all__ = ["STEP", "answer", "dangerous_bottles"]

_EARLY_VOL = 0.8  # so much still to ferment when bottled is a second dose of sugar
_SLOW_C = 15.5
_MUCH_VOL = 4.0
_FRIDGE_C = 5.0

ASK = (
    sums_fields.temperature("temp", "What if they get as warm as", possible=(0.0, 50.0)),
    Field("altitude", "What if they go up to, in metres above the sea", QUANTITY, ("number",), possible=(-400, 5000)),
)


def answer(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> Answer:
    """How far the bottles are, what pressure they hold, and what to do next."""
    wanted = Asked(ASK, asked)
    gas = fizz_of(brew, setting)
    times = bottle_times(brew, setting.shelf, gas.outlook.original.value)
    age = age_at(brew, setting.shelf, setting.now)
    if times is None or age is None:
        return _not_bottled()
    lots = tuple(lot for kept in brew.all(ev.Bottled) for lot in kept.event.lots)
    bottles = bottles_of(lots, setting.shelf)
    here = beer_temp_c(brew, setting.shelf, setting.now)
    store = store_c(brew, setting.shelf)
    warm = wanted.number("temp") or store.value
    if _wild(brew) or _lower_than_possible(gas):
        return _danger(brew, setting, gas, here, warm)
    state = Cellared(gas, age, times, here, warm, _outside(wanted))
    findings = [
        *pressure_findings(gas, bottles, warm, present_c(brew, setting) if "temp" not in wanted else warm),
        *opened_findings(brew, setting, age),
        *overruled(brew),
        *_of_height(wanted, state),
    ]
    headline, urgency, why = _say(brew, setting, state)
    worst = min((f.urgency for f in findings), key=_rank, default=Urgency.NOTHING)
    options = diagnosis(brew, age)
    if worst is Urgency.DANGER or _early(gas):
        options = (*days_ahead(brew, setting, gas, here.value), *vent_plan(max(gas.total.best, 0.5)))
    cool = [bottle.warmest_c(gas.total.best, gas.worst) for bottle in bottles if not bottle.never]
    if worst is Urgency.ACT and any(f.key == "not_fit" for f in findings):
        headline = f"Find them a place that stays below {int(min(cool))} °C; carry them there cold. {headline}"
    if worst is Urgency.DANGER and not _early(gas):
        headline = _cool_now(min(cool, default=float("-inf")), wanted)
    return Answer(
        headline,
        why,
        min((urgency, worst), key=_rank),
        (*figures_of(state), *_worst_figures(brew, setting, wanted)),
        tuple(findings),
        options,
        missing=_missing(brew, store),
        cautions=GLASS_CAUTIONS,
        rule_of_thumb="How fast sugar is eaten in the bottle is the trade's habit, put into a curve.",
        assumed=_assumed(wanted, store, here),
    )


def _worst_figures(brew: Brew, setting: Setting, wanted: Asked) -> tuple[Figure | MomentFigure, ...]:
    """The worst of all bottles at its warmest, the chance that one is past its ceiling, and by when; see the budget."""
    found = budget(brew, setting)
    if found is None:
        return ()
    asked, outside = wanted.number("temp"), _outside(wanted)
    found = replace(
        found,
        warm_c=found.warm_c if asked is None else asked,
        outside_bar=found.outside_bar if outside is None else outside,
    )
    when = past_by(found, ahead(found, brew, setting)) if asked is None and outside is None else None
    return (found.worst_warm, found.chance, *((when,) if when is not None else ()))


def _cool_now(below_c: float, wanted: Asked) -> str:
    """The headline of bottles that their place is dangerous for: nothing else that touches them stands beside it."""
    keep = f"below {int(below_c)} °C" if below_c >= _FRIDGE_C else "cold, as in a fridge"
    asked = wanted.number("temp")
    if asked is not None:
        return f"At {show(asked, 0)} °C they may burst: keep them {keep}."
    return f"Cool these bottles now, where they stand and boxed; carry them only cold, and keep them {keep}."


_ORDER = (Urgency.DANGER, Urgency.ACT, Urgency.MEASURE, Urgency.WAIT, Urgency.NOTHING)


def _rank(urgency: Urgency) -> int:
    return _ORDER.index(urgency)


def _not_bottled() -> Answer:
    return Answer(
        "Not in bottles yet.",
        "The fizz begins when it is sealed in with sugar and yeast.",
        Urgency.NOTHING,
        missing="When was it bottled?",
    )


def _wild(brew: Brew) -> bool:
    """Whether a bottle burst or gushed and nothing has been vented since."""
    seen = [
        k.at for k in brew.kept if isinstance(k.event, ev.Burst) or (isinstance(k.event, ev.Opened) and k.event.gushed)
    ]
    vented = brew.last(ev.Vented)
    return bool(seen) and (vented is None or vented.at < seen[-1])


def _lower_than_possible(gas: Fizz) -> bool:
    return "below_possible" in gas.outlook.lacking


def _early(gas: Fizz) -> bool:
    return gas.to_come.best > _EARLY_VOL


def _danger(brew: Brew, setting: Setting, gas: Fizz, here: Figure, warm: float) -> Answer:
    # A bottle that gushed or burst shows more gas than is reckoned, unless much was to be expected.
    known = gas.worst if gas.worst > _MUCH_VOL or not _wild(brew) else None
    found = dangerous_bottles(known, max(here.value, warm))
    why = (
        "A bottle burst or gushed: the others share its cause."
        if _wild(brew)
        else ("It went lower than this make-up can: something wild may go on feeding.")
    )
    return Answer(
        found.headline,
        f"{why} {found.why}",
        Urgency.DANGER,
        (gas.figure(), *found.figures),
        (*found.findings, *pattern_findings(brew)),
        (*days_ahead(brew, setting, gas, here.value), *found.options),
        missing="Was it one bottle or several, and were they filled first or last?",
        cautions=found.cautions,
        rule_of_thumb=found.rule_of_thumb,
    )


def _outside(wanted: Asked) -> float | None:
    metres = wanted.number("altitude")
    if metres is None:
        return None
    return within(ambient_pressure_bar(metres), "Altitude", "the air is not known there", "write −400 to 5000 m")


def _say(brew: Brew, setting: Setting, state: Cellared) -> tuple[str, Urgency, str]:
    gas, age, times = state.gas, state.age, state.times
    low, best, _ = times.carbonated

    def day(at: datetime) -> str:
        return day_words(at, setting.now, setting.zone)

    why = (
        f"{age.words}: "
        f"{show(100 * age.share.best, 0)} % of the gas is there ({show(100 * age.share.low, 0)} to "
        f"{show(100 * age.share.high, 0)})."
    )
    if _early(gas):
        more = f"{show(gas.to_come.best, 1)} volumes beyond the sugar may come"
        what = "Chill them all today, below 5 °C; or open each cold, pour back and let it finish"
        return f"Bottled early: {more}. {what}.", Urgency.ACT, f"{why} Vents alone let out too little."
    if age.mean_c < 10 and age.share.best < 0.9:
        return "Too cold to carbonate: bring them to 18 to 22 °C. Add no sugar.", Urgency.ACT, why
    opened = [k for k in brew.kept if isinstance(k.event, ev.Opened | ev.Tasted) and k.at >= low]
    if setting.now < best and age.mean_c < _SLOW_C:
        need = max(1.0, 14.0 - age.days_at_20c)
        slow = f"Bring them to 20 °C for about {show(need, 0)} days; as they stand it takes until {day(best)}"
        return f"{slow}. Add no sugar.", Urgency.ACT, why
    if setting.now < low:
        return f"Leave them warm. Open one {on_words(best, setting.now, setting.zone)}, not before.", Urgency.WAIT, why
    if not opened:
        when = "" if setting.now >= best else f" from {day(best)} on"
        return f"Chill one for a day{when}, then open it: is the fizz there?", Urgency.MEASURE, why
    moved = any(k.at >= low for k in brew.all(ev.Moved))
    if setting.now < times.cool_at and not moved:
        until = coming_words(times.cool_at, setting.now, setting.zone)
        return f"Leave them warm until {until}, then move them to the cool.", Urgency.WAIT, why
    if not moved:
        return "Move them to the cool, below 15 °C: they keep longer, and hold less pressure.", Urgency.ACT, why
    return f"Leave them. At their best from {day(times.best_from)}.", Urgency.NOTHING, why


def _of_height(wanted: Asked, state: Cellared) -> list[Finding]:
    if state.outside is None:
        return []
    gas = state.gas.total.best
    more = pressure_bar(gas, state.warm, state.outside).best - pressure_bar(gas, state.warm).best
    text = (
        f"Up at {wanted.quantity('altitude')} m the air weighs less: the bottles push {show(more, 2)} bar harder "
        "outward than at the sea, and foam more when opened. Warmth on the way does more."
    )
    check = "Chill them before the journey and before opening."
    return [Finding(Urgency.NOTHING, text, check, key="altitude")]


def _missing(brew: Brew, store: Figure) -> str:
    if not brew.all(ev.Primed):
        return "How much sugar went in?"
    if store.working.inputs[0].where != f"{place_at(brew)}, its warmest month":
        return "Where do they stand, and how warm can it get there?"
    return "" if brew.all(ev.Opened) else "How did the first opened bottle feel, from 1 (flat) to 5 (wild)?"


def _assumed(wanted: Asked, store: Figure, here: Figure) -> tuple[str, ...]:
    found = list(wanted.assumed)
    if "temp" not in wanted:
        found.append(f"Warmest store: {show(store.value, 0)} °C ({store.working.inputs[0].where})")
    if any(given.basis is Basis.ASSUMED for given in here.working.inputs):
        found.append(f"Where they stand: {show(here.value, 0)} °C")
    return tuple(found)


STEP = Step(
    "conditioning",
    "Conditioning",
    "Is the fizz there, and where should the bottles stand?",
    answer,
    ASK,
    ACTS,
    GLASS_CAUTIONS,
)
