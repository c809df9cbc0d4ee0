"""Sentences that a step writes, for a page: every number in them leads to its working.

A number that one of the answer's figures shows leads to that figure; an entry's number leads to the entry; any other
leads to the place where everything that the sentence rests on is laid out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from gylebook.outputs.measures import Measures
from gylebook.outputs.voices import GERMAN
from gylebook.phrases import active_voice, joined, tell
from gylebook.steps.answers import Figure, MomentFigure, Working
from gylebook.steps.moments import MONTHS, SHORT_DAYS
from gylebook.units import show

_NUMBER = r"[−+]?\d+(?:[.,:/-]\d+)*"
_SYMBOLS = (
    r"°[CFP]|kg|mg|g CO2/L|g/L|g|mL|L|% vol|% Vol\.|%|bar|psi|vol|SG|EBC|IBU|points/day|"
    r"(?:imp|US) (?:gal|qt|pt|fl oz)|oz|lb|h|min"
)
# What stands beside a number in a sentence, by language: units in words, what joins two numbers, an entry, a date.
_ENGLISH = (
    r"volumes|points?(?: a day)?|days?|hours?|minutes?|weeks?|months?|years?|lit(?:re|er)s?|degrees?",
    r" to | and ",
    r"entr(?:y|ies)",
    r"(?:(?:{days})[a-z]* )?\d{{1,2}} (?:{months})[a-z]*(?: \d{{4}})?(?:,? \d{{1,2}}:\d{{2}})?",
)
_GERMAN = (
    r"Volumen|Punkte?n?(?: am Tag)?|Tag(?:en?)?|Stunden?|Minuten?|Wochen?|Monat(?:en?)?|Jahr(?:en?)?|Liter|Grad",
    r" bis | und ",
    r"Eintr(?:ag|äge|ägen)",
    r"(?:(?:{days})[a-z]*,? )?\d{{1,2}}\. (?:{months})[a-zä]*\.?(?: \d{{4}})?(?:,? \d{{1,2}}:\d{{2}})?",
)
_WORDS_OF_UNITS = {
    "volumes": "vol",
    "point": "points",
    "points a day": "points/day",
    **dict.fromkeys(("litres", "litre", "liters", "liter", "Liter"), "L"),
    "Volumen": "vol",
    "Punkte": "points",
    "Punkt": "points",
    "Punkten": "points",
    "Punkte am Tag": "points/day",
    "Tag": "day",
    "Tage": "days",
    "Tagen": "days",
    "% Vol.": "% vol",
}
_UNIT_IN_WORDS = re.compile(rf"(?<=\d)\s?({'|'.join(map(re.escape, sorted(_WORDS_OF_UNITS, key=len, reverse=True)))})$")


@cache
def _patterns(german: bool) -> tuple[re.Pattern[str], re.Pattern[str]]:
    """One number with its unit; and a run of them, an entry or a day, as a sentence of the language has them."""
    words, between, entry, day = _GERMAN if german else _ENGLISH
    days, months = ("|".join(tell(name) for name in names) for names in (SHORT_DAYS, MONTHS))
    one = rf"(?:{_NUMBER}(?:\s?(?:{_SYMBOLS}|{words})(?![\w/]))?)"
    return re.compile(one), re.compile(
        rf"(?P<entry>\b(?:{entry}) (?P<seq>\d+))|(?P<day>\b{day.format(days=days, months=months)})"
        rf"|(?P<run>(?<![\w.,]){one}(?:(?:{between}|\s?[–±×]\s?){one})*)"
    )


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
    """A sentence as HTML in the reader's language, its numbers in pencil, each leading to its working."""
    return format_html_join("", "{}", ((part,) for part in _parts(tell(text), leads, measures)))


def anchor(key: str) -> str:
    """The id of a figure's working on its page."""
    return f"w-{re.sub(r'[^A-Za-z0-9_-]', '-', key)}"


def _parts(text: str, leads: Leads, measures: Measures) -> Iterator[str | SafeString]:
    shown = [(figure, _shown(figure, measures)) for figure in leads.figures]
    done = 0
    _, run = _patterns(_speaks_german())
    for found in run.finditer(text):
        yield text[done : found.start()]
        done = found.end()
        if found["entry"] and leads.entries:
            yield format_html('<a class="entry-no" href="{}{}/">{}</a>', leads.entries, found["seq"], found[0])
        else:
            yield format_html(_LINK[len(found[0]) <= _BRIEF], _goal(found[0], leads, shown), found[0])
    yield text[done:]


def _goal(run: str, leads: Leads, shown: Sequence[tuple[Figure | MomentFigure, frozenset[str]]]) -> str:
    """The working of the figure that shows most of the run's numbers, else of one that was reckoned from them."""
    one, _ = _patterns(_speaks_german())
    said = {_as_said(part[0]) for part in one.finditer(run)} | {_as_said(run)}
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
    told = joined("\n", (working.relation, *(given.value for given in working.inputs), *working.steps))
    return re.search(rf"(?<![\w.,]){re.escape(part)}(?![\w]|[.,]\d)", told) is not None


def _speaks_german() -> bool:
    voice = active_voice()
    return voice is not None and voice.language == GERMAN


def _as_said(part: str) -> str:
    """A number with its unit in one spelling, with a decimal point."""
    if _speaks_german():
        part = re.sub(r"(?<=\d),(?=\d)", ".", part)
    return _UNIT_IN_WORDS.sub(lambda found: f" {_WORDS_OF_UNITS[found[1]]}", part).strip()


def _shown(figure: Figure | MomentFigure, measures: Measures) -> frozenset[str]:
    """The ways in which a sentence may show a figure: its value or an end, rounded a little more or less."""
    if isinstance(figure, MomentFigure):
        moments = (figure.value, figure.low, figure.high)
        return frozenset(tell(as_told(at)) for at in moments for as_told in (measures.day, measures.moment))
    numbers = {
        show(value, digits)
        for value in (figure.value, figure.low, figure.high)
        for digits in range(max(0, figure.digits - 1), figure.digits + 1)
    }
    with_unit = {f"{number} {figure.unit}" for number in numbers if figure.unit}
    # A bare number is a figure's own only where nothing else is likely to look like it.
    bare = {number for number in numbers if len(re.sub(r"\D", "", number)) >= 4}
    own = measures.figure(figure)
    return frozenset(with_unit | bare | {_as_said(tell(own.value)), _as_said(tell(str(own)))})
