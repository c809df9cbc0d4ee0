"""Sentences that a step writes, for a page: every number in them leads to its working.

A number that one of the answer's figures shows leads to that figure; an entry's number leads to the entry; any other
leads to the place where everything that the sentence rests on is laid out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from gylebook.outputs.measures import DAYS, MONTHS, Measures
from gylebook.steps.answers import Figure, MomentFigure, Working
from gylebook.units import show

_NUMBER = r"[−+]?\d+(?:[.,:/-]\d+)*"
_UNIT = (
    r"(?:°[CFP]|kg|mg|g CO2/L|g/L|g|mL|L|% vol|%|bar|psi|vol(?:umes)?|SG|EBC|IBU|points?(?: a day|/day)?|"
    r"(?:imp|US) (?:gal|pt|fl oz)|oz|lb|days?|hours?|h|minutes?|min|weeks?|months?|years?|litres?|degrees?)(?![\w/])"
)
_DAY = rf"(?:(?:{'|'.join(DAYS)})[a-z]* )?\d{{1,2}} (?:{'|'.join(MONTHS)})[a-z]*(?: \d{{4}})?(?:,? \d{{1,2}}:\d{{2}})?"
_ONE = rf"(?:{_NUMBER}(?:\s?{_UNIT})?)"
_RUN = re.compile(
    rf"(?P<entry>\bentr(?:y|ies) (?P<seq>\d+))|(?P<day>\b{_DAY})"
    rf"|(?P<run>(?<![\w.,]){_ONE}(?:(?: to | and |\s?[–±×]\s?){_ONE})*)"
)
_WORDS_OF_UNITS = {"volumes": "vol", "point": "points", "litres": "L", "litre": "L", "points a day": "points/day"}

# A short figure is not to be torn apart at the end of a line; a long one may have to be.
_BRIEF = 16
_LINK = {True: '<a class="p" href="{}" data-brief>{}</a>', False: '<a class="p" href="{}">{}</a>'}


@dataclass(frozen=True, slots=True)
class Leads:
    """Where the numbers of a sentence lead: to these figures, to the entries of a log, else to `rests`."""

    figures: tuple[Figure | MomentFigure, ...] = ()
    rests: str = "#rests"
    entries: str = ""  # the address of the log, which an entry's number is added to


def pencilled(text: str, leads: Leads, measures: Measures) -> SafeString:
    """A sentence as HTML, its numbers in pencil, each leading to its working."""
    return format_html_join("", "{}", ((part,) for part in _parts(text, leads, measures)))


def anchor(key: str) -> str:
    """The id of a figure's working on its page."""
    return f"w-{re.sub(r'[^A-Za-z0-9_-]', '-', key)}"


def _parts(text: str, leads: Leads, measures: Measures) -> Iterator[str | SafeString]:
    shown = [(figure, _shown(figure, measures)) for figure in leads.figures]
    done = 0
    for found in _RUN.finditer(text):
        yield text[done : found.start()]
        done = found.end()
        if found["entry"] and leads.entries:
            yield format_html('<a class="entry-no" href="{}{}/">{}</a>', leads.entries, found["seq"], found[0])
        else:
            yield format_html(_LINK[len(found[0]) <= _BRIEF], _goal(found[0], leads, shown), found[0])
    yield text[done:]


def _goal(run: str, leads: Leads, shown: Sequence[tuple[Figure | MomentFigure, frozenset[str]]]) -> str:
    """The working of the figure that shows most of the run's numbers, else of one that was reckoned from them."""
    said = {_as_said(part[0]) for part in re.finditer(_ONE, run)} | {_as_said(run)}
    best = max(shown, key=lambda pair: len(said & pair[1]), default=None)
    if best is not None and said & best[1]:
        return f"#{anchor(best[0].key)}"
    # A lone small number looks like too many others to say where it went in.
    sure = [part for part in said if not part.isdigit() or len(part) > 2]
    for figure, _ in shown:
        if any(_stands_in(part, figure.working) for part in sure):
            return f"#{anchor(figure.key)}"
    return leads.rests


def _stands_in(part: str, working: Working) -> bool:
    """Whether a working names the number, among what went in or in its arithmetic."""
    told = "\n".join((working.relation, *(given.value for given in working.inputs), *working.steps))
    return re.search(rf"(?<![\w.,]){re.escape(part)}(?![\w]|[.,]\d)", told) is not None


def _as_said(part: str) -> str:
    """A number with its unit in one spelling."""
    for words, unit in _WORDS_OF_UNITS.items():
        part = re.sub(rf"(?<=\d)\s?{words}$", f" {unit}", part)
    return part.strip()


def _shown(figure: Figure | MomentFigure, measures: Measures) -> frozenset[str]:
    """The ways in which a sentence may show a figure: its value or an end, rounded a little more or less."""
    if isinstance(figure, MomentFigure):
        moments = (figure.value, figure.low, figure.high)
        return frozenset(as_told(at) for at in moments for as_told in (measures.day, measures.moment))
    numbers = {
        show(value, digits)
        for value in (figure.value, figure.low, figure.high)
        for digits in range(max(0, figure.digits - 1), figure.digits + 1)
    }
    with_unit = {f"{number} {figure.unit}" for number in numbers if figure.unit}
    # A bare number is a figure's own only where nothing else is likely to look like it.
    bare = {number for number in numbers if len(re.sub(r"\D", "", number)) >= 4}
    own = measures.figure(figure)
    return frozenset(with_unit | bare | {own.value, str(own)})
