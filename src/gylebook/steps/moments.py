"""Days in words, for the sentences that a step writes about a moment."""

from __future__ import annotations

from datetime import date, datetime, timedelta, tzinfo

from gylebook.phrases import say, say_count

DAYS = (say("Monday"), say("Tuesday"), say("Wednesday"), say("Thursday"), say("Friday"), say("Saturday"), say("Sunday"))
SHORT_DAYS = (say("Mon"), say("Tue"), say("Wed"), say("Thu"), say("Fri"), say("Sat"), say("Sun"))
MONTHS = (
    say("Jan"),
    say("Feb"),
    say("Mar"),
    say("Apr"),
    say("May"),
    say("Jun"),
    say("Jul"),
    say("Aug"),
    say("Sep"),
    say("Oct"),
    say("Nov"),
    say("Dec"),
)
WHOLE_MONTHS = (
    say("January"),
    say("February"),
    say("March"),
    say("April"),
    say("May"),
    say("June"),
    say("July"),
    say("August"),
    say("September"),
    say("October"),
    say("November"),
    say("December"),
)


def day_words(at: datetime, now: datetime, zone: tzinfo) -> str:
    """The day of a moment as one would say it now: "today", "tomorrow", "Thursday", "Thu 26 Nov", "Thu 7 Jan 2027"."""
    there, here = at.astimezone(zone).date(), now.astimezone(zone).date()
    away = (there - here).days
    if away in _NEAR:
        return _NEAR[away]
    if 1 < away < 7:
        return DAYS[there.weekday()]
    return date_words(there, year=there.year != here.year)


def date_words(day: date, *, year: bool) -> str:
    """A day by its date: "Thu 26 Nov", "Thu 7 Jan 2027"."""
    weekday, month = SHORT_DAYS[day.weekday()], MONTHS[day.month - 1]
    if not year:
        return say("{weekday} {day} {month}", weekday=weekday, day=day.day, month=month)
    return say("{weekday} {day} {month} {year}", weekday=weekday, day=day.day, month=month, year=day.year)


def coming_words(at: datetime, now: datetime, zone: tzinfo) -> str:
    """As `day_words`, where what is still to come on this day is "later today"."""
    words = day_words(at, now, zone)
    return _LATER if words == _NEAR[0] and at > now else words


def on_words(at: datetime, now: datetime, zone: tzinfo) -> str:
    """When something is to be done: "later today", "tomorrow", "on Thursday"."""
    words = coming_words(at, now, zone)
    return words if words in {*_NEAR.values(), _LATER} else say("on {day}", day=words)


def span_words(span: timedelta) -> str:
    """How long in words: "20 minutes", "5 hours", "3 days", "6 weeks"."""
    minutes = max(0, round(span / timedelta(minutes=1)))
    if minutes < 60:
        return say_count(minutes, "{n} minute", "{n} minutes")
    if minutes < 48 * 60:
        return say_count(round(minutes / 60), "{n} hour", "{n} hours")
    if minutes < 21 * 1440:
        return days_words(round(minutes / 1440))
    return say_count(round(minutes / 10080), "{n} week", "{n} weeks")


def days_words(count: int) -> str:
    """A number of days: "1 day", "3 days"."""
    return say_count(count, "{n} day", "{n} days")


_NEAR = {-1: say("yesterday"), 0: say("today"), 1: say("tomorrow")}
_LATER = say("later today")
