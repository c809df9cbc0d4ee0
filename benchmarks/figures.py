"""One figure of a benchmark: what was measured, in which unit, against which limit and which baseline."""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

KEPT = Path(__file__).parents[1] / "build" / "bench.jsonl"


@dataclass(frozen=True, slots=True)
class Figure:
    """`name` is area.figure; `ok` is value <= limit; `baseline` is what a ratio was taken against."""

    name: str
    value: float
    unit: str
    limit: float | None
    baseline: str

    @property
    def ok(self) -> bool:
        return self.limit is None or self.value <= self.limit

    def line(self) -> str:
        return json.dumps(asdict(self) | {"value": round(self.value, 4), "ok": self.ok}, ensure_ascii=False)


def wall(work: Callable[[], object]) -> float:
    """Seconds that one call takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def percentile(values: Sequence[float], share: float) -> float:
    """The value that `share` of the values do not pass."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def paired_ratio(first: Sequence[str], second: Sequence[str], runs: int) -> tuple[float, float, float]:
    """Median seconds of two commands run in turn, and the median of their ratios, pair by pair."""
    counted = [(wall(lambda: command(first)), wall(lambda: command(second))) for _ in range(runs + 1)][1:]
    return (
        statistics.median(a for a, _ in counted),
        statistics.median(b for _, b in counted),
        statistics.median(a / b for a, b in counted),
    )


def command(words: Sequence[str]) -> str:
    """Run a command to its end; its output."""
    return subprocess.run(words, check=True, capture_output=True, text=True, env=environment()).stdout


def environment(**more: str) -> dict[str, str]:
    """The environment of a command that is timed: as in every installation, compiled modules are kept."""
    found = os.environ | {"PYTHONPYCACHEPREFIX": str(KEPT.parent / "bytecode")} | more
    found.pop("PYTHONDONTWRITEBYTECODE", None)
    return found


PYTHON = sys.executable
GYLEBOOK = str(Path(sys.executable).with_name("gylebook"))
