"""`gylebook print WHAT BREW`: labels, cap dots, the brew-day sheet and slips, as PDF files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from gylebook.cli.command import GyleCommand, GyleGroup, for_machines, give, machine, width, with_working, working
from gylebook.cli.door import OpenBook, open_book
from gylebook.cli.spoken import echo
from gylebook.errors import Refused
from gylebook.phrases import joined, say

if TYPE_CHECKING:
    from gylebook.journal.state import Brew
    from gylebook.outputs.qr import Code
    from gylebook.steps.label import Label

F = TypeVar("F", bound=Callable[..., Any])

LABEL_SHEETS = ("a4-3x7", "a4-2x7", "a4-2x4", "a4-4x10", "letter-3x10", "letter-2x5")
CAP_SHEETS = ("a4-caps", "letter-caps")
PAPERS = ("A4", "Letter")
_ADDRESS = "GYLEBOOK_URL"


@click.group(
    cls=GyleGroup,
    examples=(
        "gylebook print label 1 --sheet a4-2x4 --output gifts.pdf",
        "gylebook print danger --output danger.pdf",
    ),
    short_help="Print labels, cap dots, sheets and slips, as PDF files.",
)
def command() -> None:
    """Print labels, cap dots, sheets and slips, as PDF files.

    Everything is at its true size: print at 100 %, and hold a ruler to the line of 100 mm.
    """


def _to_file(function: F) -> F:
    """Where the PDF goes, for all of them."""
    function = click.option("--replace", "--force", is_flag=True, help="Overwrite the file if it is there.")(function)
    return click.option(
        "--output",
        type=click.Path(path_type=Path, dir_okay=False),
        help="The file to write; left out, it is named after the brew and lies in this folder.",
    )(function)


def _with_code(function: F) -> F:
    return click.option(
        "--url",
        envvar=_ADDRESS,
        default="",
        help=f"Address of the book for the code, such as https://book.home:8484 ({_ADDRESS} sets it for good). "
        "Without one the code holds the brew's number.",
    )(function)


def _with_grid(sheets: tuple[str, ...]) -> Callable[[F], F]:
    def added(function: F) -> F:
        function = click.option("--count", type=int, help="How many; left out, the rest of one sheet.")(function)
        function = click.option(
            "--start",
            type=int,
            default=1,
            show_default=True,
            help="The first one of the sheet that is still there.",
        )(function)
        return click.option(
            "--sheet",
            type=click.Choice(sheets),
            default=sheets[0],
            show_default=True,
            help="Page, across and down.",
        )(function)

    return added


@command.command(
    cls=GyleCommand,
    examples=(
        "gylebook print label 1",
        "gylebook print label 1 --kind plain --sheet a4-4x10 --start 5 --count 12 --output plain.pdf",
    ),
)
@click.argument("brew")
@click.option("--kind", type=click.Choice(["gift", "plain"]), default="gift", show_default=True,
              help="“gift” has allergens, pressure and how to pour; “plain” is for the own cellar.")  # fmt: skip
@_with_grid(LABEL_SHEETS)
@click.option("--name", default="", help="Another name than the brew's own.")
@click.option("--size", default="", help="The bottle's size, where several were filled: “500 mL”.")
@click.option("--outline", is_flag=True, help="Draw the edges, to hold against the sheet before it is printed on.")
@_with_code
@_to_file
@with_working
def label(
    brew: str, *, kind: str, sheet: str, start: int, count: int | None, name: str, size: str, outline: bool, url: str,
    output: Path | None, replace: bool,
) -> None:  # fmt: skip
    """Labels for the bottles of BREW.

    The strength is an estimate, rounded as the country in the settings has it. What the book does not know is left out
    and asked for.
    """
    opened, state = _brew(brew)
    from gylebook.outputs.label_grids import LABELS, grid_named
    from gylebook.outputs.label_sheet import label_sheet

    found, code = _label(state, opened, name, size), _code(state, url)
    made = label_sheet(
        found, kind, grid_named(sheet, LABELS), code, opened.now, start=start, count=count, outline=outline
    )
    _written(made, output or Path(f"brew-{state.id}-labels.pdf"), replace, found, code)
    if working() and not machine():
        _show_working(found, opened)


@command.command(cls=GyleCommand, examples=("gylebook print caps 1 --count 40",))
@click.argument("brew")
@_with_grid(CAP_SHEETS)
@_to_file
@for_machines
def caps(brew: str, *, sheet: str, start: int, count: int | None, output: Path | None, replace: bool) -> None:
    """Dots for the caps of BREW: circles of 19 mm with the code on the caps, else the brew's number."""
    opened, state = _brew(brew)
    from gylebook.outputs.label_grids import CAPS, grid_named
    from gylebook.outputs.label_sheet import cap_sheet

    made = cap_sheet(_label(state, opened), grid_named(sheet, CAPS), opened.now, start=start, count=count)
    _written(made, output or Path(f"brew-{state.id}-caps.pdf"), replace)


@command.command(cls=GyleCommand, examples=("gylebook print sheet 1 --output brew-day.pdf",))
@click.argument("brew")
@click.option("--paper", type=click.Choice(PAPERS), default="A4", show_default=True, help="Size of the page.")
@_with_code
@_to_file
@for_machines
def sheet(brew: str, *, paper: str, url: str, output: Path | None, replace: bool) -> None:
    """The sheet for the brew day of BREW: what to have ready, what to do, and blanks to write in."""
    opened, state = _brew(brew)
    from gylebook.outputs import sheets
    from gylebook.steps.brew_day import brew_day

    code = _code(state, url)
    made = sheets.sheet(brew_day(state, opened.setting()), opened.prefs, opened.now, page=paper, code=code)
    _written(made, output or Path(f"brew-{state.id}-brew-day.pdf"), replace, code=code)


@command.command(cls=GyleCommand, examples=("gylebook print slip 1",))
@click.argument("brew")
@click.option("--paper", type=click.Choice(PAPERS), default="A4", show_default=True, help="Size of the page.")
@_with_code
@_to_file
@for_machines
def slip(brew: str, *, paper: str, url: str, output: Path | None, replace: bool) -> None:
    """Half a page of advice on BREW, for somebody who begins: how it stands, what is next, what to mind."""
    opened, state = _brew(brew)
    from gylebook.outputs import sheets
    from gylebook.steps.brew_day import advice

    code = _code(state, url)
    made = sheets.sheet(advice(state, opened.setting()), opened.prefs, opened.now, page=paper, half=True, code=code)
    _written(made, output or Path(f"brew-{state.id}-advice.pdf"), replace, code=code)


@command.command(cls=GyleCommand, examples=("gylebook print danger",))
@click.option("--paper", type=click.Choice(PAPERS), default="A4", show_default=True, help="Size of the page.")
@_to_file
@for_machines
def danger(*, paper: str, output: Path | None, replace: bool) -> None:
    """What to do with bottles that may burst; no brew is needed."""
    opened = open_book()
    from gylebook.outputs import sheets
    from gylebook.steps import brew_day

    made = sheets.sheet(brew_day.danger(), opened.prefs, opened.now, page=paper)
    _written(made, output or Path("bottles-that-may-burst.pdf"), replace)


def _show_working(found: Label, opened: OpenBook) -> None:
    """How the strength on the label was reached, and what its allergens came from."""
    from gylebook.cli.wording import answer_text
    from gylebook.steps.answers import Answer, Urgency

    told = Answer(say("How the label was reached."), "", Urgency.NOTHING, found.figures)
    echo(answer_text(told, opened.prefs, width=width(), with_working=True))


def _brew(number: str) -> tuple[OpenBook, Brew]:
    opened = open_book()
    from gylebook.store import brew_log

    return opened, brew_log.read(number.lstrip("#"), book=opened.book)


def _label(state: Brew, opened: OpenBook, name: str = "", size: str = "") -> Label:
    from gylebook.steps.label import label as label_of

    return label_of(state, opened.setting(), name=name, size=size)


def _code(state: Brew, url: str) -> Code:
    from gylebook.outputs.qr import code_of

    return code_of(state.id, url)


def _written(
    made: bytes, file: Path, replace: bool, about: Label | None = None, code: Code | None = None
) -> None:  # fmt: skip
    """Write the file, and say what it holds, what it lacks and what its code says."""
    if file.exists() and not replace:
        raise Refused(say("{file} is there already: choose another name with --output, or add --replace.", file=file))
    from gylebook.cli.export_cmd import write_whole

    write_whole(file, iter([made]))
    notes = []
    if about is not None:
        notes += [finding.text for finding in about.findings]
        notes += [
            say("Not on it yet: {question}", question=question)
            for question in (about.missing, *about.questions)
            if question
        ]
        notes += [say("Assumed: {assumed}.", assumed=each) for each in about.assumed]
    if code is not None and not code.is_address:
        notes.append(say("The code holds “{code}” alone; --url gives it the address of the book.", code=code.text))

    def text() -> str:
        return joined("\n", [say("Wrote {file}. Print it at 100 %.", file=file), *notes])

    give("print", lambda: {"file": str(file.absolute()), "code": code.text if code else None, "notes": notes}, text)
