"""The margin of the log: what the book makes of each entry."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from math import isfinite

from gylebook.journal import events as ev
from gylebook.journal.state import Brew, Kept
from gylebook.phrases import say
from gylebook.steps.answers import Figure, Finding, Urgency
from gylebook.steps.decision import Setting
from gylebook.steps.fizz import fizz_of
from gylebook.steps.gravity import readings
from gylebook.steps.makeup import og_by_weight
from gylebook.steps.samples import unusable
from gylebook.steps.volumes import start_l
from gylebook.steps.yeast_dose import dose_figures, yeast_for


@dataclass(frozen=True, slots=True)
class Note:
    """What stands beside one entry: figures, each behind its words, and what was noticed."""

    figures: tuple[tuple[str, Figure], ...] = ()
    findings: tuple[Finding, ...] = ()


def margin(brew: Brew, setting: Setting, wanted: Collection[int]) -> dict[int, Note]:
    """What the book makes of the entries that count, by the sequence number under which each stands."""
    notes = _of_readings(brew, setting, wanted)
    for kept in brew.kept:
        figures = _figures(brew, setting, kept) if kept.seq in wanted else ()
        known = tuple((words, figure) for words, figure in figures if isfinite(figure.value))
        if known:
            notes[kept.seq] = Note(known)
    return notes


def _of_readings(brew: Brew, setting: Setting, wanted: Collection[int]) -> dict[int, Note]:
    notes = {f.seq: Note((), (f,)) for f in unusable(brew) if f.seq is not None and f.seq in wanted}
    for found in readings(brew, setting.shelf):
        if found.seq in wanted:
            worth = tuple(f for f in found.findings if f.urgency is not Urgency.NOTHING)
            notes[found.seq] = Note(((say("truly"), found.figure()),), worth or found.findings[:1])
    return notes


def _figures(brew: Brew, setting: Setting, kept: Kept[ev.Event]) -> tuple[tuple[str, Figure], ...]:
    match kept.event:
        case ev.Mixed():
            return ((say("by weight and volume"), og_by_weight(brew, setting.shelf)),)
        case ev.Pitched(mass=mass, kind=kind, best_before=best_before) if mass is not None:
            day = kept.at.astimezone(setting.zone).date()
            yeast = yeast_for(mass, kind, best_before, start_l(brew, setting.shelf), day)
            return tuple((figure.label.lower(), figure) for figure in dose_figures(yeast)[:1])
        case ev.Bottled():
            return ((say("gas when it is all made"), fizz_of(brew, setting).figure()),)
        case _:
            return ()
