from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import icalendar
import pytest
import vobject

from gylebook.outputs.calendar_file import calendar_file
from gylebook.steps.agenda import Dated
from gylebook.steps.answers import Urgency

START = datetime(2026, 7, 10, 8, 0, tzinfo=UTC)
LONDON = ZoneInfo("Europe/London")
LONG = "Ärger im Keller; ein Maß, das “überläuft”, \\ und noch ein Wort – " * 6


def dated(**more):
    told = {
        "uid": "04a12ab6-aa0b-562e-82d6-8e1fe121c7e2", "brew": "7", "title": "No. 7 Invented ale: read the gravity",
        "why": "It tells.", "urgency": Urgency.MEASURE, "start": START, "end": START + timedelta(minutes=30),
        "by": START + timedelta(days=3), "sequence": 12, "changed_at": START - timedelta(days=2),
    }  # fmt: skip
    return Dated(**(told | more))


def read_by_others(made):
    """The calendar as a reader from other hands sees it; it raises where the file is not valid."""
    calendar = vobject.readOne(made.decode())
    calendar.validate(raiseException=True)
    return calendar


def test_another_reader_finds_everything_that_was_written():
    made = calendar_file([dated()], LONDON, base="https://book.home/")
    event = read_by_others(made).vevent
    assert event.uid.value == "04a12ab6-aa0b-562e-82d6-8e1fe121c7e2"
    assert event.dtstart.value == START
    assert event.dtend.value == START + timedelta(minutes=30)
    assert event.dtstamp.value == event.last_modified.value == START - timedelta(days=2)
    assert event.sequence.value == "12"
    assert event.summary.value == "No. 7 Invented ale: read the gravity"
    assert event.description.value == "Measure. It tells. By Mon 13 Jul 2026."
    assert event.url.value == "https://book.home/brews/7/"
    assert event.status.value == "CONFIRMED"
    assert event.valarm.action.value == "DISPLAY"
    assert event.valarm.trigger.value == timedelta(0)


def test_the_frame_says_how_often_to_look_and_how_it_is_called():
    calendar = icalendar.Calendar.from_ical(calendar_file([], LONDON, name="Gyle"))
    assert calendar["VERSION"] == "2.0"
    assert calendar["PRODID"].startswith("-//Gylebook//")
    assert calendar["REFRESH-INTERVAL"].dt == timedelta(hours=1)
    assert calendar["REFRESH-INTERVAL"].params["VALUE"] == "DURATION"
    assert calendar["NAME"] == calendar["X-WR-CALNAME"] == "Gyle"
    assert calendar["X-WR-TIMEZONE"] == "Europe/London"
    assert "METHOD" not in calendar


@pytest.mark.parametrize("zone", [UTC, LONDON, ZoneInfo("Pacific/Auckland")])
def test_moments_are_written_in_utc_whatever_the_zone(zone):
    made = calendar_file([dated(start=START.astimezone(zone))], zone)
    assert b"DTSTART:20260710T080000Z\r\n" in made
    assert b"TZID" not in made


def test_every_line_ends_in_crlf_and_has_at_most_75_octets():
    made = calendar_file([dated(title=LONG, why=LONG)], LONDON)
    assert made.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in made.replace(b"\r\n", b"")
    assert max(len(line) for line in made.split(b"\r\n")) <= 75
    for line in made.split(b"\r\n"):
        line.decode()  # no letter is cut in two
    event = read_by_others(made).vevent
    assert event.summary.value == LONG
    assert LONG.strip() in event.description.value


def test_every_line_is_a_name_and_a_value_and_parts_are_closed_in_order():
    made = calendar_file([dated(), dated(uid="two", urgency=Urgency.NOTHING)], LONDON)
    opened = []
    for line in re.sub(rb"\r\n[ \t]", b"", made).decode().split("\r\n")[:-1]:
        assert re.fullmatch(r"[A-Z-]+(;[A-Z-]+=[^:]*)*:.*", line), line
        name, _, value = line.partition(":")
        if name == "BEGIN":
            opened.append(value)
        elif name == "END":
            assert opened.pop() == value
    assert opened == []
    for event in icalendar.Calendar.from_ical(made).walk("VEVENT"):
        assert {"UID", "DTSTAMP", "DTSTART"} <= set(event)


def test_a_name_cannot_break_out_of_its_line():
    made = calendar_file([dated(title="Ale\r\nEND:VEVENT\r\nX: y", why="a;b,c\\d\ne")], UTC)
    calendar = icalendar.Calendar.from_ical(made)
    (event,) = calendar.walk("VEVENT")
    assert "END:VEVENT" in event["SUMMARY"]
    assert made.count(b"\r\nEND:VEVENT\r\n") == 1


def test_twice_the_same_entries_give_the_same_bytes():
    assert calendar_file([dated()], LONDON) == calendar_file([dated()], LONDON)


def test_what_can_wait_rings_no_bell():
    made = calendar_file([dated(urgency=Urgency.NOTHING, by=None)], UTC)
    assert b"VALARM" not in made
    assert read_by_others(made).vevent.description.value == "It tells."


def test_brews_that_could_not_be_worked_out_are_named():
    told = icalendar.Calendar.from_ical(calendar_file([], UTC, unknown=("3", "9")))
    assert str(told["DESCRIPTION"]).endswith("their logs are whole: No. 3, No. 9.")


def test_what_is_gone_is_called_off_under_its_name_with_a_higher_sequence_and_rings_no_bell():
    due = dated()
    (event,) = icalendar.Calendar.from_ical(calendar_file([due.called_off(START)], LONDON)).walk("VEVENT")
    assert event["STATUS"] == "CANCELLED"
    assert (str(event["UID"]), event["SEQUENCE"]) == (due.uid, 13)
    assert event["DTSTAMP"].dt == event["LAST-MODIFIED"].dt == START
    assert event["DTSTART"].dt == due.start
    assert event.walk("VALARM") == []
    other = read_by_others(calendar_file([due.called_off(START)], LONDON)).vevent
    assert (other.status.value, other.sequence.value) == ("CANCELLED", "13")
    assert other.description.value == "No longer due: done, or overtaken."
