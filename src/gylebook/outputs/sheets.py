"""The brew-day sheet, the half-page slip of advice and the danger slip, at their true size, black on white."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from gylebook.errors import NotFound
from gylebook.outputs.label_grids import PAGES
from gylebook.outputs.measures import Measures
from gylebook.outputs.paper import RULER_WORDS, typeset
from gylebook.outputs.qr import Code
from gylebook.phrases import joined, say
from gylebook.steps.brew_day import LINES, Line, Part, Sheet
from gylebook.steps.moments import MONTHS

_SIZES = (10.5,)
_HALF_SIZES = (10.5, 10.0, 9.5, 9.0, 8.5, 8.0)


def sheet(
    told: Sheet,
    measures: Measures,
    made_at: datetime,
    *,
    page: str = "A4",
    half: bool = False,
    code: Code | None = None,
) -> bytes:
    """A PDF of a sheet.

    Parameters
    ----------
    told
        What stands on it.
    measures, made_at
        The brewer's own units and zone; the moment that is printed on it and that the file carries.
    page, half
        A4 or Letter; `half` keeps to the upper half, with a line to cut along.
    code
        The code of the brew's page; None for none.

    Raises
    ------
    NotFound
        There is no such page size.
    InputError
        The words do not fit on half a page.
    """
    if page not in PAGES:
        raise NotFound(
            say("There is no paper called “{page}”; use {pages}.", page=page, pages=joined(say(" or "), PAGES))
        )
    width, height = PAGES[page]
    local = made_at.astimezone(measures.zone)
    printed = say(
        "Printed {day} {month} {year}, {clock}",
        day=local.day,
        month=MONTHS[local.month - 1],
        year=local.year,
        clock=measures.clock(made_at),
    )
    data = {
        "title": told.title,
        "heading": told.title,
        "under": joined(". ", (part.rstrip(".") for part in (told.under, printed) if part)) + ".",
        "page": {"width": width, "height": height},
        "half": half,
        "sizes": _HALF_SIZES if half else _SIZES,
        "parts": [_part(part, measures) for part in told.parts],
        "ruler": RULER_WORDS,
        "code": code.data if code is not None else None,
    }
    return typeset("sheet", data, made_at)


def _part(part: Part, measures: Measures) -> dict[str, Any]:
    entries = [_entry(line, measures) for line in part.lines]
    return {"title": part.title, "entries": entries, "numbered": part.numbered}


def _entry(line: Line, measures: Measures) -> dict[str, Any]:
    if line.kind == LINES:
        return {"kind": line.kind, "count": line.count, "parts": []}
    day = say("{day}: ", day=measures.day(line.at)) if line.at is not None else ""
    reckoned = str(measures.figure(line.figure)) if line.figure is not None else line.reckoned
    runs = ((day, False, True), (line.words, False, False), (reckoned, True, False))
    parts = [{"text": text, "reckoned": slanted, "bold": bold} for text, slanted, bold in runs if text]
    return {"kind": line.kind, "parts": parts}
