"""A whole book from its one plain file: every line is looked at, and every fault is told with its line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from gylebook.errors import InputError
from gylebook.journal.book_file import Row, check_body, read_header, read_line
from gylebook.phrases import say, say_count

#: A line longer than this is no entry of ours, and is not kept in memory to find out.
LONGEST_LINE = 1_000_000


def read_book(lines: Iterable[bytes]) -> Iterator[tuple[int, Row] | InputError]:
    """Read a book's file line by line.

    Parameters
    ----------
    lines
        The lines as bytes, as an open binary file gives them.

    Yields
    ------
    tuple of int and Row, or InputError
        The line's number with its entry; or what is wrong with the line. A fault in the header ends the reading.
    """
    numbered = enumerate(lines, start=1)
    try:
        header = read_header(next(numbered, (1, b""))[1])
    except InputError as fault:
        yield fault
        return
    heads: dict[str, int] = {}
    ids: dict[str, int] = {}
    last, entries = 1, 0
    for number, text in numbered:
        if not text.strip():
            continue
        last, entries = number, entries + 1
        try:
            row = _read(number, text, heads, ids)
        except InputError as fault:
            yield fault
            continue
        yield number, row
    if entries != header.entries:
        counted = say_count(entries, "{n} entry", "{n} entries")
        problem = say(
            "the file has {counted}, and its header promises {entries}", counted=counted, entries=header.entries
        )
        yield InputError(
            say("Line {number}", number=last),
            problem,
            say("it was cut short or added to: copy it again from where it came"),
        )


def _read(number: int, text: bytes, heads: dict[str, int], ids: dict[str, int]) -> Row:
    where = say("Line {number}", number=number)
    if len(text) > LONGEST_LINE:
        raise InputError(where, say("it is longer than {most} bytes", most=LONGEST_LINE), say("mend the line"))
    row = read_line(where, text)
    expected = heads.get(row.brew, 0) + 1
    heads[row.brew] = max(row.seq, expected)
    if row.seq != expected:
        raise InputError(
            where,
            say(
                "entry {seq} of {brew} stands where {expected} should be", seq=row.seq, brew=row.brew, expected=expected
            ),
            say("mend the order"),
        )
    earlier = ids.setdefault(row.command_id, number)
    if earlier != number:
        raise InputError(
            where, say("its command id was used in line {earlier}", earlier=earlier), say("keep one of the two lines")
        )
    check_body(where, row)
    return row
