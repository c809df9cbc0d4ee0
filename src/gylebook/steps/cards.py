"""Cards: what Today, Brews and Cellar know of a brew without reading its entries.

A card follows from the brew, the shelf and what finished brews taught: all its times are absolute, and no sentence in
it depends on the present moment. What depends on it is said when the card is read: `says` for one card, `day.py` for
all of them.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, tzinfo
from math import isfinite
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import msgspec

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.phrases import Plain, Words, keep_hook, kept_hook, say, small
from gylebook.steps.answers import Urgency
from gylebook.steps.card_bottles import CardBottles, Short, bottles_of_card, short
from gylebook.steps.cellar import bottles_left, lots_of
from gylebook.steps.decided import done_last
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import EARLY_VOL, fizz_of
from gylebook.steps.learned import NOTHING_LEARNED, Learned
from gylebook.steps.moments import coming_words, day_words
from gylebook.steps.outlook import Outlook, outlook
from gylebook.steps.possibilities import HIGH
from gylebook.steps.task import Task
from gylebook.steps.tasks import from_outlook, urgency_at
from gylebook.steps.volumes import in_vessel_l, mixed_l, vessel_name
from gylebook.steps.warm_days import yeast_kind
from gylebook.steps.warmth import celsius, place_at
from gylebook.units import show

CARDS_VERSION = 13  # raised whenever a card would come out otherwise from the same entries


class CardTask(msgspec.Struct, frozen=True):
    """A task as a card keeps it: `urgency` is the name of an Urgency, `after` the entry that closed it last, or 0."""

    step: str
    act: str
    words: Words
    why: Words
    urgency: str
    due_from: datetime
    due_by: datetime | None = None
    until: datetime | None = None
    about: str = ""
    after: int = 0


class Card(msgspec.Struct, frozen=True):
    """A brew in short. `urgency` is the name of an Urgency, as it was when the card was made."""

    id: str
    number: int
    name: str
    stage: str
    open: bool
    headline: Words
    why: Words
    urgency: str
    tasks: tuple[CardTask, ...] = ()
    kit: str = ""
    place: str = ""
    vessel: Words = Plain("")
    started: datetime | None = None  # mixed, else pitched
    start_on: date | None = None
    pitched: datetime | None = None
    bottled: datetime | None = None
    ended: datetime | None = None  # closed or dumped
    free_from: datetime | None = None  # when the vessel should be free
    litres: Short | None = None
    bottles_wanted: int = 0  # half-litre bottles that the beer in the vessel will fill
    finished: bool | None = None
    figures: tuple[Short, ...] = ()  # og, fg, now, points_left
    bottles: CardBottles | None = None
    danger: Words = Plain("")  # the gravest thing noticed, "" where nothing is
    primed_on: datetime | None = None
    sugar: str = ""  # key of the sugar table, of the first priming
    early: bool = False  # in bottles with so much left to ferment that it is a second dose of sugar
    cause: str = ""  # what most likely lies behind flat or wild bottles, key of opened.CAUSES
    ferments: tuple[str, float | None] = ("", None)  # kind of yeast while it works, the warmest its leaflet grants [°C]

    @property
    def next_due(self) -> datetime | None:
        """When something is next due; None where nothing ever is."""
        return min((task.due_from for task in self.tasks), default=None)

    @property
    def bottles_left(self) -> int:
        """Bottles that are not drunk, given, lost or burst."""
        return self.bottles.left if self.bottles is not None else 0

    def figure(self, key: str) -> Short | None:
        """The figure of that key, None where the card has none."""
        return next((figure for figure in self.figures if figure.key == key), None)


_encoder = msgspec.json.Encoder(order="deterministic", enc_hook=keep_hook)


def card_kept(card: Card) -> bytes:
    """A card as JSON."""
    return _encoder.encode(card)


def card_read(text: str | bytes) -> Card:
    """A card from its JSON; msgspec.DecodeError for what is none."""
    return _decoder.decode(text)


class Said(msgspec.Struct, frozen=True):
    """What a card says at a moment."""

    headline: str
    why: str
    urgency: Urgency
    task: CardTask | None = None
    coming: str = ""  # the headline's last sentence: what is to come, and when


_decoder = msgspec.json.Decoder(Card, dec_hook=kept_hook)


def card(brew: Brew, shelf: Shelf, now: datetime | None = None, *, learned: Learned = NOTHING_LEARNED) -> Card:
    """A brew's card: as of its last entry, so that it can be made anew at any time; only its urgency is of a moment."""
    # Spells of warm weather pass while cards stay: they are told when the cards are read.
    setting = Setting(_last_moment(brew), replace(shelf, spells={}), zone_of(shelf), learned=learned)
    shelf = setting.shelf
    now = now or setting.now
    gas = fizz_of(brew, setting) if brew.all(ev.Bottled) else None
    found = gas.outlook if gas is not None else outlook(brew, setting)
    lots = lots_of(brew, shelf, gas) if gas is not None else ()
    tasks = from_outlook(brew, setting, found, gas, lots)
    headline, why = _state(brew, found)
    top = min((urgency_at(task, now) for task in tasks), key=list(Urgency).index, default=Urgency.NOTHING)
    pitched, bottled, mixed = brew.first(ev.Pitched), brew.first(ev.Bottled), brew.first(ev.Mixed)
    primed = brew.first(ev.Primed)
    litres = in_vessel_l(brew, shelf) if mixed or pitched else mixed_l(brew, shelf)
    ended = next((k.at for k in reversed(brew.kept) if isinstance(k.event, ev.Closed | ev.Dumped)), None)
    started = mixed or pitched
    return Card(
        id=brew.id,
        number=int(brew.id) if brew.id.isdigit() else 0,
        name=brew.name,
        stage=brew.stage,
        open=brew.open,
        headline=headline,
        why=why,
        urgency=top.name,
        tasks=tuple(_kept(brew, task) for task in tasks),
        kit=brew.plan.kit.name if brew.plan.kit else "",
        place=place_at(brew),
        vessel=vessel_name(brew),
        started=started.at if started else None,
        start_on=brew.plan.start_on,
        pitched=pitched.at if pitched else None,
        bottled=bottled.at if bottled else None,
        ended=ended,
        free_from=_free_from(brew, found),
        litres=short(litres) if litres is not None else None,
        bottles_wanted=round(litres.value / 0.5) if litres is not None and bottled is None else 0,
        finished=found.finished if found.pitched else None,
        figures=_figures(found),
        bottles=bottles_of_card(brew, shelf, gas, lots) if gas is not None else None,
        danger=next((f.text for f in found.findings if f.urgency is Urgency.DANGER), ""),
        primed_on=primed.at if primed else None,
        sugar=primed.event.sugar if primed else "",
        early=gas is not None and gas.to_come.best > EARLY_VOL,
        cause=gas.opened.likely[0][0] if gas is not None and gas.opened is not None and gas.opened.likely else "",
        ferments=_ferments(brew),
    )


def _ferments(brew: Brew) -> tuple[str, float | None]:
    """The kind of yeast that works in a vessel, and the warmest of its leaflet; an empty word once it is in bottles."""
    if not brew.open or brew.first(ev.Pitched) is None or brew.all(ev.Bottled):
        return "", None
    kit = brew.plan.kit
    return yeast_kind(brew), celsius(kit.temp_to) if kit is not None and kit.temp_to is not None else None


def zone_of(shelf: Shelf) -> tzinfo:
    """The brewer's zone as the shelf keeps it, UTC where none is kept or this computer knows it not."""
    name = shelf.settings.time_zone
    if not name:
        return UTC
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return UTC


def says(card: Card, now: datetime, zone: tzinfo) -> Said:
    """What a card says at a moment: the most pressing thing due, else how it stands and what comes next."""
    live = [task for task in card.tasks if task.until is None or task.until > now]
    pressing = [(urgency_now(task, now), task) for task in live]
    due = [(urgency, task) for urgency, task in pressing if urgency not in {Urgency.WAIT, Urgency.NOTHING}]
    if due:
        urgency, task = min(due, key=lambda pair: (list(Urgency).index(pair[0]), pair[1].due_from))
        late = late_words(task, now, zone)
        return Said(
            say("{task} ({late}).", task=task.words, late=late) if late else say("{task}.", task=task.words),
            task.why,
            urgency,
            task,
        )
    coming = min((task for _, task in pressing if task.due_from > now), key=lambda task: task.due_from, default=None)
    if coming is None:
        return _at_leisure(card, [task for urgency, task in pressing if urgency is Urgency.NOTHING])
    day = coming_words(coming.due_from, now, zone)
    words = say("Next, {day}: {coming}.", day=day, coming=small(coming.words))
    return Said(
        say("{headline} {words}", headline=card.headline, words=words),
        coming.why,
        urgency_said(coming, now, zone),
        coming,
        words,
    )


def _at_leisure(card: Card, free: list[CardTask]) -> Said:
    """How it stands where nothing presses and nothing is to come: with what may be done whenever it suits."""
    if not free:
        return Said(card.headline, card.why, Urgency.NOTHING)
    task = free[0]
    return Said(
        say("{headline} {task}.", headline=card.headline, task=task.words), task.why or card.why, Urgency.NOTHING, task
    )


def urgency_now(task: CardTask, now: datetime) -> Urgency:
    """How pressing a card's task is at a moment."""
    return urgency_at(task_of(task), now)


def urgency_said(task: CardTask, now: datetime, zone: tzinfo) -> Urgency:
    """How pressing it is said to be: what comes later on the same day is told by what it is, not as a wait."""
    found = urgency_now(task, now)
    same_day = task.due_from.astimezone(zone).date() == now.astimezone(zone).date()
    return Urgency[task.urgency] if found is Urgency.WAIT and same_day else found


def late_words(task: CardTask, now: datetime, zone: tzinfo) -> str:
    """What is late, in words: "due yesterday"; "" where it is not."""
    if task.due_by is None or now <= task.due_by:
        return ""
    return say("due {day}", day=day_words(task.due_by, now, zone))


def task_of(task: CardTask, brew: str = "") -> Task:
    """A card's task as the steps know it."""
    return Task(
        brew,
        task.step,
        task.words,
        task.why,
        Urgency[task.urgency],
        task.due_from,
        task.due_by,
        task.act,
        task.until,
        task.about,
    )


def _last_moment(brew: Brew) -> datetime:
    return max((k.at for k in brew.kept), default=datetime(2000, 1, 1, tzinfo=UTC))


def _kept(brew: Brew, task: Task) -> CardTask:
    return CardTask(
        task.step,
        task.act,
        task.words,
        task.why,
        task.urgency.name,
        task.due_from,
        task.due_by,
        task.until,
        task.about,
        done_last(brew, task.act),
    )


def _figures(found: Outlook) -> tuple[Short, ...]:
    parts = [found.original, found.expected_fg, found.now_sg]
    if found.pitched:
        parts.append(found.points_left)
    return tuple(short(part) for part in parts if part is not None and isfinite(part.value))


def _state(brew: Brew, found: Outlook) -> tuple[str, str]:
    """How the brew stands, in a sentence that stays true until the next entry."""
    stage = brew.stage
    if stage == "dumped":
        dumped = brew.last(ev.Dumped)
        return say("Thrown away."), dumped.event.because if dumped else ""
    if stage == "closed":
        closed = brew.last(ev.Closed)
        return say("Drunk and closed."), closed.event.lesson if closed else ""
    if brew.all(ev.Bottled):
        left = bottles_left(brew)
        return (say("In bottles, {left} left.", left=left) if left else say("Every bottle is gone.")), ""
    if brew.all(ev.Primed):
        return say("Primed, not in bottles yet."), ""
    if not found.pitched:
        if brew.all(ev.Mixed):
            return say("Mixed, without yeast yet."), ""
        return say("Planned."), say("It should end near {gravity}.", gravity=show(found.expected_fg.value, 4))
    return _of_outlook(found)


def _of_outlook(found: Outlook) -> tuple[str, str]:
    end = say("expected end {gravity}", gravity=show(found.expected_fg.value, 4))
    if found.now_sg is None:
        return say("Fermenting."), say("Not read yet; {end}.", end=end)
    why = say(
        "Now {now}, {end}; at most {points} points left.",
        now=show(found.now_sg.value, 4),
        end=end,
        points=show(found.points_left.high, 1),
    )
    if found.finished:
        return say("Finished, as far as readings can tell."), why
    if "below_possible" in found.lacking:
        return say("Lower than this make-up can reach: do not bottle it."), why
    if found.finished is False:
        if not found.stands:
            return say("Not finished."), why
        if found.likeliest == HIGH:
            return say("Not finished: it stands above its end, as a halt does."), why
        return say("Not finished: come to a halt above its end."), why
    return say("Not known yet whether it is finished."), why


def _free_from(brew: Brew, found: Outlook) -> datetime | None:
    """When the vessel should be free, with days enough for a second reading."""
    if not found.pitched or any(isinstance(k.event, ev.Bottled | ev.Racked) for k in brew.kept):
        return None
    if found.by is not None:
        return found.by.high
    if "pair" in found.lacking and found.next_reading_at is not None:
        return found.next_reading_at + timedelta(days=3)
    return found.next_reading_at or found.level_since
