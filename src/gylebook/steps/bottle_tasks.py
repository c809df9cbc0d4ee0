"""What is due once the beer is in bottles: danger, opening one, moving to the cool, drinking in time, closing."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.phrases import capital, say, say_amount, say_range
from gylebook.steps.answers import Urgency
from gylebook.steps.bottle_age import wild_since
from gylebook.steps.bottle_check import Check, another_at, check_of, cool_at, moved_since, opened_since, wants_early
from gylebook.steps.bottle_kinds import bare_bar, pressure_bar
from gylebook.steps.bottle_store import present_c
from gylebook.steps.bottle_times import BottleTimes, bottle_times
from gylebook.steps.cellar import Lot, bottles_left, lots_of, store_of
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import Fizz
from gylebook.steps.gas_budget import budget
from gylebook.steps.place_words import at_place
from gylebook.steps.rescue import rescue
from gylebook.steps.rescue_vents import MOST_ROUNDS
from gylebook.steps.rescue_vents import vent_rounds as vent_rounds_needed
from gylebook.steps.task import Task
from gylebook.steps.warmth import place_at, place_range_c
from gylebook.units import show

DAY = timedelta(days=1)
_AHEAD = timedelta(days=14)
_MONTHS = timedelta(days=56)
_TAME_FIZZ = 4
_TAME_VOL = 3.5  # a bottle with more than this foams over when it is opened
_EARLY_POINTS = 2.0
_CARRY_COLD = say("Let them cool where they stand; carry them cold, boxed, with eye protection.")
_WEEKS = timedelta(days=28)  # as in the rescue plan: what is due later presses nobody yet
_POINTS = 2048  # draws enough for one in a hundred, as in the rescue plan
_APART = say(
    "People and animals keep away; nobody moves warm bottles by hand. Eye protection, thick gloves, a heavy jacket; a "
    "towel over the crate; cool them where they stand."
)
_KEEP_AWAY = say("{APART} Vent only when cold, one at a time, caps pointed away.", APART=_APART)


def of_bottles(brew: Brew, setting: Setting, gas: Fizz, lots: tuple[Lot, ...] | None = None) -> list[Task]:
    """Everything due for a bottled brew; while there is danger, nothing else that touches the bottles."""
    if bottles_left(brew) <= 0:
        return _empty(brew)
    lots = lots_of(brew, setting.shelf, gas) if lots is None else lots
    found = bottle_times(brew, setting.shelf, gas.outlook.original.value)
    assert found is not None
    alarm = [replace(task, about=task.about or "pressure") for task in _alarm(brew, setting, gas, lots)]
    if any(task.urgency is Urgency.DANGER for task in alarm):
        return alarm
    check = check_of(brew, setting, gas, found)
    opening = [] if any(task.act == "open_bottle" for task in alarm) else _opening(brew, found, check)
    # An alarm that is due in a summer to come leaves room for what the cold of today asks for.
    moved = any(task.act == "move" and task.due_from <= _there_since(brew) + _WEEKS for task in alarm)
    cool = [] if moved else _place(brew, found, check)
    return [*alarm, *opening, *cool, *_drink(brew, found)]


def _empty(brew: Brew) -> list[Task]:
    at = brew.kept[-1].at
    why = say("The last bottle is gone: what should be the same next time, and what not?")
    return [Task(brew.id, "plan", say("Close the brew with its lesson"), why, Urgency.NOTHING, at, None, "close")]


def _alarm(brew: Brew, setting: Setting, gas: Fizz, lots: tuple[Lot, ...]) -> list[Task]:
    wild = wild_since(brew)
    bottled = brew.first(ev.Bottled)
    assert bottled is not None
    if wild is not None:
        why = say("A bottle burst or gushed, and the others share its cause. {KEEP_AWAY}", KEEP_AWAY=_KEEP_AWAY)
        words = say("Make the bottles harmless: cool them where they stand, then vent them cold")
        if _beyond_vents(brew, setting, gas):
            none = say("Venting cannot bring them down, not in {MOST_ROUNDS} rounds.", MOST_ROUNDS=MOST_ROUNDS)
            why = say(
                "A bottle burst or gushed, and the others share its cause. {APART} {none}", APART=_APART, none=none
            )
            words = say("Make the bottles harmless: cool them where they stand; keep them cold, drink or pour away")
        return [Task(brew.id, "conditioning", words, why, Urgency.DANGER, wild, None, "vent")]
    if "below_possible" in gas.outlook.lacking:
        why = say(
            "Lower than the make-up can reach: they may go on gaining pressure. {KEEP_AWAY}", KEEP_AWAY=_KEEP_AWAY
        )
        return [
            Task(
                brew.id,
                "conditioning",
                say("Chill these bottles and keep them cold"),
                why,
                Urgency.DANGER,
                bottled.at,
                None,
                "move",
            )
        ]
    unfit = _unfit(brew, setting, gas, lots, bottled.at)
    if unfit or gas.outlook.points_left.value <= _EARLY_POINTS or gas.outlook.now_sg is None:
        return unfit
    words = say("Chill these bottles, or open them cold, pour back and let it finish")
    why = say(
        "Bottled with likely {points_left} points left, half a volume each. {KEEP_AWAY}",
        points_left=show(gas.outlook.points_left.value, 0),
        KEEP_AWAY=_KEEP_AWAY,
    )
    return [Task(brew.id, "conditioning", words, why, Urgency.ACT, bottled.at, None, "move")]


def _beyond_vents(brew: Brew, setting: Setting, gas: Fizz) -> bool:
    """Whether any kind that is left stays past its ceiling however often it is vented, by the rescue plan."""
    found = budget(brew, setting, gas)
    if found is None:
        return False
    found = found.with_draws(_POINTS)
    kinds = [number for number, lot in enumerate(found.lots) if lot.count and not lot.never]
    return any(vent_rounds_needed(found, number).rounds is None for number in kinds)


def _unfit(brew: Brew, setting: Setting, gas: Fizz, lots: tuple[Lot, ...], at: datetime) -> list[Task]:
    """Bottles that are not fit for their gas where they stand; less pressing where a bottle was opened and was tame."""
    unfit = [lot for lot in lots if lot.left and not lot.is_fit]
    if not unfit:
        return []
    store = store_of(brew, setting.shelf)
    worst = min(unfit, key=lambda lot: (lot.fit != "never", lot.bottle.limit_bar.low))
    place = at_place(store.place) if store.place else say("where they stand")
    where = capital(place)
    why = say(
        "{bottle}: {fit}. {where} it can get {temp_c}; the worst bottle would have {pressure}."
        if store.known
        else "{bottle}: {fit}. {where} it can get {temp_c} (assumed: the place is not known); "
        "the worst bottle would have {pressure}.",
        bottle=worst.bottle.words,
        fit=worst.fit,
        where=where,
        temp_c=say_amount(store.temp_c, 0, "°C"),
        pressure=say_amount(worst.worst_pressure.best, 1, "bar"),
    )
    tame = any(not k.event.gushed and (k.event.fizz or 0) <= _TAME_FIZZ for k in brew.all(ev.Opened))
    bursting = _bursting(brew, setting, gas, unfit, at, tame=tame)
    if bursting is not None:
        return [bursting]
    if worst.fit in {"never", "not fit"} and not tame:
        if gas.outlook.now_sg is None:
            why = say("It was never read before it was bottled, so much gas may still come. {why}", why=why)
            words = say("Keep these bottles cool, and open a cold one to see")
            return [Task(brew.id, "conditioning", words, why, Urgency.ACT, at, None, "open_bottle")]
        words = say("Chill these bottles and keep them cold")
        return [
            Task(
                brew.id,
                "conditioning",
                words,
                say("{why} {KEEP_AWAY}", why=why, KEEP_AWAY=_KEEP_AWAY),
                Urgency.DANGER,
                at,
                None,
                "move",
            )
        ]
    why = say("{why} {CARRY_COLD}", why=why, CARRY_COLD=_CARRY_COLD)
    warm_at = _too_warm_from(brew, setting, min(lot.bottle.warmest_c(gas.total.best, gas.worst) for lot in unfit))
    at, by = max(at, warm_at) if warm_at is not None else at, _by(brew, setting, gas)
    if by is not None:  # the date that conditioning tells
        at = max(_there_since(brew), by - _WEEKS)
    return [Task(brew.id, "conditioning", say("Keep these bottles cool"), why, Urgency.ACT, at, by, "move")]


def _by(brew: Brew, setting: Setting, gas: Fizz) -> datetime | None:
    """By when they have to be in the cool, by the rescue plan; None where it names no day."""
    plan = rescue(brew, setting, budget(brew, setting, gas))
    return None if plan is None or plan.over or plan.hot else plan.by


def _too_warm_from(brew: Brew, setting: Setting, fit_below_c: float) -> datetime | None:
    """Two weeks before the first month in which their place is too warm; None where that month is not known.

    Counted from when they came to stand there, so that it does not change from day to day.
    """
    first = _there_since(brew).astimezone(setting.zone).replace(day=1, hour=9, minute=0, second=0, microsecond=0)
    for ahead in range(12):
        year, month = divmod(first.month - 1 + ahead, 12)
        begins = first.replace(year=first.year + year, month=month + 1)
        span = place_range_c(setting.shelf, place_at(brew), begins.month)
        if span is None:
            return None
        if span[1] >= fit_below_c:
            return begins - _AHEAD
    return None


def _bursting(brew: Brew, setting: Setting, gas: Fizz, unfit: list[Lot], at: datetime, *, tame: bool) -> Task | None:
    """Danger where the average bottle is past the boldest habit as it stands now; None where none is.

    A tame bottle speaks against much gas; at an ordinary fizz every bottle opened cold is tame, warm or not.
    """
    now_c = present_c(brew, setting)
    bursting = [lot for lot in unfit if not lot.bottle.never and lot.bottle.may_burst(gas.total.best, now_c)]
    if not bursting or (tame and gas.total.best > _TAME_VOL):
        return None
    place = place_at(brew)
    where = (
        say("{place} it gets {now_c} now", place=at_place(place), now_c=say_amount(now_c, 0, "°C"))
        if place
        else say("where they stand it is {now_c}", now_c=say_amount(now_c, 0, "°C"))
    )
    bottle = min((lot.bottle for lot in bursting), key=lambda each: each.limit_bar.high)
    held = pressure_bar(gas.total.best, now_c).best
    why = say(
        "{bottle}: {where}, and the average holds {held}, past the {limit} of the boldest habit. {KEEP_AWAY}",
        bottle=bottle.words,
        where=where,
        held=say_amount(held, 1, "bar"),
        limit=bare_bar(bottle.limit_bar.high),
        KEEP_AWAY=_KEEP_AWAY,
    )
    words = say("Cool these bottles where they stand, boxed")
    return Task(brew.id, "conditioning", words, why, Urgency.DANGER, at, None, "move")


def _there_since(brew: Brew) -> datetime:
    """When the bottles came to stand where they do."""
    return max(k.at for k in brew.kept if isinstance(k.event, ev.Bottled | ev.Moved))


def _opening(brew: Brew, found: BottleTimes, check: Check) -> list[Task]:
    """One bottle when it is open still, and likely, that the gas is there; one early where there may be too much."""
    evens, ready, late = found.open_at
    tasks = [_early_one(brew, found, check)] if wants_early(brew, found, check) else []
    if evens is None or ready is None or opened_since(brew, found.carbonated[0]):
        return tasks
    why = say(
        "By then the fizz is likely there, and not sure yet. Cold, upright, and away from faces when it is opened."
    )
    by = max(late or ready, ready + 7 * DAY)
    return [
        *tasks,
        Task(brew.id, "conditioning", say("Open one and see"), why, Urgency.MEASURE, ready, by, "open_bottle"),
    ]


def _early_one(brew: Brew, found: BottleTimes, check: Check) -> Task:
    _, at, _ = check.early
    assert at is not None
    why = say(
        "By then {share} should be there. A bottle may come to hold too much where they "
        "stand: if it is lively already, it will. Chilled for a day, over a sink, and away from faces.",
        share=check.words,
    )
    return Task(
        brew.id,
        "conditioning",
        say("Open one early, cold, over a sink"),
        why,
        Urgency.MEASURE,
        at,
        at + 3 * DAY,
        "open_bottle",
        until=found.open_at[1],  # from then on the other one does as well
        about="early",
    )


def _place(brew: Brew, found: BottleTimes, check: Check) -> list[Task]:
    """To the warmth where they would stay flat, to the cool once they are carbonated."""
    since = _there_since(brew)
    if found.ready is None or found.ready - since > _MONTHS:
        if check.warming_is_danger:
            return []
        why = say("Where they stand it is too cold: they are not carbonated before they are warmed. Add no sugar.")
        if found.ready is not None:
            why = say("Where they stand it takes months: the cold slows the yeast, and may stop it. Add no sugar.")
        words = say("Bring the bottles to {warmth}", warmth=say_range(18, 22, 0, "°C"))
        return [Task(brew.id, "conditioning", words, why, Urgency.ACT, since, None, "move", about="warmth")]
    again = another_at(brew, found, check)
    if again is not None:
        why = say("One flat bottle may be its cap alone; the cool would keep them flat, should it be the yeast.")
        words = say("Open another, and see whether it is flat too")
        return [Task(brew.id, "conditioning", words, why, Urgency.MEASURE, again, again + 7 * DAY, "open_bottle")]
    at = cool_at(brew, found, check)
    if at is None or moved_since(brew, found):
        return []
    why = say("Carbonated beer keeps longer and holds less pressure in the cool; flat beer would stay flat there.")
    if check.sooner:
        why = say(
            "Likely carbonated, and where they stand they may come to hold too much: cool, they hold less pressure."
        )
    return [
        Task(brew.id, "conditioning", say("Move the bottles to the cool"), why, Urgency.ACT, at, at + 14 * DAY, "move")
    ]


def _drink(brew: Brew, found: BottleTimes) -> list[Task]:
    tasks = []
    if not brew.all(ev.Tasted) and found.best_from[1] is not None:
        why = say("Young faults have faded by now, and what is written helps the next one.")
        tasks.append(
            Task(
                brew.id,
                "tasting",
                say("Taste it and write down how it is"),
                why,
                Urgency.NOTHING,
                found.best_from[1],
                None,
                "taste",
            )
        )
    why = say("At its best until about then: {because}.", because=found.window.because)
    start: datetime = found.best_to - 28 * DAY
    tasks.append(
        Task(brew.id, "tasting", say("Drink what is left"), why, Urgency.NOTHING, start, found.drink_by, "take_out")
    )
    return tasks
