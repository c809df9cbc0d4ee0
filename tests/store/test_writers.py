"""Several writers at once: nothing is lost, nothing doubled, and nobody is told that a database is locked."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connections, transaction

from entries import NOON, at, measured, row, write_rows
from gylebook.errors import Conflict, StoreUnavailable
from gylebook.journal import events as ev
from gylebook.steps.decision import Decision
from gylebook.store import brew_log, rows

WHO = {"actor": "owner", "source": "page", "now": NOON}


def write(event: ev.Event):
    return lambda _state: Decision(((at(1), event),))


@pytest.fixture
def brew(book):
    return brew_log.start_brew(write(ev.Planned(name="Harvest Ale")), command_id="start", **WHO).brew


def in_threads(count, work):
    """Run work(n) in so many threads at once, each with its own connection, and give back all results."""
    gate = threading.Barrier(count)

    def run(n):
        try:
            gate.wait()
            return work(n)
        finally:
            connections.close_all()

    with ThreadPoolExecutor(count) as pool:
        return list(pool.map(run, range(count)))


def test_two_writers_who_decide_at_the_same_moment_both_get_their_entry(brew, book):
    heads = []

    def decide(state):
        heads.append(state.head_seq)
        time.sleep(0.1)
        return Decision(((at(1), measured("1.040")),))

    done = in_threads(2, lambda n: brew_log.change(brew, decide, command_id=f"w{n}", **WHO))
    assert sorted(change.entries[0].seq for change in done) == [2, 3]
    assert sorted(heads) == [1, 2]  # the second one saw what the first had written


def test_the_same_command_sent_twice_at_once_is_carried_out_once(brew, book):
    done = in_threads(4, lambda _: brew_log.change(brew, write(measured("1.040")), command_id="same", **WHO))
    assert sorted(change.repeated for change in done) == [False, True, True, True]
    assert len({change.entries for change in done}) == 1
    assert rows.head(book, brew) == 2


def test_brews_begun_at_once_get_different_numbers(book):
    done = in_threads(
        6, lambda n: brew_log.start_brew(write(ev.Planned(name=f"Brew of {n}")), command_id=f"s{n}", **WHO)
    )
    assert sorted(int(change.brew) for change in done) == [1, 2, 3, 4, 5, 6]
    assert {brew_log.read(c.brew).name for c in done} == {f"Brew of {n}" for n in range(6)}


def test_who_is_overtaken_by_a_writer_past_the_door_decides_again(brew, book, engine):
    """On PostgreSQL somebody may write past our lock; on SQLite nobody can while a writer decides."""
    tries = []

    def decide(state):
        tries.append(state.head_seq)
        if len(tries) == 1:
            in_threads(1, lambda _: overtake())
        return Decision(((at(2), measured("1.030")),))

    def overtake():
        if engine == "sqlite":
            with connections[book].cursor() as cursor:
                cursor.execute("PRAGMA busy_timeout = 50")
            with pytest.raises(Exception, match="locked"):
                write_rows(book, row(brew, 2, measured("1.040")))
        else:
            write_rows(book, row(brew, 2, measured("1.040")))

    done = brew_log.change(brew, decide, command_id="mine", **WHO)
    assert tries == ([1] if engine == "sqlite" else [1, 2])
    assert done.entries[0].seq == (2 if engine == "sqlite" else 3)


def test_who_is_overtaken_again_and_again_gives_up_with_a_conflict(brew, book, monkeypatch):
    tries = []

    def decide(state):
        tries.append(state.head_seq)
        return Decision(((at(2), measured("1.030")),))

    # A writer who always sees the brew as it was before the last entry.
    load = brew_log.cards.load
    write_rows(book, row(brew, 2, measured("1.040")))
    monkeypatch.setattr(brew_log.cards, "load", lambda book, of: brew_log.fold(of, load(book, of).entries[:1]))
    with pytest.raises(Conflict, match="keeps writing"):
        brew_log.change(brew, decide, command_id="mine", **WHO)
    assert len(tries) == 5
    assert rows.head(book, brew) == 2


def test_a_writer_who_waits_too_long_is_told_in_plain_words(brew, book, engine):
    if engine == "postgresql":
        with connections[book].cursor() as cursor:
            cursor.execute("SET lock_timeout = '100ms'")
    else:
        with connections[book].cursor() as cursor:
            cursor.execute("PRAGMA busy_timeout = 100")
    held, let_go = threading.Event(), threading.Event()

    def hold():
        with transaction.atomic(using=book):
            rows.lock(book, brew)
            held.set()
            let_go.wait(10)
        connections.close_all()

    holder = threading.Thread(target=hold)
    holder.start()
    held.wait(10)
    try:
        with pytest.raises(StoreUnavailable, match="The book is busy") as caught:
            brew_log.change(brew, write(measured("1.040")), command_id="late", **WHO)
    finally:
        let_go.set()
        holder.join()
    assert "locked" not in str(caught.value)
    assert rows.head(book, brew) == 1


def test_eight_writers_lose_and_double_nothing(brew, book):
    """A short soak: every command is sent twice, to one brew in common and to one of the writer's own."""
    each = 15

    def work(n):
        own = brew_log.start_brew(write(ev.Planned(name=f"Own {n}")), command_id=f"own{n}", **WHO).brew
        for k in range(each):
            for where in (brew, own):
                command_id = f"{where}.{n}.{k}"
                first = brew_log.change(where, write(measured("1.040")), command_id=command_id, **WHO)
                again = brew_log.change(where, write(measured("1.040")), command_id=command_id, **WHO)
                assert not first.repeated
                assert again.repeated
                assert again.entries == first.entries
        return own

    owns = in_threads(8, work)
    assert rows.head(book, brew) == 1 + 8 * each
    assert [rows.head(book, own) for own in owns] == [1 + each] * 8
    assert rows.count(book) == 1 + 8 * each + 8 * (1 + each)
    state = brew_log.read(brew)
    assert [entry.seq for entry in state.entries] == list(range(1, 2 + 8 * each))
    assert len({entry.command_id for entry in state.entries}) == 1 + 8 * each
