"""What stands on the paper that is carried to the kettle: the brew's day, what is next, and bottles in danger.

A sheet is lines: what was written, what is reckoned, what is to be done, and blanks for what is seen. It holds no
look and no units of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from gylebook.errors import InputError
from gylebook.journal.state import Brew
from gylebook.phrases import joined, say
from gylebook.steps.answers import Figure, MomentFigure, Urgency
from gylebook.steps.cards import Card, card, urgency_now
from gylebook.steps.catalogue import step
from gylebook.steps.conditioning import dangerous_bottles
from gylebook.steps.decision import Setting
from gylebook.steps.makeup import leaflet_gates, makeup_of
from gylebook.steps.materials import plain_name

DO, BLANK, TEXT, LINES, DANGER = "do", "blank", "text", "lines", "danger"
_BOILING = say("Boiling water and heavy vessels: lift with two, keep children and animals out of the kitchen.")
_MOST_TASKS = 4


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a sheet.

    Parameters
    ----------
    kind
        DO has a box to tick, BLANK a line to write on, TEXT is read, LINES is room to write, DANGER is framed.
    words
        The words; what is reckoned comes after them in `reckoned` and is printed slanted.
    reckoned, figure
        A sentence, or a figure with its interval, that the book worked out.
    at
        A moment that is printed before the words, as a day.
    count
        How many lines of room.
    """

    kind: str
    words: str
    reckoned: str = ""
    figure: Figure | MomentFigure | None = None
    at: datetime | None = None
    count: int = 1


@dataclass(frozen=True, slots=True)
class Part:
    """A heading with its lines; `numbered` where their order is the message."""

    title: str
    lines: tuple[Line, ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet: what it is called, a line under its heading, its parts."""

    title: str
    under: str
    parts: tuple[Part, ...]


def brew_day(brew: Brew, setting: Setting) -> Sheet:
    """The day on which the wort is mixed: what to have ready, what to do, and what to write down meanwhile."""
    plan = brew.plan
    under = joined(", ", (part for part in (plan.kit.name if plan.kit else "", plan.vessel, plan.place) if part))
    return Sheet(
        say("No. {number} {name}: brew day", number=brew.id, name=brew.name),
        under,
        (
            _ready(brew),
            _cleaning(),
            _mixing(brew, setting),
            _pitching(brew, setting),
            Part(say("Afterwards"), (
                Line(BLANK, say("It stands in (place) ")),
                Line(BLANK, say("Temperature there, °C ")),
                Line(DO, say("Copy what you wrote into the book; it tells when to read it first.")),
                Line(LINES, "", count=3),
            )),
        ),
    )  # fmt: skip


def advice(brew: Brew, setting: Setting) -> Sheet:
    """Half a page for somebody who begins: how the brew stands, what is next and when, and what to mind."""
    found = card(brew, setting.shelf, setting.now, learned=setting.learned)
    lines = [_task_line(found, index, setting) for index in range(min(len(found.tasks), _MOST_TASKS))]
    if not lines:
        lines = [Line(TEXT, say("Nothing is due. Leave it be."))]
    top = [Line(TEXT, "", each) for each in (found.headline, found.why) if each]
    mind = step(lines_step(found)).cautions[:2]
    parts = [Part(say("How it stands"), tuple(top)), Part(say("What is next"), tuple(lines))]
    if mind:
        parts.append(Part(say("Mind"), tuple(Line(TEXT, each) for each in mind)))
    return Sheet(
        say("No. {number} {name}", number=brew.id, name=brew.name),
        say("Readings decide, not days: write down what you see."),
        tuple(parts),
    )


def danger() -> Sheet:
    """What to do with bottles that may burst; no brew is needed."""
    answer = dangerous_bottles()
    return Sheet(
        say("Bottles that may burst"),
        "",
        (
            Part("", (Line(DANGER, answer.headline),)),
            Part(say("In this order"), tuple(Line(TEXT, found.text) for found in answer.findings), numbered=True),
            Part(say("Mind"), tuple(Line(TEXT, each) for each in answer.cautions)),
            Part(say("Why"), (Line(TEXT, "", answer.why), Line(TEXT, answer.rule_of_thumb))),
            Part(
                say("Written down"),
                (Line(BLANK, say("Brew, and how many bottles ")), Line(BLANK, say("Since when, and where "))),
            ),
        ),
    )


def lines_step(found: Card) -> str:
    """The step whose cautions belong on the slip: that of the first task, else tasting."""
    return found.tasks[0].step if found.tasks else "tasting"


def _task_line(found: Card, index: int, setting: Setting) -> Line:
    task = found.tasks[index]
    urgency = urgency_now(task, setting.now)
    if urgency is Urgency.DANGER:
        return Line(DANGER, say("Now. {task}. ", task=task.words), task.why)
    if urgency is Urgency.NOTHING:
        return Line(DO, say("When it suits: {task}. ", task=task.words), task.why)
    if task.due_from <= setting.now:
        return Line(DO, say("Now: {task}. ", task=task.words), task.why)
    return Line(DO, say("{task}. ", task=task.words), task.why, at=task.due_from)


def _ready(brew: Brew) -> Part:
    lines = [
        Line(DO, say("{mass} {material}", mass=each.mass, material=each.name or plain_name(each.material)))
        for each in makeup_of(brew).ingredients
    ] or [Line(BLANK, say("Ingredients, each with its weight "))]
    kit = brew.plan.kit
    if kit is not None and kit.yeast:
        mass = say(", {yeast_mass}", yeast_mass=kit.yeast_mass) if kit.yeast_mass is not None else ""
        lines.append(Line(DO, say("Yeast: {yeast}{mass}", yeast=kit.yeast, mass=mass)))
    volume = brew.plan.volume or (kit.volume if kit is not None else None)
    lines.append(
        Line(TEXT, say("To make {volume}.", volume=volume))
        if volume is not None
        else Line(BLANK, say("Litres to make "))
    )
    gates = leaflet_gates(brew)
    if gates.bottle_at_or_below is not None:
        lines.append(
            Line(
                TEXT,
                say(
                    "The leaflet asks for {gravity} or below before it is bottled.",
                    gravity=gates.bottle_at_or_below,
                ),
            )
        )
    return Part(say("Have ready"), tuple(lines))


def _cleaning() -> Part:
    return Part(say("Clean, then sanitise"), (
        Line(DO, say("Bucket, lid, tap, spoon, thermometer, hydrometer and its jar")),
        Line(BLANK, say("With (agent, strength, minutes) ")),
        *(Line(TEXT, each) for each in step("cleaning").cautions[:1]),
    ))  # fmt: skip


def _mixing(brew: Brew, setting: Setting) -> Part:
    lines = [*_told(brew, setting, "mixing", ("og", "at_mix"))]
    lines += [
        Line(TEXT, _BOILING),
        Line(BLANK, say("Boiling water poured in, L ")),
        Line(BLANK, say("Tap water, °C ")),
        Line(BLANK, say("Made up to, L, and read from (mark, jug, scale) ")),
        Line(DO, say("Stir hard for two minutes, bottom to top")),
        Line(BLANK, say("Temperature of the wort, °C ")),
        Line(BLANK, say("Gravity read, at which temperature, with which hydrometer ")),
    ]
    return Part(say("Mix the wort"), tuple(lines))


def _pitching(brew: Brew, setting: Setting) -> Part:
    lines = [*_told(brew, setting, "pitching", ())]
    lines += [Line(BLANK, say("Yeast, g, best before ")), Line(BLANK, say("Pitched at (day, time), wort at °C "))]
    return Part(say("Pitch the yeast"), tuple(lines))


def _told(brew: Brew, setting: Setting, word: str, keys: tuple[str, ...]) -> tuple[Line, ...]:
    """A step's headline and those of its figures; where an entry cannot be reckoned with, which one it is."""
    try:
        answer = step(word).answer(brew, setting, {})
    except InputError as fault:
        return (Line(TEXT, "", say("This cannot be reckoned from what is in the log. {fault}", fault=fault)),)
    figures = tuple(
        Line(TEXT, say("{label}: ", label=each.label), figure=each) for each in answer.figures if each.key in keys
    )
    return (Line(TEXT, "", answer.headline), *figures)
