"""Import, the example book, and the commands in processes of their own."""

from __future__ import annotations

import json
import os
import shlex
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest
from django.db import connections

from gylebook.journal import events as ev
from gylebook.store import brew_log, rows

TABLE = "date;gravity;temperature;mood\n2026-09-10;1,020;20;fine\n2026-09-12 18:00;1.014;68F;\n"


@pytest.fixture
def brewing(told, own_book):
    told("log", "new", "plan", "--name", "Autumn bitter", "--when", "2026-09-05 10:00")
    return own_book


@pytest.fixture
def table(tmp_path):
    def write(text: str) -> str:
        path = tmp_path / "readings.csv"
        path.write_text(text, encoding="utf-8")
        return str(path)

    return write


def test_a_table_of_readings_is_looked_at_first_and_then_written_once(told, brewing, table) -> None:
    path = table(TABLE)
    looked = told("import", path, "--brew", "1", "--dry-run")
    assert looked.code == 0
    assert looked.out.startswith("2 readings would be written; 0 were there already.")
    assert "2026-09-12 18:00: Read 1.014 SG at 68 °F." in looked.out
    assert "Nothing was done with the columns mood." in looked.out
    assert rows.count(brewing) == 1
    assert told("import", path, "--brew", "1").out.startswith("2 readings written; 0 were there already.")
    again = told("import", path, "--brew", "1", "--json").plain
    assert (again["written"], again["already"], again["ignored_columns"]) == (0, 2, ["mood"])
    assert [k.event.gravity.text for k in brew_log.read("1").all(ev.Measured)] == ["1,020", "1.014"]
    assert {entry.source for entry in brew_log.read("1").entries[1:]} == {"import"}


def test_every_faulty_line_is_told_and_nothing_is_written(told, brewing, table) -> None:
    path = table("date,gravity\n2026-09-10,1.020\n2026-09-11,abc\nyesterday,1.014\n")
    answer = told("import", path, "--brew", "1")
    assert answer.code == 2
    assert [line.split(",")[0] for line in answer.err.splitlines()] == ["Line 3", "Line 4"]
    assert rows.count(brewing) == 1
    looked = told("import", path, "--brew", "1", "--dry-run", "--json").plain
    assert (looked["written"], len(looked["faults"])) == (1, 2)
    assert told("import", path, "--brew", "1", "--good-lines").code == 0
    assert rows.count(brewing) == 2


def test_an_unusual_reading_in_a_table_can_be_insisted_on(told, brewing, table) -> None:
    path = table("date,gravity,temperature\n2026-09-10,1.020,60\n")
    assert told("import", path, "--brew", "1").code == 2
    assert told("import", path, "--brew", "1", "--confirm").code == 0


@pytest.mark.parametrize(
    ("line", "told_so"),
    [
        ("import no-such-file.csv --brew 1", "it cannot be read (no such file or directory)"),
        ("import . --brew 1", "it cannot be read (is a directory)"),
        ("import {table}", "this is no file of a whole book"),
        ("import {table} --brew 9", "There is no brew 9"),
        ("import {table} --good-lines", "a whole book is taken as it is"),
    ],
)
def test_what_cannot_be_imported_is_refused_in_a_sentence(told, brewing, table, line: str, told_so: str) -> None:
    answer = told(*shlex.split(line.format(table=table(TABLE))))
    assert answer.code == 2
    assert told_so in answer.err
    assert rows.count(brewing) == 1


def test_a_whole_book_comes_back_in_equal(told, brewing, tmp_path) -> None:
    path = str(tmp_path / "book.jsonl")
    told("export", path)
    assert told("--demo", "import", path).code == 3  # an empty example book is filled, not imported into
    plain = told("import", path, "--json").plain
    assert (plain["written"], plain["already"]) == (0, 1)
    lines = Path(path).read_text(encoding="utf-8").splitlines()
    Path(path).write_text("\n".join([lines[0], "{}"]), encoding="utf-8")
    answer = told("import", path)
    assert answer.code == 2
    assert "Line 2" in answer.err


def test_the_example_book_is_filled_reset_and_left_without_a_trace(told, own_book) -> None:
    empty = told("--demo", "brews")
    assert (empty.code, "demo fill" in empty.err) == (3, True)
    assert told("demo", "fill").code == 0
    assert told("demo", "fill").code == 3
    assert told("--demo", "log", "new", "plan", "--name", "Tried").code == 0
    tried = len(told("--demo", "brews", "--json").plain["brews"])
    assert told("demo", "reset").code == 0
    assert len(told("--demo", "brews", "--json").plain["brews"]) == tried - 1
    assert told("brews", "--json").plain["brews"] == []
    path = Path(str(connections["demo"].settings_dict["NAME"]))
    assert path.is_file()
    assert told("demo", "leave", "--json").plain["removed"] is True
    assert not path.exists()
    assert told("demo", "leave", "--json").plain["removed"] is False


# --- in processes of their own ----------------------------------------------------------------------------------


def alone(home: Path, *args: str) -> subprocess.CompletedProcess[str]:
    env = {**os.environ, "GYLEBOOK_HOME": str(home)}
    env.pop("DJANGO_SETTINGS_MODULE", None)
    return subprocess.run(
        [sys.executable, "-m", "gylebook", *args], capture_output=True, text=True, check=False, env=env, timeout=120
    )


@pytest.mark.parametrize(
    "line",
    [
        "log new plan --name 'Autumn bitter'",
        "brews",
        "next",
        "shelf",
        "shelf keep_place --name cellar --low 10 --high 16",
        "export",
        "backup",
        "check-book",
        "demo leave",
    ],
)
def test_every_command_that_opens_the_book_does_so_by_itself(tmp_path, line: str) -> None:
    done = alone(tmp_path / "new" / "home", *shlex.split(line))
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.strip()


def test_a_brew_is_written_asked_and_corrected_from_one_process_to_the_next(tmp_path) -> None:
    home = tmp_path / "home"
    for line, said in (
        ("log new plan --name 'Autumn bitter' --volume '21 L'", "Written in brew 1 as entry 1"),
        ("log 1 reading --gravity 1.041", "Written in brew 1 as entry 2"),
        ("log 1 correct 2 reading --gravity 1.014", "Written in brew 1 as entry 3"),
        ("ask 1 readings", "True gravity 1.01"),
        ("brews 1", "2. struck out"),
    ):
        done = alone(home, *shlex.split(line))
        assert (done.returncode, done.stderr) == (0, ""), line
        assert said in done.stdout
    refused = alone(home, "log", "1", "reading", "--gravity", "twelve")
    assert (refused.returncode, refused.stdout) == (2, "")


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.mark.parametrize("args", [["serve"], []], ids=["serve", "without a command"])
def test_the_book_opens_in_the_browser_and_stops_when_told(tmp_path, args: list[str]) -> None:
    port = free_port()
    env = {**os.environ, "GYLEBOOK_HOME": str(tmp_path / "home"), "GYLEBOOK_PORT": str(port)}
    server = subprocess.Popen(
        [sys.executable, "-m", "gylebook", *args], env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    try:
        page = b""
        for _ in range(300):
            try:
                with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=5) as answer:
                    page = answer.read()
                break
            except OSError:
                time.sleep(0.1)
        assert b"Gylebook" in page
    finally:
        server.send_signal(signal.SIGINT)
        out, _ = server.communicate(timeout=60)
    assert f"The book is open at http://127.0.0.1:{port}/" in out


def test_a_port_that_is_taken_is_told_in_a_sentence(tmp_path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        done = alone(tmp_path, "serve", "--port", str(taken.getsockname()[1]))
    assert done.returncode == 1
    assert "is in use" in done.stderr
    assert done.stderr.count("\n") == 1


def test_a_bad_variable_is_told_by_its_name(tmp_path, monkeypatch) -> None:
    monkeypatch.setenv("GYLEBOOK_TIME_ZONE", "Mars/Base")
    done = alone(tmp_path, "brews", "--json")
    assert done.returncode == 2
    assert json.loads(done.stderr)["faults"][0]["field"] == "GYLEBOOK_TIME_ZONE"
