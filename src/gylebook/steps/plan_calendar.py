"""When: hops, the earliest honest bottling, and drinking, each with its interval.

Days are not evidence that a beer is finished; the calendar is for planning, and the readings decide.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from math import isfinite

from gylebook.journal import events as ev
from gylebook.journal.state import Shelf
from gylebook.phrases import say, say_amount, say_range
from gylebook.science.conditioning import carbonation_days
from gylebook.steps.answers import Basis, Finding, Given, MomentFigure, Urgency, Working
from gylebook.steps.decision import Setting
from gylebook.steps.moments import day_words
from gylebook.steps.warm_days import Track
from gylebook.steps.warmth import celsius, place_range_c
from gylebook.units import show

_DAY = timedelta(days=1)
_FERMENT_WARM_DAYS = (5.0, 7.5, 12.0)  # to the final gravity at 20 °C
_CONFIRM_DAYS = (2.0, 3.0, 4.0)  # between the two readings that show it
_CONTACT_DAYS = 3
_AFTER_HOPS_DAYS = (3.0, 4.0, 6.0)  # warm, so that what hops wake up is over before the sugar goes in
_MATURE_DAYS = (0.0, 7.0, 14.0)
_SLOWEST_PACE = 0.15
_LONGEST_CARBONATION = 60.0
_ROOM_C = (17.0, 21.0)
_COLD_C = 12.0


@dataclass(frozen=True, slots=True)
class Calendar:
    """Moments of a brew that begins at `start`."""

    start: datetime
    hops: tuple[MomentFigure, ...]
    bottling: MomentFigure
    drink: MomentFigure
    findings: tuple[Finding, ...]

    @property
    def figures(self) -> tuple[MomentFigure, ...]:
        """All moments in their order."""
        return (*self.hops, self.bottling, self.drink)


def warmth_of(shelf: Shelf, place: str, kit: ev.Kit | None, month: int) -> tuple[float, float, Given]:
    """Lowest and highest temperature to reckon with, and where they come from."""
    span = place_range_c(shelf, place, month)
    if span is not None:
        return (
            span[0],
            span[1],
            Given(
                say("temperature"),
                _span_words(span),
                Basis.ASSUMED,
                say("{place} in month {month}", place=place, month=month),
            ),
        )
    if kit is not None and kit.temp_from is not None and kit.temp_to is not None:
        leaflet = (celsius(kit.temp_from), celsius(kit.temp_to))
        return (
            leaflet[0],
            leaflet[1],
            Given(say("temperature"), _span_words(leaflet), Basis.LEAFLET, say("the leaflet's range")),
        )
    return (
        _ROOM_C[0],
        _ROOM_C[1],
        Given(say("temperature"), _span_words(_ROOM_C), Basis.ASSUMED, say("an ordinary room")),
    )


def _span_words(span: tuple[float, float]) -> str:
    return say_range(span[0], span[1], 0, "°C")


def calendar(
    setting: Setting, kit: ev.Kit | None, start_on: date, place: str, drink_on: date | None = None
) -> Calendar:
    """The moments of a brew that is mixed on a day and stands in a place."""
    start = datetime.combine(start_on, time(12), tzinfo=setting.zone).astimezone(UTC)
    low, high, given = warmth_of(setting.shelf, place, kit, start_on.month)
    kind = kit.yeast_kind if kit is not None and kit.yeast_kind else "ale"
    fermented = _fermented_days(low, high, kind)
    hops = _hop_moments(kit, start, fermented, given)
    bottling_days = _bottling_days(kit, fermented)
    bottling = _moment(
        "bottling",
        say("Earliest honest bottling"),
        start,
        bottling_days,
        Working(
            say("fermentation by its warmth, then spaced level readings; after dry hops, warm days and readings anew"),
            (given, *_kit_givens(kit)),
            ("common_practice",),
            (
                say("to the final gravity {days}", days=_days_words(fermented)),
                say("to bottling {days}", days=_days_words(bottling_days)),
            ),
            (say("Days are not evidence: spaced readings decide, level, where the make-up says it ends."),),
        ),
    )
    drink_days, cold = _drink_days(bottling_days, low, high)
    drink = _moment(
        "drink_from",
        say("Good to drink from"),
        start,
        drink_days,
        Working(
            say("bottling, plus the days that the fizz takes at this warmth, plus a week to come together"),
            (given,),
            ("common_practice",),
            (say("after mixing {days}", days=_days_words(drink_days)),),
        ),
    )
    findings = (*cold, *_date_findings(setting, start, drink, drink_on))
    return Calendar(start, hops, bottling, drink, findings)


def _days_words(days: tuple[float, float, float]) -> str:
    return say("{days} days ({low} to {high})", days=show(days[1], 0), low=show(days[0], 0), high=show(days[2], 0))


def _kit_givens(kit: ev.Kit | None) -> tuple[Given, ...]:
    if kit is None or kit.days is None:
        return ()
    return (
        Given(
            say("fermentation"), say("{days} days", days=kit.days), Basis.LEAFLET, say("the leaflet; taken as a hope")
        ),
    )


def _fermented_days(low: float, high: float, kind: str) -> tuple[float, float, float]:
    track = Track((), (), known=False, yeast=kind)
    paces = [max(track.pace(temp), _SLOWEST_PACE) for temp in (high, (low + high) / 2 + 1, low)]
    quick, likely, slow = (days / pace for days, pace in zip(_FERMENT_WARM_DAYS, paces, strict=True))
    return min(quick, likely), likely, max(slow, likely)


def _hop_moments(
    kit: ev.Kit | None, start: datetime, fermented: tuple[float, float, float], given: Given
) -> tuple[MomentFigure, ...]:
    found = []
    for number, hop in enumerate(kit.hops if kit is not None else (), 1):
        if hop.on_day is not None:
            days = (float(hop.on_day), float(hop.on_day), float(hop.on_day + 2))
            why = say("the leaflet's day {on_day}; when the gravity is at its gate, not before", on_day=hop.on_day)
        else:
            days = fermented
            why = say("when fermentation is at or near its end")
        working = Working(
            why, (given, Given(say("hops"), hop.mass.said(), Basis.LEAFLET, hop.name)), ("common_practice",)
        )
        found.append(
            _moment(f"hops_{number}", say("{mass} of {hop} in", mass=hop.mass, hop=hop.name), start, days, working)
        )
    return tuple(found)


def _bottling_days(kit: ev.Kit | None, fermented: tuple[float, float, float]) -> tuple[float, float, float]:
    plain = [days + confirm for days, confirm in zip(fermented, _CONFIRM_DAYS, strict=True)]
    if kit is None or not kit.hops:
        return plain[0], plain[1], plain[2]
    hopped = []
    for days, after, least in zip(fermented, _AFTER_HOPS_DAYS, plain, strict=True):
        out = max(
            (hop.on_day if hop.on_day is not None else days) + (hop.contact_days or _CONTACT_DAYS) for hop in kit.hops
        )
        hopped.append(max(least, out + after))
    return hopped[0], hopped[1], hopped[2]


def _drink_days(
    bottling: tuple[float, float, float], low: float, high: float
) -> tuple[tuple[float, float, float], tuple[Finding, ...]]:
    mid = min(max((low + high) / 2, 1.0), 44.0)
    fizz = carbonation_days(0.9, mid)
    slow = float(fizz.high) if isfinite(float(fizz.high)) else _LONGEST_CARBONATION
    days = [min(float(part), _LONGEST_CARBONATION) for part in (fizz.low, fizz.best)] + [
        min(slow, _LONGEST_CARBONATION)
    ]
    found = tuple(b + d + m for b, d, m in zip(bottling, days, _MATURE_DAYS, strict=True))
    cold = (
        ()
        if mid >= _COLD_C
        else (
            Finding(
                Urgency.WAIT,
                say(
                    "At about {mid} fermentation and fizz take weeks and may fall asleep.", mid=say_amount(mid, 0, "°C")
                ),
                say("Is there a place of 18 to 22 °C for the first weeks in vessel and bottle?"),
                key="cold_place",
            ),
        )
    )
    return (found[0], found[1], found[2]), cold


def _moment(key: str, label: str, start: datetime, days: tuple[float, float, float], working: Working) -> MomentFigure:
    quick, likely, slow = (start + _DAY * value for value in days)
    return MomentFigure(key, label, likely, quick, slow, working)


def _date_findings(
    setting: Setting, start: datetime, drink: MomentFigure, drink_on: date | None
) -> tuple[Finding, ...]:
    if drink_on is None:
        return ()
    wanted = datetime.combine(drink_on, time(12), tzinfo=setting.zone).astimezone(UTC)
    latest, usual = wanted - (drink.high - start), wanted - (drink.value - start)
    day, usual_day = (day_words(moment, setting.now, setting.zone) for moment in (latest, usual))
    if wanted < drink.low:
        likely = day_words(drink.value, setting.now, setting.zone)
        text = say(
            "It will not be ready by {drink_on}: good to drink from about {likely}.", drink_on=drink_on, likely=likely
        )
        if usual > setting.now:
            text = say(
                "{text} It would have to begin by {usual_day} if all goes as usual, by {day} for slow days.",
                text=text,
                usual_day=usual_day,
                day=day,
            )
        return (Finding(Urgency.ACT, text, say("Can the day move, or will another brew do for it?"), key="too_late"),)
    if wanted < drink.high:
        slack = (wanted - drink.value) / _DAY
        words = (
            say("{days} days in hand if all goes as usual", days=show(slack, 0))
            if slack >= 0
            else say("{days} days short if all goes as usual", days=show(-slack, 0))
        )
        begin = (
            say("it would have to begin by {day}", day=day)
            if latest > setting.now
            else say("it would have had to begin already")
        )
        text = say("{drink_on} is tight: {words}; with slow days {begin}.", drink_on=drink_on, words=words, begin=begin)
        return (Finding(Urgency.WAIT, text, say("Can it begin earlier?"), key="tight"),)
    left = (latest - start) / _DAY
    text = say(
        "{drink_on} is met even with slow days, with {left} days in hand; the last day to begin is "
        "{day}, or {usual_day} if all goes as usual.",
        drink_on=drink_on,
        left=show(left, 0),
        day=day,
        usual_day=usual_day,
    )
    return (Finding(Urgency.NOTHING, text, key="in_time"),)
