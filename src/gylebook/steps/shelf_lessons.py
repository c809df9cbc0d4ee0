"""Forgetting what finished brews taught, wholly or about one thing, and learning it again."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from gylebook.errors import InputError, NotFound
from gylebook.journal import events as ev
from gylebook.journal.state import Shelf
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import CHOICE, DATE, TEXT, Field
from gylebook.steps.learned import EVERYTHING, HYDROMETER, KIT, PLACE, VESSEL, YEAST, Learned, same

FORGET, COUNT_AGAIN = "forget", "count_again"


def _keep_lessons(shelf: Shelf, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    what: Any = values.get("what")
    thing: Any = values.get("thing") or EVERYTHING
    name = " ".join(str(values.get("name") or "").split())
    until: date | None = values.get("until")
    if what not in {FORGET, COUNT_AGAIN}:
        raise InputError("What to do", "nothing was chosen", "choose whether to forget, or to let all count again")
    if thing == EVERYTHING and name:
        raise InputError("Its name", "a name goes with one thing, as a kit or a place", "choose which it is")
    if what == COUNT_AGAIN:
        if until is not None:
            raise InputError("Up to", "a day says nothing where all lessons are to count again", "leave it empty")
        return _again(shelf, thing, name, at)
    if thing != EVERYTHING:
        name = _known(thing, name, _names(setting.learned, thing))
    found = Finding(
        Urgency.NOTHING,
        "Brews that are finished later teach anew. What was learned can be learned again at any time: nothing is lost.",
        key="lessons_forgotten",
    )
    return Decision(((at, ev.LessonsKept(count=False, thing=thing, name=name, until=until)),), (found,))


def _again(shelf: Shelf, thing: Any, name: str, at: datetime) -> Decision:
    if not shelf.forgotten:
        raise NotFound("Nothing that was learned is forgotten; every finished brew counts already.")
    if thing != EVERYTHING:
        name = _known(thing, name, [known for sort, known in shelf.forgotten if sort == thing])
    return Decision(((at, ev.LessonsKept(count=True, thing=thing, name=name)),))


def _names(told: Learned, thing: str) -> list[str]:
    """Names of a sort of thing that any brew taught something of."""
    if thing == PLACE:
        return list(dict.fromkeys(place.place for lesson in told.lessons for place in lesson.places))
    of = {KIT: "kit", YEAST: "yeast", HYDROMETER: "offset_of", VESSEL: "vessel"}[thing]
    return [name for name in dict.fromkeys(getattr(lesson, of) for lesson in told.lessons) if name]


def _known(thing: str, name: str, names: list[str]) -> str:
    if not name:
        raise InputError("Its name", f"the {thing} has no name", "write it as it is called in your brews")
    found = next((known for known in names if same(known) == same(name)), None)
    if found is None:
        raise NotFound(f"No finished brew taught anything of a {thing} “{name}”; known: {', '.join(names) or 'none'}.")
    return found


KEEP_LESSONS = Act(
    "keep_lessons",
    "Choose what finished brews teach",
    "shelf",
    (
        Field(
            "what",
            "What to do",
            CHOICE,
            required=True,
            choices=((FORGET, "forget what was learned"), (COUNT_AGAIN, "let all finished brews count again")),
        ),
        Field(
            "thing",
            "About",
            CHOICE,
            choices=tuple((thing, thing) for thing in (EVERYTHING, KIT, YEAST, HYDROMETER, VESSEL, PLACE)),
            default=EVERYTHING,
            reason="one thing alone needs its name",
        ),
        Field("name", "Its name", TEXT, hint="as it is called in your brews"),
        Field("until", "Brews finished up to", DATE, reason="all that are finished by now"),
    ),
    _keep_lessons,
    about="The brews themselves stay as they are; only what is expected of the next one changes.",
)
