"""The outlook: is it finished, how much is left, and when would a reading tell something?

This is the seam: finishing, racking, priming, bottling, the tasks and the cards ask only for an `Outlook`. What stands
behind it now is a rule of thumb, cautious on purpose (`outlook_rule.py`); a calibrated forecast can take its place
without any of them changing.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from gylebook.journal.state import Brew, Shelf
from gylebook.steps.answers import Basis, Figure, Finding, Given, MomentFigure, Option, Working
from gylebook.steps.decision import Setting
from gylebook.steps.once import once
from gylebook.steps.outlook_facts import Facts, gather
from gylebook.steps.outlook_findings import findings
from gylebook.steps.outlook_rule import (
    RULE,
    VOLUMES_PER_POINT,
    VOLUMES_PER_POINT_HIGH,
    Lack,
    Reckoned,
    creep_points,
    is_above,
    lacks,
    now_ends,
    points_left,
    warm_days,
)
from gylebook.steps.outlook_times import end_by, next_reading
from gylebook.steps.possibilities import Experiment, customary, experiment, possibilities
from gylebook.steps.volumes import Z90
from gylebook.units import show

if TYPE_CHECKING:  # SciPy stands behind it, and nothing but a forecast needs that
    from gylebook.forecast.forecast import Forecast

__all__ = ["MOST_HELD_VOL", "Outlook", "gas_range_words", "gas_words", "outlook"]

MOST_HELD_VOL = 5.0  # more than even heavy glass is filled with


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
    chances
        Figures "left_half", "left_one", "left_two": the probability [%] that less than so many points are left.
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
    strength: Figure | None = None
    learned: tuple[str, ...] = ()

    @property
    def likeliest(self) -> str:
        """The likeliest of the possibilities, "" where there is none to tell."""
        return next((option.name for option in self.possibilities if option.chosen), "")


def outlook(brew: Brew, setting: Setting) -> Outlook:
    """How far the beer is. Only readings up to priming or bottling count."""
    return _outlook(brew, setting.shelf, setting.now)


@once
def _outlook(brew: Brew, shelf: Shelf, now: datetime) -> Outlook:
    facts = gather(brew, shelf, now)
    reckoned = points_left(facts)
    lacking = lacks(facts, reckoned.left)
    finished = None if any(not lack.against for lack in lacking) else True
    finished = False if any(lack.against for lack in lacking) else finished
    at, why = next_reading(facts, lacking)
    left = _left_figure(facts, reckoned)
    return Outlook(
        finished=finished,
        expected_fg=_expected(facts),
        now_sg=_now(facts),
        points_left=left,
        co2_to_come=_co2(left),
        slope_points_per_day=_slope(facts),
        by=end_by(facts, reckoned, lacking),
        next_reading_at=at,
        rule=RULE,
        findings=findings(facts, lacking),
        original=facts.og,
        next_reading_why=why,
        missing=tuple(lack.text for lack in lacking),
        lacking=tuple(lack.key for lack in lacking),
        possibilities=possibilities(facts, lacking),
        experiment=experiment(facts, lacking),
        customary=customary(facts),
        level_since=_level_since(facts, lacking),
        hop_points=creep_points(facts)[1],
        warm_days=warm_days(facts),
        pitched=facts.pitched_at is not None,
        reopened_by=facts.reopened.words if facts.reopened else "",
    )


def _level_since(facts: Facts, lacking: tuple[Lack, ...]) -> datetime | None:
    if not facts.level or is_above(facts) or any(lack.key in {"falls", "below_possible"} for lack in lacking):
        return None
    return facts.readings[-len(facts.level)].at


def _expected(facts: Facts) -> Figure:
    if facts.forced is None:
        return facts.fg
    forced = facts.forced
    value, half = 1 + forced.points / 1000, Z90 * forced.sd / 1000
    given = Given("forced sample", show(value, 4), Basis.MEASURED, f"entry {forced.seq}", forced.seq)
    steps = (
        f"by the make-up it would have been {facts.fg.text()}",
        "a small sample and its brew differ by about a point",
    )
    working = Working(
        "a small, warm, over-yeasted sample shows where the brew stops", (given,), ("stokholm_2020",), steps
    )
    return Figure("fg", "Final gravity expected", value, value - half, value + half, "SG", "gravity", 4, working)


def _now(facts: Facts) -> Figure | None:
    now = now_ends(facts)
    if now is None:
        return None
    low, value, high = (1 + end / 1000 for end in now)
    used = facts.readings[-len(facts.level) :] if len(facts.level) > 1 else facts.readings[-1:]
    working = Working(
        "weighted mean of the readings that lie level" if len(used) > 1 else "the last reading",
        tuple(
            Given(
                "true gravity",
                r.figure().text(),
                Basis.RECKONED,
                f"entry {r.seq}",
                r.seq,
            )
            for r in used
        ),
        ("hydrometer_equilibrium", "error_propagation"),
        (f"read as {', '.join(str(r.raw) for r in used)}",),
    )
    return Figure("now", "Gravity now", value, low, high, "SG", "gravity", 4, working)


def _left_figure(facts: Facts, reckoned: Reckoned) -> Figure:
    left = reckoned.left
    sources = ["common_practice", "error_propagation"]
    if facts.hops_g:
        sources += ["kirkpatrick_shellhammer_2018", "hop_creep_curve"]
    if facts.forced is not None:
        sources.append("stokholm_2020")
    working = Working(
        "gravity now − expected end, weighed with what the slope leaves: slope ÷ share of the rest gone in a warm day",
        (
            Given("original gravity", facts.og.text(), Basis.RECKONED),
            Given("expected end", facts.fg.text(), Basis.RECKONED),
            Given("warm days since the yeast went in", show(warm_days(facts), 1), Basis.RECKONED),
        ),
        tuple(sources),
        reckoned.steps,
        (RULE,),
    )
    return Figure("points_left", "Points left", left.middle, left.low, left.high, "points", "", 1, working)


def _co2(left: Figure) -> Figure:
    working = Working(
        "about half a volume of carbon dioxide for each point",
        (Given("points left", left.text(), Basis.RECKONED),),
        ("balling_nielsen_2007", "co2_stoichiometry"),
        (f"{show(left.value, 1)} × {VOLUMES_PER_POINT:g}; at most {show(left.high, 1)} × {VOLUMES_PER_POINT_HIGH:g}",),
        (RULE,),
    )
    value, low, high = (
        left.value * VOLUMES_PER_POINT,
        left.low * VOLUMES_PER_POINT,
        left.high * VOLUMES_PER_POINT_HIGH,
    )
    words = gas_range_words(value, high)
    return Figure("co2_to_come", "Gas still to come", value, low, high, "vol", "co2", 1, working, words=words)


def gas_words(volumes: float) -> str:
    """An upper end of gas, to stand in a sentence: beyond what any bottle holds its number says nothing."""
    return "more gas than any bottle holds" if volumes > MOST_HELD_VOL else f"up to {show(volumes, 1)} vol of gas"


def gas_range_words(volumes: float, high: float) -> str:
    """The words of a figure of gas that goes beyond what any bottle holds; "" where it does not."""
    if volumes > MOST_HELD_VOL:
        return "more than any bottle holds"
    return f"{show(volumes, 1)} vol, perhaps more than any bottle holds" if high > MOST_HELD_VOL else ""


def _slope(facts: Facts) -> Figure | None:
    line = facts.line
    if line is None:
        return None
    half = Z90 * line.slope_se
    working = Working(
        "weighted least squares through the last stretch of readings",
        (Given("readings", f"{line.count} over {show(line.span_days, 1)} days", Basis.MEASURED),),
        ("error_propagation",),
        (f"standard error {show(line.slope_se, 2)} points a day: spacing lessens it more than counting does",),
    )
    value = line.slope
    return Figure("slope", "Slope", value, value - half, value + half, "points/day", "", 2, working)
