"""Probabilities as they are shown: whole per cents, and below one in a hundred no number at all."""

from __future__ import annotations

from typing import Final

from gylebook.phrases import say
from gylebook.steps.answers import Figure, Working
from gylebook.units import show

CHANCE: Final = "chance"  # in place of an interval
LEAST_SHOWN: Final = 0.01  # below it a model's own error is the larger one


def chance_words(chance: float) -> str:
    """A probability in words: "8 %", "under 1 %", "over 99 %"."""
    if chance < LEAST_SHOWN:
        return say("under 1 %")
    return say("over 99 %") if chance > 1 - LEAST_SHOWN else say("{chance} %", chance=show(100 * chance, 0))


def with_article(chance: float) -> str:
    """A probability with its article, to stand in a sentence: "an 8 % chance", "a 20 % chance"."""
    words = chance_words(chance)
    number = words.split()[0]
    an = words[0] in "uo" or number in {"8", "11", "18"} or (len(number) == 2 and number[0] == "8")
    return say("an {words} chance", words=words) if an else say("a {words} chance", words=words)


def chance_figure(key: str, label: str, chance: float, working: Working) -> Figure:
    """A probability [%]; it has no interval, for it is one."""
    value = 100 * chance
    words = chance_words(chance)
    return Figure(key, label, value, value, value, "%", "share", 0, working, interval=CHANCE, words=words)
