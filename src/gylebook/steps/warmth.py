"""How warm it was: everything the log says about temperature, and the beer's temperature at a moment.

A room is not its beer: a fermenting vessel stands a few degrees above it. Where nothing was written, the place's
own range or the leaflet's is assumed, and the figure says so.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept, Shelf
from gylebook.phrases import say, say_amount, say_range
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.once import once
from gylebook.steps.place_months import is_southern, usual_of
from gylebook.steps.place_words import place_key
from gylebook.units import Quantity, show

BEER, ROOM, PLACE = "beer", "room", "place"
_OF_TEMP = {BEER: say("beer temperature"), ROOM: say("room temperature"), PLACE: say("place temperature")}
_WARMEST_OF = {BEER: say("warmest reading of the beer"), ROOM: say("warmest reading of the room")}
FREEZES_C = -1.0  # below it beer of an ordinary strength begins to freeze: common_practice, no more than a warning

_READ_SD_C = 0.5  # a strip or kitchen thermometer
_DRIFT_C_PER_DAY = 1.0  # how far the beer may wander from a reading, per day
_STALE = timedelta(days=3)
_ACTIVE_DAYS = 4.0
_ACTIVE_RISE_C = (0.0, 4.0)  # of a fermenting vessel over its room, in the first days
_QUIET_RISE_C = (0.0, 1.0)
_ASSUMED_C = (16.0, 24.0)


@dataclass(frozen=True, slots=True)
class Warm:
    """One stretch or reading of temperature. `of` is "beer", "room" or "place"; for a place it lasts to the next."""

    at: datetime
    low_c: float
    temp_c: float
    high_c: float
    of: str
    basis: Basis
    seq: int | None = None
    where: str = ""


def celsius(quantity: Quantity) -> float:
    """A temperature in °C."""
    return quantity.to("°C", "temperature")


def written_range_c(shelf: Shelf, place: str, month: int) -> tuple[float, float] | None:
    """Lowest and highest temperature of a kept place in a month (1 to 12) as it was written; None where it was not."""
    kept = shelf.places.get(place)
    if kept is None:
        return None
    for entry in kept.months:
        if entry.month == month:
            return celsius(entry.low), celsius(entry.high)
    if kept.low is None or kept.high is None:
        return None
    return celsius(kept.low), celsius(kept.high)


def range_c(shelf: Shelf, place: str, month: int) -> tuple[float, float] | None:
    """The same, or what thermometers showed there in that month, where nothing was written."""
    written = written_range_c(shelf, place, month)
    return written if written is not None else shelf.read_c.get(place_key(place), {}).get(month)


def usual_range_c(shelf: Shelf, place: str, month: int) -> tuple[float, float]:
    """The same, or what is usual of a place with such a name in that month, where nothing is known of it."""
    southern = is_southern(shelf.settings.time_zone or "")
    return range_c(shelf, place, month) or usual_of(place).in_month(month, southern=southern)


def place_range_c(shelf: Shelf, place: str, month: int, on: date | None = None) -> tuple[float, float] | None:
    """Lowest and highest temperature of a place in a month (1 to 12); None where it is not known.

    With a day, a spell of warm or frosty weather that was written for it widens the range; where nothing else is known,
    what is usual of a place with such a name.
    """
    found = range_c(shelf, place, month)
    here = spells_of(shelf, place, on, on) if on is not None else ()
    if not here:
        return found
    low, high = found or usual_range_c(shelf, place, month)
    lows = [celsius(spell.low) for spell in here if spell.low is not None]
    return min([low, *lows]), max([high, *(celsius(spell.high) for spell in here)])


def spells_of(shelf: Shelf, place: str, since: date, until: date | None = None) -> tuple[ev.WarmSpell, ...]:
    """Spells of warm or frosty weather for a place, or for everywhere, that are not over by a day, the earliest first.

    With `until`, only those that have begun by then.
    """
    found = [
        spell
        for spell in shelf.spells.values()
        if spell.to_on >= since
        and (until is None or spell.from_on <= until)
        and (not spell.place or place_key(spell.place) == place_key(place))
    ]
    return tuple(sorted(found, key=lambda spell: (spell.from_on, spell.place)))


def place_at(brew: Brew, at: datetime | None = None) -> str:
    """Where the vessel stands at a moment (or now), "" where it was not written."""
    times, places = brew.once(place_at, lambda: _places(brew))
    moves = len(times) if at is None else bisect_right(times, at)
    return places[moves - 1] if moves else brew.plan.place


def _places(brew: Brew) -> tuple[list[datetime], list[str]]:
    """Every move, and where to."""
    moves = [
        (kept.at, kept.event.place)
        for kept in brew.kept
        if isinstance(kept.event, ev.Moved) or (isinstance(kept.event, ev.Bottled) and kept.event.place)
    ]
    return [at for at, _ in moves], [place for _, place in moves]


@once
def log(brew: Brew, shelf: Shelf) -> tuple[Warm, ...]:
    """Every temperature that the brew's log holds, in order, with the ranges of the places it stood in."""
    found: list[Warm] = []
    begun = next((k for k in brew.kept if isinstance(k.event, ev.Mixed | ev.Pitched)), None)
    if begun is not None:
        found += _of_place(shelf, place_at(brew, begun.at), begun.at, begun.seq)
    for kept in brew.kept:
        found += _of_entry(kept, shelf)
    return tuple(sorted(found, key=lambda warm: warm.at))


def _of_entry(kept: Kept[ev.Event], shelf: Shelf) -> list[Warm]:
    where = say("entry {seq}", seq=kept.seq)
    match kept.event:
        case ev.TempSeen() as seen:
            values = [celsius(q) for q in (seen.low, seen.temp, seen.high) if q is not None]
            if not values:
                return []
            mid = celsius(seen.temp) if seen.temp is not None else (min(values) + max(values)) / 2
            return [Warm(kept.at, min(values), mid, max(values), seen.of, Basis.MEASURED, kept.seq, where)]
        case ev.Pitched(temp=temp) | ev.Mixed(temp=temp) if temp is not None:
            value = celsius(temp)
            return [Warm(kept.at, value, value, value, BEER, Basis.MEASURED, kept.seq, where)]
        case ev.Moved() as moved:
            found = _of_place(shelf, moved.place, kept.at, kept.seq)
            if moved.temp is not None:
                value = celsius(moved.temp)
                found.append(Warm(kept.at, value, value, value, ROOM, Basis.MEASURED, kept.seq, where))
            return found
        case ev.Bottled(place=place) if place:
            return _of_place(shelf, place, kept.at, kept.seq)
        case _:
            return []


def _of_place(shelf: Shelf, place: str, at: datetime, seq: int) -> list[Warm]:
    span = place_range_c(shelf, place, at.month)
    if span is None:
        return []
    low, high = span
    return [
        Warm(
            at,
            low,
            (low + high) / 2,
            high,
            PLACE,
            Basis.ASSUMED,
            seq,
            say("{place} in month {month}", place=place, month=at.month),
        )
    ]


def days_since_pitch(brew: Brew, at: datetime) -> float | None:
    """Days from the first yeast to a moment; None where no yeast went in before it."""
    pitched = brew.first(ev.Pitched)
    if pitched is None or pitched.at > at:
        return None
    return (at - pitched.at) / timedelta(days=1)


@dataclass(frozen=True, slots=True)
class _Temps:
    """What was read of the beer and of its room, each in order, and when."""

    beer: tuple[Warm, ...]
    beer_at: tuple[datetime, ...]
    room: tuple[Warm, ...]
    room_at: tuple[datetime, ...]

    @classmethod
    def of(cls, entries: Iterable[Warm]) -> _Temps:
        """Sort them apart."""
        beer, room = [], []
        for warm in entries:
            if warm.of == BEER:
                beer.append(warm)
            elif warm.of == ROOM:
                room.append(warm)
        return cls(tuple(beer), tuple(w.at for w in beer), tuple(room), tuple(w.at for w in room))

    def nearest_beer(self, at: datetime) -> Warm | None:
        """The reading of the beer nearest to a moment, the earlier of two as near; None where all are stale."""
        here = bisect_right(self.beer_at, at)
        near = list(self.beer[here : here + 1])
        if here:
            near.insert(0, self.beer[bisect_left(self.beer_at, self.beer_at[here - 1])])
        return min((w for w in near if abs(w.at - at) <= _STALE), key=lambda w: abs(w.at - at), default=None)

    def latest_room(self, at: datetime) -> Warm | None:
        """The latest reading of the room up to a moment; None where it is stale."""
        here = bisect_right(self.room_at, at)
        return self.room[here - 1] if here and at - self.room_at[here - 1] <= _STALE else None

    def beer_around(self, at: datetime) -> tuple[Warm, Warm] | None:
        """The readings of the beer before and after a moment; None where either is missing or stale."""
        here = bisect_right(self.beer_at, at)
        if not 0 < here < len(self.beer):
            return None
        one, two = self.beer[here - 1], self.beer[here]
        return (one, two) if at - one.at <= _STALE and two.at - at <= _STALE else None


@once
def _temps(brew: Brew, shelf: Shelf) -> _Temps:
    return _Temps.of(log(brew, shelf))


def beer_temp_c(brew: Brew, shelf: Shelf, at: datetime) -> Figure:
    """The beer's temperature at a moment: read, or from the room or the place, or assumed."""
    temps = _temps(brew, shelf)
    near, room = temps.nearest_beer(at), temps.latest_room(at)
    if near is not None and (room is None or abs(near.at - at) <= timedelta(days=1)):
        return _from_reading(near, temps, at)
    if room is not None:
        return _from_room(brew, room, at)
    return _from_place(brew, shelf, at)


def _from_place(brew: Brew, shelf: Shelf, at: datetime) -> Figure:
    place = place_at(brew, at)
    span = place_range_c(shelf, place, at.month, at.date())
    if span is None:
        return _assumed(brew)
    warm = Warm(
        at, *_spread(span), PLACE, Basis.ASSUMED, None, say("{place} in month {month}", place=place, month=at.month)
    )
    return _from_room(brew, warm, at)


def _spread(span: tuple[float, float]) -> tuple[float, float, float]:
    return span[0], (span[0] + span[1]) / 2, span[1]


def _from_reading(near: Warm, temps: _Temps, at: datetime) -> Figure:
    """Between two readings of the beer on a straight line; beside one, that one, less certain with each day."""
    around = temps.beer_around(at)
    value = near.temp_c
    used: tuple[Warm, ...] = (near,)
    if around is not None:
        one, two = used = around
        share = (at - one.at) / (two.at - one.at)
        value = one.temp_c + share * (two.temp_c - one.temp_c)
    away = abs(near.at - at) / timedelta(days=1)
    half = 1.645 * _READ_SD_C + _DRIFT_C_PER_DAY * away
    low, high = min(value - half, near.low_c - half), max(value + half, near.high_c + half)
    given = tuple(Given(_OF_TEMP[w.of], say_amount(w.temp_c, 1, "°C"), w.basis, w.where, w.seq) for w in used)
    return _figure(
        "beer_temp",
        say("Beer temperature"),
        value,
        low,
        high,
        working=Working(
            say("the nearest readings of the beer"),
            given,
            ("common_practice",),
            (say("nearest reading {away} days away", away=show(away, 1)),) if away > 0.05 else (),
        ),
    )


def _from_room(brew: Brew, room: Warm, at: datetime) -> Figure:
    days = days_since_pitch(brew, at)
    active = days is not None and days <= _ACTIVE_DAYS and not brew.all(ev.Bottled)
    rise = _ACTIVE_RISE_C if active else _QUIET_RISE_C
    value = room.temp_c + sum(rise) / 2
    when = say("in the first days") if active else say("when it is quiet")
    steps = (
        say(
            "a vessel stands {rise} above its room {when}",
            rise=say_range(rise[0], rise[1], None, "Δ°C"),
            when=when,
        ),
    )
    span = say_range(room.low_c, room.high_c, 1, "°C")
    given = Given(_OF_TEMP[room.of], span, room.basis, room.where, room.seq)
    return _figure(
        "beer_temp",
        say("Beer temperature"),
        value,
        room.low_c + rise[0] - 0.5,
        room.high_c + rise[1] + 0.5,
        working=Working(say("room temperature + the fermentation's own warmth"), (given,), ("common_practice",), steps),
    )


def _assumed(brew: Brew) -> Figure:
    kit = brew.plan.kit
    if kit is not None and kit.temp_from is not None and kit.temp_to is not None:
        low, high = celsius(kit.temp_from), celsius(kit.temp_to)
        given = Given(
            say("temperature"),
            say_range(low, high, 0, "°C"),
            Basis.LEAFLET,
            say("the leaflet's range; no temperature was written"),
        )
    else:
        low, high = _ASSUMED_C
        given = Given(
            say("temperature"),
            say_range(low, high, 0, "°C"),
            Basis.ASSUMED,
            say("an ordinary room; no temperature was written"),
        )
    return _figure(
        "beer_temp",
        say("Beer temperature"),
        (low + high) / 2,
        low,
        high,
        working=Working(say("assumed"), (given,), ("common_practice",)),
    )


def warmest_since_end_c(brew: Brew, shelf: Shelf, end_at: datetime | None) -> Figure:
    """The warmest the beer has been since fermentation ended, which sets the CO2 still dissolved in it.

    Without an end, the time since the third day after pitching is taken. A beer cooled afterwards keeps its gas: the
    warmest counts, not the last; so what it had when it ended counts too, where only the cold afterwards was read.
    """
    start, words = _since(brew, end_at)
    ended = _when_it_ended(brew, shelf, start)
    bottled = brew.first(ev.Bottled)
    until = bottled.at if bottled is not None else None
    inside = [w for w in log(brew, shelf) if (start is None or w.at >= start) and (until is None or w.at <= until)]
    warmest = [
        max(found, key=lambda w: w.high_c) for of in (BEER, ROOM) if (found := [w for w in inside if w.of == of])
    ]
    top = next((w for w in warmest if w.high_c >= ended.low), None)
    if top is None:
        relation = say("no temperature was written since fermentation ended")
        if warmest:
            relation = say("as it was when fermentation ended; only colder was written since")
        return _warmest(ended.value, ended.low, ended.high, relation, ended.working.inputs, words)
    given = (Given(_WARMEST_OF[top.of], say_amount(top.high_c, 1, "°C"), top.basis, top.where, top.seq),)
    if top.of == BEER:
        # Between readings it may have been warmer; hardly cooler than the warmest that was seen.
        relation = say("the warmest reading of the beer since its fermentation ended")
        return _warmest(top.high_c, top.high_c - 0.8, top.high_c + 1.5, relation, given, words)
    # A large vessel follows a room's peaks only in part.
    relation = say("the room's warmest since fermentation ended; a full vessel follows its peaks in part")
    return _warmest((top.temp_c + top.high_c) / 2, top.low_c, top.high_c + 1.0, relation, given, words)


def _when_it_ended(brew: Brew, shelf: Shelf, start: datetime | None) -> Figure:
    """The beer's temperature at that moment from what was written up to then; later readings may be of chilled beer."""
    if not brew.kept:
        return _assumed(brew)
    at = start or brew.kept[-1].at
    so_far = _Temps.of(w for w in log(brew, shelf) if w.at <= at + timedelta(hours=12))
    near, room = so_far.nearest_beer(at), so_far.latest_room(at)
    if near is not None:
        return _from_reading(near, so_far, at)
    return _from_room(brew, room, at) if room is not None else _from_place(brew, shelf, at)


def _warmest(value: float, low: float, high: float, relation: str, inputs: tuple[Given, ...], words: str) -> Figure:  # noqa: PLR0917
    working = Working(relation, inputs, ("draper_hibberd_1996", "common_practice"), (words,))
    return _figure("warmest", say("Warmest since it finished"), value, low, high, working=working)


def _since(brew: Brew, end_at: datetime | None) -> tuple[datetime | None, str]:
    if end_at is not None:
        return end_at, say("counted from the end of fermentation")
    pitched = brew.first(ev.Pitched)
    if pitched is None:
        return None, say("counted from the start: no pitching was written")
    return pitched.at + timedelta(days=3), say("the end of fermentation is not known: counted from the third day")


def _figure(key: str, label: str, value: float, low: float, high: float, *, working: Working) -> Figure:
    return Figure(key, label, value, low, high, "°C", "temperature", 1, working)
