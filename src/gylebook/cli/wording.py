"""An answer as plain text: headline, why, figures, findings, cautions. Whole sentences, so that it reads aloud."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from datetime import datetime

from gylebook.outputs.wording import Preferences
from gylebook.phrases import joined, say, small, tell
from gylebook.steps.answers import Answer, Deed, Figure, Finding, Given, MomentFigure, Option, Urgency, Working
from gylebook.steps.chances import CHANCE
from gylebook.units import dimensions, units_of

_HELD = "\u00a0"
_SYMBOLS = sorted({u.symbol for d in dimensions() for u in units_of(d) if u.symbol and " " not in u.symbol})
_UNIT_AFTER = re.compile(rf"(?<=\d) (?=(?:{'|'.join(map(re.escape, _SYMBOLS))})(?:[^\w°]|$))")
_USUAL_INTERVAL = say("nine times in ten")


class Page:
    """Lines of text, wrapped to a width."""

    def __init__(self, width: int) -> None:
        self.width = width
        self.lines: list[str] = []

    def line(self, text: str, indent: int = 0, hang: int = 0) -> None:
        """One paragraph; `hang` indents its second and later lines further."""
        for part in tell(text).splitlines() or [""]:
            wrapped = textwrap.wrap(
                _UNIT_AFTER.sub(_HELD, part),  # a number and its unit stay on one line
                self.width,
                initial_indent=" " * indent,
                subsequent_indent=" " * (indent + hang),
                break_long_words=False,
                break_on_hyphens=False,
            )
            self.lines += [line.replace(_HELD, " ") for line in wrapped]

    def gap(self) -> None:
        """An empty line, never two, never first."""
        if self.lines and self.lines[-1]:
            self.lines.append("")

    def head(self, text: str) -> None:
        """A heading with an empty line above."""
        self.gap()
        self.line(text)

    def text(self) -> str:
        """All of it."""
        return "\n".join(self.lines).rstrip()


def answer_text(answer: Answer, prefs: Preferences, *, width: int, with_working: bool = False) -> str:
    """An answer, best part first.

    Parameters
    ----------
    answer
        As a step or a sum gave it.
    prefs
        The brewer's units and zone.
    width
        Columns to wrap at.
    with_working
        Show below each figure how it was reached.
    """
    page = Page(width)
    write_answer(page, answer, prefs, with_working=with_working)
    return page.text()


def write_answer(page: Page, answer: Answer, prefs: Preferences, *, with_working: bool = False) -> None:
    """As `answer_text`, on a page that has begun."""
    page.line(answer.headline)
    # "Nothing to do" is no urgency to speak of, and beside "Weigh 112 g" it would contradict.
    pressing = "" if answer.urgency is Urgency.NOTHING else say("{urgency}. ", urgency=answer.urgency.value)
    if pressing or answer.why:
        page.line(joined("", (pressing, answer.why)).rstrip())
    write_findings(page, answer.findings)
    workings = Workings(answer) if with_working else None
    _plan(page, answer.plan, prefs, workings)
    _figures(page, say("Figures"), answer.figures, prefs, workings)
    _options(page, answer.options, prefs, workings)
    if workings is not None:
        write_list(page, say("Worked out from"), map(given_text, workings.common))
    if answer.rule_of_thumb:
        page.head(say("Rule of thumb: {rule}", rule=answer.rule_of_thumb))
    write_list(page, say("Assumed"), answer.assumed)
    if answer.missing:
        page.head(say("What would help most: {missing}", missing=answer.missing))
    write_list(page, say("Take care"), answer.cautions)
    if workings is not None:
        _sources(page, workings.sources)


def write_findings(page: Page, findings: Sequence[Finding]) -> None:
    """What was noticed, each with the one thing that would tell."""
    if not findings:
        return
    page.head(say("Noticed"))
    for finding in findings:
        about = say(" (entry {seq})", seq=finding.seq) if finding.seq is not None else ""
        pressing = "" if finding.urgency is Urgency.NOTHING else say("{urgency}: ", urgency=finding.urgency.value)
        page.line(joined("", (pressing, finding.text, about)), 2, 2)
        if finding.check:
            page.line(say("To check: {check}", check=finding.check), 4, 2)


def write_list(page: Page, title: str, items: Iterable[str]) -> None:
    """A heading with an item to a line; nothing where there are none."""
    items = list(items)
    if items:
        page.head(title)
        for item in items:
            page.line(item, 2, 2)


def _figures(
    page: Page,
    title: str,
    figures: Sequence[Figure | MomentFigure],
    prefs: Preferences,
    workings: Workings | None,
) -> None:
    if not figures:
        return
    page.head(title)
    usual = halves = False
    for figure in figures:
        words = prefs.figure(figure)
        unlike = words.interval and figure.interval != _USUAL_INTERVAL
        usual = usual or bool(words.interval and not unlike)
        halves = halves or bool(words.half)
        inside = [
            say("{interval}, {meaning}", interval=words.interval, meaning=figure.interval)
            if unlike
            else words.interval,
            words.half and say("half {half}", half=words.half),
        ]
        told = joined("; ", (part for part in inside if part))
        page.line(
            say(
                "{label}: {words}{interval}",
                label=figure.label,
                words=words.value,
                interval=say(" ({told})", told=told) if told else "",
            ),
            2,
            2,
        )
        if workings is not None:
            workings.write(page, figure)
    if usual:
        also = say("; those named “half” hold as often as not") if halves else ""
        page.line(say("The ranges in brackets hold nine times in ten{also}.", also=also), 2, 2)


def _plan(page: Page, plan: Sequence[Deed], prefs: Preferences, workings: Workings | None) -> None:
    if not plan:
        return
    page.head(say("What to do, in order"))
    for number, deed in enumerate(plan, 1):
        pressing = "" if deed.urgency is Urgency.NOTHING else say("{urgency}: ", urgency=deed.urgency.value)
        page.line(
            say(
                "{number}. {pressing}{deed}. {words}",
                number=number,
                pressing=pressing,
                deed=deed.name,
                words=deed.words,
            ),
            2,
            3,
        )
        for figure in deed.figures:
            words = prefs.figure(figure)
            how = (
                ""
                if figure.interval in {_USUAL_INTERVAL, CHANCE} or not words.interval
                else say(", {interval}", interval=figure.interval)
            )
            page.line(
                say(
                    "{label}: {words}{interval}",
                    label=figure.label,
                    words=words.value,
                    interval=say(" ({interval}{how})", interval=words.interval, how=how) if words.interval else "",
                ),
                5,
                2,
            )
            if workings is not None:
                workings.write(page, figure)


def _within(label: str) -> str:
    """A label inside a line: its first letter small, where a word and not an abbreviation begins it."""
    return small(label) if label[1:2].islower() else label


def _options(page: Page, options: Sequence[Option], prefs: Preferences, workings: Workings | None) -> None:
    if not options:
        return
    page.head(say("Side by side"))
    for option in options:
        likeliest = any(figure.interval == CHANCE for figure in option.figures)
        chosen = say(" ({why})", why=say("likeliest") if likeliest else say("chosen")) if option.chosen else ""
        facts = [say("{within} {figure}", within=_within(f.label), figure=prefs.figure(f)) for f in option.figures]
        told = joined("; ", [*facts, *([option.words] if option.words else [])])
        page.line(
            say("{option}{chosen}: {told}", option=option.name, chosen=chosen, told=told)
            if told
            else joined("", (option.name, chosen)),
            2,
            2,
        )
        if workings is not None:
            for figure in option.figures:
                workings.write(page, figure, figure.label)


class Workings:
    """The workings of an answer: what several share is told once, and sources are cited by their keys."""

    def __init__(self, answer: Answer) -> None:
        every = [
            *(figure for deed in answer.plan for figure in deed.figures),
            *answer.figures,
            *(figure for option in answer.options for figure in option.figures),
        ]
        inputs = [figure.working.inputs for figure in every if figure.working.inputs]
        shared = inputs[0] if len(inputs) > 1 else ()
        self.common = tuple(given for given in shared if all(given in each for each in inputs))
        self.sources = tuple(dict.fromkeys(key for figure in every for key in figure.working.sources))
        self._told: dict[str, tuple[str, Working]] = {}

    def write(self, page: Page, figure: Figure | MomentFigure, about: str = "") -> None:
        """One working, `about` the figure of that label; of one that was told before only what is otherwise."""
        working = figure.working
        if working.relation in self._told:
            label, first = self._told[working.relation]
            same = label == figure.label
            worked = say("Worked out in the same way") if same else say("Worked out as “{label}”", label=label)
        else:
            self._told[working.relation] = (figure.label, working)
            first = Working("")
            worked = say("Worked out by: {relation}", relation=working.relation)
        page.line(say("{label}: {worked}", label=about, worked=small(worked)) if about else worked, 6, 2)
        for given in working.inputs:
            if given not in self.common and given not in first.inputs:
                page.line(say("with {given}", given=given_text(given)), 6, 2)
        for step in working.steps:
            if step not in first.steps:
                page.line(step, 6, 2)
        for caution in working.cautions:
            if caution not in first.cautions:
                page.line(say("but: {caution}", caution=caution), 6, 2)
        cited = [key for key in working.sources if key not in first.sources]
        if cited:
            page.line(say("sources: {keys}", keys=", ".join(cited)), 6, 2)


def _sources(page: Page, keys: Sequence[str]) -> None:
    if not keys:
        return
    from gylebook import sources  # the bibliography is a file: read it only when it is asked for

    page.head(say("Sources"))
    for key in keys:
        source = sources.get(key)
        page.line(
            say("{key}: {citation} ({meaning})", key=key, citation=source.citation, meaning=source.standing.meaning),
            2,
            2,
        )


def given_text(given: Given) -> str:
    """One input of a working: "volume 20.6 L (measured, entry 4)"."""
    where = given.where or (say("entry {seq}", seq=given.seq) if given.seq is not None else "")
    return say(
        "{name} {value} ({basis})",
        name=given.name,
        value=given.value,
        basis=joined(", ", (part for part in (given.basis.value, where) if part)),
    )


def when_text(at: datetime, prefs: Preferences) -> str:
    """A moment as the log shows it, in the brewer's zone: "2026-11-03 18:30"."""
    return f"{at.astimezone(prefs.zone):%Y-%m-%d %H:%M}"
