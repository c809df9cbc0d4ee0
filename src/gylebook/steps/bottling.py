"""Bottling: how many of which, what each kind is fit for, how full, and which to keep apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import joined, say, say_amount, small
from gylebook.science.glass import headspace_when_warm
from gylebook.steps import sums_fields, volumes
from gylebook.steps.answers import Answer, Basis, Figure, Finding, Given, MomentFigure, Option, Urgency, Working
from gylebook.steps.asked import BAR, COUNT, LITRES, PER_CENT, Asked, Shown, figure, needed
from gylebook.steps.bottle_counts import left_out, of_amount
from gylebook.steps.bottle_fills import FILL_LOSS_L, Fill, filling, unfit, wished
from gylebook.steps.bottle_kinds import (
    GLASS_CAUTIONS,
    HEADSPACE,
    HINT,
    PUBLISHED_LIMIT,
    Bottle,
    bare_bar,
    bottle_of,
    bottles_of,
    limit_words,
    owned,
    pressure_bar,
    weakest,
    words_to_keys,
)
from gylebook.steps.bottle_stock import count_for, empty_ones
from gylebook.steps.bottle_store import store_c
from gylebook.steps.cellar import lots_left
from gylebook.steps.decision import Act, Decision, Setting, Step
from gylebook.steps.fields import LONG_TEXT, TEXT, Field
from gylebook.steps.filling import FILL, FILLING, standing_of
from gylebook.steps.fizz import Fizz, fizz_of, intended_of
from gylebook.steps.lines import read_bottle_lots
from gylebook.steps.priming_after import LET_OUT, overruled, too_much
from gylebook.steps.priming_litres import litres_findings
from gylebook.steps.warmth import beer_temp_c
from gylebook.steps.what_if import with_entry
from gylebook.units import Quantity, show

_USUAL_SIZES = (Quantity("500", "mL"), Quantity("330", "mL"), Quantity("568", "mL"))
_TOO_FULL = 0.015
_WHOLE_CELSIUS = Shown("°C", "temperature", 0)  # rounded down: tenths would say more than the trade's habit knows
_OF_BOTTLES = {"never_bottle", "not_fit", "too_warm", "not_primed"}  # findings that are told when bottles are written

ASK = (
    sums_fields.co2("co2", say("Fizz wanted")),
    sums_fields.volume("volume", say("Beer to bottle"), possible=(0.1, 1000.0)),
    Field("bottles", say("Bottles at hand, one kind on a line"), LONG_TEXT, hint=HINT),
    sums_fields.temperature("store", say("Warmest they will stand"), possible=(0.0, 50.0)),
)
CAUTIONS = (
    *GLASS_CAUTIONS,
    say(
        "Leave a gap of two to three centimetres under a crown cap: a bottle filled to the brim can burst "
        "when it warms."
    ),
    say("Write the cap code on every cap, and which were filled first and last: uneven sugar shows there."),
)


def answer(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> Answer:
    """Bottles by kind for the beer there is, each with what it is fit for; once filled, what they are in for."""
    wanted = Asked(ASK, asked)
    store, warm = wanted.number("store"), store_c(brew, setting.shelf)
    store = warm.value if store is None else store
    if brew.all(ev.Bottled) and not wanted.word("bottles").strip():
        return _filled_already(brew, setting, wanted, store)
    # Before the sugar is in, the gas is that which is wanted; an unfinished beer is told to be so, and no more.
    primed = brew.last(ev.Primed) is not None
    litres = _litres(brew, setting, wanted)
    at_hand, known = _at_hand(setting, wanted)
    count = count_for(litres.value, at_hand)
    gas = fizz_of(brew, setting) if primed else wished(intended_of(brew, setting), wanted.number("co2"), count)
    found = filling(gas, litres, at_hand, store, primed=primed) if known else None
    if found is None:
        fills, headline, why_these = tuple((bottle, 0, gas) for bottle in at_hand), _unknown(litres), ""
        figures: list[Figure | MomentFigure] = [litres, *_counts(litres)]
    else:
        fills, headline, why_these = found.fills, found.headline, found.why
        figures = [litres, *found.figures]
    used = tuple(fill for fill in fills if fill[1] > 0)
    main = max(used, key=lambda fill: fill[1] * fill[0].size_l)[2] if used else gas
    figures += _pressures(brew, setting, main, store)
    chosen = bool(used) and not wanted.word("bottles").strip()  # who asks about a kind is told of it
    return Answer(
        _not_yet(brew, setting, gas, headline),
        say(
            "{why} {why_these}", why=_why(main, tuple(fill[0] for fill in used or fills), store), why_these=why_these
        ).strip(),
        Urgency.DANGER if too_much(brew, setting, gas) else _urgency(gas, used, store),
        tuple(figures),
        (
            *(found.findings if found else ()),
            *litres_findings(brew, setting),
            *_findings(brew, gas, fills, store, chosen=chosen),
        ),
        tuple(_option(bottle, full, gas, store) for bottle, full, gas in fills),
        missing=_missing(wanted, brew, known=known),
        cautions=CAUTIONS,
        rule_of_thumb=PUBLISHED_LIMIT,
        assumed=_assumed(wanted, warm, gas, known=known, primed=primed),
    )


def _filled_already(brew: Brew, setting: Setting, wanted: Asked, store: float) -> Answer:
    """What the bottles that were filled are in for, where they stand."""
    gas = fizz_of(brew, setting)
    lots = tuple(lot for kept in brew.all(ev.Bottled) for lot in kept.event.lots)
    # What is gone is told of as filled, and rules nothing any more.
    filled = bottles_of(lots, setting.shelf)
    bottles = tuple(lot for lot in lots_left(brew, setting.shelf) if lot.count) or filled
    fills = tuple((bottle, bottle.count, gas) for bottle in bottles)
    code = next((kept.event.cap_code for kept in brew.all(ev.Bottled) if kept.event.cap_code), "")
    words = joined(" + ", (say("{count} × {bottle}", count=bottle.count, bottle=bottle.words) for bottle in filled))
    return Answer(
        say("Bottled: {bottles}, caps marked {code}.", bottles=words, code=code)
        if code
        else say("Bottled: {bottles}.", bottles=words),
        _why(gas, bottles, store),
        _urgency(gas, fills, store),
        tuple(_pressures(brew, setting, gas, store)),
        (*litres_findings(brew, setting), *_findings(brew, gas, fills, store)),
        tuple(_option(bottle, bottle.count, gas, store) for bottle in bottles),
        missing="" if "store" in wanted else say("How warm can it get where they stand?"),
        cautions=CAUTIONS,
        rule_of_thumb=PUBLISHED_LIMIT,
    )


def _litres(brew: Brew, setting: Setting, wanted: Asked) -> Figure:
    written = wanted.number("volume")
    if written is None:
        return volumes.in_vessel_l(brew, setting.shelf)
    working = Working(say("as asked for"), wanted.given("volume"), ("mass_balance",))
    return figure("volume", say("Beer to bottle"), written, LITRES, working, spread=0.2)


def _at_hand(setting: Setting, wanted: Asked) -> tuple[tuple[Bottle, ...], bool]:
    """The bottles at hand: asked for, else the empty ones of the shelf, else the usual sizes in any number."""
    text = wanted.word("bottles")
    if text.strip():
        lots = read_bottle_lots(text, say("Bottles"), words_to_keys(setting.shelf))
        return bottles_of(lots, setting.shelf), True
    if owned(setting.shelf):
        return empty_ones(setting.shelf, setting.full_bottles()), True
    return tuple(bottle_of("returnable_500", size, 0, setting.shelf) for size in _USUAL_SIZES), False


def _counts(litres: Figure) -> list[Figure]:
    """How many of each usual size so much beer would fill, where no bottles are known."""
    found = []
    for size in _USUAL_SIZES:
        each = size.to("L", "volume")
        value, low, high = (max(0.0, (end - FILL_LOSS_L) // each) for end in (litres.value, litres.low, litres.high))
        working = Working(
            say(
                "(litres − {FILL_LOSS_L} under the tap) ÷ the bottle's size",
                FILL_LOSS_L=say_amount(FILL_LOSS_L, None, "L"),
            ),
            litres.working.inputs,
            ("mass_balance",),
        )
        found.append(
            figure(f"count_{size.text}", say("Of {size}", size=size), value, COUNT, working, low=low, high=high)
        )
    return found


def _pressures(brew: Brew, setting: Setting, gas: Fizz, store: float) -> list[Figure]:
    """Pressure when the gas is all there: where the beer is now, and at the warmest of the store."""
    here = beer_temp_c(brew, setting.shelf, setting.now)
    found = []
    temps = [("pressure", here.value), ("pressure_warm", store)]
    if show(here.value, 0) == show(store, 0):
        del temps[0]  # as warm as it will get: one figure tells both
    for key, temp in temps:
        span, worst = gas.pressure(temp), pressure_bar(gas.worst, temp).best
        working = Working(
            say("gas shared between beer and headspace in a closed bottle"),
            (*gas.givens, Given(say("temperature"), say_amount(temp, 0, "°C"), Basis.RECKONED)),
            ("co2_mass_balance", "delange_2011"),
            (say("the worst bottle {worst}", worst=say_amount(worst, 1, "bar")),),
            (say("Above 25 °C the brewing chart is led on beyond its end."),) if temp > 25 else (),
        )
        found.append(
            figure(
                key,
                say("Pressure at {temp}", temp=say_amount(temp, 0, "°C")),
                span.best,
                BAR,
                working,
                low=span.low,
                high=span.high,
            )
        )
    gap = figure(
        "headspace",
        say("Gap under the cap"),
        100 * HEADSPACE,
        PER_CENT,
        Working(say("two to three centimetres in a neck, as a share of the beer"), (), ("common_practice",)),
        low=3.0,
        high=5.0,
    )
    return [gas.figure(), *found, gap]


def _option(bottle: Bottle, full: int, gas: Fizz, store: float) -> Option:
    words = bottle.fit_words(gas.total.best, gas.worst, store)
    warmest = bottle.warmest_c(gas.total.best, gas.worst)
    shown = []
    if not bottle.never and warmest > 0:
        working = Working(
            say("the temperature at which this beer reaches what the bottle is fit for"),
            gas.givens,
            ("british_glass_tec7", "co2_mass_balance", "common_practice"),
            (limit_words(bottle),),
        )
        shown.append(figure("warmest", say("Keep below"), float(int(min(warmest, 50.0))), _WHOLE_CELSIUS, working))
    return Option(
        say("{full} × {bottle}", full=full, bottle=bottle.words) if full else bottle.words,
        tuple(shown),
        say("{fit}. {note}", fit=words, note=bottle.kind.note),
        chosen=full > 0,
    )


def _unknown(litres: Figure) -> str:
    """About how many bottles, where none are known."""
    halves, thirds = (int(max(0.0, litres.value - FILL_LOSS_L) // size) for size in (0.5, 0.33))
    return say(
        "{litres}, less {loss} under the tap, fill about {halves} or {thirds}.",
        litres=say_amount(litres.value, 1, "L"),
        loss=say_amount(FILL_LOSS_L, 1, "L"),
        halves=f"{halves} × 500 mL",  # sizes as they stand on the bottles, whatever the reader's units
        thirds=f"{thirds} × 330 mL",
    )


def _not_yet(brew: Brew, setting: Setting, gas: Fizz, headline: str) -> str:
    """The headline, behind the warning that it is no work for today where it is too much for glass, or not finished."""
    if gas.outlook.finished is True:
        if too_much(brew, setting, gas):
            return say(
                "Too much for glass, with {best} volumes. {LET_OUT}", best=show(gas.total.best, 1), LET_OUT=LET_OUT
            )
        return headline
    if brew.last(ev.Primed) is not None:
        return say(
            "Primed, but not known to be finished: unless it is, let it finish under an airlock. {headline}",
            headline=headline,
        )
    lacking = gas.outlook.missing[0] if gas.outlook.missing else say("more evidence is wanted")
    return say(
        "Not yet: {lacking}. Were it done, {headline}"
        if gas.outlook.finished is False
        else "Not yet certain: {lacking}. Were it done, {headline}",
        lacking=lacking,
        headline=small(headline),
    )


def _why(gas: Fizz, at_hand: tuple[Bottle, ...], store: float) -> str:
    weak = weakest(tuple(b for b in at_hand if not b.never))
    average, worst = pressure_bar(gas.total.best, store).best, pressure_bar(gas.worst, store).best
    return say(
        "With {best} volumes it makes {average} at {store}, {worst} in the worst bottle. The weakest, "
        "{weak}, is held to {limit_words}.",
        best=show(gas.total.best, 1),
        average=say_amount(average, 1, "bar"),
        store=say_amount(store, 0, "°C"),
        worst=bare_bar(worst),
        weak=weak.words,
        limit_words=limit_words(weak),
    )


def _urgency(gas: Fizz, fills: tuple[Fill, ...], store: float) -> Urgency:
    words = {bottle.fit_words(its.total.best, its.worst, store) for bottle, _, its in fills}
    if gas.outlook.finished is not True and gas.primed is None:
        return Urgency.MEASURE
    if words & {"not fit", "never"}:
        return Urgency.DANGER
    return Urgency.NOTHING if words <= {"fit"} else Urgency.ACT


def _findings(brew: Brew, gas: Fizz, fills: tuple[Fill, ...], store: float, *, chosen: bool = False) -> list[Finding]:
    """What is to be said; `chosen` where the kinds that are not filled lie beside those that are."""
    found = list(overruled(brew))
    if gas.outlook.finished is not True and not brew.all(ev.Bottled):
        lacking = joined("; ", gas.outlook.missing) or say("the evidence is thin")
        text = say("Not known to be finished: {lacking}.", lacking=lacking)
        found.append(Finding(Urgency.MEASURE, text, say("One more reading before it is sealed?"), key="not_finished"))
    if gas.primed is None and brew.all(ev.Bottled):
        found.append(
            Finding(Urgency.MEASURE, say("No priming sugar is written."), say("Was any added?"), key="not_primed")
        )
    for bottle, full, its in fills:
        said = unfit(bottle, its, store)
        if said is not None and chosen and not full:  # a kind that nobody fills is a note
            said = replace(said, urgency=Urgency.NOTHING, check=say("They are left out."))
        found += [said] if said is not None else []
    if not any(bottle.kind.key == "pet" for bottle, _, _ in fills) and not brew.all(ev.Bottled):
        found.append(
            Finding(
                Urgency.NOTHING,
                say("Fill one plastic bottle too: when it is hard, it has started. How far beyond, it does not say."),
                key="indicator",
            )
        )
    warm_gap = float(headspace_when_warm(HEADSPACE, min(store, 60.0)))
    if warm_gap < _TOO_FULL:
        text = say(
            "At {store} the beer swells and leaves a gap of only {warm_gap} %.",
            store=say_amount(store, 0, "°C"),
            warm_gap=show(100 * warm_gap, 1),
        )
        found.append(Finding(Urgency.ACT, text, say("Leave more room."), key="gap"))
    return list({finding.text: finding for finding in found}.values())  # once for a kind that is written in two lots


def _missing(wanted: Asked, brew: Brew, *, known: bool) -> str:
    if not known:
        return say("Which bottles are at hand, and how many?")
    if "volume" not in wanted and not any(k.event.volume for k in brew.all(ev.Racked)):
        return say("How many litres are really in the bottling bucket?")
    return "" if "store" in wanted else say("How warm can it get where they will stand?")


def _assumed(wanted: Asked, warm: Figure, gas: Fizz, *, known: bool, primed: bool) -> tuple[str, ...]:
    found = list(wanted.assumed)
    if "store" not in wanted:
        found.append(
            say(
                "Warmest store: {warm} ({where})",
                warm=say_amount(warm.value, 0, "°C"),
                where=warm.working.inputs[0].where,
            )
        )
    if not primed:
        found.append(
            say(
                "Gas: primed to {best} volumes ({where})"
                if gas.outlook.finished is True
                else "Gas: finished, and primed to {best} volumes ({where})",
                best=show(gas.total.best, 1),
                where=gas.givens[0].where,
            )
        )
    if not known:
        found.append(say("Bottles: brown returnable ones, in any number"))
    return tuple(found)


# --- the act --------------------------------------------------------------------------------------------------

_LOTS = Field(
    "lots",
    say("Bottles filled, one kind on a line"),
    LONG_TEXT,
    hint=say("{HINT}. Left out: as counted by taps", HINT=HINT),
)


def _bottle(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    """Write what was filled. Bottles that must not hold it are told at once; what was done stays written."""
    lots = read_bottle_lots(str(values.get("lots") or ""), _LOTS.label, words_to_keys(setting.shelf))
    counted = None if lots else standing_of(brew)  # what was written stands for itself; else the taps speak
    if counted is not None and not counted.lots:
        needed({}, _LOTS)
    event = ev.Bottled(
        lots=counted.lots if counted else lots,
        place=str(values.get("place") or "").strip() or (counted.place if counted else ""),
        cap_code=str(values.get("cap_code") or "").strip() or (counted.cap_code if counted else ""),
        volume=values.get("volume") or (counted.volume if counted else None),
    )
    lots = event.lots
    after = with_entry(brew, at, event)
    gas = fizz_of(after, setting)
    bottles = bottles_of(lots, setting.shelf)
    store = store_c(after, setting.shelf).value
    fills = tuple((bottle, bottle.count, gas) for bottle in bottles)
    findings = [f for f in _findings(after, gas, fills, store) if f.key in _OF_BOTTLES]
    if gas.outlook.finished is not True:
        lacking = joined("; ", gas.outlook.missing) or say("the evidence is thin")
        text = say(
            "It was not known to be finished: {lacking}. Watch these bottles, keep them cool, open one early.",
            lacking=lacking,
        )
        findings.insert(
            0, Finding(Urgency.ACT, text, say("Is there one plastic bottle to squeeze?"), key="not_finished")
        )
    less = litres_findings(after, setting)
    findings += left_out(lots, standing_of(brew))
    findings += [*less, *(f for f in of_amount(brew, setting, lots, event) if not less or f.key != "less_beer")]
    return Decision(((at, event),), tuple(findings))


BOTTLE = Act(
    "bottle",
    say("Bottled it"),
    "bottling",
    (
        _LOTS,
        Field("place", say("Where they stand now"), TEXT),
        Field("cap_code", say("Code on the caps"), TEXT, hint="L27"),
        sums_fields.volume("volume", say("Beer in all, where it was read"), possible=(0.1, 1000.0)),
    ),
    _bottle,
    CAUTIONS,
    about=say("Add “, first” or “, last” to a line for the bottles that were filled first or last."),
)

STEP = Step(
    "bottling",
    say("Bottling"),
    say("How many bottles, and which are fit for it?"),
    answer,
    ASK,
    (BOTTLE, FILLING, FILL),
    CAUTIONS,
)
