from __future__ import annotations

import gzip
import json
import shutil
import sqlite3
import threading
import zipfile
from contextlib import closing
from pathlib import Path

import pytest
from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.db import connections

from books import opened
from entries import NOON, at, measured, row, write_rows
from gylebook import __version__
from gylebook.errors import BackupError, Conflict, Refused, StoreUnavailable
from gylebook.journal import events as ev
from gylebook.outputs.book_export import book_lines
from gylebook.steps.decision import Decision
from gylebook.store import backup, brew_log, cards, replay, restore, rows, whole_book
from gylebook.store.check_book import check_book
from gylebook.store.databases import sqlite

PASSWORD = make_password("a long invented one")
WHO = {"actor": "owner", "source": "page", "now": NOON}


def fill(book: str) -> None:
    """Three invented brews, a shelf, and somebody who may sign in."""
    write_rows(book, row("shelf", 1, ev.StockKept(item="caps")))
    for brew in ("1", "2", "10"):
        write_rows(book, row(brew, 1, ev.Planned(name=f"Gyle № {brew}")), row(brew, 2, measured("1,040")))
    cards.rebuild(book)
    for name, active in (("owner", True), ("jo", False)):
        User.objects.using(book).create(username=name, password=PASSWORD, is_active=active, date_joined=NOON)
    Session.objects.using(book).create(session_key="k", session_data="secret-session", expire_date=at(1000))


def add(book: str, command_id: str = "later") -> None:
    brew_log.change("2", lambda _: Decision(((at(9), measured("1.012")),)), command_id=command_id, book=book, **WHO)


def export(book: str) -> bytes:
    return b"".join(whole_book.stream(book_lines, book=book))


def everything(book: str):
    """All that a restore must bring back."""
    people = list(User.objects.using(book).order_by("username").values())
    for person in people:
        del person["id"]
    return export(book), replay.replayed(book), people


@pytest.fixture
def filled(book):
    fill(book)
    return book


@pytest.fixture
def made(filled, tmp_path):
    path = tmp_path / "my.zip"
    backup.backup(path, now=NOON, book=filled)
    return path


@pytest.fixture
def points(tmp_path):
    return tmp_path / "points"


def put_back(source: Path, points: Path, book: str = "default"):
    return restore.restore(source, now=NOON, book=book, restore_points=points)


def remade(source: Path, target: Path, **changes: bytes | None) -> Path:
    """The same backup with some parts changed or left out, its manifest made to fit unless that is changed itself."""
    with zipfile.ZipFile(source) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    parts |= {name.replace("_", "."): data for name, data in changes.items() if data is not None}
    with zipfile.ZipFile(target, "w") as archive:
        for name, data in parts.items():
            if name.replace(".", "_") not in changes or changes[name.replace(".", "_")] is not None:
                archive.writestr(name, data)
    return target


def with_manifest(source: Path, target: Path, **changes) -> Path:
    with zipfile.ZipFile(source) as archive:
        manifest = json.loads(archive.read("manifest.json"))
    return remade(source, target, manifest_json=json.dumps(manifest | changes).encode())


def with_parts(source: Path, target: Path, **parts: bytes) -> Path:
    """Other content under a manifest that promises it: only what it amounts to can tell."""
    import hashlib

    with zipfile.ZipFile(source) as archive:
        manifest = json.loads(archive.read("manifest.json"))
    for name, data in parts.items():
        manifest["members"][name.replace("_", ".")] = {"sha256": hashlib.sha256(data).hexdigest(), "bytes": len(data)}
    return remade(source, target, manifest_json=json.dumps(manifest).encode(), **parts)


# --- backing up -------------------------------------------------------------------------------------------------


def test_a_backup_holds_the_entries_the_people_and_what_they_amount_to(filled, made, engine):
    with zipfile.ZipFile(made) as archive:
        names = set(archive.namelist())
        journal = archive.read("journal.jsonl")
        people = json.loads(archive.read("accounts.json"))
        manifest = json.loads(archive.read("manifest.json"))
    assert names == {"journal.jsonl", "accounts.json", "manifest.json"} | (
        {"book.sqlite3.gz"} if engine == "sqlite" else set()
    )
    assert journal == export(filled)
    assert [person["username"] for person in people] == ["jo", "owner"]
    assert all(person["password"].startswith("pbkdf2_") for person in people)
    assert (manifest["entries"], manifest["brews"], manifest["accounts"]) == (7, 3, 2)
    assert manifest["state"] == replay.replayed(filled).hash
    assert manifest["engine"] == engine


def test_a_backup_can_be_read_by_its_owner_alone_and_signs_nobody_in(made):
    assert made.stat().st_mode & 0o077 == 0
    with zipfile.ZipFile(made) as archive:
        for name in archive.namelist():
            data = archive.read(name)
            assert b"secret-session" not in (gzip.decompress(data) if name.endswith(".gz") else data)


def test_a_backup_replaces_an_older_one_and_leaves_nothing_else_behind(filled, made):
    before = made.read_bytes()
    add(filled)
    assert backup.backup(made, now=NOON, book=filled).entries == 8
    assert made.read_bytes() != before
    assert [path.name for path in made.parent.iterdir()] == ["my.zip"]


def test_a_backup_made_while_others_write_is_of_one_moment(filled, tmp_path):
    stop = threading.Event()

    def write():
        n = 0
        while not stop.is_set():
            add(filled, f"w{n}")
            n += 1
        connections.close_all()

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for n in range(3):
            path = tmp_path / f"{n}.zip"
            manifest = backup.backup(path, now=NOON, book=filled)
            restore.build(path, manifest, _folder(tmp_path / f"scratch{n}"))
    finally:
        stop.set()
        writer.join()
    assert rows.count(filled) > 7


def _folder(path: Path) -> Path:
    path.mkdir()
    return path


def test_a_backup_that_cannot_be_written_says_so(filled, tmp_path):
    with pytest.raises(BackupError, match="cannot be written: no such file"):
        backup.backup(tmp_path / "nowhere" / "my.zip", now=NOON, book=filled)


def test_a_backup_that_does_not_read_back_is_not_kept(filled, made, monkeypatch):
    before = made.read_bytes()
    add(filled)

    def spoil(*_):
        raise BackupError("The disk lied.")

    monkeypatch.setattr(backup, "_check_member", spoil)
    with pytest.raises(BackupError, match="The disk lied"):
        backup.backup(made, now=NOON, book=filled)
    assert made.read_bytes() == before
    assert [path.name for path in made.parent.iterdir()] == ["my.zip"]


def test_a_fault_while_the_entries_are_written_ends_the_backup(filled, tmp_path, monkeypatch):
    every = rows.all_rows

    def fail(book):
        yield next(every(book))
        raise StoreUnavailable("The disk is gone.")

    monkeypatch.setattr(backup.rows, "all_rows", fail)
    with pytest.raises(StoreUnavailable, match="disk is gone"):
        backup.backup(tmp_path / "my.zip", now=NOON, book=filled)
    assert list(tmp_path.iterdir()) == []


def test_the_hash_noted_with_each_brew_is_the_one_that_replaying_gives(filled):
    assert replay.noted(filled) == replay.replayed(filled)
    write_rows(filled, row("1", 3, measured("1.030")))  # past the door: the card is late
    assert replay.noted(filled) is None
    cards.rebuild(filled)
    assert replay.noted(filled) == replay.replayed(filled)


# --- restoring --------------------------------------------------------------------------------------------------


def test_a_restore_brings_everything_back_and_keeps_what_was_there(filled, made, points):
    before = everything(filled)
    add(filled)
    after = everything(filled)
    done = put_back(made, points)
    assert everything(filled) == before
    assert done.manifest.entries == 7
    assert done.same_fold
    assert check_password("a long invented one", User.objects.get(username="owner").password)
    assert check_book(book=filled) == []
    assert not Session.objects.exists()
    assert [path.name for path in points.iterdir()] == ["before-restore-20261103T120000.zip"]
    put_back(done.restore_point, points)
    assert everything(filled) == after


def test_a_restored_book_is_guarded_and_goes_on(filled, made, points):
    put_back(made, points)
    with pytest.raises(Exception, match="only ever added to"), connections[filled].cursor() as cursor:
        cursor.execute("DELETE FROM journal_entry")
    add(filled, "goes-on")
    assert rows.head(filled, "2") == 3
    assert [b.name for b in brew_log.brews().brews] == ["Gyle № 10", "Gyle № 2", "Gyle № 1"]
    assert brew_log.due()[0].card


def test_a_backup_goes_to_the_other_engine_and_back(filled, made, points, other_engine, library):
    before = everything(filled)
    with opened("there", library.settings(other_engine)) as there:
        done = put_back(made, points, there)
        assert done.restore_point is None  # there was nothing
        assert everything(there) == before
        assert check_book(book=there) == []
        back = points / "back.zip"
        backup.backup(back, now=NOON, book=there)
    add(filled)
    put_back(back, points)
    assert everything(filled) == before


def test_a_restore_makes_a_book_where_there_is_none(filled, made, points, library, engine):
    before = everything(filled)
    with opened("there", library.blank(engine)) as there:
        put_back(made, points, there)
        assert everything(there) == before
        assert check_book(book=there) == []


def test_an_sqlite_book_is_built_from_the_entries_where_the_copy_is_left_out(filled, made, points, tmp_path):
    with zipfile.ZipFile(made) as archive:
        manifest = json.loads(archive.read("manifest.json"))
    manifest["members"].pop("book.sqlite3.gz", None)
    bare = remade(made, tmp_path / "bare.zip", manifest_json=json.dumps(manifest).encode(), book_sqlite3_gz=None)
    before = everything(filled)
    add(filled)
    put_back(bare, points)
    assert everything(filled) == before
    assert check_book(book=filled) == []


def test_others_who_have_the_book_open_see_the_restored_one(filled, made, points):
    add(filled)
    open_, done, seen = threading.Event(), threading.Event(), []

    def other():
        seen.append(rows.count(filled))
        open_.set()
        done.wait(20)
        seen.append(rows.count(filled))
        add(filled, "from-elsewhere")
        connections.close_all()

    thread = threading.Thread(target=other)
    thread.start()
    open_.wait(20)
    put_back(made, points)
    done.set()
    thread.join()
    assert seen == [8, 7]
    assert rows.count(filled) == 8


# --- what does not verify ---------------------------------------------------------------------------------------


def refuse(source: Path, points: Path, words: str, book: str = "default") -> None:
    """A refused restore leaves the book as it was."""
    before = everything(book)
    with pytest.raises(BackupError, match=words):
        put_back(source, points, book)
    assert everything(book) == before
    assert check_book(book=book) == []


def test_a_file_that_is_not_there_or_no_backup_is_refused(filled, points, tmp_path):
    refuse(tmp_path / "none.zip", points, "There is no file")
    shopping = tmp_path / "shopping.txt"
    shopping.write_text("malt, sugar, yeast")
    refuse(shopping, points, "is not a backup, or is damaged")
    with zipfile.ZipFile(tmp_path / "other.zip", "w") as archive:
        archive.writestr("photo.jpg", b"...")
    refuse(tmp_path / "other.zip", points, "no manifest")


@pytest.mark.parametrize("place", [0.1, 0.3, 0.5, 0.7, 0.9])
def test_a_flipped_byte_anywhere_is_found(filled, made, points, place):
    data = bytearray(made.read_bytes())
    data[int(len(data) * place)] ^= 0x01
    made.write_bytes(data)
    before = everything(filled)
    try:
        put_back(made, points)
    except BackupError as refused:
        assert "nothing was changed" in str(refused) or "another" in str(refused)  # noqa: PT017
    # A byte of a date or a file's rights may well be another one; what was written must be there all the same.
    assert everything(filled) == before


def test_a_backup_that_was_cut_short_is_refused(filled, made, points):
    made.write_bytes(made.read_bytes()[:-100])
    refuse(made, points, "is not a backup, or is damaged")


@pytest.mark.parametrize("part", ["journal_jsonl", "accounts_json"])
def test_a_missing_part_is_found(filled, made, points, tmp_path, part):
    refuse(remade(made, tmp_path / "x.zip", **{part: None}), points, "A part of the backup is missing")


def test_an_exchanged_part_is_found(filled, made, points, tmp_path):
    refuse(
        remade(made, tmp_path / "x.zip", accounts_json=b"[]"), points, "accounts.json of the backup is not as it was"
    )


def test_a_backup_of_a_later_format_is_refused(filled, made, points, tmp_path):
    refuse(with_manifest(made, tmp_path / "x.zip", format_version=2), points, "newer Gylebook")


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"state": "0" * 64}, "do not amount to what they did"),
        ({"entries": 8}, "promises 8 entries and has 7"),
        ({"brews": 4}, "promises"),
        ({"members": "none"}, "manifest of the backup does not read"),
        ({"format": "something else"}, "not a backup of Gylebook"),
    ],
)
def test_a_manifest_that_promises_something_else_is_refused(filled, made, points, changes, words):
    refuse(with_manifest(made, made.parent / "x.zip", **changes), points, words)


def test_entries_that_do_not_fit_the_rest_are_refused(filled, made, points, tmp_path):
    with zipfile.ZipFile(made) as archive:
        journal = archive.read("journal.jsonl")
    changed = with_parts(made, tmp_path / "x.zip", journal_jsonl=journal.replace(b"1,040", b"1,050"))
    refuse(changed, points, "is not as the backup has it|do not amount to")


def test_entries_that_do_not_read_are_refused(filled, made, points, tmp_path):
    with zipfile.ZipFile(made) as archive:
        journal = archive.read("journal.jsonl")
    changed = with_parts(made, tmp_path / "x.zip", journal_jsonl=journal.replace(b'"measured"', b'"smelt"'))
    refuse(changed, points, "is not as the backup has it|do not replay")
    broken = with_parts(made, tmp_path / "y.zip", journal_jsonl=journal[:300] + b"\n" + journal[300:])
    refuse(broken, points, "is not as the backup has it|does not read")


def test_a_copy_of_the_database_that_is_none_is_refused(filled, made, points, tmp_path, engine):
    if engine == "postgresql":
        refuse(with_parts(made, tmp_path / "x.zip", accounts_json=b"{}"), points, "does not read")
        return
    packed = gzip.compress(b"not a database at all" * 1000)
    refuse(with_parts(made, tmp_path / "x.zip", book_sqlite3_gz=packed), points, "is damaged")


def test_a_backup_by_a_release_that_folds_otherwise_is_compared_by_its_entries(filled, made, points, tmp_path):
    before = everything(filled)
    add(filled)
    done = put_back(with_manifest(made, tmp_path / "x.zip", fold="another", state="0" * 64), points)
    assert not done.same_fold
    assert everything(filled) == before


def test_a_backup_of_a_later_release_is_left_alone(filled, points, engine, library):
    with connections[filled].cursor() as cursor:
        cursor.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES ('store', '9999_later', '2030-01-01 00:00:00')"
        )
    later = library.folder / f"later-{engine}.zip"
    backup.backup(later, now=NOON, book=filled)
    if engine == "sqlite":  # the backup itself holds the later tables
        with opened("there", library.settings(engine)) as there, pytest.raises(Refused, match="A newer Gylebook"):
            put_back(later, points, there)
    with pytest.raises(Refused, match="A newer Gylebook"):
        put_back(later, points)


# --- rolling back -----------------------------------------------------------------------------------------------


def test_a_restore_that_fails_at_the_last_moment_is_rolled_back(filled, made, points, engine, monkeypatch):
    add(filled)
    if engine == "sqlite":
        monkeypatch.setattr(restore, "_count", _fail)
    else:
        monkeypatch.setattr(restore, "_compare", _fail)
    before = everything(filled)
    with pytest.raises((BackupError, OSError), match="power"):
        put_back(made, points)
    monkeypatch.undo()
    assert everything(filled) == before
    assert check_book(book=filled) == []
    assert [path.suffix for path in points.iterdir()] == [".zip"]  # the restore point stays


def _fail(*_):
    raise OSError("the power went")


def test_a_restore_into_a_book_in_which_somebody_keeps_writing_is_given_up(filled, made, points, monkeypatch):
    add(filled)
    take = restore._restore_point
    written = iter(range(100))

    def take_and_be_overtaken(work):
        point = take(work)
        add(filled, f"meanwhile{next(written)}")
        return point

    monkeypatch.setattr(restore, "_restore_point", take_and_be_overtaken)
    with pytest.raises(Conflict, match="keeps writing"):
        put_back(made, points)
    assert rows.head(filled, "2") == 3 + 5


def test_an_entry_written_after_the_restore_point_is_in_the_next_one(filled, made, points, monkeypatch, tmp_path):
    add(filled)
    take = restore._restore_point
    written = iter(range(1))

    def take_and_be_overtaken_once(work):
        point = take(work)
        for n in written:
            add(filled, f"meanwhile{n}")
        return point

    monkeypatch.setattr(restore, "_restore_point", take_and_be_overtaken_once)
    done = put_back(made, points)
    assert backup.verify(done.restore_point).entries == 9


def test_a_book_whose_entries_no_longer_fold_is_kept_as_it_is_and_replaced(filled, made, points, engine):
    write_rows(filled, row("1", 3, measured("1.030")))
    with connections[filled].cursor() as cursor:
        cursor.execute(
            "INSERT INTO journal_entry (brew, seq, kind, version, happened_at, recorded_at, recorded_by, source,"
            " command_id, body) VALUES ('1', 4, 'sung', 1, 'x', 'x', 'x', 'page', 'odd', '{}')"
        )
    done = put_back(made, points)
    assert rows.count(filled) == 7
    if engine == "postgresql":
        assert done.restore_point.read_bytes().count(b"\n") == 1 + 9
        assert b'"sung"' in done.restore_point.read_bytes()
        return
    with closing(sqlite3.connect(done.restore_point)) as kept:
        assert kept.execute("SELECT COUNT(*) FROM journal_entry").fetchone() == (9,)


def test_a_file_that_is_no_book_any_more_is_set_aside_and_replaced(filled, made, points, tmp_path):
    live = tmp_path / "live" / "book.sqlite3"
    live.parent.mkdir()
    live.write_bytes(b"scribbled over by a failing disk" * 500)
    before = everything(filled)
    with opened("there", sqlite(live)) as there:
        done = put_back(made, points, there)
        assert done.restore_point is None
        assert everything(there)[0] == before[0]
    (kept,) = points.glob("unreadable-*")
    assert kept.read_bytes().startswith(b"scribbled")


def test_a_file_that_is_no_book_is_put_back_when_the_restore_fails(filled, made, points, tmp_path, monkeypatch):
    live = tmp_path / "live" / "book.sqlite3"
    live.parent.mkdir()
    live.write_bytes(b"scribbled over by a failing disk" * 500)
    monkeypatch.setattr(restore, "_count", _fail)
    with opened("there", sqlite(live)) as there, pytest.raises(BackupError, match="put back as it was"):
        put_back(made, points, there)
    assert live.read_bytes().startswith(b"scribbled")
    assert list(points.glob("unreadable-*")) == []


# --- every earlier release --------------------------------------------------------------------------------------

BACKUPS = sorted((Path(__file__).parent / "backups").glob("*.zip"))


def test_this_release_has_its_backup_to_be_restored_by_later_ones():
    assert __version__ in {path.stem for path in BACKUPS}, "run: python scripts/release_backup.py"


@pytest.mark.parametrize("source", BACKUPS, ids=lambda path: path.stem)
def test_a_backup_of_every_release_can_be_restored(book, points, tmp_path, source):
    mine = tmp_path / source.name
    shutil.copyfile(source, mine)
    done = put_back(mine, points)
    assert done.manifest.gylebook == source.stem
    assert rows.count(book) == done.manifest.entries > 0
    assert check_book(book=book) == []
    with zipfile.ZipFile(source) as archive:
        assert export(book).split(b"\n", 1)[1] == archive.read("journal.jsonl").split(b"\n", 1)[1]
    assert User.objects.using(book).count() == done.manifest.accounts
