from __future__ import annotations

import io
import json
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connections
from django.test import Client
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from books import opened
from gylebook.outputs.book_export import book_lines, entries_csv
from gylebook.store import backup, backup_routine, brew_log, rows, whole_book

PREVIEW = "/book/import/"
TABLE = "date,gravity,temperature\n2026-11-15 18:00,1.024,19 °C\n2026-11-16 18:00,1.022,19\n"


@pytest.fixture(autouse=True)
def home(settings, tmp_path):
    settings.HOME = tmp_path
    return tmp_path


@pytest.fixture
def exported(stocked_book, reader):
    return b"".join(reader.get("/book/journal.jsonl").streaming_content)


@pytest.fixture
def elsewhere(library, exported):
    """An empty book in another place, with the first one's export at hand."""
    with opened("default", library.settings("sqlite")):
        yield exported


def upload(data, name="book.jsonl"):
    return SimpleUploadedFile(name, data)


def token_of(text):
    return text.split('name="token" value="', 1)[1].split('"', 1)[0]


# --- out ------------------------------------------------------------------------------------------------------


def test_the_export_is_the_book_byte_for_byte(stocked_book, reader):
    response = reader.get("/book/journal.jsonl")

    assert b"".join(response.streaming_content) == b"".join(whole_book.stream(book_lines))
    assert response["Content-Disposition"] == 'attachment; filename="gylebook-2026-11-20.jsonl"'
    assert "no-store" in response["Cache-Control"]


def test_the_tables_are_those_of_the_command_line(stocked_book, reader):
    entries = b"".join(reader.get("/book/entries.csv").streaming_content).decode()
    readings = b"".join(reader.get("/book/readings.csv").streaming_content).decode()

    assert entries == "".join(whole_book.stream(lambda _count, found: entries_csv(found)))
    assert "1.020 SG" in readings
    assert readings.count("\n") == 1 + 5


def test_a_brews_name_cannot_become_a_sum_in_a_spreadsheet(stocked_book, reader, post):
    post("/brews/3/plan/", {"act": "plan", "name": "=cmd()"})

    assert ",'=cmd()," in b"".join(reader.get("/book/readings.csv").streaming_content).decode()


def test_the_demo_book_exports_itself_and_not_the_other(stocked_book, reader):
    lines = b"".join(reader.get("/demo/book/journal.jsonl").streaming_content).splitlines()

    assert json.loads(lines[0])["entries"] == 0
    assert "gylebook-demo-" in reader.get("/demo/book/journal.jsonl")["Content-Disposition"]


def test_a_backup_comes_verified_and_leaves_nothing_behind(stocked_book, reader, post, home):
    response = post("/book/backup/")
    data = b"".join(response.streaming_content)
    response.close()
    saved = home / "saved.zip"
    saved.write_bytes(data)

    manifest = backup.verify(saved)
    assert manifest.entries == rows.count("default")
    assert response["Content-Disposition"] == 'attachment; filename="gylebook-2026-11-20.zip"'
    assert [path.name for path in home.iterdir()] == ["saved.zip"]
    with zipfile.ZipFile(io.BytesIO(data)) as held:
        assert "journal.jsonl" in held.namelist()


def test_a_backup_is_made_only_by_a_press_of_the_button(reader, books):
    assert reader.get("/book/backup/").status_code == 405


def test_the_demo_book_is_not_backed_up(reader, post, books):
    response = post("/demo/book/backup/", page="/demo/")

    assert response.status_code == 409
    assert "demo book" in response.text
    assert "Download a backup" not in reader.get("/demo/book/").text


# --- is it whole ----------------------------------------------------------------------------------------------


def test_a_whole_book_is_said_to_be_whole(stocked_book, post):
    assert "every entry is there" in post("/book/check/").text


def test_what_is_wrong_with_a_book_is_told(stocked_book, post):
    connections["default"].cursor().execute("DROP TRIGGER journal_entry_no_update")
    response = post("/book/check/")

    assert "something is wrong" in response.text
    assert "not guarded against changes" in response.text


def test_backups_restore_points_and_the_self_test_are_listed(stocked_book, reader, home):
    folder = home / "backups"
    folder.mkdir()
    now = datetime(2026, 11, 20, 9, 0, tzinfo=UTC)
    backup_routine.backup_if_due(now, folder=folder)
    backup_routine.self_test(now, folder=folder)
    (folder / "before-restore-20261101T090000.zip").write_bytes(b"x")
    (home / "before-upgrade").mkdir()
    (home / "before-upgrade" / "default-20261001T000000Z.sqlite3").write_bytes(b"x")
    text = reader.get("/book/").text

    assert "gylebook-2026-11-20.zip" in text
    assert "restore point" in text
    assert "a copy from before an upgrade" in text
    assert "passed" in text
    assert "were restored and replayed" in text
    assert "gylebook restore FILE" in text


def test_a_book_without_backups_says_that_there_are_none_yet(reader, books):
    text = reader.get("/book/").text

    assert text.count("none yet") == 2


# --- a whole book in ------------------------------------------------------------------------------------------


def test_an_import_is_shown_first_and_written_on_the_brewers_word(elsewhere, reader, post, home):
    shown = post(PREVIEW, {"file": upload(elsewhere)})
    count = len(elsewhere.splitlines()) - 1

    assert shown.status_code == 200
    assert f"{count} entries would be added" in shown.text
    assert rows.count("default") == 0

    done = post(PREVIEW, {"token": token_of(shown.text)})
    assert done.status_code == 302
    assert rows.count("default") == count
    assert f"{count} entries were added" in reader.get(done.url).text
    assert b"".join(reader.get("/book/journal.jsonl").streaming_content) == elsewhere
    assert not list((home / "waiting").iterdir())


def test_the_word_given_twice_adds_nothing_more(elsewhere, post):
    token = token_of(post(PREVIEW, {"file": upload(elsewhere)}).text)
    post(PREVIEW, {"token": token})
    again = post(PREVIEW, {"token": token})

    assert again.status_code == 404
    assert rows.count("default") == len(elsewhere.splitlines()) - 1


def test_importing_into_itself_adds_nothing(exported, post):
    response = post(PREVIEW, {"file": upload(exported)})

    assert response.status_code == 200
    assert "The book holds all of it already." in response.text
    assert 'name="token"' not in response.text


def test_every_fault_is_told_with_its_line_and_nothing_is_written(elsewhere, post):
    lines = elsewhere.splitlines(keepends=True)
    lines[2] = b"not an entry\n"
    lines[5] = lines[5].replace(b'"source":"page"', b'"source":"rumour"')
    response = post(PREVIEW, {"file": upload(b"".join(lines))})

    assert response.status_code == 422
    assert "Line 3:" in response.text
    assert "Line 6:" in response.text
    assert "Nothing was written." in response.text
    assert rows.count("default") == 0


def test_a_file_cut_short_is_refused(elsewhere, post):
    response = post(PREVIEW, {"file": upload(elsewhere[: len(elsewhere) // 2])})

    assert response.status_code == 422
    assert rows.count("default") == 0


def test_a_book_that_went_another_way_is_refused(exported, post):
    post("/stores/stock/", {"act": "keep_stock", "item": "honey"})
    other = exported.replace(b"Lantern brown", b"Lantern green")
    before = rows.count("default")
    response = post(PREVIEW, {"file": upload(other)})

    assert response.status_code == 422
    assert rows.count("default") == before


def test_no_file_is_asked_for_once_more(books, post):
    response = post(PREVIEW, {})

    assert response.status_code == 422
    assert "none was chosen" in response.text


@pytest.mark.parametrize("token", ["../book.sqlite3", "0" * 32, "x", "a" * 4000])
def test_only_a_file_that_was_looked_at_can_be_taken_up(books, post, token):
    assert post(PREVIEW, {"token": token}).status_code == 404


def test_a_file_that_waits_is_readable_by_its_owner_alone_and_goes_in_time(elsewhere, post, home):
    for _ in range(12):
        post(PREVIEW, {"file": upload(elsewhere)})
    waiting = list((home / "waiting").iterdir())

    assert len(waiting) <= 10
    assert all(path.stat().st_mode & 0o077 == 0 for path in waiting)


@given(data=st.one_of(st.binary(max_size=300), st.text(max_size=200).map(str.encode)))
@hypothesis_settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
def test_whatever_the_file_holds_it_is_refused_whole(stocked_book, data):
    before = rows.count("default")
    response = Client().post(PREVIEW, {"file": upload(data)})

    assert response.status_code == 422
    assert rows.count("default") == before


# --- readings in ----------------------------------------------------------------------------------------------


def entries_of(brew):
    return len(brew_log.read(brew).entries)


def test_readings_are_shown_line_by_line_and_written_on_the_brewers_word(stocked_book, reader, post):
    before = entries_of("3")
    shown = post("/book/readings/", {"brew": "3", "file": upload(TABLE.encode(), "r.csv")})

    assert shown.status_code == 200
    assert "2 readings would be written" in shown.text
    assert "Read 1.024 SG at 19 °C" in shown.text
    assert entries_of("3") == before

    done = post("/book/readings/", {"brew": "3", "token": token_of(shown.text)})
    assert done.status_code == 302
    assert done.url == "/brews/3/"
    assert entries_of("3") == before + 2
    assert "Written as" in reader.get(done.url).text


def test_readings_brought_in_twice_are_there_once(stocked_book, post):
    for _ in range(2):
        shown = post("/book/readings/", {"brew": "3", "file": upload(TABLE.encode(), "r.csv")})
        if "token" in shown.text and 'name="token"' in shown.text:
            post("/book/readings/", {"brew": "3", "token": token_of(shown.text)})

    assert "has all of them already" in shown.text
    assert sum(entry.source == "import" for entry in brew_log.read("3").entries) == 2


def test_every_line_at_fault_is_told_and_nothing_is_written(stocked_book, post):
    before = entries_of("3")
    table = "date,gravity,temperature\n2026-11-15,1.024,19\nsoon,1.022,19\n2026-11-17,beer,19\n"
    response = post("/book/readings/", {"brew": "3", "file": upload(table.encode(), "r.csv")})

    assert response.status_code == 422
    assert "Line 3" in response.text
    assert "Line 4" in response.text
    assert entries_of("3") == before


def test_most_unusual_values_are_taken_on_the_brewers_word(stocked_book, post):
    table = b"date,gravity,temperature\n2026-11-15,1.024,60 C\n"
    refused = post("/book/readings/", {"brew": "3", "file": upload(table, "r.csv")})
    taken = post("/book/readings/", {"brew": "3", "file": upload(table, "r.csv"), "unusual": "1"})

    assert refused.status_code == 422
    assert taken.status_code == 200
    assert "1 reading would be written" in taken.text
    assert 'name="unusual" value="1"' in taken.text


def test_a_brew_that_is_not_there_is_refused_beside_its_field(stocked_book, post):
    response = post("/book/readings/", {"brew": "77", "file": upload(TABLE.encode(), "r.csv")})

    assert response.status_code == 422
    assert 'id="e-brew"' in response.text


def test_a_missing_table_is_asked_for(stocked_book, post):
    assert "none was chosen" in post("/book/readings/", {"brew": "3"}).text


@given(data=st.one_of(st.binary(max_size=200), st.text(max_size=120).map(lambda t: ("date,gravity\n" + t).encode())))
@hypothesis_settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
def test_whatever_the_table_holds_nothing_is_written_before_the_word(stocked_book, data):
    before = entries_of("3")
    response = Client().post("/book/readings/", {"brew": "3", "file": upload(data, "r.csv")})

    assert response.status_code in (200, 422)
    assert entries_of("3") == before


# --- about ----------------------------------------------------------------------------------------------------


def test_about_names_the_country_chosen_and_promises_nothing(stocked_book, reader):
    text = reader.get("/about/").text

    assert "the United Kingdom" in text
    assert "no legal advice" in text
    assert "Apache License 2.0" in text
    assert not [word for word in text.lower().split() if word.strip(".,:;") == "safe"]


def test_a_book_that_cannot_be_opened_says_so_and_does_not_crash(books, reader, home):
    connections["default"].close()
    path = Path(connections["default"].settings_dict["NAME"])
    path.write_bytes(b"this is no database, and long enough to look like a file that was overwritten" * 20)
    for url in ("/stores/", "/cellar/", "/settings/", "/book/"):
        assert reader.get(url).status_code == 503, url
