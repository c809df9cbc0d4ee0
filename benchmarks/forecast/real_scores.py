"""What the forecaster, the customary rules and a least-squares curve make of measured fermentations.

`python -m forecast.real_scores choosing` judges the half on which choices may be made, `reporting` the other one.
"""

from __future__ import annotations

import argparse
import sys
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from figures import Figure

from forecast.calibration import Coverage, coverage
from forecast.customary import RULES
from forecast.forecaster import GATE_UNSAFE, Answer, Forecaster, shipped
from forecast.least_squares import final_gravity
from forecast.real_batches import FOLDER, Half, RealBatch, Status, folder, read_folder
from forecast.replay import SCHEDULES, Look, Schedule, looks
from gylebook.forecast.answers import Story

UNSAFE_SG: Final = 0.002  # two points above the natural end: 2 g/L of gas still to come
SCORED_FROM: Final = 4  # readings, the wort's among them


@dataclass(frozen=True, slots=True)
class Judged:
    """One look and what was made of it."""

    look: Look
    answer: Answer
    fitted_sg: float | None

    @property
    def error_sg(self) -> float:
        return self.answer.final_sg.q50 - _final(self.look.batch)

    @property
    def fitted_error_sg(self) -> float | None:
        return None if self.fitted_sg is None else self.fitted_sg - _final(self.look.batch)


def judge(
    batches: Sequence[RealBatch], forecaster: Forecaster, schedules: Sequence[Schedule] = SCHEDULES
) -> list[Judged]:
    return [
        Judged(each, forecaster(each.evidence), final_gravity(each.evidence.readings))
        for each in looks(batches, schedules)
    ]


def final_coverage(judged: Iterable[Judged], status: Status) -> Coverage | None:
    """Of the final gravity, from the fourth reading on."""
    pairs = [
        (_final(each.look.batch), each.answer.final_sg)
        for each in judged
        if each.look.batch.status == status and each.look.count >= SCORED_FROM
    ]
    return coverage(pairs) if pairs else None


@dataclass(frozen=True, slots=True)
class ErrorRow:
    """Errors of the final gravity [SG] and of the day of the end, after so many readings."""

    count: int
    looks: int
    rmse: float
    median: float
    fitted: int
    fitted_rmse: float
    fitted_median: float
    same_rmse: float
    same_median: float
    end_median_days: float
    end_inside90: float
    end_looks: int


def errors(judged: Iterable[Judged], status: Status = Status.COMPLETE) -> list[ErrorRow]:
    """By number of readings; `same_...` is the forecaster's error where the curve gave an answer too."""
    by_count: dict[int, list[Judged]] = defaultdict(list)
    for each in judged:
        if each.look.batch.status == status:
            by_count[each.look.count].append(each)
    return [_error_row(count, by_count[count]) for count in sorted(by_count)]


def _error_row(count: int, judged: Sequence[Judged]) -> ErrorRow:
    own = [each.error_sg for each in judged]
    fitted = [error for each in judged if (error := each.fitted_error_sg) is not None]
    same = [each.error_sg for each in judged if each.fitted_error_sg is not None]
    ahead = [
        (finished, each.answer.end_day)
        for each in judged
        if (finished := each.look.batch.finished_day) is not None and finished > each.look.evidence.now_day
    ]
    late = [abs(end.q50 - finished) for finished, end in ahead]
    inside = [end.q05 <= finished <= end.q95 for finished, end in ahead]
    return ErrorRow(
        count, len(judged), _rms(own), _median_abs(own), len(fitted), _rms(fitted), _median_abs(fitted),
        _rms(same), _median_abs(same), _median_abs(late), float(np.mean(inside)) if inside else np.nan, len(ahead),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class FalseCalls:
    """Replays (a batch by a schedule) in which a rule said "finished", and those in which it was wrong.

    `unknown` were said of batches of which nobody knows whether more would have come.
    """

    rule: str
    replays: int
    said: int
    wrong: int
    unknown: int
    names: tuple[str, ...]


def false_finished(judged: Sequence[Judged]) -> list[FalseCalls]:
    """Of the forecaster's gate and the three customary rules."""
    replays = len({_replay(each) for each in judged})
    opened = [each for each in judged if each.answer.unsafe < GATE_UNSAFE]
    by_rule = {name: [each for each in judged if rule(each.look.evidence)] for name, rule in RULES.items()}
    return [_calls(name, said, replays) for name, said in {"forecast: unsafe < 1 %": opened, **by_rule}.items()]


def _calls(name: str, said: Sequence[Judged], replays: int) -> FalseCalls:
    wrong = [each for each in said if too_early(each.look)]
    doubtful = [each for each in said if each.look.batch.status == Status.UNSURE and not too_early(each.look)]
    return FalseCalls(
        name,
        replays,
        len({_replay(each) for each in said}),
        len({_replay(each) for each in wrong}),
        len({_replay(each) for each in doubtful}),
        tuple(sorted({f"{each.look.batch.name} ({each.look.schedule.name})" for each in wrong})),
    )


def too_early(look: Look) -> bool:
    """Whether "finished" would be wrong: more than two points to go, or a batch that never came to an end."""
    return look.batch.status in {Status.UNFINISHED, Status.STUCK} or look.points_left_sg > UNSAFE_SG


def false_stalled(judged: Iterable[Judged]) -> list[str]:
    """Looks at complete batches in which the forecaster held it more likely than not that it had stopped early."""
    return [
        f"{each.look.batch.name} ({each.look.schedule.name}, {each.look.count} readings)"
        for each in judged
        if each.look.batch.status == Status.COMPLETE and each.answer.stories.get(Story.HALTED, 0.0) > 0.5
    ]


def figures(judged: Sequence[Judged], half: Half) -> Iterator[Figure]:
    beside = f"measured fermentations, {half} half"
    covered = final_coverage(judged, Status.COMPLETE)
    if covered is not None:
        yield Figure("forecast.real_outside_90", 100.0 * (1.0 - covered.inside90), "%", 15.0, beside)
        yield Figure("forecast.real_outside_50", 100.0 * (1.0 - covered.inside50), "%", None, beside)
    for row in errors(judged):
        if row.count == 5 and row.fitted:
            plain = f"{beside}: curve {1000.0 * row.fitted_rmse:.2f} points on {row.fitted} of {row.looks} looks"
            yield Figure("forecast.real_rmse_ratio_at_5", row.same_rmse / row.fitted_rmse, "1", 0.6, plain)
            # A few wild curves make the rmse; the median tells how they compare where the curve behaves.
            yield Figure("forecast.real_median_ratio_at_5", row.same_median / row.fitted_median, "1", None, plain)
    calls = false_finished(judged)
    plain = f"{beside}; " + ", ".join(f"{each.rule}: {each.wrong}" for each in calls[1:])
    yield Figure("forecast.real_false_finished", calls[0].wrong, "replays", 0.0, plain)
    yield Figure("forecast.real_false_stalled", len(false_stalled(judged)), "looks", 0.0, beside)


def report(judged: Sequence[Judged], half: Half) -> Iterator[str]:
    batches = sorted({each.look.batch.name for each in judged})
    yield f"Half for {half}: {len(batches)} batches, {len(judged)} looks: {', '.join(batches)}"
    for status in (Status.COMPLETE, Status.LEVEL):
        covered = final_coverage(judged, status)
        if covered is not None:
            of = {each.look.batch.name for each in judged if each.look.batch.status == status}
            yield f"final gravity of {len(of)} {status} batches from reading {SCORED_FROM} on: {covered.row()}"
        yield "  n looks   rmse median | curve   rmse median | same rmse median | end looks median d inside 90 %"
        for row in errors(judged, status):
            yield (
                f" {row.count:2d} {row.looks:5d} {_pt(row.rmse)} {_pt(row.median)} | {row.fitted:5d}"
                f" {_pt(row.fitted_rmse)} {_pt(row.fitted_median)} |    {_pt(row.same_rmse)} {_pt(row.same_median)} |"
                f" {row.end_looks:9d} {row.end_median_days:8.2f} {row.end_inside90:11.2f}"
            )
    for calls in false_finished(judged):
        yield f'"finished" by {calls.rule}: {calls.said} of {calls.replays} replays, wrong {calls.wrong},'
        yield f"    of unknown end {calls.unknown}; wrong: {', '.join(calls.names) or '-'}"
    yield f'"stalled" said of complete batches: {", ".join(false_stalled(judged)) or "-"}'


def _final(batch: RealBatch) -> float:
    if batch.final_sg is None:
        raise ValueError(f"{batch.name} has no natural terminal gravity")
    return batch.final_sg


def _replay(judged: Judged) -> tuple[str, str]:
    return judged.look.batch.name, judged.look.schedule.name


def _rms(values: Sequence[float]) -> float:
    return float(np.sqrt(np.mean(np.square(values)))) if values else np.nan


def _median_abs(values: Sequence[float]) -> float:
    return float(np.median(np.abs(values))) if values else np.nan


def _pt(value_sg: float) -> str:
    return f"{1000.0 * value_sg:6.2f}"


def main(words: Sequence[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("half", choices=[each.value for each in Half], nargs="?", default=Half.CHOOSING.value)
    half = Half(asked.parse_args(words).half)
    place = folder()
    if place is None:
        print(f"{FOLDER} is not set: no measured fermentations to judge by.")
        return 1
    judged = judge(read_folder(place, half), shipped())
    for line in report(judged, half):
        print(line)
    for figure in figures(judged, half):
        print(figure.line())
    return 0


if __name__ == "__main__":
    sys.exit(main())
