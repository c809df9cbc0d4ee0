"""Where a brew is going, for machines: plain numbers with their units in their names, and the fan."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from gylebook.forecast.answers import Spread
from gylebook.journal.state import Brew
from gylebook.outputs.shapes import Plain, figure_shape, finding_shape, iso, option_shape
from gylebook.steps.answers import Answer
from gylebook.steps.outlook import Outlook

if TYPE_CHECKING:
    from gylebook.forecast.forecast import Forecast
    from gylebook.steps.course import Course
    from gylebook.steps.outlook_sure import Sure

_QUANTILES = ("q05", "q25", "q50", "q75", "q95")


def outlook_shape(brew: Brew, found: Outlook, answer: Answer, how: Sure | None) -> Plain:
    """The outlook of a brew; `forecast` and `fan` are null where nothing is forecast."""
    return {
        "brew": brew.id,
        "name": brew.name,
        "headline": answer.headline,
        "why": how.sentence if how is not None else answer.why,
        "urgency": answer.urgency.key,
        "finished": found.finished,
        "lacking": [
            {"key": key, "words": words} for key, words in zip(found.lacking, found.missing, strict=True)
        ],
        "forecast": _forecast(found.forecast, found) if found.forecast is not None else None,
        "fan": _fan(found),
        "next_reading": _next(found),
        "stories": [option_shape(option) for option in found.possibilities],
        "experiment": {"key": found.experiment.key, "words": found.experiment.words} if found.experiment else None,
        "rules": [
            {"name": rule.name, "words": rule.words, "says_finished": rule.chosen} for rule in found.customary
        ],
        "learned": list(found.learned),
        "figures": [figure_shape(figure) for figure in (how.figures if how is not None else answer.figures)],
        "findings": [finding_shape(finding) for finding in answer.findings],
        "assumed": list(answer.assumed),
        "cautions": list(answer.cautions),
    }  # fmt: skip


def _forecast(forecast: Forecast, found: Outlook) -> Plain:
    half, one, two = forecast.left_under if found.unsafe is not None else (None, None, None)
    done = forecast.diagnostics
    return {
        "pitched_at": _iso(found.pitched_at),
        "seen_at": _iso(found.seen_at),
        "final_gravity_sg": _spread(forecast.final_sg),
        "gravity_now_sg": _spread(forecast.now_sg),
        "points_left": _spread(forecast.points_left),
        "co2_left_g_per_l": _spread(forecast.co2_left_g_per_l),
        "attenuation": _spread(forecast.attenuation),
        "end_at": {name: _at(found, getattr(forecast.end_day, name)) for name in _QUANTILES},
        "chance_under_half_point_left": half,
        "chance_under_one_point_left": one,
        "chance_under_two_points_left": two,
        "chance_over_2_g_co2_per_l": found.unsafe,
        "story_chances": {story.value: chance for story, chance in forecast.stories.items()},
        "diagnostics": {
            "effective_draws": done.ess,
            "draws": done.draws,
            "longer_run": done.longer,
            "good": done.good,
            "misfit": done.misfit,
        },
    }


def _spread(spread: Spread) -> Plain:
    names = ("mean", "sd", *_QUANTILES)
    return {name: _number(getattr(spread, name)) for name in names}


def _number(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _iso(at: datetime | None) -> str | None:
    return iso(at) if at is not None else None


def _at(found: Outlook, day: float) -> str | None:
    """A day of the forecast as a moment; null where it never comes."""
    if found.pitched_at is None or not math.isfinite(day) or day > 3650:
        return None
    return iso(found.pitched_at + timedelta(days=day))


def _next(found: Outlook) -> Plain:
    plain: Plain = {"at": _iso(found.next_reading_at), "why": found.next_reading_why, "looked_at": []}
    if found.forecast is not None:
        coming = found.forecast.next_reading()
        plain["looked_at"] = [
            {"at": _at(found, day), "chance": chance} for day, chance in zip(coming.days, coming.chances, strict=True)
        ]
    return plain


def _fan(found: Outlook) -> Plain | None:
    if found.forecast is None:
        return None
    from gylebook.steps.outlook_fan import fan_of  # NumPy, only where there is a forecast

    fan = fan_of(found)
    if fan is None:
        return None
    lines = (fan.low, fan.half_low, fan.middle, fan.half_high, fan.high)
    return {
        "at": [iso(at) for at in fan.at],
        **{f"gravity_{name}_sg": list(line) for name, line in zip(_QUANTILES, lines, strict=True)},
    }


def course_shape(course: Course) -> Plain:
    """The fan of a sum, by days since the yeast went in."""
    lines = (course.low_sg, course.half_low_sg, course.middle_sg, course.half_high_sg, course.high_sg)
    return {
        "day": list(course.day),
        **{f"gravity_{name}_sg": list(line) for name, line in zip(_QUANTILES, lines, strict=True)},
    }
