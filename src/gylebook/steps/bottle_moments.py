"""The dates of a bottled brew as figures with their workings, and the chance that it is carbonated by a day."""

from __future__ import annotations

from datetime import datetime, timedelta, tzinfo

from gylebook.phrases import capital, say, say_amount, say_number
from gylebook.science.conditioning import PACE_SD
from gylebook.steps.answers import Basis, Figure, Given, MomentFigure, Option, Working
from gylebook.steps.bottle_check import Check
from gylebook.steps.bottle_times import OF_WINDOW, WEEK, BottleTimes
from gylebook.steps.chances import LEAST_SHOWN, chance_figure
from gylebook.steps.moments import day_words
from gylebook.units import show

AHEAD_DAYS = (0, 3, 7, 14, 28)
NOT_BEFORE = say("not before it is warmed")
_HABIT = say("Habit of the trade put into a curve; no measured one was found.")
_COLD = say(
    "Below {begins} ale yeast may stop: none at {none}, all at {all}, by even steps between.",
    begins=say_amount(10, 0, "°C"),
    none=say_amount(10, 0, "°C").removesuffix(" °C"),
    all=say_amount(4, 0, "°C").removesuffix(" °C"),
)
_LAW = (
    say(
        "1 − exp(−(age ÷ 6.6 days)^1.4) = 0.9, age counted as if at {warmth}; the pace changes 3.7-fold in ten degrees",
        warmth="20 °C",  # and so are the ten degrees, for every reader
    ),
    say(
        "the pace of beers log-normal, spread {PACE_SD}: 1.6 times shorter or longer nine times in ten",
        PACE_SD=show(PACE_SD, 2),
    ),
    say("how warm the place is: the middle of its months' range, nine times in ten within a quarter of it"),
)
WEEKS_HABIT = say("Habit of the trade, not a law; kept cool it lasts longer.")


def law(givens: tuple[Given, ...] = ()) -> Working:
    """How the chance that bottles are carbonated is reckoned."""
    where = givens or (Given(say("how warm they stood"), say("the log and the place's months"), Basis.RECKONED),)
    return Working(_LAW[0], where, ("common_practice", "error_propagation"), _LAW[1:], (_HABIT, _COLD))


def carbonated_moment(
    carbonated: tuple[datetime | None, datetime | None, datetime | None],
    last: datetime | None,
    last_words: str,
    ever: float,
    working: Working,
) -> MomentFigure | Figure:
    """When nine tenths of the gas should be there, key "carbonated".

    Where it is less likely than not within the year that is looked at there is no date: the figure is then the chance
    that it is, and its words say what it waits for.
    """
    first, likely, _ = carbonated
    if first is None or likely is None or last is None:
        value = 100.0 * ever
        return Figure(
            "carbonated", say("Carbonated by"), value, value, value, "%", "share", 0, working, words=NOT_BEFORE,
            interval=say("chance within a year, left where it stands"))  # fmt: skip
    return MomentFigure("carbonated", say("Carbonated by"), likely, first, last, working, last_words)


def moments_of(
    times: BottleTimes, check: Check | None = None, cool: datetime | None = None, givens: tuple[Given, ...] = ()
) -> list[MomentFigure | Figure]:
    """Carbonated by, open one, move to the cool, best from and to, drink by; none that waits for warmth.

    Without a `check` those are left out that a hand is wanted for; `cool` is when they go to the cool.
    """
    working = law(givens)
    found: list[MomentFigure | Figure] = [
        carbonated_moment(times.carbonated, times.last_ready, times.last_ready_words, times.ever, working)
    ]
    if check is not None:
        found += _of_hands(times, check, cool, working)
    return [*found, *window_moments(times)]


def _of_hands(times: BottleTimes, check: Check, cool: datetime | None, working: Working) -> list[MomentFigure]:
    found = []
    low, at, high = check.early
    if check.sooner and low is not None and at is not None:
        found.append(
            MomentFigure("check", say("Open one early, cold, by"), at, low, high or at, _of_check(working, check))
        )
    evens, day, late = times.open_at
    if evens is not None and day is not None:
        steps = (
            say("where it is seven in ten likely: what it tells is open still, and it is hardly opened for nothing"),
        )
        found.append(MomentFigure("open", say("Open one on"), day, evens, late or day, _with(working, steps),
                                  say("evens to nine in ten that it is carbonated")))  # fmt: skip
    if cool is not None:
        found.append(_of_cool(times, check, cool, working))
    return found


def _of_cool(times: BottleTimes, check: Check, cool: datetime, working: Working) -> MomentFigure:
    label = say("Move them to the cool by")
    if check.sooner:
        steps = (say("as soon as it is likelier than not: where they stand the warmth is the danger"),)
        end = max(times.last_ready or cool, cool)
        return MomentFigure("cool", label, cool, cool, end, _with(working, steps), say("evens to as sure as it gets"))
    if cool != times.cool_at:
        steps = (say("a lively bottle was opened when it was likely that they are carbonated"),)
        end = max(times.cool_at or cool, cool)
        return MomentFigure(
            "cool", label, cool, cool, end, _with(working, steps), say("opened, to 95 % sure without it")
        )
    steps = (say("when it is 95 % sure that they are carbonated; sooner they may stay flat in the cool"),)
    low, high = min(times.open_at[2] or cool, cool), times.progress.when(0.99) or cool
    return MomentFigure("cool", label, cool, low, high, _with(working, steps), say("90 to 99 % sure"))


def _with(working: Working, steps: tuple[str, ...]) -> Working:
    return Working(working.relation, working.inputs, working.sources, (*working.steps, *steps), working.cautions)


def _of_check(working: Working, check: Check) -> Working:
    steps = (
        say(
            "when {share} is there: lively already then, it will be too much; and little enough to check",
            share=check.words,
        ),
        say(
            "the chance that a bottle comes to be past its ceiling where they stand is {chance} %",
            chance=show(100 * check.chance, 0),
        ),
    )
    return Working(
        say("share of the gas = {share}, with the same curve and spread", share=say_number(f"{check.share:g}")),
        working.inputs,
        working.sources,
        steps,
        working.cautions,
    )


def window_moments(times: BottleTimes) -> list[MomentFigure]:
    """When it is at its best from and to, and by when it is better drunk, keys "best", "best_to" and "drink_by"."""
    weeks = times.window
    percent = show(100 * OF_WINDOW, 0)
    working = Working(
        say("carbonated, and then the weeks from bottling that beers of its make want"),
        (
            Given(say("kind"), weeks.because, Basis.RECKONED),
            Given(say("weeks"), say("{from_weeks} to {to_weeks}, drunk by {last_weeks}",
                                from_weeks=say_number(f"{weeks.from_weeks:g}"),
                                to_weeks=say_number(f"{weeks.to_weeks:g}"),
                                last_weeks=say_number(f"{weeks.last_weeks:g}")),
                  Basis.ASSUMED, say("habit of the trade")),
        ),
        ("common_practice",),
        (say("nine times in ten the weeks are right to {percent} %", percent=percent),),
        (WEEKS_HABIT,),
    )  # fmt: skip
    found = []
    low, likely, high = times.best_from
    if low is not None and likely is not None:
        found.append(MomentFigure("best", say("At its best from"), likely, low, high or times.best_to, working))
    spread = OF_WINDOW * weeks.to_weeks * WEEK
    end = times.best_to
    least = max(end - spread, likely) if likely is not None else end - spread
    found.append(MomentFigure("best_to", say("At its best to"), end, min(least, end), end + spread, working))
    late = times.drink_by
    found.append(
        MomentFigure(
            "drink_by", say("Better drunk by"), late, min(end, late), late, working, say("from the end of its best")
        )
    )
    return found


def chances_ahead(times: BottleTimes, now: datetime, zone: tzinfo, givens: tuple[Given, ...]) -> tuple[Option, ...]:
    """The chance that they are carbonated today and on days to come, left where they stand; none once it is sure."""
    working = law(givens)
    first = times.progress.chance(now)
    if first > 1.0 - LEAST_SHOWN:
        return ()
    found = []
    for days in AHEAD_DAYS:
        at = now + timedelta(days=days)
        chance = first if days == 0 else times.progress.chance(at)
        name = day_words(at, now, zone)
        shown = chance_figure(f"carbonated_{days}", say("Carbonated"), chance, working)
        found.append(Option(capital(name), (shown,)))
    return tuple(found)
