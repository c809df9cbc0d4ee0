"""Export, backup, restore, checking and passwords, from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.db import connections

from entries import measured, planned, row, write_rows
from gylebook.store import rows


@pytest.fixture
def filled(own_book):
    """A book with two invented brews."""
    write_rows(own_book, planned("1"), row("1", 2, measured("1.040")), row("1", 3, measured("1,014")), planned("2"))
    return own_book


def test_the_exported_book_is_what_the_store_holds(told, filled, tmp_path: Path) -> None:
    target = tmp_path / "book.jsonl"
    answer = told("export", str(target))
    assert (answer.code, answer.out) == (0, f"Wrote 5 lines to {target}.\n")
    lines = target.read_bytes().splitlines()
    assert json.loads(lines[0])["entries"] == 4
    assert b"1,014" in lines[3]
    assert told("export").out.encode() == target.read_bytes()
    assert target.stat().st_mode & 0o077 == 0


def test_tables_are_exported_for_a_spreadsheet(told, filled) -> None:
    readings = told("export", "--table", "readings").out.splitlines()
    assert len(readings) == 3
    assert readings[0].startswith("brew,name,entry,date,of,gravity")
    assert len(told("export", "--table", "entries").out.splitlines()) == 5


def test_a_file_that_is_there_is_not_overwritten_unless_one_says_so(told, filled, tmp_path: Path) -> None:
    target = tmp_path / "book.jsonl"
    target.write_text("mine")
    answer = told("export", str(target))
    assert answer.code == 3
    assert "is there already" in answer.err
    assert target.read_text() == "mine"
    assert told("export", str(target), "--replace").code == 0
    assert target.read_text() != "mine"


def test_an_export_that_cannot_be_written_leaves_nothing_behind(told, filled, tmp_path: Path) -> None:
    answer = told("export", str(tmp_path / "no-such-folder" / "book.jsonl"))
    assert answer.code == 1
    assert "cannot be written: no such file or directory" in answer.err
    assert list(tmp_path.iterdir()) == [tmp_path / "home"]


def test_an_export_to_the_standard_output_has_no_json_answer_beside_it(told, filled) -> None:
    answer = told("export", "--json")
    assert answer.code == 2
    assert json.loads(answer.err)["faults"][0]["field"] == "FILE"


def test_a_backup_restores_to_the_same_state(told, filled, tmp_path: Path) -> None:
    target = tmp_path / "kept.zip"
    made = told("backup", str(target), "--json").plain
    assert (made["entries"], made["brews"], made["file"]) == (4, 2, str(target))
    write_rows(filled, row("2", 2, measured("1.050")))
    restored = told("restore", str(target), "--json").plain
    assert (restored["state"], restored["entries"], restored["state_compared"]) == (made["state"], 4, True)
    assert Path(restored["restore_point"]).is_file()
    assert rows.count(filled) == 4
    assert "Restored 5 entries of 2 brews." in told("restore", restored["restore_point"]).out


def test_a_backup_without_a_name_lies_beside_the_book(told, filled, settings) -> None:
    answer = told("backup")
    assert answer.out.startswith("Backed up 4 entries of 2 brews, and read them back: ")
    (kept,) = (settings.HOME / "backups").glob("book-*.zip")
    assert answer.out.rstrip().endswith(str(kept))


def test_a_file_that_is_no_backup_changes_nothing(told, filled, tmp_path: Path) -> None:
    (tmp_path / "x.zip").write_text("not a zip")
    answer = told("restore", str(tmp_path / "x.zip"))
    assert answer.code == 7
    assert answer.err.count("\n") == 1
    assert rows.count(filled) == 4


def test_the_example_book_is_neither_backed_up_nor_restored(told, own_book) -> None:
    assert told("--demo", "backup").code == 3
    assert told("--demo", "restore", "any.zip").code == 3


def test_a_sound_book_is_said_to_be_sound(told, filled) -> None:
    answer = told("check-book")
    assert answer.code == 0
    assert answer.out.startswith("Every entry is there and reads back.")


def test_a_damaged_book_is_told_by_sentence_and_exit_code(told, filled) -> None:
    with connections[filled].cursor() as cursor:
        cursor.execute("DROP TRIGGER journal_entry_no_delete")
        cursor.execute("DELETE FROM journal_entry WHERE brew = '1' AND seq = 2")
    answer = told("check-book")
    assert answer.code == 5
    assert answer.out.startswith("Something is damaged.")
    assert "Brew 1 has entry 3 where entry 2 should be." in answer.out
    plain = json.loads(told("check-book", "--json").out)
    assert plain["damaged"] is True
    assert {"gap", "unguarded"} <= {finding["key"] for finding in plain["findings"]}


def test_a_password_is_set_and_set_anew_without_being_shown(told, own_book) -> None:
    first = told("password", "--from-stdin", written="hop vines and slow yeast\n")
    assert (first.code, first.out) == (0, "owner has a password now.\n")
    again = told("password", written="cold cellar, warm bread\ncold cellar, warm bread\n")
    assert again.code == 0
    assert "has a new password" in again.out
    assert "cellar" not in again.out + again.err
    assert User.objects.get(username="owner").check_password("cold cellar, warm bread")


def test_a_poor_password_is_refused_in_a_sentence_and_not_set(told, own_book) -> None:
    answer = told("password", "--from-stdin", written="hops\n")
    assert answer.code == 2
    assert "at least 10 characters" in answer.err
    assert not User.objects.exists()


def test_a_password_that_is_not_repeated_is_not_set(told, own_book) -> None:
    answer = told("password", written="hop vines and slow yeast\nsomething else\n")
    assert answer.code != 0
    assert not User.objects.exists()
