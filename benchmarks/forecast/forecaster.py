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
    def end_day(self) -> Spread: ...
    @property
    def unsafe(self) -> float: ...


Forecaster = Callable[[Evidence], Answer]


def shipped() -> Forecaster:
    """The forecaster of the project itself; loaded only when it is asked for."""
    from gylebook.forecast.forecast import forecast

    return forecast
