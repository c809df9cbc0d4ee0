from __future__ import annotations

from datetime import datetime, timedelta, timezone

import pytest
from django.db import connections

from books import opened
from entries import NOON, at, measured, write_rows
from entries import row as row_for
from gylebook.errors import Conflict, InputError, InputErrors, NotFound, Refused, StoreUnavailable
from gylebook.journal import events as ev
from gylebook.journal.state import Brew
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.decision import Decision
from gylebook.store import brew_log, rows
from gylebook.store.databases import sqlite
from gylebook.units import Quantity

WHO = {"actor": "owner", "source": "page", "now": NOON}


def write(*events: ev.Event, hours: float = 1, findings: tuple[Finding, ...] = ()):
    """A step that writes these events whatever the state."""
    return lambda _state: Decision(tuple((at(hours), event) for event in events), findings)


def start(name: str = "Harvest Ale", command_id: str = "start") -> str:
    return brew_log.start_brew(write(ev.Planned(name=name)), command_id=command_id, **WHO).brew


# --- starting and reading ---------------------------------------------------------------------------------------


def test_the_first_brew_is_number_one_and_the_next_is_two(book):
    assert start("Harvest Ale", "a") == "1"
    assert start("Winter Stout", "b") == "2"
    assert brew_log.read("2").name == "Winter Stout"


def test_numbers_go_on_after_the_highest_even_when_it_has_two_digits(book):
    write_rows(book, row_for("9", 1, ev.Planned(name="Nine")), row_for("10", 1, ev.Planned(name="Ten")))
    assert start() == "11"


def test_starting_again_with_the_same_command_gives_the_same_brew(book):
    first = brew_log.start_brew(write(ev.Planned(name="Harvest Ale")), command_id="start", **WHO)
    again = brew_log.start_brew(write(ev.Planned(name="Another")), command_id="start", **WHO)
    assert again.brew == first.brew == "1"
    assert again.repeated
    assert again.entries == first.entries
    assert rows.streams(book) == ["1"]


def test_a_brew_that_writes_nothing_is_not_begun(book):
    with pytest.raises(Refused, match="begins with its plan"):
        brew_log.start_brew(write(), command_id="start", **WHO)
    assert rows.streams(book) == []


def test_an_entry_comes_back_as_it_was_written(book):
    brew = start()
    now = NOON + timedelta(microseconds=1)
    written = brew_log.change(
        brew, write(measured("1,0400")), actor="jo", source="device", command_id="r.1:x_Y-2", now=now
    )
    (entry,) = written.entries
    assert (entry.brew, entry.seq, entry.kind, entry.version) == ("1", 2, "measured", 1)
    assert (entry.happened_at, entry.recorded_at) == (at(1), now)
    assert (entry.recorded_by, entry.source, entry.command_id) == ("jo", "device", "r.1:x_Y-2")
    assert entry.body == measured("1,0400")
    assert brew_log.entries(brew, after=1) == (entry,)
    assert brew_log.read(brew).entries[-1] == entry


def test_times_are_kept_in_utc_whatever_the_zone_they_came_in(book):
    brew = start()
    summer = datetime(2026, 7, 1, 18, 30, tzinfo=timezone(timedelta(hours=2)))
    done = brew_log.change(brew, lambda _: Decision(((summer, measured("1.040")),)), command_id="r", **WHO)
    assert done.entries[0].happened_at == summer
    assert done.entries[0].happened_at.utcoffset() == timedelta(0)
    assert rows.page(book, brew, 1)[0].happened_at == "2026-07-01T16:30:00.000000Z"


def test_a_moment_without_a_zone_is_refused_and_nothing_is_written(book):
    brew = start()
    naive = datetime(2026, 7, 1, 18, 30)  # noqa: DTZ001
    with pytest.raises(ValueError, match="time zone"):
        brew_log.change(brew, lambda _: Decision(((naive, measured("1.040")),)), command_id="r", **WHO)
    assert rows.head(book, brew) == 1


def test_a_brew_that_is_not_there_is_not_found(book):
    with pytest.raises(NotFound, match="no brew 7"):
        brew_log.read("7")
    with pytest.raises(NotFound, match="no brew 7"):
        brew_log.change("7", write(measured("1.040")), command_id="r", **WHO)


def test_the_shelf_is_not_a_brew(book):
    brew_log.change_shelf(write(ev.StockKept(item="caps")), command_id="s", **WHO)
    with pytest.raises(NotFound):
        brew_log.read("shelf")


def test_the_log_is_read_in_pages_newest_first(book):
    brew = start()
    for n in range(5):
        brew_log.change(brew, write(measured(f"1.0{40 - n}")), command_id=f"r{n}", **WHO)
    assert [e.seq for e in brew_log.latest_entries(brew, limit=3)] == [6, 5, 4]
    assert [e.seq for e in brew_log.latest_entries(brew, before=4, limit=3)] == [3, 2, 1]
    assert [e.seq for e in brew_log.entries(brew, after=2, limit=2)] == [3, 4]


# --- deciding ---------------------------------------------------------------------------------------------------


def test_the_step_sees_the_brew_as_it_stands(book):
    brew = start()
    brew_log.change(brew, write(measured("1.040")), command_id="a", **WHO)
    seen: list[Brew] = []

    def decide(state: Brew) -> Decision:
        seen.append(state)
        return Decision(())

    brew_log.change(brew, decide, command_id="b", **WHO)
    assert [k.event for k in seen[0].all(ev.Measured)] == [measured("1.040")]
    assert seen == [brew_log.read(brew)]


def test_what_the_step_refuses_is_not_written(book):
    brew = start()

    def decide(_state: Brew) -> Decision:
        raise Refused("The beer is bottled; read it again from a bottle.")

    with pytest.raises(Refused, match="bottled"):
        brew_log.change(brew, decide, command_id="r", **WHO)
    assert rows.head(book, brew) == 1


def test_findings_are_handed_on_and_a_decision_without_entries_writes_nothing(book):
    brew = start()
    finding = Finding(Urgency.MEASURE, "Two readings differ; read again.")
    done = brew_log.change(brew, write(findings=(finding,)), command_id="r", **WHO)
    assert (done.entries, done.findings, done.repeated) == ((), (finding,), False)
    assert rows.head(book, brew) == 1


def test_a_kind_that_does_not_belong_in_a_brew_is_a_slip_of_the_program(book):
    brew = start()
    with pytest.raises(ValueError, match="stock_kept"):
        brew_log.change(brew, write(ev.StockKept(item="caps")), command_id="r", **WHO)
    with pytest.raises(ValueError, match="measured"):
        brew_log.change_shelf(write(measured("1.040")), command_id="s", **WHO)


def test_a_source_must_be_one_of_the_known_ways_in(book):
    with pytest.raises(ValueError, match="is no source"):
        brew_log.change("1", write(), actor="owner", source="rumour", command_id="r", now=NOON)
    with pytest.raises(ValueError, match="name of who writes"):
        brew_log.change("1", write(), actor="", source="page", command_id="r", now=NOON)


# --- the same command again -------------------------------------------------------------------------------------


def test_a_command_that_comes_again_gives_the_first_entries_and_runs_nothing(book):
    brew = start()
    first = brew_log.change(brew, write(measured("1.040")), command_id="r", **WHO)

    def never(_state: Brew) -> Decision:
        raise AssertionError("ran twice")

    again = brew_log.change(brew, never, command_id="r", **WHO)
    assert again.repeated
    assert again.entries == first.entries
    assert rows.head(book, brew) == 2


def test_a_command_of_several_entries_comes_back_whole(book):
    brew = start()
    first = brew_log.change(brew, write(measured("1.040"), ev.Noted(text="clear"), ev.Roused()), command_id="r", **WHO)
    brew_log.change(brew, write(ev.Noted(text="after")), command_id="r2", **WHO)
    assert [e.command_id for e in first.entries] == ["r", "r/2", "r/3"]
    again = brew_log.change(brew, write(), command_id="r", **WHO)
    assert again.entries == first.entries
    assert len(again.entries) == 3


def test_a_command_that_comes_again_is_answered_even_when_the_brew_has_gone_on(book):
    brew = start()
    first = brew_log.change(brew, write(measured("1.040")), command_id="r", expected_seq=1, **WHO)
    brew_log.change(brew, write(ev.Noted(text="later")), command_id="n", **WHO)
    again = brew_log.change(brew, write(measured("1.040")), command_id="r", expected_seq=1, **WHO)
    assert again.repeated
    assert again.entries == first.entries


def test_an_id_that_another_brew_has_used_is_a_conflict(book):
    one, two = start("One", "a"), start("Two", "b")
    brew_log.change(one, write(measured("1.040")), command_id="r", **WHO)
    with pytest.raises(Conflict, match="used before, for brew 1"):
        brew_log.change(two, write(measured("1.040")), command_id="r", **WHO)
    assert rows.head(book, two) == 1


@pytest.mark.parametrize("command_id", ["", "a b", "a/2", "ä", "x" * 101, "a\n"])
def test_an_id_with_other_characters_is_refused(book, command_id):
    with pytest.raises(InputError, match="Command id"):
        brew_log.change("1", write(), command_id=command_id, **WHO)


# --- a stale view -----------------------------------------------------------------------------------------------


def test_who_saw_an_older_brew_is_told_so_at_once(book):
    brew = start()
    brew_log.change(brew, write(measured("1.040")), command_id="a", expected_seq=1, **WHO)
    with pytest.raises(Conflict, match="newer entries"):
        brew_log.change(brew, write(measured("1.039")), command_id="b", expected_seq=1, **WHO)
    assert rows.head(book, brew) == 2


def test_who_saw_an_older_shelf_is_told_so_at_once(book):
    brew_log.change_shelf(write(ev.StockKept(item="caps")), command_id="a", expected_seq=0, **WHO)
    with pytest.raises(Conflict, match="The shelf has newer entries"):
        brew_log.change_shelf(write(ev.StockKept(item="sugar")), command_id="b", expected_seq=0, **WHO)


# --- several commands -------------------------------------------------------------------------------------------


def commands(*gravities: str) -> list[brew_log.Command[Brew]]:
    return [brew_log.Command(f"c-{g}", write(measured(g))) for g in gravities]


def test_several_commands_are_carried_out_in_order_each_seeing_the_last(book):
    brew = start()
    seen: list[int] = []

    def decide(state: Brew) -> Decision:
        seen.append(state.head_seq)
        return Decision(((at(2), measured("1.020")),))

    both = [*commands("1.040"), brew_log.Command("second", decide)]
    done = brew_log.change_many(brew, both, **WHO)
    assert seen == [2]
    assert [change.entries[0].seq for change in done] == [2, 3]


def fault(words: str) -> brew_log.Command[Brew]:
    def refuse(_state: Brew) -> Decision:
        raise InputError(words, "this cannot be", "mend it")

    return brew_log.Command(words.replace(" ", "."), refuse)


def test_several_commands_are_written_all_or_none_and_every_fault_is_told(book):
    brew = start()
    with pytest.raises(InputErrors) as caught:
        brew_log.change_many(brew, [fault("Line 2"), *commands("1.040", "1.039"), fault("Line 5")], **WHO)
    assert [error.field for error in caught.value.errors] == ["Line 2", "Line 5"]
    assert rows.head(book, brew) == 1


def test_what_the_step_refuses_outright_ends_several_commands(book):
    brew = start()

    def refuse(_state: Brew) -> Decision:
        raise Refused("The beer is bottled; read it again from a bottle.")

    with pytest.raises(Refused, match="bottled"):
        brew_log.change_many(brew, [*commands("1.040"), brew_log.Command("x", refuse)], **WHO)
    assert rows.head(book, brew) == 1


def test_of_several_commands_those_carried_out_before_are_passed_over(book):
    brew = start()
    brew_log.change_many(brew, commands("1.040", "1.030"), **WHO)
    done = brew_log.change_many(brew, commands("1.040", "1.030", "1.020"), **WHO)
    assert [change.repeated for change in done] == [True, True, False]
    assert rows.head(book, brew) == 4


def test_a_trial_shows_what_would_be_written_and_every_fault_and_writes_nothing(book):
    brew = start()
    done, faults = brew_log.try_many(brew, [*commands("1.040"), fault("Line 3"), *commands("1.030")], **WHO)
    assert [change.entries[0].body for change in done] == [measured("1.040"), measured("1.030")]
    assert [error.field for error in faults] == ["Line 3"]
    assert rows.head(book, brew) == 1
    assert brew_log.brews().brews[0].card == '{"entries":1,"shelf":0}'


# --- the shelf --------------------------------------------------------------------------------------------------


def test_the_shelf_keeps_things_by_name(book):
    brew_log.change_shelf(write(ev.PlaceKept(name="garage", low=Quantity("4", "°C"))), command_id="a", **WHO)
    again = brew_log.change_shelf(write(), command_id="a", **WHO)
    assert again.repeated
    shelf = brew_log.read_shelf()
    assert shelf.places["garage"].low == Quantity("4", "°C")
    assert shelf.head_seq == 1


def test_a_new_book_has_an_empty_shelf(book):
    assert brew_log.read_shelf().entries == ()


# --- when the database cannot -----------------------------------------------------------------------------------


def test_a_book_without_tables_says_what_to_do(engine, library):
    with opened("default", library.blank(engine)):
        with pytest.raises(StoreUnavailable, match="no tables yet"):
            brew_log.read("1")
        with pytest.raises(StoreUnavailable, match="no tables yet"):
            brew_log.change("1", write(), command_id="r", **WHO)


def test_a_book_of_another_release_says_what_to_do(book):
    brew = start()
    with connections[book].cursor() as cursor:
        cursor.execute("ALTER TABLE brew_card RENAME COLUMN stage TO stadium")
    with pytest.raises(StoreUnavailable, match="tables are of another release"):
        brew_log.change(brew, write(measured("1.040")), command_id="r", **WHO)
    assert rows.head(book, brew) == 1
    with connections[book].cursor() as cursor:
        cursor.execute("ALTER TABLE brew_card RENAME COLUMN stadium TO stage")


def test_a_folder_that_is_not_there_says_what_to_do(tmp_path, django_db_blocker):
    with (
        django_db_blocker.unblock(),
        opened("default", sqlite(tmp_path / "nowhere" / "book.sqlite3")),
        pytest.raises(StoreUnavailable, match="cannot be opened"),
    ):
        brew_log.read_shelf()


def test_a_file_that_is_no_book_says_what_to_do(tmp_path, django_db_blocker):
    path = tmp_path / "book.sqlite3"
    path.write_bytes(b"a shopping list, and no book at all" * 100)
    with (
        django_db_blocker.unblock(),
        opened("default", sqlite(path)),
        pytest.raises(StoreUnavailable, match="is not a book"),
    ):
        brew_log.read_shelf()


def test_a_server_that_does_not_answer_says_what_to_do(book, engine, library):
    if engine == "sqlite":
        broken = sqlite(library.folder)  # a folder where a file should be
        words = "cannot be opened"
    else:
        broken = connections.settings["default"] | {"HOST": str(library.folder)}
        words = "does not answer"
    with opened("default", broken), pytest.raises(StoreUnavailable, match=words):
        brew_log.read_shelf()
