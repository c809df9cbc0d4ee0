"""What a forecast says, as figures and in words: the same for a brew and for readings without one.

Nothing here asks for a forecast; what is passed in is read, so that SciPy is not waited for.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import TYPE_CHECKING

from gylebook.forecast.answers import Story
from gylebook.phrases import joined, say
from gylebook.steps.answers import Figure, Given, Option, Working
from gylebook.steps.chances import chance_figure
from gylebook.steps.possibilities import BELOW, DONE, FORCED_SAMPLE, GOING_ON, HIGH, SLOW, STALLED, WOKEN
from gylebook.units import convert, show

if TYPE_CHECKING:
    from gylebook.forecast.answers import Diagnostics, Spread
    from gylebook.forecast.forecast import Forecast

GATE_CHANCE = 0.01  # with less than this for too much gas the gate is open
STORIES: dict[Story, tuple[str, str]] = {
    Story.HEALTHY: (GOING_ON, say("It ferments, or has fermented, as such a wort does, and ends where it should.")),
    Story.FADING: (SLOW, say("The yeast tires: slower and slower. The last points may take weeks, in bottles too.")),
    Story.HALTED: (STALLED, say("It stopped with food left. Warmth or a knock may start it again, in bottles too.")),
    Story.HIGH: (HIGH, say("The wort had less for the yeast than its make-up says, and is at its end.")),
    Story.BELOW: (BELOW, say("It goes lower than brewing yeast takes such a wort: another yeast, or a wrong entry.")),
    Story.WOKEN: (WOKEN, say("Hops freed sugar, and it ferments on.")),
}
_NEAR_END = 0.5  # with this chance for less than a point left, what goes on as it should is done
_DOUBTFUL = 0.05  # a story below this is not worth an experiment
_LIKELY = 0.5  # a reading that settles it so likely leaves nothing for an experiment
_WRONG = 0.3  # chance of a gross error from which a reading is to be repeated
_MISFIT = 0.01
_SHOWN = 0.01
MODEL = (
    say("The chances are those of a model: they are as good as it is, and below 1 % its own error is the larger one."),
)


_ALIKE = say(
    "A halt and a high end look alike to a hydrometer: only what is known of the wort, or a forced sample, tells."
)


def gravity_figure(key: str, label: str, spread: Spread, working: Working) -> Figure:
    """A gravity with both of its intervals."""
    return Figure(
        key, label, spread.q50, spread.q05, spread.q95, "SG", "gravity", 4, working, half=(spread.q25, spread.q75)
    )


def share_figure(key: str, label: str, spread: Spread, working: Working) -> Figure:
    """A share [%] with both of its intervals."""
    low, one, value, other, high = (
        100 * share for share in (spread.q05, spread.q25, spread.q50, spread.q75, spread.q95)
    )
    return Figure(key, label, value, low, high, "%", "share", 0, working, half=(one, other))


def points_figure(spread: Spread, working: Working) -> Figure:
    """Points still to fall."""
    ends = (max(spread.q25, 0.0), max(spread.q75, 0.0))
    low, value, high = (max(point, 0.0) for point in (spread.q05, spread.q50, spread.q95))
    return Figure("points_left", say("Points left"), value, low, high, "points", "", 1, working, half=ends)


def gas_figure(spread: Spread, working: Working) -> Figure:
    """Gas still to come [vol]."""
    low, one, value, other, high = (
        convert(max(point, 0.0), "g CO2/L", "vol", "co2")
        for point in (spread.q05, spread.q25, spread.q50, spread.q75, spread.q95)
    )
    return Figure(
        "co2_to_come", say("Gas still to come"), value, low, high, "vol", "co2", 1, working, half=(one, other)
    )


def day_figure(key: str, label: str, spread: Spread, working: Working) -> Figure:
    """A day since pitching; in words where a part of the chances never comes to one."""
    if isfinite(spread.q95):
        half = (spread.q25, spread.q75)
        return Figure(key, label, spread.q50, spread.q05, spread.q95, "", "number", 0, working, half=half)
    value = spread.q50 if isfinite(spread.q50) else 0.0
    words = say("{value}, perhaps never", value=show(value, 0)) if isfinite(spread.q50) else say("not to be said")
    return Figure(key, label, value, value, value, "", "number", 0, working, words=words)


def stories(forecast: Forecast, inputs: tuple[Given, ...], sources: tuple[str, ...]) -> tuple[Option, ...]:
    """What may be going on, the likeliest first, each with its chance; what is out of the question is left out."""
    working = Working(
        say("share of the model's runs in which it is so, each weighed by how well it explains the readings"),
        inputs,
        sources,
        cautions=(_ALIKE,),
    )
    found = sorted(by_story(forecast).items(), key=lambda pair: -pair[1])
    shown = [(story, chance) for number, (story, chance) in enumerate(found) if chance >= _SHOWN or not number]
    return tuple(
        Option(
            story_name(forecast, story),
            (chance_figure(f"story_{story.value}", say("Chance"), chance, working),),
            STORIES[story][1],
            chosen=not number,
        )
        for number, (story, chance) in enumerate(shown)
    )


def story_name(forecast: Forecast, story: Story) -> str:
    """What a story is called here; the ordinary one by whether it is over."""
    over = story is Story.HEALTHY and forecast.left_under[1] >= _NEAR_END
    return DONE if over else STORIES[story][0]


def by_story(forecast: Forecast) -> Mapping[Story, float]:
    """The chance of each story."""
    return dict(forecast.stories)


def told_apart(forecast: Forecast, wrong: float = 0.0, settled: float = 0.0) -> str:
    """The cheapest experiment that would tell the stories apart; "" where nothing is open.

    Parameters
    ----------
    forecast
        The forecast.
    wrong
        Chance that the last reading is grossly wrong.
    settled
        Chance that the next reading settles it by itself.
    """
    chances = by_story(forecast)
    stopped = chances.get(Story.HALTED, 0.0) + chances.get(Story.FADING, 0.0)
    if chances.get(Story.BELOW, 0.0) >= 2 * _DOUBTFUL:
        return say("Put the hydrometer in plain water: it must show 1.000. Then repeat the reading on a flat sample.")
    if wrong >= _WRONG:
        return say("Repeat the last reading on a flat sample at about 20 °C: it does not fit the others.")
    if forecast.unsafe < GATE_CHANCE or settled >= _LIKELY:
        return ""
    if stopped >= _DOUBTFUL and chances.get(Story.HIGH, 0.0) + chances.get(Story.HEALTHY, 0.0) >= _DOUBTFUL:
        return FORCED_SAMPLE
    return ""


def diagnostics_words(found: Diagnostics) -> str:
    """How the sum itself went, where that is worth a line; "" where all was well."""
    told = []
    if not found.good:
        told.append(say("The sum did not settle, even with a longer run: take its chances as rough."))
    elif found.longer:
        told.append(say("These readings needed a longer run ({draws} draws); it settled.", draws=show(found.draws, 0)))
    if found.misfit < _MISFIT:
        told.append(say("Nothing in the model explains these readings well: check the entries before you trust it."))
    return joined(" ", told)
