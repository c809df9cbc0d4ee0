"""Planning: what it will be, how much of it, and when."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import isfinite
from typing import Any

from gylebook.errors import InputError
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import joined, say, say_amount
from gylebook.steps.answers import Answer, Basis, Figure, Finding, Given, MomentFigure, Urgency, Working
from gylebook.steps.asked import LITRES, Asked, figure
from gylebook.steps.decision import Setting, Step
from gylebook.steps.makeup import MakeUp, body_words, chosen_alternative, kit_makeup, makeup_of, sg_of
from gylebook.steps.mixing import dropped_points
from gylebook.steps.mixing_volume import Leaflet, headspace_finding, volume_findings
from gylebook.steps.moments import day_words
from gylebook.steps.outlook import outlook
from gylebook.steps.plan_acts import (
    CLOSE,
    DUMP,
    FIVE,
    INGREDIENTS,
    NOTE,
    PLAN,
    choice_key,
    kit_named,
    kit_of_ingredients,
)
from gylebook.steps.plan_calendar import Calendar, calendar
from gylebook.steps.plan_kit import alternatives_of, cost_figure, gate_words, make_up_figures, yield_figures
from gylebook.steps.readings import latest_first
from gylebook.steps.volumes import litres, start_l
from gylebook.steps.yeast_dose import dose_figures, dose_findings, yeast_of_kit
from gylebook.units import show

CAUTIONS = (
    say("Beer brewed at home is for the household, not for sale, and not for children; local law says how much."),
    say("A bulging or leaking can is thrown away unopened."),
)
ASK = (*FIVE, INGREDIENTS, next(field for field in PLAN.fields if field.name == "drink_on"))
_PLANNED_SD_L = 0.6
_Z90 = 1.645


@dataclass(frozen=True, slots=True)
class _Intent:
    """What is planned, as far as it is known."""

    kit: ev.Kit | None
    choice: str
    made: MakeUp
    volume: Figure
    start_on: date
    drink_on: date | None
    place: str
    vessel: str
    assumed: tuple[str, ...]


def answer(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> Answer:
    """What the plan gives, its choices side by side, and its calendar."""
    intent = _intent(brew, setting, asked)
    if intent is None:
        kits = joined(", ", setting.shelf.kits)
        return Answer(
            say("Choose a kit, or write down what goes in."),
            say("On the shelf: {kits}.", kits=kits)
            if kits
            else say("No kit is on the shelf yet; a leaflet is entered once."),
            Urgency.MEASURE,
            missing=say("Which kit, or which ingredients in how many litres?"),
            cautions=CAUTIONS,
        )
    figures = make_up_figures(
        intent.made, intent.volume, _gates(intent), litres(intent.kit.volume) if intent.kit is not None else None
    )
    when = calendar(setting, intent.kit, intent.start_on, intent.place, intent.drink_on)
    hops = intent.kit.hops if intent.kit is not None else ()
    yields = yield_figures(intent.volume, hops)
    yeast = yeast_of_kit(intent.kit, intent.volume, intent.start_on)
    cost = _cost(intent)
    findings = latest_first(tuple(_findings(brew, setting, intent, figures, when)))
    options = alternatives_of(intent.kit, intent.choice, intent.volume) if intent.kit is not None else ()
    shown: list[Figure | MomentFigure] = [*figures, *yields, *dose_figures(yeast)[:1], *((cost,) if cost else ())]
    return Answer(
        _headline(brew, setting, figures, yields[1], when),
        _why(brew, intent, setting, when),
        _urgency(findings),
        figures=(*shown, *_ahead(brew, setting, when)),
        findings=findings,
        options=options,
        missing=_missing(intent, setting, yeast_known=yeast.known) if brew.stage == "planned" else "",
        cautions=CAUTIONS,
        rule_of_thumb=say("The calendar goes by habits of the trade and by warmth; readings decide, not days."),
        assumed=intent.assumed,
    )


def _intent(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> _Intent | None:
    wanted = Asked(ASK, asked)
    plan = brew.plan
    assumed: list[str] = []
    kit = _kit(brew, setting, wanted, assumed)
    if kit is None and not makeup_of(brew).ingredients:
        return None
    asked_kit = bool(wanted.word("kit") or wanted.word("ingredients"))
    choice = choice_key(kit, wanted.word("choice") or ("" if asked_kit else plan.choice))
    made = kit_makeup(kit, choice) if kit is not None and (asked_kit or wanted.word("choice")) else makeup_of(brew)
    if not made.ingredients and kit is not None:
        made = kit_makeup(kit, choice)
    volume = _volume(brew, setting, wanted, kit, asked_kit=asked_kit, assumed=assumed)
    start_on, place = _start(brew, setting, asked, assumed), wanted.word("place") or plan.place
    if not place:
        assumed.append(say("it stands in the leaflet's range, or an ordinary room"))
    drink_on = asked.get("drink_on") or plan.drink_on
    return _Intent(kit, choice, made, volume, start_on, drink_on, place, plan.vessel, (*made.assumed, *assumed))


def _kit(brew: Brew, setting: Setting, wanted: Asked, assumed: list[str]) -> ev.Kit | None:
    name, text = wanted.word("kit"), wanted.word("ingredients")
    if name and text:
        raise InputError(say("What goes in"), say("a kit was chosen as well"), say("leave one of the two out"))
    if name:
        return kit_named(brew, setting.shelf, name)
    if text:
        of_the_plan = brew.plan.volume or (brew.plan.kit.volume if brew.plan.kit is not None else None)
        return kit_of_ingredients(text, wanted.quantity("volume") or of_the_plan)
    if brew.plan.kit is not None:
        return brew.plan.kit
    kits = list(setting.shelf.kits.values())
    if len(kits) == 1 and not makeup_of(brew).ingredients:
        assumed.append(say("the kit is {kit}, the only one on the shelf", kit=kits[0].name))
        return kits[0]
    return None


def _volume(
    brew: Brew, setting: Setting, wanted: Asked, kit: ev.Kit | None, *, asked_kit: bool, assumed: list[str]
) -> Figure:
    asked = wanted.number("volume")
    if asked is not None:
        given = wanted.given("volume")
        return figure(
            "mixed", say("To be made up"), asked, LITRES, Working(say("as asked"), given), spread=_Z90 * _PLANNED_SD_L
        )
    if kit is not None and (asked_kit or brew.plan.kit is None) and brew.stage == "planned":
        given = (Given(say("volume"), kit.volume.said(), Basis.LEAFLET, say("the leaflet")),)
        assumed.append(say("made up to {volume}, as the leaflet says", volume=kit.volume))
        return figure(
            "mixed",
            say("To be made up"),
            litres(kit.volume),
            LITRES,
            Working(say("the leaflet's"), given),
            spread=_Z90 * _PLANNED_SD_L,
        )
    found = start_l(brew, setting.shelf)
    assumed += [
        say("{name}: {value} ({where})", name=g.name, value=g.value, where=g.where)
        for g in found.working.inputs
        if g.basis is Basis.ASSUMED
    ]
    return found


def _start(brew: Brew, setting: Setting, asked: Mapping[str, Any], assumed: list[str]) -> date:
    begun = brew.first(ev.Mixed) or next(iter(brew.all(ev.Pitched)), None)
    if begun is not None:
        return begun.at.astimezone(setting.zone).date()
    found: date | None = asked.get("start_on") or brew.plan.start_on
    if found is not None:
        return found
    assumed.append(say("it begins today"))
    return setting.now.astimezone(setting.zone).date()


def _gates(intent: _Intent) -> ev.Gates:
    if intent.kit is None:
        return ev.Gates()
    alternative = chosen_alternative(intent.kit, intent.choice)
    if alternative is not None and alternative.gates != ev.Gates():
        return alternative.gates
    return intent.kit.gates


def _cost(intent: _Intent) -> Figure | None:
    if intent.kit is None:
        return None
    return cost_figure(intent.kit, chosen_alternative(intent.kit, intent.choice))


def _in_bottles(brew: Brew) -> bool:
    return not brew.open or bool(brew.all(ev.Bottled))


def _bottling_words(brew: Brew, setting: Setting, when: Calendar) -> str:
    """When it should be bottled, as long as that is still to come and the readings leave it open; else what bars it."""
    if _in_bottles(brew):
        return ""
    found = outlook(brew, setting) if brew.first(ev.Pitched) is not None else None
    if found is not None and found.finished:
        return say("; by its readings it can be primed and bottled")
    if found is not None and found.finished is False and (found.stands or found.by is None):
        return say("; no day for bottling while it stands above its end, or lower than it can reach")
    level = say("when spaced readings lie level, where the make-up says it ends")
    if when.bottling.value <= setting.now:
        return say("; bottling {level}", level=level)
    return say(
        "; bottling about {day}, {level}",
        day=day_words(when.bottling.value, setting.now, setting.zone),
        level=level,
    )


def _ahead(brew: Brew, setting: Setting, when: Calendar) -> tuple[MomentFigure, ...]:
    """The moments of the calendar that are still to come; none once it is bottled: the bottles have dates of their own.

    Where the readings bar the bottling no day is told for it, nor for the drinking.
    """
    if _in_bottles(brew) or "about" not in _bottling_words(brew, setting, when):
        return ()
    hops = () if brew.all(ev.Hopped) else when.hops
    return tuple(moment for moment in (*hops, when.bottling, when.drink) if moment.high > setting.now)


def _headline(brew: Brew, setting: Setting, figures: tuple[Figure, ...], bottles: Figure, when: Calendar) -> str:
    shown = {f.key: f for f in figures}
    day = day_words(when.drink.value, setting.now, setting.zone)
    strength = say("About {abv} % vol", abv=show(shown["abv"].value, 1)) if "abv" in shown else say("A beer")
    body = say(", {body}", body=body_words(shown["body"].value)) if "body" in shown else ""
    drink = say("; good to drink from {day}", day=day) if when.drink in _ahead(brew, setting, when) else ""
    if _in_bottles(brew):
        return say("{strength}{body}, by its plan; it is past planning.", strength=strength, body=body)
    return say(
        "{strength}{body}, about {bottles} bottles of 500 mL{drink}.",
        strength=strength,
        body=body,
        bottles=show(bottles.value, 0),
        drink=drink,
    )


def _why(brew: Brew, intent: _Intent, setting: Setting, when: Calendar) -> str:
    parts = [say_amount(intent.volume.value, 1, "L")]
    if intent.kit is not None:
        alternative = chosen_alternative(intent.kit, intent.choice)
        parts.append(
            say("{kit} with {alternative}", kit=intent.kit.name, alternative=alternative.name)
            if alternative
            else intent.kit.name
        )
    gates = gate_words(_gates(intent))
    tail = say(" Gates: {gates}.", gates=gates) if gates and not _in_bottles(brew) else ""
    return say(
        "{what}{bottling}.{tail}",
        what=joined(", ", reversed(parts)),
        bottling=_bottling_words(brew, setting, when),
        tail=tail,
    )


def _findings(
    brew: Brew, setting: Setting, intent: _Intent, figures: tuple[Figure, ...], when: Calendar
) -> list[Finding]:
    if _in_bottles(brew):
        return []  # whatever could be mended, dosed or waited for is past
    found = list(when.findings)
    if brew.stage == "planned":
        headspace = headspace_finding(setting.shelf.vessels.get(intent.vessel), intent.volume.value)
        found += [headspace] if headspace is not None else []
        found += _yeast_findings(intent, figures)
    if intent.kit is not None:
        meant = litres(intent.kit.volume)
        found += volume_findings(
            intent.made.ingredients,
            intent.volume.value,
            meant,
            leaflet=Leaflet(_gates(intent), meant),
            volume_sd_l=(intent.volume.high - intent.volume.low) / 2 / _Z90,
            dropped_points=dropped_points(brew, setting, next((f for f in figures if f.key == "og"), None)),
        )[0]
        if intent.kit.best_before is not None and intent.kit.best_before < intent.start_on:
            found.append(
                Finding(
                    Urgency.WAIT,
                    say(
                        "The kit's date, {best_before}, will be past: darker, a little tangy, and its yeast wants "
                        "replacing.",
                        best_before=intent.kit.best_before,
                    ),
                    say("Is fresh yeast at hand?"),
                    key="past_date",
                )
            )
    found += _gate_findings(intent, figures)
    return found


def _yeast_findings(intent: _Intent, figures: tuple[Figure, ...]) -> list[Finding]:
    og = next((f.value for f in figures if f.key == "og"), 1.045)
    yeast = yeast_of_kit(intent.kit, intent.volume, intent.start_on)
    return [f for f in dose_findings(yeast, og) if f.urgency is not Urgency.NOTHING]


def _gate_findings(intent: _Intent, figures: tuple[Figure, ...]) -> list[Finding]:
    """The number that means finished changes with what is added; a gate below it would never open."""
    gate = _gates(intent).bottle_at_or_below
    fg = next((f for f in figures if f.key == "fg"), None)
    if gate is None or fg is None or not isfinite(fg.value) or sg_of(gate) >= fg.low - 0.0005:
        return []
    return [
        Finding(
            Urgency.WAIT,
            say(
                "This make-up stops at about {fg}; the gate of {gate} to bottle would never open.",
                fg=show(fg.value, 3),
                gate=gate,
            ),
            say("Was the gate meant for another addition?"),
            key="gate_too_low",
        )
    ]


def _missing(intent: _Intent, setting: Setting, *, yeast_known: bool) -> str:
    if intent.kit is not None and len(intent.kit.alternatives) > 1 and not intent.choice:
        return say("Which of the additions will it be?")
    if not intent.place or intent.place not in setting.shelf.places:
        return say("Where will it stand, and how warm is it there?")
    return "" if yeast_known else say("How many grams of yeast come with it?")


def _urgency(findings: tuple[Finding, ...]) -> Urgency:
    return findings[0].urgency if findings else Urgency.NOTHING


STEP = Step(
    "plan",
    say("Plan"),
    say("What will it be, how much of it, and when?"),
    answer,
    ASK,
    (PLAN, NOTE, CLOSE, DUMP),
    CAUTIONS,
)
