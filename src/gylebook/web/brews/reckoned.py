"""A step's answer for a page that must open whatever the log holds: the log is how a slip is found and mended."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gylebook.errors import InputError
from gylebook.journal.state import Brew
from gylebook.phrases import say
from gylebook.steps.answers import Answer, Urgency
from gylebook.steps.decision import Setting, Step


def answered(step: Step, brew: Brew, setting: Setting, values: Mapping[str, Any] | None = None) -> Answer:
    """The step's answer; where an entry cannot be reckoned with, the answer says which number stops it.

    Raises
    ------
    InputError
        When values were given and one of them cannot be.
    """
    try:
        return step.answer(brew, setting, values or {})
    except InputError as error:
        if values:
            raise
        return stopped(error)


def stopped(error: InputError) -> Answer:
    """What is said where an entry cannot be reckoned with."""
    return Answer(
        say("This cannot be reckoned from what is in the log."),
        say("{error} Look for the entry that says so, and correct it.", error=error),
        Urgency.MEASURE,
    )
