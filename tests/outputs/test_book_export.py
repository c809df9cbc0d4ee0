from __future__ import annotations

import csv
import io
import json

from entries import measured, row
from gylebook import __version__
from gylebook.journal import events as ev
from gylebook.journal.book_file import entry_of
from gylebook.journal.state import fold
from gylebook.outputs.book_export import book_lines, entries_csv, readings_csv
from gylebook.units import Quantity

ROWS = [
    row("1", 1, ev.Planned(name='Harvest "Gold", late')),
    row("1", 2, measured("1,0400", "19,5")),
    row("1", 3, ev.TempSeen(of="room", low=Quantity("14", "°C"), high=Quantity("68", "°F"))),
    row("1", 4, measured("1.030")),
    row("1", 5, ev.Corrected(seq=4, kind="measured", version=1, instead={"gravity": {"text": "9,8", "unit": "°P"}})),
    row("1", 6, ev.Measured(gravity=Quantity("1.012", "SG"), looks="=1+1", taste="clean\nand dry")),
]
BREW = fold("1", [entry_of(each) for each in ROWS])


def table(lines) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO("".join(lines), newline="")))


def test_the_file_begins_with_a_header_that_tells_nothing_fleeting():
    header, *rest = list(book_lines(len(ROWS), ROWS))
    assert json.loads(header) == {
        "format": "gylebook-journal",
        "format_version": 1,
        "gylebook": __version__,
        "entries": 6,
    }
    assert len(rest) == 6


def test_a_line_holds_the_entry_in_a_fixed_order_with_what_was_written():
    line = list(book_lines(len(ROWS), ROWS))[2]
    assert line == (
        b'{"brew":"1","seq":2,"kind":"measured","version":1,"happened_at":"2026-11-03T14:00:00.000000Z",'
        b'"recorded_at":"2026-11-03T14:01:00.000000Z","recorded_by":"owner","source":"page","command_id":"1-2",'
        b'"body":{"gravity":{"text":"1,0400","unit":"SG"},"temp":{"text":"19,5","unit":"\xc2\xb0C"},'
        b'"instrument":"long hydrometer"}}\n'
    )


def test_every_entry_is_one_line_of_the_table():
    found = table(entries_csv(ROWS))
    assert [each["seq"] for each in found] == ["1", "2", "3", "4", "5", "6"]
    assert json.loads(found[0]["body"]) == {"name": 'Harvest "Gold", late'}
    assert found[1]["happened_at"] == "2026-11-03T14:00:00.000000Z"


def test_readings_stand_in_their_table_as_written_and_as_corrected():
    found = table(readings_csv([BREW]))
    assert [(each["entry"], each["of"], each["gravity"], each["temperature"]) for each in found] == [
        ("2", "beer", "1,0400 SG", "19,5 °C"),
        ("3", "room", "", ""),
        ("4", "beer", "9,8 °P", ""),
        ("6", "beer", "1.012 SG", ""),
    ]
    assert (found[1]["low"], found[1]["high"]) == ("14 °C", "68 °F")
    assert found[0]["date"] == "2026-11-03T14:00:00.000000Z"
    assert found[3]["taste"] == "clean\nand dry"


def test_a_spreadsheet_finds_no_sums_in_what_a_brewer_wrote():
    assert table(readings_csv([BREW]))[3]["looks"] == "'=1+1"


def test_an_empty_book_still_has_its_headings():
    assert list(entries_csv([])) == [
        "brew,seq,kind,version,happened_at,recorded_at,recorded_by,source,command_id,body\r\n"
    ]
    assert len(list(readings_csv([]))) == 1
