"""Racking: usually not; when it helps; what really reaches the bottles; and the gas that stays in the beer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from gylebook.errors import Refused
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import joined, say, say_amount
from gylebook.science.carbonation import residual_volumes
from gylebook.steps.answers import Answer, Basis, Figure, Finding, Given, Option, Urgency, Working
from gylebook.steps.asked import DAYS, VOLUMES, Asked, Shown, figure
from gylebook.steps.decision import Act, Decision, Setting, Step
from gylebook.steps.fields import CHOICE, QUANTITY, TEXT, Field
from gylebook.steps.fizz import span_of, warmest_of
from gylebook.steps.gas_parts import residual_of
from gylebook.steps.moments import on_words
from gylebook.steps.outlook import Outlook, outlook
from gylebook.steps.volumes import in_vessel_l, litres, vessel_name
from gylebook.steps.warm_days import DAY, track
from gylebook.units import show

CAUTIONS = (
    say("A full bucket weighs as much as its litres in kilograms, and two more: lift with two, or rack by height."),
    say("No mouth on the siphon, no splashing; cooling draws air and airlock water in, so use a dry plug or foil."),
)
_BOTTLE_L = 0.5
_LONG_DAYS, _TOO_LONG_DAYS = 42, 56
_COOLED_BY_C = 3.0
_REASONS = (
    ("none", say("no special reason")),
    ("vessel", say("the vessel is needed")),
    ("fruit", say("fruit or hops in bulk")),
    ("store", say("long storage in bulk")),
    ("clear", say("to clear it")),
    ("prime", say("to prime the whole batch")),
)

ASK = (
    Field("reason", say("Why rack"), CHOICE, choices=_REASONS, default="none", reason=say("most beers are not racked")),
    Field(
        "cold",
        say("Chilled to"),
        QUANTITY,
        ("temperature",),
        possible=(-3, 40),
        usual=(-1, 25),
        hint="3 °C",
    ),
)


def answer(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> Answer:
    """Should it be racked, how much will reach the bottles, and how much gas is in it?"""
    wanted = Asked(ASK, asked)
    found = outlook(brew, setting)
    headline, why, urgency = _say(brew, setting, found, wanted.word("reason"))
    residual, options = _gas(brew, setting, found, wanted)
    return Answer(
        headline,
        why,
        urgency,
        figures=(*_litres(brew, setting), warmest_of(brew, setting, found), residual, *_time(brew, setting)),
        findings=_findings(brew, setting, found),
        options=options,
        missing="" if brew.last(ev.Mixed) else say("How many litres were made up?"),
        cautions=CAUTIONS,
        rule_of_thumb=say("Whether to rack is common practice; the gas that stays follows the warmest since the end."),
        assumed=wanted.assumed,
    )


def _say(brew: Brew, setting: Setting, found: Outlook, reason: str) -> tuple[str, str, Urgency]:
    if brew.all(ev.Bottled):
        return say("It is in bottles."), "", Urgency.NOTHING
    if brew.all(ev.Racked):
        return _say_racked(brew, setting, found)
    if not found.pitched:
        return say("Nothing to rack yet."), say("No yeast is written down."), Urgency.NOTHING
    early = found.now_sg is None or found.now_sg.value > found.expected_fg.value + 0.002
    if reason == "prime":
        if found.finished:
            return say("Yes: onto the sugar syrup in the bottling bucket, quietly."), _QUIETLY, Urgency.NOTHING
        return say("Not yet: it is not known to be finished."), joined("; ", found.missing[:2]) + ".", Urgency.WAIT
    if early and reason != "none":
        words = say(
            "Wait until it is within two points of its end: racked early, it leaves its yeast behind and stalls."
        )
        return say("Not yet."), words, Urgency.WAIT
    answers = {
        "vessel": (say("It can be racked now."), say("Freeing a vessel is a fair reason. {how}", how=_QUIETLY)),
        "fruit": (say("It can be racked now."), say("Onto fruit, or off a load of hops. {how}", how=_QUIETLY)),
        "store": (
            say("Yes, into a full vessel with little air."),
            say("For more than two months in bulk. {how}", how=_QUIETLY),
        ),
        "clear": (
            say("No. Cold clears it better."),
            say("Two to five days at 0 to 5 °C drop most haze, without a second vessel."),
        ),
    }
    if reason in answers:
        return *answers[reason], Urgency.NOTHING
    return (
        say("No. Leave it on its yeast until bottling day."),
        _NO_GAIN,
        Urgency.NOTHING,
    )


def _say_racked(brew: Brew, setting: Setting, found: Outlook) -> tuple[str, str, Urgency]:
    """What comes after racking: the sugar, where it is for bottling and nothing is left to ferment."""
    if brew.all(ev.Primed):
        return say("Racked and primed: stir it once, gently, and bottle it now."), _AIR, Urgency.ACT
    if not found.finished:
        at = found.next_reading_at
        later = at is not None and at > setting.now
        when = on_words(at, setting.now, setting.zone) if later and at is not None else say("now")
        words = say("Racked, but it is not known to be finished: no sugar yet. Read it {when}.", when=when)
        return words, joined("; ", found.missing[:2]) + ".", Urgency.WAIT if later else Urgency.MEASURE
    volume = say_amount(in_vessel_l(brew, setting.shelf).value, 1, "L")
    name = vessel_name(brew)
    vessel = setting.shelf.vessels.get(name)
    if "bottling" in f"{name} {vessel.what if vessel is not None else ''}":
        return say("Racked: weigh the sugar for {volume}, and bottle it today.", volume=volume), _AIR, Urgency.ACT
    words = say("Racked: leave it closed until bottling day, then weigh the sugar for {volume}.", volume=volume)
    return words, say("Once is enough. {why}", why=_AIR), Urgency.NOTHING


_AIR = say("Off its yeast it takes up air while it stands, and air makes it taste of cardboard.")
_NO_GAIN = say(
    "Two to six weeks on the yeast do no harm; racking takes up air and gains nothing here. It helps only to free a "
    "vessel, for fruit, for long storage, or onto priming syrup."
)
_QUIETLY = say("Tube to the bottom, no splash; leave the last litre on the sediment.")


def _litres(brew: Brew, setting: Setting) -> tuple[Figure, ...]:
    volume = in_vessel_l(brew, setting.shelf)
    volume = replace(volume, label=say("Beer that will reach the bottles"))
    working = Working(say("beer ÷ 0.5 L"), (Given(say("beer"), volume.text(), Basis.RECKONED),), ("by_definition",))
    bottles = figure(
        "bottles",
        say("Bottles of 500 mL"),
        volume.value / _BOTTLE_L,
        Shown("", "count", 0),
        working,
        low=volume.low / _BOTTLE_L,
        high=volume.high / _BOTTLE_L,
    )
    return volume, bottles


def _time(brew: Brew, setting: Setting) -> tuple[Figure, ...]:
    pitched = brew.first(ev.Pitched)
    if pitched is None:
        return ()
    ended = next((k.at for k in brew.kept if isinstance(k.event, ev.Racked | ev.Bottled)), setting.now)
    days = max(0.0, (ended - pitched.at) / DAY)
    given = Given(say("yeast in"), say("entry {seq}", seq=pitched.seq), Basis.MEASURED, seq=pitched.seq)
    return (
        figure(
            "on_yeast",
            say("On the yeast"),
            days,
            DAYS,
            Working(say("days since pitching"), (given,), ("by_definition",)),
        ),
    )


def _gas(brew: Brew, setting: Setting, found: Outlook, wanted: Asked) -> tuple[Figure, tuple[Option, ...]]:
    warmest = warmest_of(brew, setting, found)
    held = residual_of(span_of(warmest))
    working = Working(
        say(
            "dissolved at the warmest since fermentation ended; cooling afterwards drives nothing out and draws "
            "little in"
        ),
        (Given(say("warmest since the end"), warmest.text(), Basis.RECKONED),),
        ("draper_hibberd_1996", "delange_2011"),
    )
    residual = figure("residual", say("Gas in the beer now"), held.best, VOLUMES, working, low=held.low, high=held.high)
    cold = wanted.number("cold")
    if cold is None:
        cold = track(brew, setting.shelf).at_moment(setting.now)
    if cold > warmest.value - _COOLED_BY_C:
        return residual, ()
    wrong = float(residual_volumes(max(cold, 0.0)))
    believed = figure(
        "residual", say("Gas, wrongly"), wrong, VOLUMES, replace(working, cautions=(say("not what is in the beer"),))
    )
    flat = show((wrong - held.best), 1)
    return residual, (
        Option(
            say("By its warmest, {warmest}", warmest=say_amount(warmest.value, 0, "°C")),
            (residual,),
            say("what is in the beer"),
            chosen=True,
        ),
        Option(
            say("By the cold, {cold}", cold=say_amount(cold, 0, "°C")),
            (believed,),
            say("wrong: primed so, the beer ends {flat} vol too flat", flat=flat),
        ),
    )


def _findings(brew: Brew, setting: Setting, found: Outlook) -> tuple[Finding, ...]:
    kept = [f for f in found.findings if f.key in {"below_possible", "cold", "hop_creep"}]
    pitched = brew.first(ev.Pitched)
    if pitched is None or any(isinstance(k.event, ev.Racked | ev.Bottled) for k in brew.kept):
        return tuple(kept)
    warm = track(brew, setting.shelf).warm_days(pitched.at, setting.now)
    if warm >= _LONG_DAYS:
        urgency = Urgency.ACT if warm >= _TOO_LONG_DAYS else Urgency.MEASURE
        text = say(
            "{warm} warm weeks on the yeast: from four to eight on, a meaty or rubbery taste can come.",
            warm=show(warm / 7, 0),
        )
        kept.append(Finding(urgency, text, say("Taste it; bottle it soon."), key="long_on_yeast"))
    return tuple(kept)


def _rack(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    """Write that the beer was moved off its sediment."""
    if any(k.at <= at for k in brew.all(ev.Bottled)):
        raise Refused(
            say("The beer is in bottles, so it cannot be racked; check which brew this is, or correct the date.")
        )
    event = ev.Racked(vessel=str(values.get("vessel") or ""), volume=values.get("volume"))
    found = outlook(brew, setting)
    findings: list[Finding] = []
    if not found.finished and found.pitched:
        text = say(
            "It is not known to be finished: racking leaves most of the yeast behind, and the rest can come to a halt."
        )
        findings.append(Finding(Urgency.MEASURE, text, joined("; ", found.missing[:1]), key="racked_early"))
    findings += _on_volume(brew, event, at, setting)
    return Decision(((at, event),), tuple(findings))


def _on_volume(brew: Brew, event: ev.Racked, at: datetime, setting: Setting) -> list[Finding]:
    found: list[Finding] = []
    vessel = setting.shelf.vessels.get(event.vessel)
    if event.volume is None:
        return found
    moved, before = litres(event.volume), in_vessel_l(brew, setting.shelf, at, with_sediment=True)
    if vessel is not None and vessel.capacity is not None and moved > litres(vessel.capacity):
        text = say(
            "{volume} do not fit into {vessel}, which holds {capacity}.",
            volume=event.volume,
            vessel=event.vessel,
            capacity=vessel.capacity,
        )
        found.append(Finding(Urgency.MEASURE, text, say("Is it the right vessel?"), key="vessel_too_small"))
    if moved > before.high:
        name = vessel_name(brew, at) or say("the vessel")
        text = say(
            "{volume} is more than {name} can have held ({held}).", volume=event.volume, name=name, held=before.text()
        )
        found.append(
            Finding(Urgency.MEASURE, text, say("Is it the right brew, and the right mark?"), key="more_than_was_there")
        )
    return found


RACK = Act(
    "rack",
    say("Rack it"),
    "racking",
    (
        Field("vessel", say("Into which vessel"), TEXT, hint=say("bottling bucket")),
        Field("volume", say("Litres that went over"), QUANTITY, ("volume",), possible=(0.2, 1000), hint="20.5 L"),
    ),
    _rack,
    CAUTIONS,
)

STEP = Step(
    "racking",
    say("Racking"),
    say("Rack it, or leave it? How much will reach the bottles?"),
    answer,
    ASK,
    (RACK,),
    CAUTIONS,
)
