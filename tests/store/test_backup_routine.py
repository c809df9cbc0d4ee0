from __future__ import annotations

import threading
from datetime import UTC, date, datetime, timedelta

import pytest

from books import opened
from entries import measured, row, write_rows
from gylebook.errors import BackupError
from gylebook.journal import events as ev
from gylebook.store import backup, backup_routine, cards
from gylebook.store.backup_routine import backup_if_due, kept, last_self_test, prune, self_test, self_test_if_due

DAY = datetime(2026, 11, 3, 9, 0, tzinfo=UTC)


@pytest.fixture
def filled(book):
    write_rows(book, row("1", 1, ev.Planned(name="Ale")), row("1", 2, measured("1.040")))
    cards.rebuild(book)
    return book


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "backups"


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_the_first_backup_of_a_day_is_made_and_no_second(filled, folder):
    made = backup_if_due(DAY, folder=folder)
    assert made == folder / "gylebook-2026-11-03.zip"
    assert backup.verify(made).entries == 2
    assert backup_if_due(DAY + timedelta(hours=14), folder=folder) is None
    assert backup_if_due(DAY + timedelta(hours=15), folder=folder).name == "gylebook-2026-11-04.zip"
    assert names(folder) == ["gylebook-2026-11-03.zip", "gylebook-2026-11-04.zip"]


def test_a_backup_that_fails_leaves_the_way_open_for_the_next_try(filled, folder, monkeypatch):
    def fail(*_, **__):
        raise BackupError("The disk is full.")

    monkeypatch.setattr(backup_routine.backup, "backup", fail)
    with pytest.raises(BackupError):
        backup_if_due(DAY, folder=folder)
    monkeypatch.undo()
    assert backup_if_due(DAY, folder=folder) is not None


def test_while_another_process_makes_the_backup_it_is_left_alone(filled, folder):
    folder.mkdir()
    (folder / ".backup-lock").write_text(DAY.isoformat())
    assert backup_if_due(DAY + timedelta(hours=1), folder=folder) is None
    assert names(folder) == [".backup-lock"]


def test_a_lock_left_by_a_process_that_died_is_cleared(filled, folder):
    folder.mkdir()
    (folder / ".backup-lock").write_text(DAY.isoformat())
    assert backup_if_due(DAY + timedelta(hours=3), folder=folder) is None
    assert backup_if_due(DAY + timedelta(hours=3), folder=folder) is not None


# --- which ones are kept ----------------------------------------------------------------------------------------


def days_before(today: date, count: int) -> set[date]:
    return {today - timedelta(days=n) for n in range(count)}


def test_after_two_years_there_are_seven_days_four_weeks_and_twelve_months():
    today = date(2026, 11, 4)  # a Wednesday
    have = days_before(today, 730)
    keep = kept(have, today)
    assert {today - timedelta(days=n) for n in range(7)} <= keep
    sundays = {date(2026, 11, 1), date(2026, 10, 25), date(2026, 10, 18)}
    assert sundays <= keep
    month_ends = {date(2026, month + 1, 1) - timedelta(days=1) for month in range(1, 11)} | {date(2025, 12, 31)}
    assert month_ends <= keep
    assert len(keep) <= 7 + 4 + 12
    assert min(keep) == date(2025, 12, 31)


def test_day_by_day_the_rule_never_keeps_more_and_never_loses_the_months():
    """What is thrown away each day must not be missing later: the rule is run as it will be, one day after another."""
    have: set[date] = set()
    today = date(2025, 1, 1)
    for _ in range(500):
        have.add(today)
        have = kept(have, today)
        assert today in have
        today += timedelta(days=1)
    assert len(have) <= 7 + 4 + 12
    months = sorted({(day.year, day.month) for day in have})
    assert len(months) == 12


def test_a_book_that_is_rarely_opened_keeps_what_it_has():
    have = {date(2024, 1, 5), date(2024, 6, 1), date(2025, 2, 3)}
    assert kept(have, date(2026, 11, 3)) == have


def test_other_files_in_the_folder_are_never_thrown_away(folder):
    folder.mkdir()
    today = date(2026, 11, 3)
    for day in days_before(today, 100):
        (folder / f"gylebook-{day}.zip").touch()
    others = ["before-restore-20240101T000000.zip", "my own.zip", "gylebook-2020-13-45.zip", "self-test.json"]
    for name in others:
        (folder / name).touch()
    gone = prune(folder, today)
    assert len(gone) == 100 - len(kept(days_before(today, 100), today)) > 70
    assert set(others) <= set(names(folder))
    assert f"gylebook-{today}.zip" in names(folder)


# --- the proof --------------------------------------------------------------------------------------------------


def test_the_self_test_restores_the_newest_backup_and_writes_down_how_it_went(filled, folder):
    backup_if_due(DAY - timedelta(days=1), folder=folder)
    backup_if_due(DAY, folder=folder)
    done = self_test(DAY, folder=folder)
    assert (done.passed, done.backup, done.at) == (True, "gylebook-2026-11-03.zip", DAY)
    assert done.words == "2 entries and 1 brew were restored and replayed."
    assert last_self_test(folder) == done
    assert names(folder) == ["gylebook-2026-11-02.zip", "gylebook-2026-11-03.zip", "self-test.json"]


def test_the_self_test_does_not_touch_the_book(filled, folder):
    backup_if_due(DAY, folder=folder)
    write_rows(filled, row("1", 3, measured("1.030")))
    assert self_test(DAY, folder=folder).passed
    assert backup_routine.restore.rows.count(filled) == 3


def test_a_damaged_backup_fails_the_self_test_with_the_reason(filled, folder):
    made = backup_if_due(DAY, folder=folder)
    made.write_bytes(made.read_bytes()[:-50])
    done = self_test(DAY, folder=folder)
    assert not done.passed
    assert "damaged" in done.words
    assert last_self_test(folder) == done


def test_without_a_backup_there_is_nothing_to_prove(filled, folder):
    assert self_test(DAY, folder=folder) is None
    assert last_self_test(folder) is None


def test_the_self_test_is_due_once_a_month_and_a_day_after_it_failed(filled, folder):
    made = backup_if_due(DAY, folder=folder)
    assert self_test_if_due(DAY, folder=folder).passed
    assert self_test_if_due(DAY + timedelta(days=29), folder=folder) is None
    made.write_bytes(b"")
    assert not self_test_if_due(DAY + timedelta(days=30), folder=folder).passed
    assert self_test_if_due(DAY + timedelta(days=30, hours=23), folder=folder) is None
    assert not self_test_if_due(DAY + timedelta(days=31), folder=folder).passed


def test_a_record_that_does_not_read_counts_as_none(folder):
    folder.mkdir()
    (folder / "self-test.json").write_text("scribbles")
    assert last_self_test(folder) is None


def test_backups_lie_in_the_books_folder_by_default(filled, settings, tmp_path, engine, library):
    settings.HOME = tmp_path
    made = backup_if_due(DAY)
    assert made == tmp_path / "backups" / "gylebook-2026-11-03.zip"
    with opened("there", library.settings(engine)) as there:
        backup_routine.restore.restore(made, now=DAY, book=there)
        assert backup_routine.restore.rows.count(there) == 2


def run_tend(clock, rounds, **options):
    """Let the routine run in its own thread for so many rounds."""
    stop = threading.Event()

    def told():
        moment = next(clock, None)
        if moment is None:
            stop.set()
            return DAY
        return moment

    thread = threading.Thread(target=backup_routine.tend, args=(told, stop), kwargs={"every_s": 0.001, **options})
    thread.start()
    thread.join(60)
    assert not thread.is_alive(), rounds


def test_the_routine_makes_what_is_due_as_the_days_go_by(filled, folder):
    moments = [DAY + timedelta(days=n) for n in range(3) for _ in range(2)]  # the clock is asked twice a round
    run_tend(iter(moments), 3, folder=folder)
    days = [path for path in names(folder) if path.startswith("gylebook-")]
    assert days == ["gylebook-2026-11-03.zip", "gylebook-2026-11-04.zip", "gylebook-2026-11-05.zip"]
    assert last_self_test(folder).backup == "gylebook-2026-11-03.zip"


def test_the_routine_goes_on_after_a_failure_and_tells_of_it(filled, folder, monkeypatch, caplog):
    real = backup.backup
    tries = []

    def fail_once(target, **options):
        tries.append(target)
        if len(tries) == 1:
            raise BackupError("The disk is full.")
        return real(target, **options)

    monkeypatch.setattr(backup_routine.backup, "backup", fail_once)
    run_tend(iter([DAY] * 4), 2, folder=folder)
    assert "tried again later" in caplog.text
    assert "gylebook-2026-11-03.zip" in names(folder)


def test_a_backup_that_fails_its_proof_is_told_in_the_log(filled, folder, caplog):
    made = backup_if_due(DAY, folder=folder)
    made.write_bytes(b"")
    run_tend(iter([DAY] * 2), 1, folder=folder)
    assert "gylebook-2026-11-03.zip could not be restored" in caplog.text
