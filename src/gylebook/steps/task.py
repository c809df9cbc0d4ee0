"""One thing to do for one brew."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from gylebook.steps.answers import Urgency


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to do.

    Parameters
    ----------
    brew
        The brew's id.
    step, act
        The step whose page tells more, and the act with which it is written down.
    words, why
        What to do, and why; no word in them depends on the present moment.
    urgency
        How pressing it is once it is due.
    due_from, due_by
        From when, and by when at the latest; None where it can wait.
    until
        The moment at which it is moot, done or not; None where it stays.
    about
        What it is about, where one act serves several decisions ("pressure", the name of a hop); it never changes for
        one decision, so that calendars and notices know it again when its words, its numbers or its date have changed.
    """

    brew: str
    step: str
    words: str
    why: str
    urgency: Urgency
    due_from: datetime
    due_by: datetime | None
    act: str
    until: datetime | None = None
    about: str = ""
