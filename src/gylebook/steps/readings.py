"""Readings: what the hydrometer really says, and what is odd about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from math import isfinite
from typing import Any

from gylebook.errors import InputError, OutOfRange
from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept, Shelf
from gylebook.phrases import say, say_amount
from gylebook.science.attenuation import apparent_attenuation
from gylebook.steps.answers import Answer, Basis, Figure, Finding, Given, Urgency, Working
from gylebook.steps.asked import PER_CENT, Asked, figure
from gylebook.steps.decision import Act, Decision, Setting, Step
from gylebook.steps.fields import CHOICE, QUANTITY, TEXT, Field
from gylebook.steps.gravity import TrueReading, one_more, original_gravity, readings
from gylebook.steps.makeup import ingredients_of
from gylebook.steps.oddities import likely_gravity, unusable_finding
from gylebook.steps.samples import is_usable, unusable
from gylebook.steps.strength import strength_figure
from gylebook.steps.volumes import Z90
from gylebook.units import show

CAUTIONS = (
    say("Everything that touches the beer is sanitised first; a drawn sample never goes back in. Taste it instead."),
    say("A hydrometer is thin glass: spin it clear of the jar's wall, never measure hot wort with it."),
)
_ORDER = (Urgency.DANGER, Urgency.ACT, Urgency.MEASURE, Urgency.WAIT, Urgency.NOTHING)
_US_TO_IMPERIAL = 1.201  # imperial gallon over US gallon

_EXPECTED = Field(
    "expected",
    say("Original gravity you expected"),
    QUANTITY,
    ("gravity", "extract"),
    possible=(1.0, 1.16),
    hint=say("what a leaflet or recipe promised, where the reading surprised you"),
)
_STIRRED = (("well", say("stirred well")), ("a little", say("stirred a little")), ("no", say("not stirred")))


def latest_first(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Findings with the most pressing first, otherwise in the order given."""
    return tuple(sorted(findings, key=lambda finding: _ORDER.index(finding.urgency)))


def answer(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> Answer:
    """The true gravity now, and what the last reading needs."""
    wanted = Asked((_EXPECTED,), asked)
    seen = readings(brew, setting.shelf)
    og = original_gravity(brew, setting.shelf)
    measured = brew.all(ev.Measured)
    strange = [f for f in unusable(brew) if measured and f.seq == measured[-1].seq]
    compared = _compared(wanted, og)
    if not seen:
        return _unread(brew, og, (*strange, *compared), wanted)
    last = seen[-1]
    findings = latest_first((*strange, *last.findings, *compared, *_original_in_words(seen, last)))
    return Answer(
        _headline(last, findings),
        _why(last, og),
        findings[0].urgency if findings else Urgency.NOTHING,
        figures=_figures(last, og),
        findings=findings,
        missing=_missing(brew, last),
        cautions=CAUTIONS,
        assumed=_assumed(last),
    )


def _unread(brew: Brew, og: Figure, findings: tuple[Finding, ...], wanted: Asked) -> Answer:
    known = bool(ingredients_of(brew))
    if findings and findings[0].key == "wrong_scale":
        headline, urgency = findings[0].check, findings[0].urgency
    elif known:
        headline, urgency = (
            say("By weight and volume it starts at {og}; a reading only checks it.", og=show(og.value, 4)),
            Urgency.WAIT,
        )
    else:
        headline, urgency = say("Read the gravity before the yeast goes in, after stirring hard."), Urgency.MEASURE
    return Answer(
        headline,
        say("No usable reading is written yet. ") + og.working.steps[-1].capitalize() + ".",
        urgency,
        figures=(og,),
        findings=latest_first(findings),
        missing="" if known else say("What went in, and to which mark was it made up?"),
        cautions=CAUTIONS,
        assumed=wanted.assumed,
    )


def _headline(last: TrueReading, findings: tuple[Finding, ...]) -> str:
    shown = say(
        "{gravity} ({low} to {high})",
        gravity=show(last.gravity_sg, 4),
        low=show(last.gravity_sg - Z90 * last.sd_sg, 4),
        high=show(last.gravity_sg + Z90 * last.sd_sg, 4),
    )
    top = findings[0] if findings else None
    if top is None or top.urgency is Urgency.NOTHING:
        return say("True gravity {shown}. Nothing about it needs another look.", shown=shown)
    if top.urgency is Urgency.WAIT:
        return say("True gravity {shown}. One thing about it is worth knowing.", shown=shown)
    if top.key == "unmixed" and last.before_pitch:
        return say("It is not mixed through, or a mass is not as written. Add nothing.")
    if top.key == "below_possible":
        return say("Do not bottle yet: it reads lower than this make-up can reach.")
    return say("Take that reading lightly. {check}", check=top.check)


def _why(last: TrueReading, og: Figure) -> str:
    glass = next((g for g in last.working.inputs if g.name == "scale's temperature"), None)
    scale = say(" on a {glass} glass", glass=glass.value) if glass else ""
    return say(
        "Read {raw} at {temperature}{scale} is {gravity} at 20 °C. Original gravity {og}: {steps}.",
        raw=last.raw,
        temperature=say_amount(last.used_temp_c, 0, "°C"),
        scale=scale,
        gravity=show(last.gravity_sg, 4),
        og=show(og.value, 4),
        steps=og.working.steps[-1],
    )


def _figures(last: TrueReading, og: Figure) -> tuple[Figure, ...]:
    now = last.figure("sg", say("True gravity"))
    if last.before_pitch or not isfinite(last.gravity_sg):
        return (now, og)
    inputs = (
        Given(say("original gravity"), og.text(), Basis.RECKONED),
        Given(say("gravity now"), now.text(), Basis.RECKONED, say("entry {seq}", seq=last.seq), last.seq),
    )
    found: list[Figure] = [now, og]
    og_sd = (og.high - og.low) / 2 / Z90
    try:
        strength = strength_figure(
            og.value, last.gravity_sg, inputs, og_sd=og_sd, fg_sd=last.sd_sg, priming_g_per_l=0.0
        )
        found.append(replace(strength, label=say("Strength so far")))
    except OutOfRange:
        pass  # no beer has these two gravities: the findings on the reading say so
    gone = [
        100 * float(apparent_attenuation(og.value, last.gravity_sg + shift * Z90 * last.sd_sg)) for shift in (1, 0, -1)
    ]
    if all(isfinite(value) for value in gone):
        working = Working(say("(original − present) ÷ original extract"), inputs, ("by_definition",))
        found.append(
            figure("attenuation", say("Apparent attenuation"), gone[1], PER_CENT, working, low=gone[0], high=gone[2])
        )
    return tuple(found)


def _missing(brew: Brew, last: TrueReading) -> str:
    if last.temp_c is None:
        return say("How warm was the sample?")
    event = next(k.event for k in brew.all(ev.Measured) if k.seq == last.seq)
    if last.before_pitch and not event.stirred:
        return say("Was the wort stirred hard before the sample was drawn?")
    if not ingredients_of(brew):
        return say("What went in, and to which mark was it made up?")
    if not last.before_pitch and not event.fizz:
        return say("Was the sample flat or fizzy?")
    return ""


def _assumed(last: TrueReading) -> tuple[str, ...]:
    return tuple(
        say("{name}: {value}", name=given.name, value=given.value)
        + (say(" ({where})", where=given.where) if given.where else "")
        for given in last.working.inputs
        if given.basis is Basis.ASSUMED
    )


def _original_in_words(seen: tuple[TrueReading, ...], last: TrueReading) -> tuple[Finding, ...]:
    """A doubtful reading of the start, once fermentation is on: told, so that nobody mourns a strength never there."""
    if last.before_pitch:
        return ()
    odd = next((f for r in seen if r.before_pitch for f in r.findings if f.key == "unmixed"), None)
    return (replace(odd, urgency=Urgency.NOTHING, check=""),) if odd is not None else ()


def _compared(wanted: Asked, og: Figure) -> tuple[Finding, ...]:
    """What was expected against what went in: another gallon is the usual difference."""
    expected = wanted.gravity("expected")
    if expected is None or og.value <= 1.005:
        return ()
    gap = 1000 * (expected - og.value)
    if abs(gap) <= max(3.0, 1000 * (og.high - og.value)):
        return (
            Finding(
                Urgency.NOTHING,
                say("{expected} was expected and {og} fits it.", expected=show(expected, 3), og=show(og.value, 4)),
                key="fits",
            ),
        )
    ratio = (expected - 1) / (og.value - 1)
    if 1.12 <= ratio <= 1.32:
        thinner = 1 + (og.value - 1) * _US_TO_IMPERIAL
        return (
            Finding(
                Urgency.NOTHING,
                say(
                    "{og} is right for what went in; the {expected} expected is not. The same weights in US gallons, "
                    "a sixth smaller than imperial ones, would make about {thinner}: the recipe most likely meant "
                    "those.",
                    og=show(og.value, 4),
                    expected=show(expected, 3),
                    thinner=show(thinner, 3),
                ),
                say("Look which gallon the recipe meant."),
                key="gallons",
            ),
        )
    return (
        Finding(
            Urgency.WAIT,
            say(
                "{expected} was expected: {gap} points over what went in. Another volume or another weight "
                "than the recipe's explains it; the reading need not be wrong.",
                expected=show(expected, 3),
                gap=show(gap, 0),
            )
            if gap > 0
            else say(
                "{expected} was expected: {gap} points under what went in. Another volume or another weight "
                "than the recipe's explains it; the reading need not be wrong.",
                expected=show(expected, 3),
                gap=show(-gap, 0),
            ),
            say("Compare weights and volume with the recipe."),
            key="expected_differs",
        ),
    )


# --- acts -----------------------------------------------------------------------------------------------------


def with_event(brew: Brew, at: datetime, event: ev.Event) -> Brew:
    """The brew as it would stand with one more entry; for looking at what an entry would show."""
    added: Kept[ev.Event] = Kept(brew.head_seq + 1, at, event)
    return replace(brew, kept=tuple(sorted((*brew.kept, added), key=lambda k: (k.at, k.seq))))


def findings_on(brew: Brew, shelf: Shelf, at: datetime, event: ev.Measured) -> tuple[Finding, ...]:
    """What would be odd about a reading if it were written."""
    if not is_usable(event.gravity):
        return (unusable_finding(event.gravity, None),)
    found = one_more(brew, shelf, Kept(brew.head_seq + 1, at, event))
    return tuple(replace(finding, seq=None) for finding in found.findings) if found is not None else ()


def _reading(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    gravity = values.get("gravity")
    if gravity is None:
        raise InputError(say("Gravity"), say("nothing was written"), say("write what the scale shows, such as 1.012"))
    likely = likely_gravity(gravity)
    if likely is not None and "gravity" not in setting.confirmed:
        raise InputError(
            say("Gravity"),
            say("{gravity} is no specific gravity", gravity=gravity.text),
            say("write it such as 1.012"),
            likely,
        )
    event = ev.Measured(
        gravity=gravity,
        temp=values.get("temp"),
        instrument=values.get("instrument") or "",
        sample_from=values.get("sample_from") or "",
        fizz=values.get("fizz") or "",
        stirred=values.get("stirred") or "",
        looks=values.get("looks") or "",
        taste=values.get("taste") or "",
    )
    return Decision(((at, event),), findings_on(brew, setting.shelf, at, event))


READING = Act(
    "reading",
    say("Write down a reading"),
    "readings",
    (
        Field(
            "gravity",
            say("Gravity"),
            QUANTITY,
            ("gravity", "extract"),
            required=True,
            possible=(-40.0, 2000.0),
            hint=say("as the scale shows it, such as 1.012"),
        ),
        Field(
            "temp",
            say("Temperature of the sample"),
            QUANTITY,
            ("temperature",),
            possible=(-5.0, 105.0),
            usual=(0.0, 45.0),
            reason=say("without it the beer's own temperature is taken"),
        ),
        Field("instrument", say("Hydrometer"), TEXT, reason=say("the only one on the shelf, else a 20 °C glass")),
        Field(
            "sample_from",
            say("Drawn from"),
            CHOICE,
            choices=(
                ("tap", say("the tap")),
                ("top", say("the top")),
                ("thief", say("a thief or baster")),
                ("jar", say("a jar")),
                ("forced sample", say("the forced sample")),
            ),
        ),
        Field(
            "fizz",
            say("Sample"),
            CHOICE,
            choices=(("flat", say("flat")), ("some", say("some gas")), ("fizzy", say("fizzy"))),
        ),
        Field("stirred", say("Wort before drawing"), CHOICE, choices=_STIRRED),
        Field("looks", say("Looks"), TEXT, hint=say("foam, ring, haze")),
        Field("taste", say("Taste"), TEXT, hint=say("sweet, dry, sour")),
    ),
    _reading,
    CAUTIONS[:1],
    about=say("The gravity alone is enough; the rest may be added or corrected later."),
)


def _temperature(brew: Brew, values: Mapping[str, Any], at: datetime, _setting: Setting) -> Decision:
    temp, low, high = values.get("temp"), values.get("low"), values.get("high")
    if temp is None and low is None and high is None:
        raise InputError(
            say("Temperature"),
            say("nothing was written"),
            say("write it, or the lowest and highest since the last look"),
        )
    if low is not None and high is not None and low.to("°C", "temperature") > high.to("°C", "temperature"):
        raise InputError(
            say("Lowest"), say("{low} is above the highest, {high}", low=low, high=high), say("change them round")
        )
    event = ev.TempSeen(of=values.get("of") or "beer", temp=temp, low=low, high=high)
    return Decision(((at, event),), _too_warm(brew, event))


def _too_warm(brew: Brew, event: ev.TempSeen) -> tuple[Finding, ...]:
    values = [q.to("°C", "temperature") for q in (event.temp, event.low, event.high) if q is not None]
    fermenting = brew.stage in {"mixed", "fermenting"}
    if fermenting and event.of == "beer" and max(values) > 27:
        return (
            Finding(
                Urgency.ACT,
                say(
                    "{temperature} is hot for beer yeast: it works fast and leaves a fruity or solvent taste.",
                    temperature=say_amount(max(values), 0, "°C"),
                ),
                say("Can you stand it in a water bath or wrap it in a wet towel?"),
                key="hot",
            ),
        )
    kit = brew.plan.kit
    if fermenting and kit is not None and kit.temp_from is not None:
        floor = kit.temp_from.to("°C", "temperature")
        if event.of == "beer" and min(values) < floor - 1:
            return (
                Finding(
                    Urgency.WAIT,
                    say(
                        "{temperature} is below the leaflet's {lowest}; the yeast slows or stops.",
                        temperature=say_amount(min(values), 0, "°C"),
                        lowest=kit.temp_from,
                    ),
                    say("Is there a warmer place for it?"),
                    key="cold",
                ),
            )
    return ()


def _temp_field(name: str, label: str, hint: str = "") -> Field:
    return Field(name, label, QUANTITY, ("temperature",), possible=(-30.0, 105.0), usual=(-2.0, 45.0), hint=hint)


TEMPERATURE = Act(
    "temperature",
    say("Write down a temperature"),
    "readings",
    (
        _temp_field("temp", say("Temperature")),
        Field(
            "of",
            say("Of"),
            CHOICE,
            choices=(("beer", say("the beer")), ("room", say("the room"))),
            default="beer",
            reason=say("a strip on the vessel shows the beer"),
        ),
        _temp_field("low", say("Lowest"), say("from a thermometer that remembers")),
        _temp_field("high", say("Highest")),
    ),
    _temperature,
)


STEP = Step(
    "readings",
    say("Readings"),
    say("What does the hydrometer really say?"),
    answer,
    (_EXPECTED,),
    (READING, TEMPERATURE),
    CAUTIONS,
)
