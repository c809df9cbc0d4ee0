"""What is written of bottles: one opened, vented, burst, or taken out."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from gylebook.errors import Refused
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import joined, say
from gylebook.steps import sums_fields
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.asked import needed
from gylebook.steps.bottle_age import age_at, let_out, vented_of_round
from gylebook.steps.bottle_kinds import GLASS_CAUTIONS, words_to_keys
from gylebook.steps.cellar import bottles_left
from gylebook.steps.conditioning_danger import FIRST
from gylebook.steps.conditioning_fizz import opened_findings
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import CHOICE, COUNT, FLAG, LONG_TEXT, TEXT, Field
from gylebook.steps.fizz import fizz_of
from gylebook.steps.warmth import celsius
from gylebook.steps.what_if import with_entry
from gylebook.units import show

_WARM_VENT_C = 10.0
_OPENING = (
    say(
        "Cold, upright, over a sink or a bowl, the cap pointed away from faces; eye protection when a batch "
        "is in doubt."
    ),
)


def _kind(values: Mapping[str, Any], setting: Setting) -> str:
    """A kind of bottle as it is kept, or as it was written."""
    text = str(values.get("bottle") or "").strip()
    return words_to_keys(setting.shelf).get(text.lower(), text)


def _in_bottles(brew: Brew) -> list[Finding]:
    if brew.all(ev.Bottled):
        return []
    text = say("No bottling is written yet, so nothing can be reckoned from this.")
    return [Finding(Urgency.MEASURE, text, say("Write the bottling too."), key="not_bottled")]


def _open(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    """Write how an opened bottle was; what it says of the others is told at once."""
    event = ev.Opened(
        fizz=values.get("fizz"),
        gushed=values.get("gushed"),
        bottle=_kind(values, setting),
        note=str(values.get("note") or "").strip(),
        sediment=values.get("sediment") or "",
    )
    if event.fizz is None and event.gushed is None and not (event.note or event.sediment):
        raise Refused(say("Nothing was written about the bottle; the fizz from 1 to 5, or a word, is enough."))
    after = with_entry(brew, at, event)
    findings = _in_bottles(brew)
    if event.gushed:
        findings += _alarm(say("It gushed"), "gushed")
    age = age_at(after, setting.shelf, at)
    if age is not None:
        findings += opened_findings(after, setting, age, fizz_of(after, setting))
    return Decision(((at, event),), tuple(findings))


def _alarm(what: str, key: str) -> list[Finding]:
    text = say("{what}: the others share its cause. ", what=what) + joined(" ", FIRST[:4])
    check = say("Was it the only one? Which other brews had the same sugar, day or bucket?")
    return [Finding(Urgency.DANGER, text, check, key=key)]


def _burst(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    """Write that a bottle burst, with what to do at once."""
    event = ev.Burst(bottle=_kind(values, setting), note=str(values.get("note") or "").strip())
    return Decision(((at, event),), (*_alarm(say("A bottle burst"), "burst"), *_in_bottles(brew)))


def _vent(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    """Write a venting, with what it let out at the least."""
    event = ev.Vented(temp=values.get("temp"), count=values.get("count"))
    findings = _in_bottles(brew)
    if event.temp is not None and celsius(event.temp) > _WARM_VENT_C:
        text = say(
            "Vented at {temp}: warm beer leaps out, and the bottle is at its fullest pressure. Vent cold.",
            temp=event.temp,
        )
        findings.append(Finding(Urgency.ACT, text, say("Can they be chilled before the next round?"), key="warm_vent"))
    if brew.all(ev.Bottled):
        after = with_entry(brew, at, event)
        part = vented_of_round(after, at)
        if part is not None:
            text = say(
                "{vented} of {bottles} vented; a round counts once all are, within eight hours of the first.",
                vented=part[0],
                bottles=part[1],
            )
            check = say("Are the others to be vented too? Those are as full as they were.")
            return Decision(((at, event),), (*findings, Finding(Urgency.MEASURE, text, check, key="part_vented")))
        gas = fizz_of(brew, setting)
        made = gas.priming.best + gas.to_come.best
        out = let_out(after, setting.shelf, gas.residual.best, made) - gas.let_out
        left = show(max(gas.total.best - out, 0.0), 1)
        text = say(
            "This lets out {out} volumes at the least; {left} are left at most, in time.",
            out=show(max(out, 0.0), 2),
            left=left,
        )
        findings.append(Finding(Urgency.NOTHING, text, say("Vent again tomorrow, cold?"), key="vented"))
    return Decision(((at, event),), tuple(findings))


_COUNT = Field("count", say("How many"), COUNT, required=True, possible=(1, 5000))


def _take_out(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    """Write bottles that left the cellar."""
    count = int(needed(values, _COUNT))
    event = ev.TakenOut(count=count, bottle=_kind(values, setting), to=values.get("to") or "")
    findings = _in_bottles(brew)
    left = bottles_left(brew)
    if brew.all(ev.Bottled) and count > left:
        text = say("By the book only {left} were left.", left=left)
        findings.append(Finding(Urgency.MEASURE, text, say("Is the count right, and the brew?"), key="more_than_left"))
    if event.to == "given":
        text = say(
            "A given bottle wants a label: name, date, about how strong, contains barley (gluten), bottle-conditioned: "
            "keep cool and upright, open cold, pour off the sediment. Not for sale."
        )
        findings.append(Finding(Urgency.NOTHING, text, say("Is anyone allergic, or driving?"), key="label"))
    return Decision(((at, event),), tuple(findings))


_BOTTLE = Field("bottle", say("Which kind of bottle"), TEXT, hint=say("brown returnable"))

ACTS = (
    Act(
        "open_bottle",
        say("Opened one to see"),
        "conditioning",
        (
            Field("fizz", say("Fizz felt, 1 flat to 5 wild"), COUNT, possible=(1, 5)),
            Field("gushed", say("It gushed"), FLAG),
            Field(
                "sediment",
                say("Sediment"),
                CHOICE,
                choices=(
                    ("thin", say("thin, a film")),
                    ("usual", say("as usual")),
                    ("thick", say("thick, or in flakes")),
                ),
            ),
            _BOTTLE,
            Field("note", say("Note"), LONG_TEXT),
        ),
        _open,
        _OPENING,
    ),
    Act(
        "vent",
        say("Vented and closed again"),
        "conditioning",
        (
            sums_fields.temperature("temp", say("How cold they were"), possible=(-5.0, 45.0)),
            Field("count", say("How many"), COUNT, possible=(1, 5000)),
        ),
        _vent,
        (*_OPENING, *GLASS_CAUTIONS[:1]),
    ),
    Act(
        "burst", say("A bottle burst"), "conditioning", (_BOTTLE, Field("note", say("Note"), LONG_TEXT)), _burst, FIRST
    ),
    Act(
        "take_out",
        say("Took bottles out"),
        "conditioning",
        (
            _COUNT,
            _BOTTLE,
            Field(
                "to",
                say("They were"),
                CHOICE,
                choices=(("drunk", say("drunk")), ("given", say("given away")), ("lost", say("lost or broken"))),
            ),
        ),
        _take_out,
    ),
)
