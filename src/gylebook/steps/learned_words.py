"""What finished brews taught, a sentence each."""

from __future__ import annotations

from gylebook.phrases import say, say_amount
from gylebook.units import show


def attenuation_words(whose: str, count: int, shift: float) -> str:
    """How far a kit or a yeast ends from what the make-up says; `shift` as a share of (OG - 1)."""
    parts = {"whose": whose, "count": count, "shift": show(abs(100 * shift), 1)}
    if abs(shift) < 0.0005:
        return say("attenuation of {whose}: learned from {count} of your brews, the same as the make-up says", **parts)
    if shift > 0:
        return say(
            "attenuation of {whose}: learned from {count} of your brews, {shift} points of a hundred higher than the "
            "make-up says",
            **parts,
        )
    return say(
        "attenuation of {whose}: learned from {count} of your brews, {shift} points of a hundred lower than the "
        "make-up says",
        **parts,
    )


def pace_words(named: str, count: int, percent: float) -> str:
    """How much quicker [%] this brewer's beers go than others; `named` says whose pace it is, "" where all of it."""
    parts = {"pace": named or say("pace"), "count": count, "percent": show(abs(percent), 0)}
    if abs(percent) < 0.5:
        return say("{pace}: learned from {count} of your brews, as usual", **parts)
    if percent > 0:
        return say("{pace}: learned from {count} of your brews, {percent} % quicker than usual", **parts)
    return say("{pace}: learned from {count} of your brews, {percent} % slower than usual", **parts)


def offset_words(hydrometer: str, count: int, points: float) -> str:
    """What a hydrometer shows too much, in points."""
    parts = {"hydrometer": hydrometer, "count": count, "points": show(abs(points), 1)}
    if abs(points) < 0.05:
        return say(
            "{hydrometer}: learned from {count} of your brews, whose weights are known, that it reads as it should",
            **parts,
        )
    if points > 0:
        return say(
            "{hydrometer}: learned from {count} of your brews, whose weights are known, that it reads {points} points "
            "too high",
            **parts,
        )
    return say(
        "{hydrometer}: learned from {count} of your brews, whose weights are known, that it reads {points} points "
        "too low",
        **parts,
    )


def loss_words(vessel: str, count: int, litres: float) -> str:
    """What stays behind in a vessel [L]."""
    return say(
        "{vessel}: learned from {count} of your brews, {litres} stay behind",
        vessel=vessel,
        count=count,
        litres=say_amount(litres, 1, "L"),
    )
