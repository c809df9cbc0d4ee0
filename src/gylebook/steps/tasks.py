"""Tasks: what is due for a brew, from when and until when, why, and with which act it is written down.

Nothing here depends on the present moment: times are absolute, so that a task can be kept on a card and read later.
`urgency_at` says how pressing it is at a moment.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, time, timedelta

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept
from gylebook.phrases import joined, say
from gylebook.steps.answers import Urgency
from gylebook.steps.bottle_tasks import of_bottles
from gylebook.steps.cellar import Lot
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import Fizz, fizz_of
from gylebook.steps.hop_times import hops_in, in_at, waiting
from gylebook.steps.outlook import Outlook, outlook
from gylebook.steps.outlook_times import FIRST_READING_WARM_DAYS
from gylebook.steps.priming_after import too_much
from gylebook.steps.task import Task
from gylebook.steps.warm_days import track
from gylebook.units import show

__all__ = ["Task", "due", "from_outlook", "urgency_at"]

DAY = timedelta(days=1)
HOUR = timedelta(hours=1)
_SOON = {Urgency.DANGER: 0, Urgency.ACT: 1, Urgency.MEASURE: 2, Urgency.WAIT: 3, Urgency.NOTHING: 4}
_MORNING = time(9)
_HOT_PITCH_C = 25.0


def due(brew: Brew, setting: Setting) -> tuple[Task, ...]:
    """Everything due for a brew now or later, the most pressing first."""
    if not brew.open:
        return ()
    if brew.all(ev.Bottled):
        gas = fizz_of(brew, setting)
        return from_outlook(brew, setting, gas.outlook, gas)
    return from_outlook(brew, setting, outlook(brew, setting), None)


def from_outlook(
    brew: Brew, setting: Setting, found: Outlook, gas: Fizz | None, lots: tuple[Lot, ...] | None = None
) -> tuple[Task, ...]:
    """As `due`, from an outlook (and, for bottles, their gas and their lots) that is at hand."""
    if not brew.open:
        return ()
    if brew.all(ev.Bottled):
        assert gas is not None
        tasks = of_bottles(brew, setting, gas, lots)
    elif brew.all(ev.Primed):
        tasks = _primed(brew, setting, found)
    elif brew.first(ev.Pitched) is not None:
        tasks = _fermenting(brew, setting, found)
    elif brew.all(ev.Mixed):
        tasks = _mixed(brew)
    else:
        tasks = _planned(brew, setting)
    return tuple(sorted(tasks, key=lambda task: (_SOON[task.urgency], task.due_from, task.act)))


def urgency_at(task: Task, now: datetime) -> Urgency:
    """How pressing it is at a moment: it waits until it is due, and presses once it is late."""
    if now < task.due_from and task.urgency is not Urgency.DANGER:
        return Urgency.WAIT
    if task.due_by is not None and now > task.due_by and task.urgency in {Urgency.MEASURE, Urgency.WAIT}:
        return Urgency.ACT
    return task.urgency


def _planned(brew: Brew, setting: Setting) -> list[Task]:
    day = brew.plan.start_on
    if day is None:
        why = say("No day is planned. The step of mixing tells how much boiling water it wants.")
        at = brew.kept[-1].at if brew.kept else setting.now
        return [Task(brew.id, "mixing", say("Mix it when you are ready"), why, Urgency.NOTHING, at, None, "mix")]
    start = datetime.combine(day, _MORNING, setting.zone)
    why = say("The day that was planned for it.")
    return [Task(brew.id, "mixing", say("Mix it"), why, Urgency.ACT, start, start + 12 * HOUR, "mix")]


def _mixed(brew: Brew) -> list[Task]:
    mixed = brew.last(ev.Mixed)
    assert mixed is not None
    temp = mixed.event.temp.to("°C", "temperature") if mixed.event.temp is not None else None
    hot = temp is not None and temp > _HOT_PITCH_C
    words = say("Cool it to 24 °C or below, then pitch the yeast") if hot else say("Pitch the yeast")
    why = say("Wort without yeast is open to everything else; overnight does no harm where all is clean.")
    tasks = [Task(brew.id, "pitching", words, why, Urgency.ACT, mixed.at, mixed.at + DAY, "pitch")]
    if not brew.all(ev.Measured):
        why = say("The only chance to see the original gravity; stir hard first. The weights tell it too.")
        tasks.append(
            Task(
                brew.id,
                "readings",
                say("Read the gravity before the yeast"),
                why,
                Urgency.MEASURE,
                mixed.at,
                None,
                "reading",
                about="original",
            )
        )
    return tasks


def _primed(brew: Brew, setting: Setting, found: Outlook) -> list[Task]:
    primed = brew.last(ev.Primed)
    assert primed is not None
    judged = brew.last(ev.Judged)
    by_hand = judged is not None and judged.event.verdict == "finished"
    if found.finished is not True and found.pitched and not by_hand:  # nothing is known of what was never pitched
        words = say("Do not bottle it yet: let it finish under an airlock")
        lacking = joined("; ", found.missing[:1]) or say("the evidence is thin")
        why = say(
            "It is not known to be finished: {lacking}. In a bottle each point that is left makes half a volume.",
            lacking=lacking,
        )
        return [Task(brew.id, "readings", words, why, Urgency.ACT, primed.at, None, "reading", about="unfinished")]
    gas = fizz_of(brew, setting)
    if found.pitched and too_much(brew, setting, gas):
        words = say("Do not bottle it: let it ferment out under an airlock")
        why = say(
            "{gas} volumes are too much for glass. Under an airlock the gas goes; once it is level again, "
            "correct the sugar's entry to something added, and prime anew.",
            gas=show(gas.total.best, 1),
        )
        return [Task(brew.id, "readings", words, why, Urgency.ACT, primed.at, None, "reading", about="too_much")]
    why = say("The sugar is in: in bottles it makes the fizz, in an open bucket it is lost.")
    return [Task(brew.id, "bottling", say("Bottle it"), why, Urgency.ACT, primed.at, primed.at + 6 * HOUR, "bottle")]


def _fermenting(brew: Brew, setting: Setting, found: Outlook) -> list[Task]:
    pitched = brew.first(ev.Pitched)
    assert pitched is not None
    alarm = _alarm(brew, found)
    tasks = [*alarm, *_of_hops(brew, found)]
    judged = brew.last(ev.Judged)
    by_hand = judged is not None and judged.event.verdict == "finished"
    if (found.finished or by_hand) and not waiting(brew) and not hops_in(brew):
        tasks.append(_bottle(brew, found, judged, pitched.at))
        return tasks
    tasks += _started(brew, setting, pitched)
    if found.next_reading_at is not None and not alarm:  # what is to be done first comes first
        words = say("Read the gravity") if found.now_sg is None else say("Read the gravity again")
        at = found.next_reading_at
        tasks.append(
            Task(brew.id, "readings", words, found.next_reading_why, Urgency.MEASURE, at, at + 3 * DAY, "reading")
        )
    return tasks


def _alarm(brew: Brew, found: Outlook) -> list[Task]:
    """What cannot wait: lower than possible, cold, or at a halt."""
    last = brew.last(ev.Measured)
    at = last.at if last is not None else brew.kept[-1].at
    keys = set(found.lacking)
    if "below_possible" in keys:
        why = next(f.text for f in found.findings if f.key == "below_possible")
        return [
            Task(
                brew.id,
                "readings",
                say("Check the hydrometer in water, then read again"),
                why,
                Urgency.DANGER,
                at,
                None,
                "reading",
            )
        ]
    helped = any(isinstance(k.event, ev.Roused | ev.Moved) and k.at > at for k in brew.kept)
    if helped or found.finished is not False:
        return []
    halted = found.stands
    if "cold" in keys or halted:
        why = found.experiment.words if found.experiment is not None else joined("; ", found.missing[:1])
        if "cold" in keys:
            words = say("Warm it and rouse the yeast, lid closed")
            return [Task(brew.id, "pitching", words, why, Urgency.ACT, at, at + 2 * DAY, "rouse")]
        words = say("Settle whether it has come to a halt")
        return [Task(brew.id, "readings", words, why, Urgency.ACT, at, at + 2 * DAY, "reading")]
    return []


def _of_hops(brew: Brew, found: Outlook) -> list[Task]:
    tasks = []
    for inside in hops_in(brew):
        name = inside.kept.event.hop
        why = say("Two to four days give the aroma; longer feeds the yeast through the hops' enzymes.")
        tasks.append(
            Task(
                brew.id,
                "dry_hopping",
                say("Take the hops out ({name})", name=name),
                why,
                Urgency.ACT,
                inside.out_at,
                inside.out_at + 2 * DAY,
                "hops_out",
                about=name,
            )
        )
    plans = waiting(brew)
    at = in_at(brew, found)
    if plans and at is not None:
        words = joined(", ", (say("{mass} of {hop}", mass=plan.mass, hop=plan.name) for plan in plans))
        why = say("Near the end of fermentation the gas carries little of their aroma away.")
        tasks.append(
            Task(
                brew.id,
                "dry_hopping",
                say("Put the hops in: {hops}", hops=words),
                why,
                Urgency.ACT,
                at,
                at + 4 * DAY,
                "hop",
            )
        )
    return tasks


def _started(brew: Brew, setting: Setting, pitched: Kept[ev.Pitched]) -> list[Task]:
    """Look for signs of life on the third day; moot once anything was seen, or once the first reading is due."""
    seen = any(
        isinstance(k.event, ev.Measured | ev.Noted | ev.TempSeen | ev.Hopped | ev.Roused) and k.at > pitched.at + DAY
        for k in brew.kept
    )
    if seen:
        return []
    start, end = pitched.at + 48 * HOUR, pitched.at + 72 * HOUR
    moot = track(brew, setting.shelf).after_warm_days(pitched.at, FIRST_READING_WARM_DAYS)
    why = say(
        "Foam, a brown ring or a smell of beer say that it works. An airlock that is still says nothing: lids leak."
    )
    words = say("Look whether it has started; read it only if nothing is to be seen")
    return [Task(brew.id, "readings", words, why, Urgency.MEASURE, start, end, "note", until=moot)]


def _bottle(brew: Brew, found: Outlook, judged: Kept[ev.Judged] | None, pitched_at: datetime) -> Task:
    last = brew.last(ev.Measured)
    at = max(last.at if last else pitched_at, judged.at if judged else pitched_at)
    left = say("at most {points} points left", points=show(found.points_left.high, 1))
    if found.finished:
        why = say("Finished, as far as readings can tell: {left}. It may wait on its yeast for some weeks.", left=left)
        return Task(brew.id, "priming", say("Prime and bottle it"), why, Urgency.ACT, at, None, "prime")
    why = say(
        "You judged it finished; the book does not know it yet ({left}): {lacking}.",
        left=left,
        lacking=joined("; ", found.missing[:1]),
    )
    task = Task(brew.id, "priming", say("Prime and bottle it"), why, Urgency.ACT, at, None, "prime")
    return replace(task, words=say("Prime and bottle it, or read once more first"))
