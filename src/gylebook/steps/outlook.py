"""The outlook: is it finished, how much is left, and when would a reading tell something?

This is the seam: finishing, racking, priming, bottling, the tasks and the cards ask only for an `Outlook`. Behind it
stands a forecast from all that is written of a brew, and beside the forecast the cautions that it knows nothing of.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import TYPE_CHECKING

from gylebook.forecast.evidence import Evidence
from gylebook.journal.state import Brew, Shelf
from gylebook.steps import outlook_figures
from gylebook.steps.answers import Figure, Finding, MomentFigure, Option
from gylebook.steps.decision import Setting
from gylebook.steps.learned import NOTHING_LEARNED, Learned
from gylebook.steps.learning import learned_for
from gylebook.steps.once import once
from gylebook.steps.outlook_bottles import bearing
from gylebook.steps.outlook_evidence import Told, evidence_of
from gylebook.steps.outlook_facts import Facts, gather
from gylebook.steps.outlook_figures import MOST_HELD_VOL, gas_range_words, gas_words
from gylebook.steps.outlook_findings import findings
from gylebook.steps.outlook_gates import DOUBTFUL_GROSS, RULE, UNTRUSTED, Lack, Seen, is_above, lacks, warm_days
from gylebook.steps.outlook_times import end_by, next_reading
from gylebook.steps.outlook_unpitched import before_pitching
from gylebook.steps.possibilities import HIGH, STALLED, Experiment, customary, experiment, possibilities

if TYPE_CHECKING:  # SciPy stands behind it, and nothing but a forecast needs that
    from gylebook.forecast.forecast import Forecast

__all__ = ["MOST_HELD_VOL", "Outlook", "gas_range_words", "gas_words", "outlook"]

_KEPT = 64  # forecasts in memory: a page asks for those of one brewer's open brews again and again


@dataclass(frozen=True, slots=True)
class Outlook:
    """How far the beer is, as far as the book can tell.

    Parameters
    ----------
    finished
        True only where all the evidence asked for holds; False where evidence speaks against it; None while something
        is still missing.
    expected_fg, now_sg
        Where it should end, and where it is; `now_sg` is None without a reading since the yeast went in.
    points_left, co2_to_come
        Gravity points still to fall [points], and the gas that would come of them [vol]; cautious intervals.
    slope_points_per_day
        Fall (negative) over the last stretch of readings; None for fewer than two.
    by
        When it should be at its end; None where it is there, or where that cannot be said (a halt).
    next_reading_at
        When a reading would tell something; None where none is wanted.
    next_reading_why
        Why then, and why none before.
    rule
        What kind of rule this rests on.
    missing
        What stands between this and "finished", one sentence each.
    possibilities, experiment
        Done, slow or stalled side by side, and the cheapest experiment that tells them apart.
    customary
        The rules that brewers go by, what each says here, and why it is weak.
    level_since
        The first reading of the level run at a gravity that may be the end; None before that.
    hop_points
        Points that dry hops may still wake, within `points_left` [points]; the upper end.
    reopened_by
        What went in last that opened the question anew ("hops", the sugar's name), "" where nothing did.
    forecast
        What stands behind it all; None before the yeast is in, and where nothing can be forecast.
    pitched_at, seen_at
        The moment that the forecast's days count from, and the one it speaks of: the last thing that is known of.
    chances, unsafe
        Figures "left_half", "left_one", "left_two": the probability [%] that less than so many points are left; and
        the probability of more than 2 g/L of gas still to come. None of them where no sum is to be trusted: below the
        possible, in the cold, and where nothing explains the readings.
    strength
        Alcohol expected at the end without priming [% vol]; the middle half stands in the working.
    learned
        What was learned from the brewer's other brews, a line each; empty where nothing was.
    """

    finished: bool | None
    expected_fg: Figure
    now_sg: Figure | None
    points_left: Figure
    co2_to_come: Figure
    slope_points_per_day: Figure | None
    by: MomentFigure | None
    next_reading_at: datetime | None
    rule: str
    findings: tuple[Finding, ...]
    original: Figure
    next_reading_why: str = ""
    missing: tuple[str, ...] = ()
    lacking: tuple[str, ...] = ()  # stable keys of what is missing
    possibilities: tuple[Option, ...] = ()
    experiment: Experiment | None = None
    customary: tuple[Option, ...] = ()
    level_since: datetime | None = None
    hop_points: float = 0.0
    warm_days: float = 0.0
    pitched: bool = False
    reopened_by: str = ""
    forecast: Forecast | None = None
    pitched_at: datetime | None = None
    seen_at: datetime | None = None
    chances: tuple[Figure, ...] = ()
    unsafe: float | None = None
    strength: Figure | None = None
    learned: tuple[str, ...] = ()

    @property
    def likeliest(self) -> str:
        """The likeliest of the possibilities, "" where there is none to tell."""
        return next((option.name for option in self.possibilities if option.chosen), "")

    @property
    def stands(self) -> bool:
        """Whether readings show that it most likely moves no more by itself, above its end: halted, or finished high.

        One reading shows no such thing, nor does one that contradicts.
        """
        shown = "cold" in self.lacking or not {"pair", "doubtful", "fresh"} & set(self.lacking)
        return shown and self.likeliest in {STALLED, HIGH}


def outlook(brew: Brew, setting: Setting) -> Outlook:
    """How far the beer is. Only readings up to priming or bottling count."""
    return _outlook(brew, setting.shelf, setting.now, learned_for(brew, setting))


@once
def _outlook(brew: Brew, shelf: Shelf, now: datetime, lessons: Learned = NOTHING_LEARNED) -> Outlook:
    facts = gather(brew, shelf, now)
    told = evidence_of(brew, shelf, facts, lessons)
    seen = _seen(brew, shelf, facts, told) if told is not None else None
    lacking = lacks(seen)
    finished = None if any(not lack.against for lack in lacking) else True
    finished = False if any(lack.against for lack in lacking) else finished
    at, why = next_reading(facts, seen, lacking)
    stories = possibilities(seen, told, lacking)
    keys = frozenset(lack.key for lack in lacking)
    left, come = _to_come(facts, seen, told, keys)
    return Outlook(
        finished=finished,
        expected_fg=_expected(facts, seen, told, keys),
        now_sg=outlook_figures.now(seen, told, keys) if seen and told else None,
        points_left=left,
        co2_to_come=come,
        slope_points_per_day=outlook_figures.slope(facts),
        by=end_by(facts, seen, told, lacking),
        next_reading_at=at,
        rule=RULE,
        findings=findings(facts, seen, lacking),
        original=facts.og,
        next_reading_why=why,
        missing=tuple(lack.text for lack in lacking),
        lacking=tuple(lack.key for lack in lacking),
        possibilities=stories,
        experiment=experiment(seen, stories, lacking),
        customary=customary(facts, lacking),
        level_since=_level_since(facts, lacking),
        hop_points=seen.forecast.hop_points.q95 if seen else 0.0,
        warm_days=warm_days(facts),
        pitched=facts.pitched_at is not None,
        reopened_by=facts.reopened.words if facts.reopened else "",
        forecast=seen.forecast if seen else None,
        pitched_at=facts.pitched_at,
        seen_at=told.seen_at if told else None,
        chances=outlook_figures.chances(seen, told) if seen and told and not keys & UNTRUSTED else (),
        unsafe=seen.forecast.unsafe if seen and not keys & UNTRUSTED else None,
        strength=outlook_figures.strength(seen) if seen else None,
        learned=told.learned if told else (),
    )


def _seen(brew: Brew, shelf: Shelf, facts: Facts, told: Told) -> Seen:
    found = forecast_of(told.evidence)
    last = facts.readings[-1].seq if facts.readings else None
    wrong = list(zip(found.gross, told.seqs, strict=False))
    doubt = next((chance for chance, seqs in wrong if last in seqs), 0.0)
    doubts = any(chance >= DOUBTFUL_GROSS for chance, seqs in wrong if last not in seqs)
    return Seen(facts, found, bearing(brew, shelf, found.co2_above), doubt, doubts)


@lru_cache(maxsize=_KEPT)
def forecast_of(evidence: Evidence) -> Forecast:
    """The forecast from this evidence: always the same, so that it is made once."""
    from gylebook.forecast.forecast import forecast

    return forecast(evidence)


def _expected(facts: Facts, seen: Seen | None, told: Told | None, keys: frozenset[str]) -> Figure:
    if seen is None or told is None:
        return facts.fg
    if "cold" in keys and facts.forced is None:
        return outlook_figures.expected_in_cold(facts)
    return outlook_figures.expected(seen, told)


def _to_come(facts: Facts, seen: Seen | None, told: Told | None, keys: frozenset[str]) -> tuple[Figure, Figure]:
    if seen is None or told is None:
        return before_pitching(facts)
    left = outlook_figures.points_left(seen, told, keys)
    return left, outlook_figures.co2_to_come(seen, told, left, keys)


def _level_since(facts: Facts, lacking: tuple[Lack, ...]) -> datetime | None:
    if not facts.level or is_above(facts) or any(lack.key in {"falls", "below_possible"} for lack in lacking):
        return None
    return facts.readings[-len(facts.level)].at
