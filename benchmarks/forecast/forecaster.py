"""What the benchmarks ask of a forecaster, so that they can judge any other by the same rule."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final, Protocol

from gylebook.forecast.answers import Spread, Story
from gylebook.forecast.evidence import Evidence

GATE_UNSAFE: Final = 0.01  # below this chance of too much gas still to come, the gate is open


class Answer(Protocol):
    """The part of a forecast that is scored."""

    @property
    def stories(self) -> Mapping[Story, float]: ...
    @property
    def final_sg(self) -> Spread: ...
    @property
    def now_sg(self) -> Spread: ...
    @property
    def co2_left_g_per_l(self) -> Spread: ...
    @property
    def end_day(self) -> Spread: ...
    @property
    def unsafe(self) -> float: ...


Forecaster = Callable[[Evidence], Answer]


def spreads(answer: Answer) -> dict[str, Spread]:
    """The quantities that are scored, by name."""
    return {
        "final_sg": answer.final_sg,
        "now_sg": answer.now_sg,
        "co2_left_g_per_l": answer.co2_left_g_per_l,
        "end_day": answer.end_day,
    }


def shipped() -> Forecaster:
    """The forecaster of the project itself; loaded only when it is asked for."""
    from gylebook.forecast.forecast import forecast

    return forecast
