from __future__ import annotations

import json
from typing import Any

import pytest

from gylebook.errors import InputError
from gylebook.inputs.book_import import read_book
from gylebook.journal.book_file import Row

ENTRY: dict[str, Any] = {
    "brew": "27",
    "seq": 1,
    "kind": "noted",
    "version": 1,
    "happened_at": "2026-11-03T12:00:00.000000Z",
    "recorded_at": "2026-11-03T12:00:01.000000Z",
    "recorded_by": "owner",
    "source": "page",
    "command_id": "a",
    "body": {"text": "clear"},
}
CORRECTION = {"kind": "corrected", "seq": 2, "command_id": "b"}


def file_of(*entries: dict[str, Any], count: int | None = None, **header: Any) -> list[bytes]:
    head = {"format": "gylebook-journal", "format_version": 1, "gylebook": "0.1.0", "entries": count or len(entries)}
    return [json.dumps(each).encode() + b"\n" for each in (head | header, *entries)]


def faults(lines: list[bytes]) -> list[str]:
    return [str(found) for found in read_book(lines) if isinstance(found, InputError)]


def only(**changes: Any) -> str:
    (fault,) = faults(file_of(ENTRY | changes))
    assert fault.startswith("Line 2: ")
    return fault


def test_a_good_line_is_read_with_its_number_and_its_body_untouched():
    body = {"text": "1,040 not 1.040"}
    ((number, row),) = read_book(file_of(ENTRY | {"body": body}))
    assert number == 2
    assert isinstance(row, Row)
    assert bytes(row.body) == b'{"text":"1,040 not 1.040"}'


def test_times_may_stand_in_any_zone_and_are_kept_in_utc():
    ((_, row),) = read_book(file_of(ENTRY | {"happened_at": "2026-11-03T14:00+02:00"}))
    assert row.happened_at == "2026-11-03T12:00:00.000000Z"


def test_empty_lines_are_passed_over():
    lines = file_of(ENTRY)
    assert faults([lines[0], b"\n", lines[1], b"  \n"]) == []


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"brew": "x"}, "“x” is not the number of a brew"),
        ({"brew": "027"}, "“027” is not the number of a brew"),
        ({"brew": "-1"}, "is not the number of a brew"),
        ({"seq": 0}, "sequence number 0 cannot be"),
        ({"seq": 2}, "entry 2 of 27 stands where 1 should be"),
        ({"kind": "sung"}, "the kind “sung” is not known; upgrade"),
        ({"version": 2}, "has version 2, and this Gylebook reads up to 1"),
        ({"version": 0}, "has version 0"),
        ({"happened_at": "yesterday"}, "“happened_at” is not a moment"),
        ({"recorded_at": "2026-11-03T12:00:00"}, "“recorded_at” is not a moment with its time zone"),
        ({"recorded_by": ""}, "“recorded_by” is empty"),
        ({"recorded_by": "x" * 151}, "longer than 150 characters"),
        ({"recorded_by": "a\x00b"}, "not printable"),
        ({"command_id": ""}, "“command_id” is empty"),
        ({"source": "rumour"}, "the source “rumour” is not known; use one of page"),
        ({"body": {}}, "does not read back"),
        ({"body": {"text": 3}}, "does not read back"),
        ({"body": {"text": "a", "more": "b"}}, "does not read back"),
        ({"more": 1}, "this is not an entry"),
        ({"kind": "stock_kept", "body": {"item": "caps"}}, "“stock_kept” cannot stand in a brew"),
        ({"brew": "shelf", "kind": "roused", "body": {}}, "“roused” cannot stand on the shelf"),
    ],
)
def test_a_line_that_cannot_be_is_told_with_its_number_and_what_to_do(changes, words):
    assert words in only(**changes)


def test_a_missing_field_is_told():
    entry = {key: value for key, value in ENTRY.items() if key != "seq"}
    assert "missing required field `seq`" in faults(file_of(entry))[0]


def test_a_line_in_another_encoding_is_told():
    lines = file_of(ENTRY)
    assert "Line 2: this is not UTF-8" in faults([lines[0], lines[1].replace(b"clear", b"cl\xe9ar")])[0]


def test_a_line_without_end_is_told_and_not_kept():
    assert "longer than" in only(body={"text": "x" * 1_000_001})


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ({"seq": 2}, "corrects entry 2, which does not come before it"),
        ({"seq": 0}, "corrects entry 0"),
        ({"seq": 1, "kind": "sung", "version": 1, "instead": {}}, "unknown kind “sung”"),
        ({"seq": 1, "kind": "noted", "version": 1, "instead": {"text": 1}}, "does not read back"),
        ({"seq": 1, "kind": "stock_kept", "version": 1, "instead": {"item": "caps"}}, "puts “stock_kept” where"),
    ],
)
def test_a_correction_that_cannot_be_is_told(body, words):
    (fault,) = faults(file_of(ENTRY, ENTRY | CORRECTION | {"body": body}))
    assert fault.startswith("Line 3: ")
    assert words in fault


def test_a_command_id_used_twice_is_told_with_both_lines():
    (fault,) = faults(file_of(ENTRY, ENTRY | {"seq": 2}))
    assert fault == "Line 3: its command id was used in line 2; keep one of the two lines."


def test_one_gap_is_told_once():
    entries = [ENTRY | {"seq": seq, "command_id": str(seq)} for seq in (1, 3, 4, 5)]
    assert faults(file_of(*entries)) == ["Line 3: entry 3 of 27 stands where 2 should be; mend the order."]


def test_brews_may_stand_in_any_order():
    assert faults(file_of(ENTRY, ENTRY | {"brew": "3", "command_id": "b"}, ENTRY | {"seq": 2, "command_id": "c"})) == []


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        ([], "not a journal of Gylebook"),
        ([b"PK\x03\x04\n"], "not a journal of Gylebook"),
        ([b"[1, 2]\n"], "not a journal of Gylebook"),
        ([b'{"format":"something else"}\n'], "not a journal of Gylebook"),
        ([b'{"format":"gylebook-journal"}\n'], "the header does not read"),
        (file_of(format_version=2), "later format 2; upgrade"),
    ],
)
def test_a_file_of_another_kind_is_told_at_once(lines, words):
    (fault,) = faults(lines)
    assert words in fault


def test_a_file_with_more_entries_than_promised_is_told():
    assert "has 1 entry, and its header promises 2" in faults(file_of(ENTRY, count=2))[0]
