from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import pytest

from entries import NOON, measured, row
from gylebook.inputs.readings_csv import read_readings
from gylebook.journal import events as ev
from gylebook.journal.book_file import entry_of
from gylebook.journal.state import Shelf, fold
from gylebook.outputs.book_export import readings_csv
from gylebook.steps.decision import Setting
from gylebook.store import brew_log
from gylebook.units import Quantity

SETTING = Setting(NOON, Shelf(), UTC)
BREW = fold("27", [entry_of(row("27", 1, ev.Planned(name="Invented ale")))])


def read(text: str, **options):
    return read_readings(text.encode(), **{"brew": "27", "zone": UTC} | options)


def events(text: str, **options):
    found = read(text, **options)
    assert found.faults == []
    return [line.decide(BREW, SETTING).events[0] for line in found.lines]


def faults(text: str, **options) -> list[str]:
    return [str(fault) for fault in read(text, **options).faults]


def test_a_plain_table_becomes_readings_as_written():
    assert events("date,gravity,temperature\n2026-11-03 18:30,1.0400,19.5\n2026-11-05T07:00Z,1.012,\n") == [
        (
            datetime(2026, 11, 3, 18, 30, tzinfo=UTC),
            ev.Measured(gravity=Quantity("1.0400", "SG"), temp=Quantity("19.5", "°C")),
        ),
        (datetime(2026, 11, 5, 7, 0, tzinfo=UTC), ev.Measured(gravity=Quantity("1.012", "SG"))),
    ]


@pytest.mark.parametrize(
    "text",
    [
        "Date;Gravity;Temperature\r\n2026-11-03;1,040;19,5\r\n",
        "\ufeffWhen\tSG\tTemp\n2026-11-03\t1,040\t19,5\n",
        'date,gravity,temperature\n2026-11-03,"1,040","19,5"\n',
        "date;gravity;temperature\n2026-11-03;1,040 SG;19,5 C\n\n;;\n",
    ],
)
def test_commas_semicolons_tabs_and_decimal_commas_are_all_read(text):
    ((at, event),) = events(text)
    assert at == NOON  # a bare date means noon
    assert (event.gravity, event.temp) == (Quantity("1,040", "SG"), Quantity("19,5", "°C"))


def test_dates_without_a_zone_are_of_the_brewers_zone():
    ((at, _),) = events("date,gravity\n2026-07-01 18:30,1.040\n", zone=timezone(timedelta(hours=2)))
    assert at == datetime(2026, 7, 1, 16, 30, tzinfo=UTC)


def test_units_may_be_written():
    ((_, event),) = events("date,gravity,temperature\n2026-11-03,9.8 P,68 F\n")
    assert (event.gravity, event.temp) == (Quantity("9.8", "°P"), Quantity("68", "°F"))


def test_a_line_without_gravity_is_a_temperature():
    ((_, event),) = events("date,gravity,temperature,of,low,high\n2026-11-03,,,room,14,18\n")
    assert event == ev.TempSeen(of="room", low=Quantity("14", "°C"), high=Quantity("18", "°C"))


def test_all_that_a_reading_can_hold_may_be_in_the_table():
    ((_, event),) = events(
        "date,gravity,instrument,drawn from,sample_from,fizz,stirred,looks,taste\n"
        '2026-11-03,1.012,long one,,tap,flat,no,"hazy, ring",dry\n'
    )
    assert (event.instrument, event.sample_from, event.fizz, event.looks) == ("long one", "tap", "flat", "hazy, ring")


def test_columns_that_nothing_is_done_with_are_named():
    found = read("date,gravity,battery,signal\n2026-11-03,1.012,80,-60\n")
    assert (len(found.lines), found.faults, found.ignored) == (1, [], ("battery", "signal"))


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (
            "03/11/2026,1.040,20",
            "Line 2, Date: “03/11/2026” is not a date and time; write it such as 2026-11-03 18:30.",
        ),
        ("3 Nov 2026,1.040,20", "Line 2, Date: “3 Nov 2026” is not a date"),
        (",1.040,20", "Line 2, Date: "),
        ("2026-11-03,1,040,20", "Line 2, Columns: it has 4 columns, and the heading has 3"),
        ("2026-11-03,x,20", "Line 2, Gravity: “x” is not a number"),
        ("2026-11-03,1.0.4,20", "Line 2, Gravity: "),
        ("2026-11-03,1.040 L,20", "Line 2, Gravity: "),
        ("2026-11-03,1.040,200", "Line 2, Temperature of the sample: 200 °C cannot be"),
        ("2026-11-03,1.040,60", "Line 2, Temperature of the sample: 60 °C would be most unusual"),
        ("1926-11-03,1.040,20", "Line 2, Date: the year 1926 cannot be"),
    ],
)
def test_a_cell_that_cannot_be_is_told_with_line_and_column(line, words):
    (fault,) = faults(f"date,gravity,temperature\n{line}\n")
    assert fault.startswith(words)


def test_unusual_values_can_be_confirmed():
    ((_, event),) = events("date,gravity,temperature\n2026-11-03,1.040,60\n", confirmed=True)
    assert event.temp == Quantity("60", "°C")


def test_every_fault_is_told_and_the_good_lines_are_kept():
    found = read("date,gravity\nsoon,1.040\n2026-11-03,1.030\n2026-11-04,much\n2026-11-05,\n")
    assert [line.number for line in found.lines] == [3]
    assert [fault.field for fault in found.faults] == ["Line 2, Date", "Line 4, Gravity", "Line 5, Gravity"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "Heading: there is no column “date”; begin the file with a line such as date,gravity,temperature."),
        ("gravity\n1.040\n", "no column “date”"),
        ("date,mood\n2026-11-03,good\n", "neither a column “gravity” nor “temperature”"),
        ("date,gravity,SG\n2026-11-03,1.040,1.040\n", "the column “SG” stands twice"),
        ('date,gravity\n2026-11-03,"1.040\n', "the table does not read"),
        ("date,gravity\n" + "2026-11-03,1.040\n" * 501, "more than 500 readings"),
        ("date,gravity\n" + " " * 5_000_000, "larger than 5 MB"),
    ],
)
def test_a_table_that_cannot_be_read_at_all_is_told(text, words):
    assert words in faults(text)[-1]


def test_a_table_in_another_encoding_is_told():
    found = read_readings("date,gravity,looks\n2026-11-03,1.040,trüb\n".encode("cp1252"), brew="27", zone=UTC)
    assert "is not UTF-8 text; save the table as “CSV UTF-8”" in str(found.faults[0])


def test_readings_of_another_brew_are_told():
    (fault,) = faults("brew,date,gravity\n27,2026-11-03,1.040\n3,2026-11-03,1.040\n")
    assert fault.startswith("Line 3, Brew: this reading is of another brew; keep only the lines of brew 27")


def test_a_looks_without_a_gravity_is_told():
    (fault,) = faults("date,gravity,temperature,looks\n2026-11-03,,20,hazy\n")
    assert fault.startswith("Line 2, Looks: it goes with a gravity")


def test_what_the_act_refuses_names_the_line():
    found = read("date,gravity\n2026-11-03,1062\n")
    with pytest.raises(Exception, match=r"Line 2, Gravity: 1062 is no specific gravity.*Did you mean 1\.062"):
        found.lines[0].decide(BREW, SETTING)


def test_the_same_line_has_the_same_id_and_another_one_another():
    first, again, other = (
        read(f"date,gravity\n2026-11-03,{gravity}\n").lines[0].command_id for gravity in ("1.040", "1.040", "1.041")
    )
    assert first == again != other
    assert read("date,gravity\n2026-11-03,1.040\n", brew="3").lines[0].command_id != first


def test_a_table_is_imported_by_the_one_door_and_a_second_time_changes_nothing(book):
    who = {"actor": "owner", "source": "import", "now": NOON}
    brew = brew_log.start_brew(
        lambda _: brew_log.Decision(((NOON, ev.Planned(name="Invented ale")),)), command_id="start", **who
    ).brew
    table = "date,gravity,temperature\n2026-11-03,1.040,20\n2026-11-05,1.030,20\n2026-11-09,,18\n"

    def commands(text):
        return [brew_log.Command(*each) for each in read(text, brew=brew).decisions(SETTING)]

    tried, faults_found = brew_log.try_many(brew, commands(table), **who)
    assert (len(tried), faults_found, brew_log.read(brew).head_seq) == (3, [], 1)
    brew_log.change_many(brew, commands(table), **who)
    assert [e.kind for e in brew_log.read(brew).entries] == ["planned", "measured", "measured", "temp_seen"]
    done = brew_log.change_many(brew, commands(table + "2026-11-10,1.012,18\n"), **who)
    assert [change.repeated for change in done] == [True, True, True, False]
    exported = "".join(readings_csv([brew_log.read(brew)]))
    done = brew_log.change_many(brew, commands(exported), **who)
    assert sum(len(change.entries) for change in done if not change.repeated) == 0


def test_readings_written_by_hand_are_known_again_in_their_own_export():
    brew = fold(
        "27", [entry_of(row("27", 1, ev.Planned(name="A"))), entry_of(row("27", 2, measured("1,0400", "19,5")))]
    )
    ((_, decide),) = read("".join(readings_csv([brew]))).decisions(SETTING)
    assert decide(brew).events == ()


def test_lines_are_judged_against_the_brew_before_them_unless_somebody_else_wrote_meanwhile():
    found = read("date,gravity\n2026-11-03,1.040\n2026-11-05,1.030\n")
    judged = []

    def spy(brew, _values, at, _setting):
        judged.append(brew.head_seq)
        return brew_log.Decision(((at, measured("1.000")),))

    for line in found.lines:
        object.__setattr__(line, "act", replace(line.act, decide=spy))
    (first, decide_first), (_, decide_second) = found.decisions(SETTING)
    decide_first(BREW)
    written = entry_of(row("27", 2, measured("1.040"), command_id=first))
    decide_second(fold("27", [*BREW.entries, written]))
    elsewhere = entry_of(row("27", 3, ev.Noted(text="by somebody else")))
    decide_second(fold("27", [*BREW.entries, written, elsewhere]))
    assert judged == [1, 1, 3]
