"""Finishing: is it finished, can it be bottled? The answer of the outlook, with what speaks for and against it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import capital, joined, say, small
from gylebook.steps.answers import Answer, Figure, Finding, MomentFigure, Urgency
from gylebook.steps.decision import Act, Decision, Setting, Step
from gylebook.steps.fields import CHOICE, QUANTITY, TEXT, Field
from gylebook.steps.finishing_stakes import may_stay, worst_case
from gylebook.steps.moments import on_words
from gylebook.steps.outlook import Outlook, gas_words, outlook
from gylebook.steps.possibilities import HIGH
from gylebook.steps.what_if import with_entry
from gylebook.units import Quantity, show

CAUTIONS = (
    say("Beer bottled too early goes on making gas, half a volume for each point: glass under pressure injures eyes."),
    say("Never return a sample to the beer; taste it instead, that is free information."),
)
_NO_LOOK = say("An airlock tells nothing: lids leak, and gas leaves finished beer for days.")

_DANGEROUS_POINTS = 2.0  # likely left in the bottle: a second priming dose on top of the first

_WHAT_IF = Field(
    "gravity",
    say("What if the next reading showed"),
    QUANTITY,
    ("gravity", "extract"),
    possible=(0.98, 1.16),
    usual=(0.995, 1.12),
    hint="1.012",
)
ASK = (_WHAT_IF,)


def answer(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> Answer:
    """Is it finished, and can it be bottled?"""
    if brew.first(ev.Pitched) is None:
        return _not_pitched(brew, setting)
    wanted = asked.get("gravity")
    if wanted is not None:
        reading = ev.Measured(gravity=wanted, temp=Quantity("20", "°C"), sample_from="jar", fizz="flat")
        brew = with_entry(brew, setting.now, reading)
    found = outlook(brew, setting)
    headline, urgency = _headline(brew, found, setting)
    stakes = worst_case(brew, setting, found)
    return Answer(
        headline
        if wanted is None
        else say(
            "If the next reading showed {wanted}: {headline}",
            wanted=wanted,
            headline=small(headline),
        ),
        _why(found),
        urgency,
        figures=_figures(brew, setting, found, stakes[0] if stakes else None),
        findings=(
            *found.findings,
            *((stakes[1],) if stakes else ()),
            *_no_hydrometer(brew, found),
            *_lacking(found),
        ),
        options=(*found.possibilities, *found.customary),
        missing=_question(brew, found),
        cautions=(*CAUTIONS, found.rule),
        assumed=_assumed(brew, found),
    )


def _not_pitched(brew: Brew, setting: Setting) -> Answer:
    found = outlook(brew, setting)
    return Answer(
        say("It has not begun: no yeast is written down."),
        say("When it is in, this beer should end near {gravity} SG.", gravity=show(found.expected_fg.value, 4)),
        Urgency.NOTHING,
        figures=(found.original, found.expected_fg),
        missing=say("When did the yeast go in?"),
        cautions=(*CAUTIONS, found.rule),
    )


def _headline(brew: Brew, found: Outlook, setting: Setting) -> tuple[str, Urgency]:
    keys = set(found.lacking)
    if any(isinstance(k.event, ev.Bottled | ev.Primed) for k in brew.kept):
        if found.finished:
            return say("It was finished when it was primed, as far as the readings tell."), Urgency.NOTHING
        gas = gas_words(found.co2_to_come.high)
        words = say("It was primed before it was known to be finished: {gas} may come on top.", gas=gas)
        return words, Urgency.DANGER if found.points_left.value > _DANGEROUS_POINTS else Urgency.ACT
    if found.finished:
        return say("Finished, as far as readings can tell. It can be primed and bottled."), Urgency.NOTHING
    if "below_possible" in keys:
        return say(
            "Do not bottle it. It is lower than this make-up can reach: check before anything else."
        ), Urgency.DANGER
    if "unexplained" in keys:
        return say("Hold it: nothing explains these readings. Check them before anything else."), Urgency.MEASURE
    if "doubtful" in keys:
        return say("Not known yet: the last reading does not go with the others. Degas and repeat it."), Urgency.MEASURE
    if keys == {"bottles"}:
        return say("Finished by its readings, but not for these bottles."), Urgency.MEASURE
    if "cold" in keys:
        if found.finished is False:
            return say("Not finished. Warm it first."), Urgency.ACT
        return say("Not known yet. Warm it first."), Urgency.ACT
    if found.stands and found.finished is False:
        if found.likeliest == HIGH:
            words = say("Not to be bottled yet: it stands above its end, and a halt looks the same as a high finish.")
            return words, Urgency.ACT
        return say("Not finished: it has come to a halt above its end. Do not bottle it."), Urgency.ACT
    when = _when(found, setting)
    if found.finished is False:
        return say("Not finished. Leave it; {when}.", when=when), Urgency.WAIT if _later(
            found, setting
        ) else Urgency.MEASURE
    if "hops" in keys or "fresh" in keys:
        words = say(
            "Open again since the {addition} went in; {when}.",
            addition=found.reopened_by or say("last addition"),
            when=when,
        )
        return words, Urgency.WAIT if _later(found, setting) else Urgency.MEASURE
    words = say("Not known yet; {when}.", when=when)
    return words, Urgency.WAIT if _later(found, setting) else Urgency.MEASURE


def _later(found: Outlook, setting: Setting) -> bool:
    """Whether the next reading is for another day: one that is wanted later today is told as a reading, not a wait."""
    at, zone = found.next_reading_at, setting.zone
    return at is not None and at.astimezone(zone).date() > setting.now.astimezone(zone).date()


def _when(found: Outlook, setting: Setting) -> str:
    at = found.next_reading_at
    if at is None:
        return say("no reading is wanted now")
    if at <= setting.now:
        return say("take a reading")
    return say("read again {when}", when=on_words(at, setting.now, setting.zone))


def _why(found: Outlook) -> str:
    """The two or three facts that drove it; intervals, gas and whatever else is lacking stand below."""
    left = say("At most {points} points left.", points=show(found.points_left.high, 1))
    if found.now_sg is None:
        return say("Nothing was read since the yeast went in. {left} {airlock}", left=left, airlock=_NO_LOOK)
    here = say(
        "Now {now}; expected end {end}.",
        now=show(found.now_sg.value, 4),
        end=show(found.expected_fg.value, 4),
    )
    if found.finished:
        return say("{here} {left}", here=here, left=left)
    return say("{here} {left} Lacking: {missing}.", here=here, left=left, missing=found.missing[0])


def _lacking(found: Outlook) -> tuple[Finding, ...]:
    """What is lacking besides the first thing, which the answer says, and why the next reading is not sooner."""
    texts = []
    if found.now_sg is not None and not found.finished and found.missing[1:]:
        texts.append(say("Lacking, too: {missing}.", missing=joined("; ", found.missing[1:])))
    if found.next_reading_at is not None:
        texts.append(found.next_reading_why)
    return (Finding(Urgency.NOTHING, joined(" ", texts), key="lacking"),) if texts else ()


def _no_hydrometer(brew: Brew, found: Outlook) -> tuple[Finding, ...]:
    """What can be told without any reading, and what follows for bottling; nothing once anything was read."""
    if found.now_sg is not None or any(isinstance(k.event, ev.Primed | ev.Bottled) for k in brew.kept):
        return ()
    text = say(
        "Without a hydrometer nothing shows that it is finished; these only speak for it: two weeks or more at 18 to "
        "22 °C, no new foam, beer that clears from the top, a sample that tastes dry and not sweet. If it must be "
        "bottled so: plastic (PET) bottles only, half the priming sugar, a cool place, and squeeze them every day; "
        "those that go hard are put in the cold and drunk first. A halted brew tastes and looks the same."
    )
    return (Finding(Urgency.NOTHING, text, say("A hydrometer costs less than a brew."), key="no_hydrometer"),)


def _figures(brew: Brew, setting: Setting, found: Outlook, worst: Figure | None) -> tuple[Figure | MomentFigure, ...]:
    parts = (
        found.points_left,
        found.co2_to_come,
        *(found.chances if found.now_sg is not None else ()),
        found.now_sg,
        found.expected_fg,
        found.slope_points_per_day,
        found.by,
        found.strength,
        worst,
        may_stay(brew, setting),
        found.original,
    )
    return tuple(part for part in parts if part is not None)


def _question(brew: Brew, found: Outlook) -> str:
    """The one thing whose answer would help most."""
    if found.finished:
        return ""
    if set(found.lacking) == {"bottles"}:
        return say("Which bottles will it go into, and how warm will they stand?")
    if found.experiment is not None:
        return found.experiment.words
    if not brew.all(ev.Mixed) and brew.plan.kit is None:
        return say("What went in, by weight, and how many litres did it make?")
    return say("What does the hydrometer show now, on a flat sample, and at what temperature?")


def _assumed(brew: Brew, found: Outlook) -> tuple[str, ...]:
    told = []
    if found.original.working.inputs and not brew.all(ev.Mixed):
        told.append(say("the make-up is taken from the plan; nothing was written when mixing"))
    if not brew.all(ev.TempSeen) and not brew.plan.place:
        told.append(say("no temperature of the beer or the room was written; an ordinary room is assumed"))
    return tuple(told)


_VERDICTS = (
    ("finished", say("finished")),
    ("not finished", say("not finished")),
    ("stuck", say("stuck")),
    ("infected", say("infected")),
)


def _judge(brew: Brew, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    """Write down the brewer's own verdict; what the book thinks is told beside it, never instead of it."""
    verdict = values["verdict"]
    event = ev.Judged(verdict=verdict, because=str(values.get("because") or ""))
    findings: list[Finding] = []
    if verdict == "finished" and brew.first(ev.Pitched) is not None:
        found = outlook(brew, setting)
        if not found.finished:
            gas = gas_words(found.co2_to_come.high)
            text = say(
                "Written down. The book's rule does not agree yet: {missing}. {gas} may still come.",
                missing=joined("; ", found.missing[:2]),
                gas=capital(gas),
            )
            urgency = Urgency.DANGER if "below_possible" in found.lacking else Urgency.MEASURE
            findings.append(Finding(urgency, text, found.experiment.words if found.experiment else "", key="disagrees"))
    if verdict == "infected":
        findings.append(_infected(brew))
    if verdict == "stuck":
        words = outlook(brew, setting).experiment if brew.first(ev.Pitched) else None
        text = say(
            "Before fresh yeast: verify the reading, warm it, rouse it, force a sample. No enzymes: they never stop."
        )
        findings.append(Finding(Urgency.ACT, text, words.words if words else "", key="stuck"))
    return Decision(((at, event),), tuple(findings))


def _infected(brew: Brew) -> Finding:
    if brew.first(ev.Bottled) is not None:
        text = say(
            "Treat the bottles as gaining pressure: keep them cold, apart and covered; wear eye protection and thick "
            "gloves; do not shake or warm them."
        )
        return Finding(Urgency.DANGER, text, say("Does a cold one gush, taste sour or thin?"), key="infected")
    text = say(
        "Do not bottle it while its gravity moves. Mould with fuzz or colour: throw it away, do not skim. A flat, "
        "chalky film: wild yeast, which takes gravity below what brewing yeast can. Wet brown islands are only yeast."
    )
    return Finding(Urgency.ACT, text, say("Does it smell of vinegar, sour milk or plaster?"), key="infected")


JUDGE = Act(
    "judge",
    say("Judge how far it is"),
    "finishing",
    (
        Field("verdict", say("It is"), CHOICE, required=True, choices=_VERDICTS),
        Field("because", say("Because"), TEXT, hint=say("1.012 three times in six days, tastes dry, has cleared")),
    ),
    _judge,
    CAUTIONS[:1],
    about=say("Your own verdict, with its reason. The book keeps it beside its own reckoning."),
)

STEP = Step("finishing", say("Finishing"), say("Is it finished? Can I bottle?"), answer, ASK, (JUDGE,), CAUTIONS)
