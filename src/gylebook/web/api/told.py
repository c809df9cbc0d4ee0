"""Answers as they go over the line: the shapes of the command line, each figure besides in the brewer's own words."""

from __future__ import annotations

from typing import Any

from gylebook.outputs.shapes import answer_shape, figure_shape
from gylebook.outputs.wording import Preferences
from gylebook.phrases import joined, say
from gylebook.steps.answers import Answer, Figure, MomentFigure
from gylebook.web.api.faults import ApiFault
from gylebook.web.form import Form

Plain = dict[str, Any]


def figure_told(figure: Figure | MomentFigure, measures: Preferences) -> Plain:
    """A figure with its interval, and its text in the brewer's own units."""
    return figure_shape(figure) | {"text": str(measures.figure(figure))}


def answer_told(answer: Answer, measures: Preferences) -> Plain:
    """An answer whose figures are told."""
    plain = answer_shape(answer)
    plain["figures"] = [figure_told(each, measures) for each in answer.figures]
    for option, own in zip(plain["options"], answer.options, strict=True):
        option["figures"] = [figure_told(each, measures) for each in own.figures]
    for deed, its in zip(plain["plan"], answer.plan, strict=True):
        deed["figures"] = [figure_told(each, measures) for each in its.figures]
    return plain


def refuse(form: Form) -> None:
    """Refuse what was asked for, where something in it was wrong.

    Raises
    ------
    ApiFault
        422, with the name of the first field that was wrong, and what was wrong with all of them.
    """
    if form.fine:
        return
    wrong = [each for each in form.asked if each.error]
    said = [say("{label}: {error}", label=each.field.label, error=each.error) for each in wrong]
    raise ApiFault(422, joined(" ", (*said, *form.faults)), wrong[0].field.name if wrong else "")
