"""Where bottles stand and how warm it gets there; and which bottles a brew is meant for, or is in."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Shelf
from gylebook.phrases import say, say_amount
from gylebook.steps import warmth
from gylebook.steps.answers import Basis, Figure, Given, Working
from gylebook.steps.asked import CELSIUS, figure
from gylebook.steps.bottle_kinds import Bottle, bottles_of
from gylebook.steps.bottle_stock import planned
from gylebook.steps.decision import Setting
from gylebook.steps.place_months import half_words, usual_of

_ASSUMED_C, _ASSUMED_FROM_C, _ASSUMED_TO_C = 25.0, 18.0, 30.0
_BETWEEN = say("the highest of the place's months, and of what was read there")


def store_c(brew: Brew, shelf: Shelf, on: date | None = None) -> Figure:
    """The warmest that bottles will stand, in any month of their place, or as it was read there when that is more.

    25 °C where the place is not known; more where its name alone tells that it gets hot. Months that nobody wrote are
    taken as usual for such a place. With a day, spells of warm weather count that are not over by then.
    """
    place = warmth.place_at(brew)
    known = {month: span for month in range(1, 13) if (span := warmth.range_c(shelf, place, month)) is not None}
    read = _warmest_read(brew, shelf, place)
    spell = max(
        warmth.spells_of(shelf, place, on) if on is not None else (),
        key=lambda each: warmth.celsius(each.high),
        default=None,
    )
    top, given = _top(shelf, place, known)
    if read is not None and read.high_c > top:
        top = read.high_c
        where = say("{place}, {where}: warmer than stated", place=place, where=read.where)
        given = Given(say("warmest store"), say_amount(top, None, "°C"), read.basis, where, read.seq)
    if spell is not None and warmth.celsius(spell.high) > top:
        top = warmth.celsius(spell.high)
        where = say(
            "{place}, in the warm weather written for {day}",
            place=spell.place or say("everywhere"),
            day=spell.from_on.isoformat(),
        )
        given = Given(say("warmest store"), say_amount(top, None, "°C"), Basis.ASSUMED, where)
    elif not known and read is None:
        low, high = _ASSUMED_FROM_C - _ASSUMED_C + top, _ASSUMED_TO_C - _ASSUMED_C + top
        working = Working(say("assumed"), (given,), ("common_practice",))
        return figure("store", say("Warmest store"), top, CELSIUS, working, low=low, high=high)
    working = Working(_BETWEEN, (given,), ("common_practice",))
    return figure("store", say("Warmest store"), top, CELSIUS, working, low=top - 2.0, high=top + 3.0)


def _top(shelf: Shelf, place: str, known: dict[int, tuple[float, float]]) -> tuple[float, Given]:
    """The warmest of a place's twelve months, and where that is from."""
    usual = usual_of(place)
    if not known:
        top = usual.warm[1]
        where = (
            say("{word} in summer, by common practice", word=usual.word)
            if usual.word
            else say("a room in summer; no place is known")
        )
        return top, Given(say("warmest store"), say_amount(top, None, "°C"), Basis.ASSUMED, where)
    tops = {month: warmth.usual_range_c(shelf, place, month)[1] for month in range(1, 13)}
    month = max(tops, key=lambda each: (tops[each], each in known))
    top, where, basis = tops[month], say("{place}, its warmest month", place=place), Basis.ASSUMED
    if month not in known:
        half = half_words(shelf.settings.time_zone or "")
        where = say(
            "{place} in month {month}, by common practice; {half}",
            place=usual.word or say("a room"),
            month=month,
            half=half,
        )
    elif warmth.written_range_c(shelf, place, month) is None:
        where, basis = say("{place}, as it was read in month {month}", place=place, month=month), Basis.LEARNED
    return top, Given(say("warmest store"), say_amount(top, None, "°C"), basis, where)


def _warmest_read(brew: Brew, shelf: Shelf, place: str) -> warmth.Warm | None:
    """The warmest reading written of this brew's room or bottles since they came to stand at the place."""
    bottled = brew.first(ev.Bottled)
    if bottled is None:
        return None
    since = [w for w in warmth.log(brew, shelf) if w.at > bottled.at and w.of != warmth.PLACE]
    return max((w for w in since if warmth.place_at(brew, w.at) == place), key=lambda w: w.high_c, default=None)


def present_c(brew: Brew, setting: Setting) -> float:
    """As warm as it gets where the bottles stand in the present month, or in the warm weather that is there today.

    As the log has it where no place is known.
    """
    today = setting.now.astimezone(setting.zone).date()
    span = warmth.place_range_c(setting.shelf, warmth.place_at(brew), today.month, today)
    return span[1] if span is not None else warmth.beer_temp_c(brew, setting.shelf, setting.now).value


def bottles_in_use(
    brew: Brew, shelf: Shelf, litres: float, full: Mapping[str, int] | None = None
) -> tuple[tuple[Bottle, ...], Basis]:
    """The bottles that a brew is in, else those of the shelf that it would fill; empty where none are known.

    Those that stand `full`, by the words of their kind, are not there to be filled.
    """
    lots = tuple(lot for kept in brew.all(ev.Bottled) for lot in kept.event.lots)
    if lots:
        return bottles_of(lots, shelf), Basis.MEASURED
    return planned(litres, shelf, full), Basis.ASSUMED
