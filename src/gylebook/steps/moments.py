"""Days in words, for the sentences that a step writes about a moment."""

from __future__ import annotations

from datetime import datetime, timedelta, tzinfo

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_words(at: datetime, now: datetime, zone: tzinfo) -> str:
    """The day of a moment as one would say it now: "today", "tomorrow", "Thursday", "Thu 26 Nov", "Thu 7 Jan 2027"."""
    there, here = at.astimezone(zone).date(), now.astimezone(zone).date()
    away = (there - here).days
    near = {-1: "yesterday", 0: "today", 1: "tomorrow"}.get(away)
    if near:
        return near
    name = DAYS[there.weekday()]
    if 1 < away < 7:
        return name
    year = f" {there.year}" if there.year != here.year else ""
    return f"{name[:3]} {there.day} {MONTHS[there.month - 1]}{year}"


def coming_words(at: datetime, now: datetime, zone: tzinfo) -> str:
    """As `day_words`, where what is still to come on this day is "later today"."""
    words = day_words(at, now, zone)
    return "later today" if words == "today" and at > now else words


def on_words(at: datetime, now: datetime, zone: tzinfo) -> str:
    """When something is to be done: "later today", "tomorrow", "on Thursday"."""
    words = coming_words(at, now, zone)
    return words if words in {"yesterday", "today", "later today", "tomorrow"} else f"on {words}"


def span_words(span: timedelta) -> str:
    """How long in words: "20 minutes", "5 hours", "3 days", "6 weeks"."""
    minutes = max(0, round(span / timedelta(minutes=1)))
    for size, name, below in ((1, "minute", 60), (60, "hour", 48 * 60), (1440, "day", 21 * 1440)):
        if minutes < below:
            count = round(minutes / size)
            return f"{count} {name}" + ("" if count == 1 else "s")
    return f"{round(minutes / 10080)} weeks"
