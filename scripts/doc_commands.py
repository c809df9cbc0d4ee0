"""The commands shown in the docs: found, carried out in order in a book of their own, and compared with what is shown.

A fenced block of the kind `console` holds lines that begin with `$ gylebook`, each followed by what it answers. A
line that ends in a backslash goes on in the next one. `...` alone on a line stands for any lines, and for none. A
block whose commands must fail is marked `console refused`.

Two comments set the scene; readers do not see them:

    <!-- at 2026-10-03 10:00 -->          the clock of the commands that follow, in London
    <!-- first: docs/first-brew.md -->    the book is as that page had left it by this page's first moment

Each page is carried out in a process of its own, in an empty folder:

    python scripts/doc_commands.py PAGE FOLDER      prints what each command answers, as JSON
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from difflib import SequenceMatcher
from pathlib import Path
from zoneinfo import ZoneInfo

ROOT = Path(__file__).parents[1]
ZONE = "Europe/London"
COLUMNS = 80
_AT = re.compile(r"<!-- at (\d{4}-\d\d-\d\d \d\d:\d\d) -->")
_FIRST = re.compile(r"<!-- first: (\S+) -->")
_FENCE = re.compile(r"\s*```(.*)")
_STAMP = "%Y%m%dT%H%M"
_END = "end"  # sorts after every stamp
DOTS = "..."
_LIKE = 0.6


class Unclear(ValueError):
    """A page cannot be read; the message names its line."""


@dataclass(frozen=True, slots=True)
class Shown:
    """One command as a page shows it; `line` to `end` are the indices of the lines of its shown answer."""

    page: str
    words: tuple[str, ...]
    answer: tuple[str, ...]
    at: datetime
    refused: bool
    line: int
    end: int
    indent: str

    @property
    def where(self) -> str:
        """Page, line and command, for a message."""
        return f"{self.page}:{self.line}: gylebook {shlex.join(self.words)}"


def pages() -> tuple[Path, ...]:
    """Every page that shows commands."""
    every = [ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md"))]
    return tuple(page for page in every if "```console" in page.read_text(encoding="utf-8"))


def shown_in(page: Path) -> tuple[Shown, ...]:
    """The commands of a page, in order.

    Raises
    ------
    Unclear
        A console block before any moment, or a line in it that belongs to no command.
    """
    name = page.relative_to(ROOT).as_posix()
    return tuple(_shown(name, page.read_text(encoding="utf-8").splitlines()))


def _shown(name: str, lines: list[str]) -> Iterator[Shown]:
    at: datetime | None = None
    kind, number = "", 0
    while number < len(lines):
        line = lines[number]
        if moment := _AT.search(line):
            at = datetime.strptime(moment[1], "%Y-%m-%d %H:%M").replace(tzinfo=ZoneInfo(ZONE))
        if fence := _FENCE.match(line):
            kind = "" if kind else fence[1].strip() or "plain"
        elif kind.startswith("console") and line.strip():
            if at is None:
                raise Unclear(f"{name}:{number + 1}: no <!-- at ... --> stands before this command")
            found = _one(name, lines, number, at, refused=kind == "console refused")
            yield found
            number = found.end
            continue
        number += 1


def _one(name: str, lines: list[str], number: int, at: datetime, *, refused: bool) -> Shown:
    line = lines[number]
    indent = line[: len(line) - len(line.lstrip())]
    if not line.lstrip().startswith("$ gylebook"):
        raise Unclear(f"{name}:{number + 1}: a command begins with “$ gylebook”, not “{line.strip()}”")
    command = line.strip().removeprefix("$ gylebook")
    while command.endswith("\\"):
        number += 1
        command = command[:-1] + " " + lines[number].strip()
    begin = end = number + 1
    while not _FENCE.match(lines[end]) and not lines[end].lstrip().startswith("$ "):
        end += 1
    words = tuple(shlex.split(command))
    if {"|", "<", ">", "&&", ";"} & set(words):
        raise Unclear(f"{name}:{begin}: only gylebook itself is carried out, no shell")
    answer = [text.removeprefix(indent).rstrip() for text in lines[begin:end]]
    while answer and not answer[-1]:
        answer.pop()
    return Shown(name, words, tuple(answer), at, refused, begin, end, indent)


def matches(shown: tuple[str, ...], told: tuple[str, ...]) -> bool:
    """Whether the answer is as shown; `...` alone on a line stands for any lines, and for none."""
    if not shown:
        return not told
    if shown[0].strip() == DOTS:
        return any(matches(shown[1:], told[skip:]) for skip in range(len(told) + 1))
    return bool(told) and shown[0] == told[0] and matches(shown[1:], told[1:])


def renewed(shown: tuple[str, ...], told: tuple[str, ...]) -> tuple[str, ...]:
    """What to show instead: of an answer that was shortened, the paragraphs most like those shown before."""
    if not any(line.strip() == DOTS for line in shown):
        return told
    there = _paragraphs(told)
    kept: list[int] = []
    for paragraph in _paragraphs(shown):
        rest = range(kept[-1] + 1 if kept else 0, len(there))
        like = {number: _likeness(paragraph, there[number]) for number in rest}
        best = max(like, key=lambda number: like[number], default=None)
        if best is not None and like[best] >= _LIKE:
            kept.append(best)
    lines: list[str] = []
    for number, before in zip([*kept, len(there)], [-1, *kept], strict=True):
        lines += [DOTS] if number > before + 1 else [""] if lines and number < len(there) else []
        lines += there[number] if number < len(there) else []
    return tuple(lines)


def _paragraphs(lines: tuple[str, ...]) -> list[list[str]]:
    found: list[list[str]] = [[]]
    for line in lines:
        if line.strip() in {"", DOTS}:
            found.append([])
        else:
            found[-1].append(line)
    return [paragraph for paragraph in found if paragraph]


def _likeness(one: list[str], other: list[str]) -> float:
    return SequenceMatcher(None, " ".join(one), " ".join(other), autojunk=False).ratio()


@dataclass(frozen=True, slots=True)
class Told:
    """What a command really answered."""

    shown: Shown
    code: int
    lines: tuple[str, ...]

    @property
    def agrees(self) -> bool:
        """Whether the page shows what was answered, and whether it succeeded as it should."""
        return (self.code != 0) == self.shown.refused and matches(self.shown.answer, self.lines)


class Desk:
    """Carries pages out, below a folder; a page that others begin with is carried out once."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._told: dict[Path, tuple[Told, ...]] = {}

    def told(self, page: Path) -> tuple[Told, ...]:
        """What each command of a page answers.

        Raises
        ------
        RuntimeError
            The process itself failed.
        """
        if page not in self._told:
            self._told[page] = self._carry_out(page)
        return self._told[page]

    def _carry_out(self, page: Path) -> tuple[Told, ...]:
        shown = shown_in(page)
        place = self._place(page)
        place.mkdir(parents=True)
        first = _FIRST.search(page.read_text(encoding="utf-8"))
        if first and shown:
            before = ROOT / first[1]
            self.told(before)
            moments = sorted((self._place(before) / "kept").iterdir())
            stamp = shown[0].at.strftime(_STAMP)
            shutil.copytree(next(each for each in moments if each.name >= stamp), place / "book")
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("GYLEBOOK_", "DJANGO_"))}
        kept.pop("DATABASE_URL", None)
        env = {**kept, "GYLEBOOK_HOME": str(place / "book"), "GYLEBOOK_TIME_ZONE": ZONE, "COLUMNS": str(COLUMNS)}
        command = [sys.executable, __file__, str(page), str(place)]
        # Our own script on our own page; the words of a command are never given to a shell.
        done = subprocess.run(command, cwd=place, env=env, capture_output=True, text=True, check=False)
        if done.returncode:
            raise RuntimeError(f"{page.name} could not be carried out: {done.stderr}")
        return tuple(
            Told(each, answer["code"], tuple(line.replace(str(place), "/home/ann") for line in answer["lines"]))
            for each, answer in zip(shown, json.loads(done.stdout), strict=True)
        )

    def _place(self, page: Path) -> Path:
        return self.folder / page.relative_to(ROOT).as_posix().replace("/", "-").removesuffix(".md")

    def rewritten(self, page: Path) -> str:
        """The page with every answer that no longer agrees replaced by what is answered now."""
        lines = page.read_text(encoding="utf-8").splitlines()
        for told in reversed(self.told(page)):
            if not told.agrees:
                shown = told.shown
                lines[shown.line : shown.end] = [
                    f"{shown.indent}{line}".rstrip() for line in renewed(shown.answer, told.lines)
                ]
        return "\n".join(lines) + "\n"


# --- in the process of its own ---------------------------------------------------------------------------------


def carry_out_here(page: Path, place: Path) -> list[dict[str, object]]:
    """Carry out every command of a page, keeping a copy of the book before each new moment and at the end."""
    from gylebook.cli import door
    from gylebook.cli.main import main

    answers: list[dict[str, object]] = []
    moment: datetime | None = None
    for each in shown_in(page):
        if each.at != moment:
            keep(place, each.at.strftime(_STAMP))
            moment = each.at
        door.now = lambda at=each.at: at
        said = io.StringIO()
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            code = main(each.words)
        lines = [line.rstrip() for line in said.getvalue().splitlines()]
        while lines and not lines[-1]:
            lines.pop()
        answers.append({"code": code, "lines": lines})
    keep(place, _END)
    return answers


def keep(place: Path, name: str) -> None:
    """Copy the book as it stands now."""
    if "django" in sys.modules:
        from django.db import connections

        connections.close_all()
    book = place / "book"
    book.mkdir(exist_ok=True)
    shutil.copytree(book, place / "kept" / name, dirs_exist_ok=True)


if __name__ == "__main__":
    print(json.dumps(carry_out_here(Path(sys.argv[1]), Path(sys.argv[2]))))
