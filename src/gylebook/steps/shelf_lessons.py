"""Forgetting what finished brews taught, wholly or about one thing, and learning it again."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from gylebook.errors import InputError, NotFound
from gylebook.journal import events as ev
from gylebook.journal.state import Shelf
from gylebook.phrases import joined, say
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.decision import Act, Decision, Setting
from gylebook.steps.fields import CHOICE, DATE, TEXT, Field
from gylebook.steps.learned import EVERYTHING, HYDROMETER, KIT, PLACE, VESSEL, YEAST, Learned, same

FORGET, COUNT_AGAIN = "forget", "count_again"
_WORDS = {
    EVERYTHING: say("everything"),
    KIT: say("kit"),
    YEAST: say("yeast"),
    HYDROMETER: say("hydrometer"),
    VESSEL: say("vessel"),
    PLACE: say("place"),
}


def _keep_lessons(shelf: Shelf, values: Mapping[str, Any], at: datetime, setting: Setting) -> Decision:
    what: Any = values.get("what")
    thing: Any = values.get("thing") or EVERYTHING
    name = joined(" ", str(values.get("name") or "").split())
    until: date | None = values.get("until")
    if what not in {FORGET, COUNT_AGAIN}:
        raise InputError(
            say("What to do"), say("nothing was chosen"), say("choose whether to forget, or to let all count again")
        )
    if thing == EVERYTHING and name:
        raise InputError(
            say("Its name"), say("a name goes with one thing, as a kit or a place"), say("choose which it is")
        )
    if what == COUNT_AGAIN:
        if until is not None:
            raise InputError(
                say("Up to"), say("a day says nothing where all lessons are to count again"), say("leave it empty")
            )
        return _again(shelf, thing, name, at)
    if thing != EVERYTHING:
        name = _known(thing, name, _names(setting.learned, thing))
    found = Finding(
        Urgency.NOTHING,
        say(
            "Brews that are finished later teach anew. What was learned can be learned again at any time: "
            "nothing is lost."
        ),
        key="lessons_forgotten",
    )
    return Decision(((at, ev.LessonsKept(count=False, thing=thing, name=name, until=until)),), (found,))


def _again(shelf: Shelf, thing: Any, name: str, at: datetime) -> Decision:
    if not shelf.forgotten:
        raise NotFound(say("Nothing that was learned is forgotten; every finished brew counts already."))
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
        raise InputError(
            say("Its name"),
            say("the {thing} has no name", thing=_WORDS[thing]),
            say("write it as it is called in your brews"),
        )
    found = next((known for known in names if same(known) == same(name)), None)
    if found is None:
        raise NotFound(
            say(
                "No finished brew taught anything of a {thing} “{name}”; known: {known}.",
                thing=_WORDS[thing],
                name=name,
                known=", ".join(names) or say("none"),
            )
        )
    return found


KEEP_LESSONS = Act(
    "keep_lessons",
    say("Choose what finished brews teach"),
    "shelf",
    (
        Field(
            "what",
            say("What to do"),
            CHOICE,
            required=True,
            choices=(
                (FORGET, say("forget what was learned")),
                (COUNT_AGAIN, say("let all finished brews count again")),
            ),
        ),
        Field(
            "thing",
            say("About"),
            CHOICE,
            choices=tuple(_WORDS.items()),
            default=EVERYTHING,
            reason=say("one thing alone needs its name"),
        ),
        Field("name", say("Its name"), TEXT, hint=say("as it is called in your brews")),
        Field("until", say("Brews finished up to"), DATE, reason=say("all that are finished by now")),
    ),
    _keep_lessons,
    about=say("The brews themselves stay as they are; only what is expected of the next one changes."),
)
