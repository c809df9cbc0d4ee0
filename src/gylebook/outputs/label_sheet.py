"""Sheets of bottle labels and of cap dots, at their true size."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from gylebook.errors import InputError
from gylebook.outputs.label_grids import PAGES, Grid
from gylebook.outputs.paper import RULER_WORDS, typeset
from gylebook.outputs.qr import Code
from gylebook.phrases import joined, say, tell
from gylebook.steps.label import Label
from gylebook.steps.moments import MONTHS

KINDS = {"gift": say("for a bottle that is given away"), "plain": say("for the own cellar")}
MOST = 2000
_SIZES = (10.0, 9.5, 9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.0)
_CAP_SIZES = (11.0, 10.0, 9.0, 8.0, 7.0, 6.0)
_RULER_ROOM_MM = 9.0
_EDGE_MM = 4.5  # what most printers cannot reach


def label_sheet(
    label: Label, kind: str, grid: Grid, code: Code | None, made_at: datetime, *,
    count: int | None = None, start: int = 1, outline: bool = False,
) -> bytes:  # fmt: skip
    """A PDF of labels, all alike.

    Parameters
    ----------
    label, kind
        What stands on them, and which of KINDS they are.
    grid, start, count
        The sheet, the first label of it that is still there, and how many; None for the rest of one sheet.
    code, made_at
        The code beside the words, None for none; the moment that the file carries.
    outline
        Draw each label's edge, to be held against the sheet before it is printed on.

    Raises
    ------
    InputError
        The count or the start cannot be, or the words do not fit.
    """
    if kind not in KINDS:
        raise InputError(
            say("Kind of label"),
            say("“{kind}” is none", kind=kind),
            say("use {kinds}", kinds=joined(say(" or "), KINDS)),
        )
    lines = gift_lines(label) if kind == "gift" else plain_lines(label)
    data = {
        "title": say("Labels of {number} {name}", number=label.number, name=label.name),
        "lines": lines,
        "sizes": _SIZES,
        "outline": outline,
    }
    return typeset("label", data | _places(grid, count, start) | {"code": code.data if code else None}, made_at)


def cap_sheet(label: Label, grid: Grid, made_at: datetime, *, count: int | None = None, start: int = 1) -> bytes:
    """A PDF of dots for caps: the cap's code, and when it was bottled. Raises as `label_sheet` does."""
    lines = [_line(label.mark, scale=1.4, heavy=True)]
    if label.bottled is not None:
        at = label.bottled
        words = say("{day} {month} {year}", day=at.day, month=MONTHS[at.month - 1], year=f"{at:%y}")
        lines.append(_line(words, scale=0.8))
    title = say("Cap dots of {number} {name}", number=label.number, name=label.name)
    data = {"title": title, "lines": lines, "sizes": _CAP_SIZES, "outline": True, "code": None}
    return typeset("label", data | _places(grid, count, start), made_at)


def gift_lines(label: Label) -> list[dict[str, Any]]:
    """What a gift label says, in the order in which it is read."""
    home = (
        say(
            "Made at home by {maker}, not for sale. Alcohol: not for children, not before driving.",
            maker=label.maker,
        )
        if label.maker
        else label.home
    )
    rows = [
        _line(label.name, scale=1.5, heavy=True),
        _line(joined(", ", (part for part in (label.strength, label.volume) if part)), heavy=True),
        _line(_origin(label)),
        _line(_best(label)),
        _runs(_contains(label)),
        _line(label.hazard, heavy=True),
        _line(say("{store} {pour}", store=label.store, pour=label.pour)),
        _line(home),
    ]
    return [row for row in rows if any(run["text"] for run in row["runs"])]


def plain_lines(label: Label) -> list[dict[str, Any]]:
    """What a label of the own cellar says."""
    rows = [
        _line(label.name, scale=1.3, heavy=True),
        _line(_origin(label)),
        _line(joined(", ", (part for part in (label.strength, label.volume) if part))),
        _line(_best(label)),
        _line("" if label.fit else label.hazard, heavy=True),
    ]
    return [row for row in rows if row["runs"][0]["text"]]


def day_words(day: date) -> str:
    """A day with its year: a label is read years later."""
    return say("{day} {month} {year}", day=day.day, month=MONTHS[day.month - 1], year=day.year)


def _origin(label: Label) -> str:
    parts = [label.number, say("cap {code}", code=label.code) if label.code else ""]
    parts.append(say("bottled {day}", day=day_words(label.bottled)) if label.bottled is not None else "")
    return joined(", ", (part for part in parts if part))


def _best(label: Label) -> str:
    if label.best_from is None or label.best_to is None:
        return ""
    return say("Best from {first} to {last}", first=day_words(label.best_from), last=day_words(label.best_to))


def _contains(label: Label) -> list[tuple[str, bool]]:
    if not label.contains:
        return []
    found: list[tuple[str, bool]] = [(say("Contains "), False)]
    for number, word in enumerate(label.contains):
        name, _, rest = tell(word).partition(" ")
        found.append((f"{', ' if number else ''}{name}", True))
        found.append((f" {rest}" if rest else "", False))
    return found


def _line(text: str, *, scale: float = 1.0, heavy: bool = False) -> dict[str, Any]:
    return {"runs": [{"text": text, "bold": False}], "scale": scale, "heavy": heavy}


def _runs(parts: list[tuple[str, bool]]) -> dict[str, Any]:
    return {"runs": [{"text": text, "bold": bold} for text, bold in parts], "scale": 1.0, "heavy": False}


def _places(grid: Grid, count: int | None, start: int) -> dict[str, Any]:
    """Where the labels lie, page by page, and what belongs to the page."""
    if not 1 <= start <= grid.count:
        raise InputError(
            say("First label"),
            say("{start} is not on the sheet", start=start),
            say("count from 1 to {count}", count=grid.count),
        )
    wanted = grid.count - start + 1 if count is None else count
    if not 1 <= wanted <= MOST:
        raise InputError(
            say("How many"),
            say("{wanted} is not possible", wanted=wanted),
            say("ask for 1 to {most} at a time", most=MOST),
        )
    width, height = PAGES[grid.page]
    return {
        "grid": {"page_width": width, "page_height": height, "width": grid.width, "height": grid.height},
        "sheets": [[{"left": x, "top": y} for x, y in sheet] for sheet in grid.sheets(wanted, start)],
        "pad": max(1.8, _EDGE_MM - min(grid.left, grid.top)),
        "ruler": _ruler(grid),
        "round": grid.round,
    }


def _ruler(grid: Grid) -> dict[str, Any] | None:
    """The ruler stands above the labels; a sheet that is all labels has no room for it."""
    if grid.top < _RULER_ROOM_MM:
        return None
    return {"left": max(grid.left, 6.0), "top": grid.top - 2.0, "words": RULER_WORDS}
