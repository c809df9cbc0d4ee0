"""How sure: what the outlook's forecast says beside its answer, laid out alike for the page and the command."""

from __future__ import annotations

from dataclasses import dataclass, replace

from gylebook.phrases import joined, say
from gylebook.steps.answers import Answer, Figure, MomentFigure, Option
from gylebook.steps.chances import LEAST_SHOWN, chance_figure, chance_words
from gylebook.steps.foretold import diagnostics_words
from gylebook.steps.outlook import Outlook
from gylebook.units import show

_UNTRUSTED = say(
    "no chance that it is over is told: in the cold, or where nothing explains the readings, no sum can be trusted."
)


@dataclass(frozen=True, slots=True)
class Sure:
    """Everything that tells how sure the answer is.

    Parameters
    ----------
    sentence
        The forecast in one sentence.
    figures
        Where it ends, its strength, where it is, when it is there, what is left with its chances, and the gas; then
        whatever else the answer shows.
    stories, unlikely
        What may be going on, the likeliest first; and the names of what is as good as out of the question.
    told_apart
        The cheapest experiment that tells them apart.
    rules
        What the customary rules say; a chosen one calls it finished.
    learned
        What the brewer's other brews taught.
    quiet
        How the sum itself went, where that is worth a line.
    """

    sentence: str
    figures: tuple[Figure | MomentFigure, ...]
    stories: tuple[Option, ...]
    unlikely: tuple[str, ...]
    told_apart: str
    rules: tuple[Option, ...]
    learned: tuple[str, ...]
    quiet: str


def sure(found: Outlook, answer: Answer) -> Sure | None:
    """How sure; None where nothing is forecast.

    Parameters
    ----------
    found
        The outlook.
    answer
        The answer of the step that rests on it; its figures follow those of the forecast.
    """
    if found.forecast is None:
        return None
    return Sure(
        sentence=_sentence(found),
        figures=_figures(found, answer),
        stories=tuple(option for option in found.possibilities if _is_worth_telling(option)),
        unlikely=tuple(option.name for option in found.possibilities if not _is_worth_telling(option)),
        told_apart=found.experiment.words if found.experiment is not None else "",
        rules=found.customary,
        learned=found.learned,
        quiet=diagnostics_words(found.forecast.diagnostics),
    )


def _is_worth_telling(option: Option) -> bool:
    return option.chosen or not option.figures or option.figures[0].value >= 100 * LEAST_SHOWN


def gas_over(found: Outlook) -> Figure | None:
    """The chance of more gas to come than bottles with their priming sugar may be left with."""
    if found.unsafe is None:
        return None
    working = replace(
        found.co2_to_come.working,
        relation=say("share of the courses, each weighed by how well it explains the readings, that still give more"),
    )
    return chance_figure("gas_over", say("Chance of more than 2 g/L of gas to come"), found.unsafe, working)


def _figures(found: Outlook, answer: Answer) -> tuple[Figure | MomentFigure, ...]:
    first = (
        found.expected_fg,
        found.strength,
        found.now_sg,
        found.by,
        found.points_left,
        *(found.chances if found.now_sg is not None else ()),
        found.co2_to_come,
        gas_over(found),
    )
    told = {figure.key: figure for figure in first if figure is not None}
    return (*told.values(), *(figure for figure in answer.figures if figure.key not in told))


def _sentence(found: Outlook) -> str:
    end = found.expected_fg
    where = say(
        "{end}, nine times in ten from {end_low} to {end_high}",
        end=show(end.value, 4),
        end_low=show(end.low, 4),
        end_high=show(end.high, 4),
    )
    if found.now_sg is None:
        return say("Nothing was read since the yeast went in; it should end at {where}.", where=where)
    told = [
        say("{chance} that less than one point is left", chance=figure.words or figure.text())
        for figure in found.chances[1:2]
    ]
    if found.unsafe is not None:
        told.append(say("{chance} that more than 2 g/L of gas is still to come", chance=chance_words(found.unsafe)))
    here = say("It is at {now_sg} and should end at {where}", now_sg=show(found.now_sg.value, 4), where=where)
    return (
        say("{here}: {chances}.", here=here, chances=joined(", ", told))
        if told
        else say("{here}; {why_no_chance}", here=here, why_no_chance=_UNTRUSTED)
    )
