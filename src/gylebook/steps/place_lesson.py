"""What thermometers showed of places over all brews: a place that nobody wrote months for gets them from there.

A thermometer on the wall tells it best, whatever became of the beer below it; quiet beer tells less, for it follows its
room slowly and stands a little above it. What was read is never wider than what there was: the fewer the days on which
anybody looked, the wider the range is taken.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import sqrt
from typing import Final

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.phrases import capital, joined, say, say_amount, say_range
from gylebook.steps.answers import Basis
from gylebook.steps.moments import WHOLE_MONTHS
from gylebook.steps.place_words import place_key, the
from gylebook.steps.warmth import BEER, ROOM, Warm, days_since_pitch, log, place_at, written_range_c
from gylebook.units import show

# Guesses of common practice.
FEW_DAYS_C: Final = 3.0  # by so much either end of a single day's reading is moved; less by the root of the days
BEER_COUNTS: Final = 0.3  # of a day on which the room itself was read
BEER_ABOVE_C: Final = 1.0  # quiet beer stands up to so much above its room
CONTRADICTS_C: Final = 1.0  # beyond what is written; a thermometer's own error is no contradiction
_QUIET_DAYS = 6.0


@dataclass(frozen=True, slots=True)
class PlaceTold:
    """What one brew's thermometers showed of a place in a month.

    Parameters
    ----------
    place, month
        Which, 1 to 12.
    low_c, high_c
        Lowest and highest reading [°C].
    days
        On how many days it was read; a day on which only quiet beer was read counts three tenths.
    """

    place: str
    month: int
    low_c: float
    high_c: float
    days: float


def places_told(brew: Brew, shelf: Shelf) -> tuple[PlaceTold, ...]:
    """What one brew's log tells of the places it stood in, by place and month."""
    rooms: dict[tuple[str, int], list[Warm]] = defaultdict(list)
    beers: dict[tuple[str, int], list[Warm]] = defaultdict(list)
    for warm in log(brew, shelf):
        place = place_at(brew, warm.at)
        if not place or warm.basis is not Basis.MEASURED:
            continue
        if warm.of == ROOM:
            rooms[place, warm.at.month].append(warm)
        elif warm.of == BEER and _quiet(brew, warm):
            beers[place, warm.at.month].append(warm)
    found = [_told(key, seen, 1.0, 0.0) for key, seen in rooms.items()]
    found += [_told(key, seen, BEER_COUNTS, BEER_ABOVE_C) for key, seen in beers.items() if key not in rooms]
    return tuple(sorted(found, key=lambda told: (told.place, told.month)))


def _quiet(brew: Brew, warm: Warm) -> bool:
    """Whether fermentation warmed it no more, and it was left as its room had it."""
    seen = next((kept.event for kept in brew.kept if kept.seq == warm.seq), None)
    days = days_since_pitch(brew, warm.at)
    return isinstance(seen, ev.TempSeen) and days is not None and days > _QUIET_DAYS


def _told(key: tuple[str, int], seen: list[Warm], counts: float, above: float) -> PlaceTold:
    days = counts * len({warm.at.date() for warm in seen})
    return PlaceTold(*key, min(warm.low_c for warm in seen) - above, max(warm.high_c for warm in seen), days)


@dataclass(frozen=True, slots=True)
class PlaceMonth:
    """A place's month over all brews: what was read, and the range that it is taken for [°C]."""

    place: str
    month: int
    low_c: float
    high_c: float
    days: float
    brews: int

    @property
    def taken_c(self) -> tuple[float, float]:
        """Lowest and highest, each moved outwards by how few days were looked at."""
        wider = FEW_DAYS_C / sqrt(self.days)
        return self.low_c - wider, self.high_c + wider


def place_months(told: Iterable[PlaceTold]) -> tuple[PlaceMonth, ...]:
    """All that was told of each place and month, in whatever order it comes."""
    by_month: dict[tuple[str, int], list[PlaceTold]] = defaultdict(list)
    for each in told:
        by_month[place_key(each.place), each.month].append(each)
    return tuple(
        PlaceMonth(
            min(each.place for each in those),
            month,
            min(each.low_c for each in those),
            max(each.high_c for each in those),
            sum(each.days for each in those),
            len(those),
        )
        for (_, month), those in sorted(by_month.items())
    )


def ranges_c(months: Iterable[PlaceMonth]) -> Mapping[str, Mapping[int, tuple[float, float]]]:
    """The same as ranges, by the place's name as it is compared and by month."""
    found: dict[str, dict[int, tuple[float, float]]] = {}
    for each in months:
        found.setdefault(place_key(each.place), {})[each.month] = each.taken_c
    return found


def place_lines(months: Iterable[PlaceMonth], shelf: Shelf | None = None) -> tuple[str, ...]:
    """What was learned of each place, a sentence each; with the shelf, what it does not hold, or holds otherwise."""
    by_place: dict[str, list[PlaceMonth]] = {}
    for each in months:
        by_place.setdefault(place_key(each.place), []).append(each)
    found: list[str] = []
    for those in by_place.values():
        unwritten = [m for m in those if shelf is None or written_range_c(shelf, m.place, m.month) is None]
        if unwritten:
            found.append(_learned_line(unwritten))
        if shelf is not None:
            found += [line for each in those if (line := contradiction(each, shelf))]
    return tuple(found)


def place_line(months: Iterable[PlaceMonth], place: str, shelf: Shelf) -> str:
    """What was learned of one place that the shelf does not hold, or holds otherwise; "" where nothing was."""
    return joined("; ", place_lines((each for each in months if place_key(each.place) == place_key(place)), shelf))


def _learned_line(months: list[PlaceMonth]) -> str:
    brews = max(each.brews for each in months)
    ranges = [
        say("{temperatures} in {month}", temperatures=say_range(low, high, 0, "°C"), month=WHOLE_MONTHS[each.month - 1])
        for each in months
        for low, high in [each.taken_c]
    ]
    return say(
        "{place}: learned from {brews} of your brews, taken as {ranges}",
        place=months[0].place,
        brews=brews,
        ranges=joined(", ", ranges),
    )


def contradiction(found: PlaceMonth, shelf: Shelf) -> str:
    """Where a thermometer showed other than what is written of the place; "" where it did not."""
    written = written_range_c(shelf, found.place, found.month)
    if written is None:
        return ""
    over, under = found.high_c - written[1], written[0] - found.low_c
    if max(over, under) <= CONTRADICTS_C:
        return ""
    read, held = (found.high_c, written[1]) if over >= under else (found.low_c, written[0])
    name = the(found.place)
    return say(
        "{name} was read at {read} in {month}; the book holds {held}",
        name=capital(name),
        read=say_amount(read, 0, "°C"),
        month=WHOLE_MONTHS[found.month - 1],
        held=show(held, 0),
    )
