"""Tasting: when it can be drunk, how strong it is, what a fault comes from, and why two brews differ."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from gylebook.errors import Refused
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import capital, joined, say
from gylebook.science import label
from gylebook.steps.answers import Answer, Figure, Finding, MomentFigure, Option, Urgency, Working
from gylebook.steps.asked import NUMBER, Asked, figure
from gylebook.steps.bottle_moments import moments_of
from gylebook.steps.bottle_times import BottleTimes, bottle_times
from gylebook.steps.decision import Act, Decision, Setting, Step
from gylebook.steps.fields import COUNT, FLAG, LONG_TEXT, TEXT, Field
from gylebook.steps.moments import day_words
from gylebook.steps.outlook import outlook
from gylebook.steps.strength import ALCOHOL_CAUTION, strength_of
from gylebook.steps.tasting_facts import gather
from gylebook.steps.tasting_faults import FAULTS, Fault, fault_named, ranked
from gylebook.units import Quantity, show

_FAULT_HINT = say("one or more, with commas between: {known}", known=joined(", ", FAULTS))
CAUTIONS = (
    ALCOHOL_CAUTION,
    say("Open it cold, over a sink, the cap pointing away from faces; pour in one go and leave the sediment behind."),
)

ASK = (Field("faults", say("What is wrong with it"), TEXT, hint=_FAULT_HINT),)


def split_faults(text: str) -> tuple[str, ...]:
    """Fault words as written, one by one."""
    return tuple(part.strip() for part in text.replace(";", ",").split(",") if part.strip())


def answer(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> Answer:
    """When it can be drunk, how strong it is; and the likely causes of a fault that was named or written."""
    wanted = Asked(ASK, asked)
    words = split_faults(wanted.word("faults")) or _last_faults(brew)
    found = outlook(brew, setting)
    strength = strength_of(brew, setting, found)
    figures: list[Figure | MomentFigure] = [strength, _units(brew, strength)]
    times = bottle_times(brew, setting.shelf, found.original.value)
    if times is not None:
        figures += moments_of(times)
    causes = _causes(brew, setting, words)
    headline, urgency, why = _when(setting, strength, times)
    if causes:
        name = causes[0].name
        headline, why = (
            say("{name}: {cause}", name=capital(name), cause=causes[0].words),
            say("{why} {fading}", why=why, fading=_fading(words)).strip(),
        )
    return Answer(
        headline,
        why,
        urgency,
        tuple(figures),
        _unknown_words(words),
        causes,
        missing=_missing(brew, words, bottled=times is not None),
        cautions=CAUTIONS,
        rule_of_thumb=say("Times and the ranking of causes are the trade's habit, weighed by this brew's own log."),
        assumed=wanted.assumed,
    )


def _last_faults(brew: Brew) -> tuple[str, ...]:
    tasted = brew.last(ev.Tasted)
    return tasted.event.faults if tasted else ()


def _missing(brew: Brew, words: tuple[str, ...], *, bottled: bool) -> str:
    if not bottled:
        return say("When was it bottled?")
    if words and not brew.all(ev.Cleaned):
        return say("What were bucket, tap and bottles cleaned with, and was it rinsed?")
    return "" if words else say("How does it taste?")


def _units(brew: Brew, strength: Figure) -> Figure:
    bottled = brew.first(ev.Bottled)
    sizes = [lot.size for lot in bottled.event.lots] if bottled else []
    size = sizes[0] if sizes else Quantity("500", "mL")
    litres = size.to("L", "volume")
    value, low, high = (
        float(label.alcohol_units_uk(max(end, 0.0), litres)) for end in (strength.value, strength.low, strength.high)
    )
    working = Working(
        say("strength × litres; 10 mL of ethanol are one unit in the United Kingdom"),
        strength.working.inputs,
        ("uk_unit_of_alcohol",),
    )
    return figure("units", say("Units in {size}", size=size), value, NUMBER, working, low=low, high=high)


def _when(setting: Setting, strength: Figure, times: BottleTimes | None) -> tuple[str, Urgency, str]:
    strong = say(
        "About {strength} % vol ({strength_low} to {strength_high}).",
        strength=show(strength.value, 1),
        strength_low=show(strength.low, 1),
        strength_high=show(strength.high, 1),
    )
    if times is None:
        return say("Not in bottles yet: nothing to judge but the samples."), Urgency.WAIT, strong

    def day(at: datetime) -> str:
        return day_words(at, setting.now, setting.zone)

    first, ready, best_from = times.carbonated[0], times.ready, times.best_from[1]
    if first is None or ready is None or best_from is None:
        cold = say("Too cold to carbonate: it is ready not before it is warmed; see Conditioning.")
        return (
            cold,
            Urgency.WAIT,
            say("Kept cool and carbonated, at its best to {day}. {strong}", day=day(times.best_to), strong=strong),
        )
    window = say(
        "At its best from {day} to {day2}, kept cool: {because}.",
        day=day(best_from),
        day2=day(times.best_to),
        because=times.window.because,
    )
    why = say("{window} {strong}", window=window, strong=strong)
    if setting.now < first:
        return say("Wait: carbonated by {day}.", day=day(ready)), Urgency.WAIT, why
    if setting.now < best_from:
        return say("Open one to see; the rest is still growing up."), Urgency.MEASURE, why
    if setting.now <= times.best_to:
        return say("Drink it: it is in its good time."), Urgency.NOTHING, why
    return say("Drink it soon: it is past its best, not past drinking."), Urgency.NOTHING, why


def _causes(brew: Brew, setting: Setting, words: tuple[str, ...]) -> tuple[Option, ...]:
    """The causes of each named fault, ranked, as options: name, what the log says, what to do next time."""
    found: list[Option] = []
    facts = gather(brew, setting) if words else None
    for word in words:
        fault = fault_named(word)
        if fault is None or facts is None:
            continue
        for place, (cause, evidence) in enumerate(ranked(fault, facts)):
            seen = (
                say("{evidence} (entry {seq})", evidence=evidence.words, seq=evidence.seq)
                if evidence.seq
                else evidence.words
            )
            text = say("{seen}. Next time: {next_time}", seen=seen, next_time=cause.next_time)
            found.append(Option(say("{key}, {cause}", key=fault.key, cause=cause.words), (), text, chosen=place == 0))
    return tuple(found)


def _fading(words: tuple[str, ...]) -> str:
    faults: list[Fault] = [fault for word in words if (fault := fault_named(word)) is not None]
    told = []
    for fault in faults:
        again = say("; taste again in {days} days", days=fault.retaste_days) if fault.retaste_days else ""
        told.append(say("“{key}” {fades}{again}.", key=fault.key, fades=fault.fades, again=again))
    return joined(" ", told)


def _unknown_words(words: tuple[str, ...]) -> tuple[Finding, ...]:
    unknown = [word for word in words if fault_named(word) is None]
    if not unknown:
        return ()
    return (
        Finding(
            Urgency.NOTHING,
            say("Kept as written, but no causes are known for: {words}.", words=", ".join(unknown)),
            say("Is one of these meant: {known}?", known=joined(", ", FAULTS)),
            key="unknown_fault",
        ),
    )


# --- the act --------------------------------------------------------------------------------------------------


def _taste(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    """Write what it tastes like, in the brewer's own words, with the likely causes of the faults as findings."""
    event = ev.Tasted(
        score=values.get("score"),
        faults=split_faults(str(values.get("faults") or "")),
        words=str(values.get("words") or ""),
        again=values.get("again"),
        change=str(values.get("change") or ""),
    )
    if event == ev.Tasted():
        raise Refused(say("Nothing was written about the taste; a word or a score is enough."))
    findings = list(_unknown_words(event.faults))
    if event.faults:
        facts = gather(brew, setting)
        for word in event.faults:
            fault = fault_named(word)
            if fault is not None:
                cause, evidence = ranked(fault, facts)[0]
                text = say(
                    "“{key}”: most likely {cause}; {evidence}. It {fades}.",
                    key=fault.key,
                    cause=cause.words,
                    evidence=evidence.words,
                    fades=fault.fades,
                )
                findings.append(Finding(Urgency.NOTHING, text, cause.next_time, evidence.seq, key="cause"))
    if not brew.all(ev.Bottled):
        findings.append(
            Finding(
                Urgency.NOTHING, say("No bottling is written yet; this counts as tasting a sample."), key="not_bottled"
            )
        )
    return Decision(((at, event),), tuple(findings))


TASTE = Act(
    "taste",
    say("Tasted it"),
    "tasting",
    (
        Field("score", say("From 1 to 10"), COUNT, possible=(1, 10)),
        Field("words", say("In your own words"), LONG_TEXT),
        Field("faults", say("Faults"), TEXT, hint=_FAULT_HINT),
        Field("again", say("Brew it again"), FLAG),
        Field("change", say("What to change next time"), TEXT),
    ),
    _taste,
    CAUTIONS,
)

STEP = Step(
    "tasting",
    say("Tasting"),
    say("Can it be drunk, and what is that taste?"),
    answer,
    ASK,
    (TASTE,),
    CAUTIONS,
)
