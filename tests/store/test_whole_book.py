from __future__ import annotations

import pytest
from django.db import connections

from books import opened
from entries import NOON, at, measured, row, write_rows
from gylebook.errors import InputError, InputErrors, Refused
from gylebook.inputs.book_import import read_book
from gylebook.journal import events as ev
from gylebook.outputs.book_export import book_lines
from gylebook.steps.decision import Decision
from gylebook.store import brew_log, cards, rows, whole_book
from gylebook.store.models import BrewCard
from gylebook.units import Quantity

WHO = {"actor": "owner", "source": "page", "now": NOON}


def fill(book: str) -> None:
    """Eleven invented brews and a shelf, with everything that might get lost on the way."""
    write_rows(
        book,
        row("shelf", 1, ev.PlaceKept(name="garage “north”", low=Quantity("−2", "°C"))),
        row("shelf", 2, ev.Noted(text="line one\nline two\ttab \u2028 \u0000 end")),
    )
    for number in range(1, 12):
        write_rows(
            book,
            row(str(number), 1, ev.Planned(name=f"Gyle № {number}")),
            row(str(number), 2, measured("1,0400")),
            row(
                str(number),
                3,
                ev.Corrected(seq=2, kind="measured", version=1, instead={"gravity": {"text": "1.041", "unit": "SG"}}),
            ),
        )
    cards.rebuild(book)


def export(book: str) -> bytes:
    return b"".join(whole_book.stream(book_lines, book=book))


def import_(data: bytes, book: str, **options) -> whole_book.Added:
    return whole_book.add_book(read_book(data.splitlines(keepends=True)), book=book, **options)


def states(book: str):
    return [list(whole_book.brews_folded(book=book)), brew_log.read_shelf(book=book)]


def test_the_file_has_the_shelf_first_and_then_the_brews_by_number(book):
    fill(book)
    seen = [(found.brew, found.seq) for found in (line for line in whole_book.stream(lambda _n, rows: rows))]
    assert seen == [("shelf", 1), ("shelf", 2)] + [(str(n), seq) for n in range(1, 12) for seq in (1, 2, 3)]


def test_a_book_goes_through_the_other_engine_and_comes_back_to_the_byte(book, other_engine, engine, library):
    fill(book)
    first = export(book)
    with opened("there", library.settings(other_engine)) as there, opened("back", library.settings(engine)) as back:
        assert import_(first, there) == whole_book.Added(35, 0)
        second = export(there)
        assert import_(second, back) == whole_book.Added(35, 0)
        assert export(back) == second == first
        assert states(there) == states(back) == states(book)


def test_importing_again_changes_nothing(book):
    fill(book)
    data = export(book)
    assert import_(data, book) == whole_book.Added(0, 35)
    assert export(book) == data


def test_a_longer_file_of_the_same_book_adds_what_is_missing(book, library, engine):
    fill(book)
    with opened("there", library.settings(engine)) as there:
        import_(export(book), there)
        brew_log.change("3", lambda _: Decision(((at(9), measured("1.012")),)), command_id="new", **WHO)
        longer = export(book)
        assert import_(longer, there) == whole_book.Added(1, 35)
        assert export(there) == longer
        assert BrewCard.objects.using(there).get(brew="3").head_seq == 4


def test_an_older_file_of_the_same_book_is_passed_over(book):
    fill(book)
    older = export(book)
    brew_log.change("3", lambda _: Decision(((at(9), measured("1.012")),)), command_id="new", **WHO)
    assert import_(older, book) == whole_book.Added(0, 35)
    assert rows.head(book, "3") == 4


def test_a_book_that_went_another_way_is_refused_whole(book, library, engine):
    fill(book)
    with opened("there", library.settings(engine)) as there:
        import_(export(book), there)
        brew_log.change("3", lambda _: Decision(((at(9), measured("1.012")),)), command_id="here", **WHO)
        brew_log.change("4", lambda _: Decision(((at(9), measured("1.013")),)), command_id="there", book=there, **WHO)
        before = export(there)
        with pytest.raises(Refused, match="gone different ways"):
            import_(export(book), there)
        assert export(there) == before


def test_the_same_place_with_another_entry_is_told_by_line(book, library, engine):
    fill(book)
    with opened("there", library.settings(engine)) as there:
        import_(export(book), there)
        brew_log.change("3", lambda _: Decision(((at(9), measured("1.012")),)), command_id="here", **WHO)
        brew_log.change("3", lambda _: Decision(((at(9), measured("1.013")),)), command_id="there", book=there, **WHO)
        before = export(there)
        with pytest.raises(InputErrors, match="Line 13: entry 4 of 3 is another one in this book"):
            import_(export(book), there)
        assert export(there) == before


def test_every_fault_is_told_and_nothing_is_half_written(book, library, engine):
    fill(book)
    lines = export(book).splitlines(keepends=True)
    lines[2] = lines[2].replace(b'"noted"', b'"sung"')
    lines[4] = b"not json at all\n"
    lines[20] = lines[20].replace(b'"source":"page"', b'"source":"rumour"')
    with opened("there", library.settings(engine)) as there:
        with pytest.raises(InputErrors) as caught:
            import_(b"".join(lines), there)
        told = [error.field for error in caught.value.errors]
        assert told[:3] == ["Line 3", "Line 5", "Line 6"]  # 6: the entry after the lost one is out of its order
        assert "Line 21" in told
        assert rows.count(there) == 0
        assert not BrewCard.objects.using(there).exists()


def test_a_dry_run_looks_at_everything_and_writes_nothing(book, library, engine):
    fill(book)
    data = export(book)
    with opened("there", library.settings(engine)) as there:
        assert import_(data, there, dry_run=True) == whole_book.Added(35, 0)
        assert rows.count(there) == 0
        with pytest.raises(InputErrors):
            import_(data.replace(b'"measured"', b'"smelt"'), there, dry_run=True)


def test_a_file_that_ends_early_is_refused(book, library, engine):
    fill(book)
    cut = b"".join(export(book).splitlines(keepends=True)[:-1])
    with opened("there", library.settings(engine)) as there:
        with pytest.raises(InputErrors, match="has 34 entries, and its header promises 35"):
            import_(cut, there)
        assert rows.count(there) == 0


def test_entries_written_while_the_book_is_exported_do_not_disturb_it(book):
    fill(book)
    before = export(book)
    connections[book].close()
    made = whole_book.stream(book_lines, book=book)
    got = [next(made) for _ in range(5)]
    import threading

    def write():
        brew_log.change("3", lambda _: Decision(((at(9), measured("1.012")),)), command_id="new", **WHO)
        connections.close_all()

    writer = threading.Thread(target=write)
    writer.start()
    writer.join()
    got += list(made)
    assert b"".join(got) == before
    assert export(book) != before


def test_an_empty_book_exports_and_imports(book):
    assert export(book).count(b"\n") == 1
    assert import_(export(book), book) == whole_book.Added(0, 0)


def test_an_import_makes_the_cards(book, library, engine):
    fill(book)
    with opened("there", library.settings(engine)) as there:
        import_(export(book), there)
        assert cards.outdated(there) == []
        assert [b.name for b in brew_log.brews(there, limit=2).brews] == ["Gyle № 11", "Gyle № 10"]


def test_a_single_fault_reads_as_one_sentence(book):
    with pytest.raises(InputError) as caught:
        import_(b"a shopping list\n", book)
    assert str(caught.value) == (
        "Line 1: this is not a journal of Gylebook; choose a file that “gylebook export” has made."
    )
