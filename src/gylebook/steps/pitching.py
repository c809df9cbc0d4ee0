"""Pitching: now or later, how much yeast, and when worry becomes reasonable."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from math import isfinite
from typing import Any

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import say, say_amount, say_range
from gylebook.science.cooling import cooling_time_h, time_constant_estimate_h
from gylebook.science.yeast import PITCH_BELOW_C, PITCH_KILL_C
from gylebook.steps.answers import Answer, Basis, Figure, Finding, Given, MomentFigure, Urgency, Working
from gylebook.steps.asked import HOURS, figure
from gylebook.steps.decision import Setting, Step
from gylebook.steps.moments import day_words, span_words
from gylebook.steps.pitching_acts import ADD, CAUTIONS, MOVE, PITCH, ROUSE
from gylebook.steps.pitching_facts import ASK, Wort, wort_of
from gylebook.steps.pitching_worry import after_pitching
from gylebook.steps.readings import latest_first
from gylebook.steps.room import place_findings
from gylebook.steps.yeast_dose import dose_figures, dose_findings, lag_figure, sachet_options
from gylebook.units import show


def answer(brew: Brew, setting: Setting, asked: Mapping[str, Any]) -> Answer:
    """Pitch now or wait; after pitching, whether to worry."""
    wort = wort_of(brew, setting, asked)
    pitched = brew.first(ev.Pitched)
    if pitched is None:
        return _before(brew, setting, wort)
    return after_pitching(brew, setting, wort, pitched)


def _before(brew: Brew, setting: Setting, wort: Wort) -> Answer:
    findings = list(dose_findings(wort.yeast, wort.og_sg))
    mixed = brew.last(ev.Mixed)
    if mixed is not None and setting.now - mixed.at > timedelta(days=2):
        findings.append(
            Finding(
                Urgency.ACT,
                say(
                    "It has stood {span_words} without yeast. A night is fine; days invite other guests: smell it, "
                    "and pitch plenty today.",
                    span_words=span_words(setting.now - mixed.at),
                ),
                say("Does it smell clean?"),
                key="long_wait",
            )
        )
    headline, urgency, cooling = _now_or_wait(setting, wort, mixed=mixed is not None)
    shown: list[Figure | MomentFigure] = [*dose_figures(wort.yeast), *cooling]
    if wort.temp is not None:
        shown.insert(0, wort.temp)
    at_c = _pitched_at_c(wort)
    lag = lag_figure(wort.yeast, at_c)
    if mixed is not None:
        findings += place_findings(brew, setting.shelf, wort.volume.value)
    ordered = latest_first(tuple(findings))
    pressing = ordered[0].urgency if ordered and ordered[0].urgency is Urgency.ACT else urgency
    return Answer(
        headline,
        say(
            "Aim for {temperatures}: the first day or two set the taste. A night without yeast does no harm "
            "where all was sanitised; three days do.",
            temperatures=say_range(wort.range_c[0], wort.range_c[1], 0, "°C"),
        ),
        pressing,
        figures=(*shown, *((lag,) if lag is not None else ())),
        findings=ordered,
        options=sachet_options(wort.yeast, at_c, wort.og_sg),
        missing=say("How warm is the wort now?") if wort.temp is None else _missing_yeast(wort),
        cautions=CAUTIONS,
        rule_of_thumb=say("Doses are those printed on dry yeast; the wait before it shows is a habit of the trade."),
        assumed=wort.assumed,
    )


def _warmest_c(high_c: float) -> float:
    """The warmest wort that is pitched at once, and cools with the yeast in it."""
    return max(high_c, min(PITCH_BELOW_C, high_c + 3.0))


def _pitched_at_c(wort: Wort) -> float:
    """How warm it will be when the yeast goes in as advised: a wort that is too warm is cooled first."""
    if wort.temp is None:
        return sum(wort.range_c) / 2
    return wort.temp.value if wort.temp.value <= _warmest_c(wort.range_c[1]) else wort.range_c[1]


def _missing_yeast(wort: Wort) -> str:
    if not wort.yeast.known:
        return say("How many grams are in the sachet?")
    return "" if wort.yeast.best_before else say("What date is on the sachet?")


def _now_or_wait(
    setting: Setting, wort: Wort, *, mixed: bool
) -> tuple[str, Urgency, tuple[Figure | MomentFigure, ...]]:
    low, high = wort.range_c
    if not mixed and wort.temp is None:
        return (
            say("Mix it first; then pitch at {temperatures}.", temperatures=say_range(low, high, 0, "°C")),
            Urgency.NOTHING,
            (),
        )
    if wort.temp is None:
        return (
            say("Measure the wort, and pitch at {temperatures}.", temperatures=say_range(low, high, 0, "°C")),
            Urgency.MEASURE,
            (),
        )
    temp = wort.temp.value
    if temp > _warmest_c(high):
        goal = high
        wait = _cooling(setting, wort, goal)
        kills = say(" Yeast would die in it now.") if temp >= PITCH_KILL_C else ""
        return (
            say(
                "Wait: it is {temp}.{kills} {when}",
                temp=say_amount(temp, 0, "°C"),
                kills=kills,
                when=_when_words(setting, wait, goal),
            ),
            Urgency.ACT,
            wait,
        )
    if temp > high:
        return (
            say("Pitch now, and let it come down to {high} in the next hours.", high=say_amount(high, 0, "°C")),
            Urgency.ACT,
            (),
        )
    if temp < low - 3:
        return (
            (
                say(
                    "Pitch, but bring it up: at {temp} it starts late; it likes {temperatures}.",
                    temp=say_amount(temp, 0, "°C"),
                    temperatures=say_range(low, high, 0, "°C"),
                )
            ),
            Urgency.ACT,
            (),
        )
    return (say("Pitch now: {temp} is right.", temp=say_amount(temp, 0, "°C")), Urgency.ACT, ())


def _cooling(setting: Setting, wort: Wort, goal: float) -> tuple[Figure | MomentFigure, ...]:
    """Hours until the goal and the moment, by standing; nothing where the surroundings are too warm for it."""
    assert wort.temp is not None
    tau = time_constant_estimate_h(min(max(wort.volume.value, 1.0), 100.0))
    hours = [
        float(cooling_time_h(wort.temp.value, goal, room, float(constant)))
        for room, constant in ((wort.room.value, tau.best), (wort.room.low, tau.low), (wort.room.high, tau.high))
    ]
    best, quick, slow = hours
    if not isfinite(best):
        return ()
    slow = slow if isfinite(slow) else 4 * best
    working = Working(
        say("Newton's law: hours = time constant × ln((wort − room) ÷ (goal − room))"),
        (
            Given(say("wort"), wort.temp.text(), Basis.RECKONED),
            Given(say("surroundings"), wort.room.text(), Basis.ASSUMED),
            Given(say("goal"), say_amount(goal, 0, "°C"), Basis.RECKONED),
        ),
        ("newton_cooling", "vessel_cooling_estimate", "beer_specific_heat"),
        (
            say(
                "time constant {best} h ({low} to {high} h)",
                best=show(float(tau.best), 0),
                low=show(float(tau.low), 0),
                high=show(float(tau.high), 0),
            ),
            say("for a bare plastic bucket in still air"),
        ),
        (say("A vessel's own time constant, measured once, is better than this estimate."),),
    )
    low = quick if isfinite(quick) else best / 2
    moments = [setting.now + timedelta(hours=h) for h in (best, low, slow)]
    return (
        figure(
            "cooling",
            say("By standing, to {goal}", goal=say_amount(goal, 0, "°C")),
            best,
            HOURS,
            working,
            low=low,
            high=slow,
        ),
        MomentFigure("pitch_at", say("Ready for the yeast"), moments[0], moments[1], moments[2], working),
    )


def _when_words(setting: Setting, wait: tuple[Figure | MomentFigure, ...], goal: float) -> str:
    bath = say("A bath of cold water, changed twice, and a wet towel take about a third of the time.")
    moment = next((f for f in wait if isinstance(f, MomentFigure)), None)
    if moment is None:
        return say(
            "The room is too warm to bring it to {goal}: stand it in a bath of cold water.",
            goal=say_amount(goal, 0, "°C"),
        )
    there = (moment.value + timedelta(minutes=30)).astimezone(setting.zone)  # shown to the hour
    day = day_words(there, setting.now, setting.zone)
    return say(
        "Left standing it reaches {goal} {day} about {hour}:00. {bath}",
        goal=say_amount(goal, 0, "°C"),
        day=day,
        hour=f"{there:%H}",
        bath=bath,
    )


STEP = Step(
    "pitching",
    say("Pitching"),
    say("Pitch now or wait, and how much yeast?"),
    answer,
    ASK,
    (PITCH, ROUSE, MOVE, ADD),
    CAUTIONS,
)
