"""A last reading that does not go with the others: what it may come from, with odds, and how to repeat it.

The odds follow from plain weights, stated here and in the words; nobody has counted such slips.
"""

from __future__ import annotations

from gylebook.phrases import joined, say
from gylebook.steps.answers import Finding, Urgency
from gylebook.steps.chances import chance_words
from gylebook.steps.gravity import TrueReading
from gylebook.steps.outlook_gates import Seen
from gylebook.units import show

_OFF_BY_TEN_POINTS = 2.5
_BUBBLES_LIFT_POINTS = 5.0
_TEMPERATURE_POINTS = 3.0


def doubtful(seen: Seen) -> Finding:
    """Ask for a repeat, and name the likely causes in order."""
    last = seen.facts.readings[-1]
    gap = gap_points(seen, last)
    causes = odds(last, gap)
    listed = joined(
        "; ",
        (say("{words}, about {share} in 10", words=words, share=show(10 * share, 0)) for share, words, _ in causes),
    )
    parts = {"gravity": show(last.gravity_sg, 4), "gap": show(abs(gap), 1)}
    if gap > 0:
        head = say("{gravity} is {gap} points higher than expected", **parts)
    else:
        head = say("{gravity} is {gap} points lower than expected", **parts)
    chance = (
        say(" and is grossly wrong with a chance of {chance_words}", chance_words=chance_words(seen.doubt))
        if seen.doubt >= 0.01
        else ""
    )
    text = say(
        "{head}{chance}. If it is wrong, likely causes by rough weights: {listed}. One odd reading is no "
        "halt and no end: it is kept, counts lightly, and wants repeating.",
        head=head,
        chance=chance,
        listed=listed,
    )
    return Finding(Urgency.MEASURE, text, causes[0][2], last.seq, key="doubtful")


def gap_points(seen: Seen, last: TrueReading) -> float:
    """How far the last reading lies from where the forecast has the beer then, in points."""
    assert seen.facts.pitched_at is not None
    day = (last.at - seen.facts.pitched_at).total_seconds() / 86400
    return 1000 * (last.gravity_sg - seen.forecast.at(day).q50)


def odds(last: TrueReading, gap: float) -> list[tuple[float, str, str]]:
    """Shares (adding to 1), causes, and the check for each, the likeliest first; those under one in twenty left out."""
    size = abs(gap)
    fizz = last.seen.event.fizz
    near_ten = abs(size - 10 * max(round(size / 10), 1)) <= _OFF_BY_TEN_POINTS
    weighed = [
        (
            (0.2 if fizz == "flat" else 3.0) if 0 < gap <= _BUBBLES_LIFT_POINTS else 0.0,
            say("bubbles on the hydrometer"),
            say("Degas the sample: pour it to and fro, wait ten minutes, spin the hydrometer, read at eye level."),
        ),
        (
            1.0 if size <= _BUBBLES_LIFT_POINTS else 2.0,
            say("a sample from another vessel"),
            say("Was it this vessel? Read it again, label in hand."),
        ),
        (
            2.0 if last.temp_c is None and size <= _TEMPERATURE_POINTS else 0.3,
            say("a temperature that was not the sample's"),
            say("Bring the sample to about 20 °C and read again."),
        ),
        (
            3.0 if near_ten else 0.5,
            say("a scale misread by ten points"),
            say("Look at the note or the photograph, and read it again at eye level."),
        ),
        (
            0.5,
            say("a hydrometer that reads wrong"),
            say("Float the hydrometer in plain water at its own temperature: it must show 1.000."),
        ),
    ]
    total = sum(weight for weight, _, _ in weighed)
    shares = [(weight / total, words, check) for weight, words, check in weighed]
    return sorted((each for each in shares if each[0] >= 0.05), key=lambda each: -each[0])
