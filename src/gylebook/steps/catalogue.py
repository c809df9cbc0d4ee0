"""All steps and all acts, in the order of the work. Pages, commands and their tests are made from this list."""

from __future__ import annotations

from functools import cache
from importlib import import_module

from gylebook.errors import NotFound
from gylebook.journal.state import Brew
from gylebook.phrases import say
from gylebook.steps.decision import Act, Step

WORDS = (
    "plan",
    "cleaning",
    "mixing",
    "readings",
    "pitching",
    "dry_hopping",
    "finishing",
    "racking",
    "priming",
    "bottling",
    "conditioning",
    "tasting",
)


@cache
def step(word: str) -> Step:
    """The step of that word.

    Raises
    ------
    NotFound
        When there is none.
    """
    if word not in WORDS:
        raise NotFound(
            say("There is no step called “{word}”; the steps are {known}.", word=word, known=", ".join(WORDS))
        )
    found: Step = import_module(f"gylebook.steps.{word}").STEP
    return found


@cache
def steps() -> tuple[Step, ...]:
    """Every step, in the order of the work."""
    return tuple(step(word) for word in WORDS)


@cache
def acts() -> dict[str, Act]:
    """Every act of a brew by its name; names are unique."""
    found: dict[str, Act] = {}
    for each in steps():
        for act in each.acts:
            if act.name in found:
                raise ValueError(f"two acts are called {act.name}")
            found[act.name] = act
    return found


def acts_at(of: Step, brew: Brew) -> tuple[Act, ...]:
    """What a step's page offers to write down of a brew."""
    own = tuple(each for each in of.acts if each.of(brew).step == of.word)
    come = tuple(each.of(brew) for each in acts().values() if each.step != of.word and each.of(brew).step == of.word)
    return (*own, *come)


def act(name: str) -> Act:
    """The act of that name.

    Raises
    ------
    NotFound
        When there is none.
    """
    table = acts()
    if name not in table:
        raise NotFound(
            say(
                "There is nothing to write down called “{name}”; you can write: {known}.",
                name=name,
                known=", ".join(table),
            )
        )
    return table[name]
