"""What is due as an iCalendar file (RFC 5545), for any calendar to read or to follow."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta, tzinfo
from typing import TYPE_CHECKING

from gylebook import __version__
from gylebook.phrases import joined, say, tell
from gylebook.steps.agenda import Dated
from gylebook.steps.answers import Urgency
from gylebook.steps.moments import date_words

if TYPE_CHECKING:
    from icalendar import Alarm, Event

MEDIA_TYPE = "text/calendar; charset=utf-8"
REFRESH = timedelta(hours=1)
_PRIORITY = {Urgency.DANGER: 1, Urgency.ACT: 3, Urgency.MEASURE: 5}


def calendar_file(
    dated: Iterable[Dated], zone: tzinfo, *, name: str = "Gylebook", base: str = "", unknown: Iterable[str] = ()
) -> bytes:
    """The file: the same bytes for the same entries, so that nothing looks changed which is not.

    Parameters
    ----------
    dated
        Things with their dates; those that are gone are called off, so that a calendar which has them drops them.
    zone
        In which the words are; moments themselves are written in UTC and are right in every zone.
    name
        What the calendar is called.
    base
        The address of the book, for links; "" for none.
    unknown
        Brews of which nothing could be worked out.
    """
    from icalendar import Calendar

    made = Calendar()
    made.add("prodid", f"-//Gylebook//gylebook {__version__}//EN")
    made.add("version", "2.0")
    made.add("calscale", "GREGORIAN")
    made.add("name", name)
    made.add("x-wr-calname", name)
    if zone_name := str(getattr(zone, "key", "")):
        made.add("x-wr-timezone", zone_name)
    made.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})
    made.add("x-published-ttl", "PT1H")
    if lost := joined(", ", (say("No. {brew}", brew=brew) for brew in unknown)):
        words = say(
            "What these brews need could not be worked out, so nothing of them stands here; their logs are whole: "
            "{brews}.",
            brews=lost,
        )
        made.add("description", tell(words))
    for each in dated:
        made.add_component(_event(each, zone, base))
    return bytes(made.to_ical())


def _event(dated: Dated, zone: tzinfo, base: str) -> Event:
    from icalendar import Event

    event = Event()
    event.add("uid", dated.uid)
    # Without a method, the stamp is when what it says was last revised; a stamp of the reading would change each time.
    event.add("dtstamp", _utc(dated.changed_at))
    event.add("last-modified", _utc(dated.changed_at))
    event.add("sequence", dated.sequence)
    event.add("dtstart", _utc(dated.start))
    event.add("dtend", _utc(dated.end))
    event.add("summary", tell(dated.title))
    event.add("description", tell(_words(dated, zone)))
    event.add("status", "CANCELLED" if dated.gone else "CONFIRMED")
    event.add("transp", "TRANSPARENT")
    if dated.gone:
        return event
    if dated.urgency in _PRIORITY:
        event.add("priority", _PRIORITY[dated.urgency])
        event.add_component(_alarm(dated))
    if base:
        event.add("url", f"{base}{dated.path}")
    return event


def _alarm(dated: Dated) -> Alarm:
    from icalendar import Alarm

    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("trigger", timedelta(0))
    alarm.add("description", tell(dated.title))
    return alarm


def _words(dated: Dated, zone: tzinfo) -> str:
    if dated.gone:
        return say("No longer due: done, or overtaken.")
    told = [dated.why]
    if dated.urgency is not Urgency.NOTHING:
        told.insert(0, say("{urgency}.", urgency=dated.urgency.value))
    if dated.by is not None:
        day = dated.by.astimezone(zone)
        # With its year at all times: words that change at new year would look like a change of what is due.
        told.append(say("By {day}.", day=date_words(day.date(), year=True)))
    return joined(" ", (part for part in told if part))


def _utc(at: datetime) -> datetime:
    return at.astimezone(UTC).replace(microsecond=0)
