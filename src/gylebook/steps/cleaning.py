"""Cleaning: clean first, then sanitise; and what must never meet what."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept
from gylebook.phrases import say, say_number
from gylebook.steps.answers import Answer, Figure, Finding, Option, Urgency, Working
from gylebook.steps.asked import Asked, Shown, figure
from gylebook.steps.cleaning_agents import AGENTS, Agent, gas_finding, name_of, poisonous_pair
from gylebook.steps.decision import Act, Decision, Setting, Step
from gylebook.steps.fields import CHOICE, FLAG, QUANTITY, TEXT, Field
from gylebook.steps.sanitiser_dose import dose_figures

CAUTIONS = (
    say("Never mix bleach, or any chlorine cleaner, with an acid, vinegar, sulphite or ammonia: the gas is poisonous."),
    say("Eye protection and gloves with every strong cleaner; label every spray bottle; keep all of it from children."),
    say("What the label says, and local rules on drains, come before this table."),
)
_SAME_SESSION = timedelta(hours=12)

_AGENT = Field(
    "agent",
    say("Cleaner or sanitiser"),
    CHOICE,
    choices=(*((agent.key, agent.name) for agent in AGENTS.values()), ("other", say("something else"))),
    default="acid_sanitiser",
    reason=say("the usual one that needs no rinse"),
)
_WATER = Field(
    "water",
    say("Water for one mix"),
    QUANTITY,
    ("volume",),
    possible=(0.1, 200),
    default="5 L",
    reason=say("enough for a bucket, its lid, tap and siphon"),
)
_STRENGTH = Field(
    "strength",
    say("Chlorine in the bleach"),
    QUANTITY,
    ("share",),
    possible=(0.5, 15),
    default="5 %",
    reason=say("a common strength of thin household bleach; the label says which"),
)

ASK = (_AGENT, _WATER, _STRENGTH)


def answer(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> Answer:
    """What to clean and sanitise with, for how long, and whether to rinse."""
    wanted = Asked(ASK, asked)
    findings = tuple(_met_on_one_day(brew, setting))
    agent = AGENTS.get(wanted.word("agent"))
    options = tuple(_option(each, chosen=each is agent) for each in AGENTS.values() if not each.ammonia)
    if findings:
        return Answer(
            say("Stop: chlorine and an acid were in use on the same day."),
            findings[0].text,
            Urgency.DANGER,
            findings=findings,
            options=options,
            cautions=CAUTIONS,
        )
    last = brew.last(ev.Cleaned)
    done = (
        say("Last written: {what} with {agent}.", what=_what(last.event), agent=name_of(last.event.agent))
        if last
        else say("Nothing is written down yet.")
    )
    return Answer(
        _headline(agent),
        say(
            "{done} Dirt shields microbes, so cleaning comes first; then everything that touches cool wort "
            "or beer is sanitised: also the inside of the tap and its thread.",
            done=done,
        ),
        Urgency.NOTHING,
        figures=dose_figures(agent, wanted) if agent else (),
        findings=_about(agent),
        options=options,
        missing="" if agent else say("What is it called, and what does its label say about food?"),
        cautions=(*CAUTIONS, *(agent.cautions if agent else ())),
        rule_of_thumb=say(
            "Times and doses are those of food codes and of the trade; a product's label goes before them."
        ),
        assumed=wanted.assumed,
    )


def _what(event: ev.Cleaned) -> str:
    """What was cleaned, in the brewer's own words; where none were written, the book's."""
    return say("everything") if event.what == "everything" else event.what


def _headline(agent: Agent | None) -> str:
    if agent is None:
        return say("Clean until nothing can be seen, then sanitise, as the label says.")
    low, high = agent.minutes
    if not agent.kills:
        return say(
            "Clean with {agent} for {low} to {high} minutes, rinse; then sanitise with something else.",
            agent=agent.name,
            low=say_number(f"{low:g}"),
            high=say_number(f"{high:g}"),
        )
    return say(
        "Clean first. Then {agent}: wet for {low} to {high} minutes; {rinse}.",
        agent=agent.name,
        low=say_number(f"{low:g}"),
        high=say_number(f"{high:g}"),
        rinse=agent.rinse,
    )


def _about(agent: Agent | None) -> tuple[Finding, ...]:
    if agent is None or agent.kills:
        return ()
    return (
        Finding(
            Urgency.ACT,
            say("{agent} cleans or holds back; it does not sanitise by itself.", agent=agent.name),
            check=say("What will you sanitise with afterwards?"),
            key="no_sanitiser",
        ),
    )


def _option(agent: Agent, *, chosen: bool) -> Option:
    low, high = agent.minutes
    working = Working(say("contact time"), sources=agent.sources, cautions=agent.cautions)
    contact: Figure = figure(
        "contact",
        say("Wet for"),
        high,
        Shown("min", "time", 0 if low >= 1 else 1),
        working,
        low=low,
        high=high,
        interval=say("shortest and longest"),
    )
    kind = say("sanitises") if agent.kills else say("does not sanitise")
    return Option(
        agent.name,
        (contact,),
        say("{kind}; {dose}; {rinse}", kind=kind, dose=agent.dose, rinse=agent.rinse),
        chosen=chosen,
    )


def _met_on_one_day(brew: Brew, setting: Setting) -> list[Finding]:
    """Chlorine and acid written on one day, or within half a day across midnight, and not yet two days ago."""
    found = []
    kept = [k for k in brew.all(ev.Cleaned) if setting.now - k.at <= timedelta(days=2)]
    for later in kept:
        together = _together(kept, later, setting)
        pair = poisonous_pair(tuple(k.event.agent for k in together))
        if pair is not None and later is together[-1]:
            found.append(gas_finding(pair, later.seq))
    return found[-1:]


def _together(kept: list[Kept[ev.Cleaned]], one: Kept[ev.Cleaned], setting: Setting) -> list[Kept[ev.Cleaned]]:
    day = one.at.astimezone(setting.zone).date()
    return [k for k in kept if k.at <= one.at and (_day(k.at, setting) == day or one.at - k.at <= _SAME_SESSION)]


def _day(at: datetime, setting: Setting) -> object:
    return at.astimezone(setting.zone).date()


def _clean(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    """Write what was cleaned; a poisonous pair on one day is told at once."""
    agent = values.get("agent") or "other"
    dilution = str(values.get("dilution") or "")
    if agent == "other":
        agent = dilution or "something else"
    event = ev.Cleaned(
        what=values.get("what") or "everything",
        agent=agent,
        dilution=dilution,
        contact=values.get("contact"),
        rinsed=values.get("rinsed"),
    )
    near = [
        k for k in brew.all(ev.Cleaned) if abs(k.at - at) <= _SAME_SESSION or _day(k.at, setting) == _day(at, setting)
    ]
    pair = poisonous_pair((*(k.event.agent for k in near), event.agent))
    findings = [gas_finding(pair, brew.head_seq + 1)] if pair else []
    known = AGENTS.get(event.agent)
    if known is not None and event.rinsed is False and known.rinse.startswith("rinse"):
        findings.append(
            Finding(
                Urgency.ACT,
                say("{agent} wants rinsing: {rinse}.", agent=known.name, rinse=known.rinse),
                say("Can you still rinse it?"),
                key="unrinsed",
            )
        )
    return Decision(((at, event),), tuple(findings))


CLEAN = Act(
    "clean",
    say("Cleaned or sanitised something"),
    "cleaning",
    (
        Field("what", say("What was cleaned"), TEXT, hint=say("bucket, lid, tap, siphon, bottles")),
        Field("agent", say("Cleaner or sanitiser"), CHOICE, required=True, choices=_AGENT.choices),
        Field("dilution", say("How strong, or what it is called"), TEXT, hint=say("10 mL in 5 L")),
        Field("contact", say("How long it stayed wet"), QUANTITY, ("time",), possible=(0, 500), hint="10 min"),
        Field("rinsed", say("Rinsed afterwards"), FLAG),
    ),
    _clean,
    CAUTIONS[:2],
    about=say("One line is enough. It is needed later when a taste has to be explained."),
)

STEP = Step(
    "cleaning",
    say("Cleaning"),
    say("What with, for how long, and does it want rinsing?"),
    answer,
    ASK,
    (CLEAN,),
    CAUTIONS,
)
