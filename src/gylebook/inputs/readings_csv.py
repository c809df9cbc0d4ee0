"""Readings of one brew from a table, as a spreadsheet saves it: every line is looked at, every fault is told.

Each line goes the way of a reading written by hand: the same fields read it, the same act decides. A line that the
brew has already, from an earlier import or by hand, is passed over.
"""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import datetime, tzinfo
from functools import partial
from typing import Any

from gylebook.errors import InputError, Refused
from gylebook.journal.state import Brew
from gylebook.phrases import say
from gylebook.steps.catalogue import act
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import Field, read_moment

LARGEST_FILE = 5_000_000
MOST_LINES = 500

_DATE = ("date", "when", "time")
_OTHER_WORDS = {"temperature": "temp", "sg": "gravity", "lowest": "low", "highest": "high"}
_PASSED_OVER = ("name", "entry")
_EXAMPLE = say("begin the file with a line such as date,gravity,temperature")


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """One line: when, what was read, and an id that is the same whenever the same line is imported."""

    number: int
    happened_at: datetime
    act: Act
    values: dict[str, Any]
    command_id: str

    def decide(self, brew: Brew, setting: Setting) -> Decision:
        """The act's decision about this line; what it refuses names the line."""
        try:
            return self.act.decide(brew, self.values, self.happened_at, setting)
        except InputError as fault:
            raise _on_line(self.number, fault) from fault
        except Refused as fault:
            raise InputError(
                say("Line {number}", number=self.number), str(fault).rstrip("."), say("leave this line out")
            ) from fault


@dataclass(slots=True)
class ReadingsFile:
    """A table as read: good lines, faults, and the columns that nothing was done with."""

    lines: list[ReadingLine] = field(default_factory=list)
    faults: list[InputError] = field(default_factory=list)
    ignored: tuple[str, ...] = ()

    def decisions(self, setting: Setting) -> list[tuple[str, Callable[[Brew], Decision]]]:
        """For each line its command id and what is decided about it, to be carried out in this order.

        The lines are judged against the brew as it was before the first of them: five hundred readings, each compared
        with all before it, would hold up every other writer.
        """
        own = {line.command_id for line in self.lines}
        seen: list[Brew] = []

        def decided(line: ReadingLine, brew: Brew) -> Decision:
            if not seen or any(entry.command_id not in own for entry in brew.entries[seen[0].head_seq :]):
                seen[:] = [brew]
            decision = line.decide(seen[0], setting)
            there = [kept.event for kept in brew.kept if kept.at == line.happened_at]
            return Decision(()) if all(event in there for _, event in decision.events) else decision

        return [(line.command_id, partial(decided, line)) for line in self.lines]


def read_readings(data: bytes, *, brew: str, zone: tzinfo, confirmed: bool = False) -> ReadingsFile:
    """Read a table of gravities and temperatures.

    Parameters
    ----------
    data
        The file: a heading, then one reading a line; commas, semicolons or tabs between the columns.
    brew
        The brew for which it is; a line that names another one is a fault.
    zone
        The zone of dates that name none.
    confirmed
        Take values that are most unusual, though not impossible.

    Returns
    -------
    ReadingsFile
        What can be taken, and every fault.
    """
    found = ReadingsFile()
    try:
        rows = _rows(data)
        columns = _columns(next(rows, (1, []))[1], found)
        for number, cells in rows:
            if any(cell.strip() for cell in cells):
                _take(found, number, cells, _Reader(columns, brew, zone, confirmed))
    except InputError as fault:
        found.faults.append(fault)
    return found


@dataclass(frozen=True, slots=True)
class _Reader:
    columns: list[str]
    brew: str
    zone: tzinfo
    confirmed: bool

    def line(self, number: int, cells: list[str]) -> ReadingLine:
        if len(cells) != len(self.columns):
            problem = say(
                "it has {cells} columns, and the heading has {columns}", cells=len(cells), columns=len(self.columns)
            )
            remedy = say("put numbers with a decimal comma in quotes, or separate the columns by semicolons")
            raise InputError(say("Columns"), problem, remedy)
        texts = {name: cell.strip() for name, cell in zip(self.columns, cells, strict=True) if name and cell.strip()}
        if texts.pop("brew", self.brew) != self.brew:
            raise InputError(
                say("Brew"),
                say("this reading is of another brew"),
                say("keep only the lines of brew {brew}", brew=self.brew),
            )
        happened_at = read_moment(texts.pop("date", ""), "Date", self.zone)
        chosen = act("reading" if "gravity" in texts else "temperature")
        fields = {each.name: each for each in chosen.fields}
        stray = sorted(texts.keys() - fields.keys() - {"of"})
        if stray:
            raise InputError(
                stray[0].capitalize(), say("it goes with a gravity, and there is none"), say("write the gravity")
            )
        values = {name: self._read(fields[name], text) for name, text in texts.items() if name in fields}
        if not values.keys() & {"gravity", "temp", "low", "high"}:
            raise InputError(
                say("Gravity"),
                say("there is neither a gravity nor a temperature"),
                say("write one, or leave the line out"),
            )
        return ReadingLine(number, happened_at, chosen, values, self._id(chosen, happened_at, texts))

    def _read(self, wanted: Field, text: str) -> Any:
        return wanted.read(text, confirmed=self.confirmed, zone=self.zone)

    def _id(self, chosen: Act, happened_at: datetime, texts: dict[str, str]) -> str:
        parts = (self.brew, chosen.name, happened_at.isoformat(), *(f"{k}={v}" for k, v in sorted(texts.items())))
        return f"csv-{hashlib.sha256(chr(0).join(parts).encode()).hexdigest()[:40]}"


def _take(found: ReadingsFile, number: int, cells: list[str], reader: _Reader) -> None:
    try:
        found.lines.append(reader.line(number, cells))
    except InputError as fault:
        found.faults.append(_on_line(number, fault))


def _on_line(number: int, fault: InputError) -> InputError:
    return InputError(
        say("Line {number}, {field}", number=number, field=fault.field), fault.problem, fault.remedy, fault.suggestion
    )


def _rows(data: bytes) -> Iterator[tuple[int, list[str]]]:
    if len(data) > LARGEST_FILE:
        raise InputError(say("File"), say("it is larger than 5 MB"), say("import it in parts"))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(
            say("File"), say("it is not UTF-8 text"), say("save the table as “CSV UTF-8” and try again")
        ) from None
    lines = text.splitlines(keepends=True)
    heading = lines[0] if lines else ""
    between = max(",;\t", key=heading.count)
    reader = csv.reader(lines, delimiter=between, strict=True)
    taken = 0
    try:
        for cells in reader:
            taken += 1
            if taken > MOST_LINES + 1:
                raise InputError(
                    say("File"),
                    say("it has more than {most} readings", most=MOST_LINES),
                    say("import it in parts"),
                )
            yield reader.line_num, cells
    except csv.Error as fault:
        raise InputError(
            say("Line {number}", number=reader.line_num),
            say("the table does not read: {fault}", fault=fault),
            say("mend the quotes"),
        ) from None


def _columns(heading: list[str], found: ReadingsFile) -> list[str]:
    """The names of the columns; an empty one where nothing is done with it."""
    known = {each.name for name in ("reading", "temperature") for each in act(name).fields} | {"brew", "date"}
    named: list[str] = []
    ignored: list[str] = []
    for cell in heading:
        word = cell.strip().lower().replace(" ", "_")
        word = "date" if word in _DATE else _OTHER_WORDS.get(word, word)
        if word in named:
            raise InputError(
                say("Heading"), say("the column “{cell}” stands twice", cell=cell.strip()), say("keep one of them")
            )
        if word not in known:
            ignored += [cell.strip()] if word and word not in _PASSED_OVER else []
            word = ""
        named.append(word)
    found.ignored = tuple(ignored)
    if "date" not in named:
        raise InputError(say("Heading"), say("there is no column “date”"), _EXAMPLE)
    if not {"gravity", "temp", "low", "high"} & set(named):
        raise InputError(say("Heading"), say("there is neither a column “gravity” nor “temperature”"), _EXAMPLE)
    return named
