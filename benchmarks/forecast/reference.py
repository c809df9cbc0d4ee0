"""Reference posteriors in a file: what was told, by which sampler, and with which constants of the model.

The file is made by `nuts.py`; where a constant of the model changed since, it is stale and must be made anew.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from enum import StrEnum
from pathlib import Path
from typing import Any, Final

from forecast.gold import Gold
from gylebook.forecast import constants, curve, evidence, likelihood, priors
from gylebook.forecast.answers import UNSAFE_CO2_G_PER_L, Spread, Story
from gylebook.forecast.evidence import Addition, Evidence, Forced, Hops, Known, Reading, Warmth

FILE: Final = Path(__file__).with_name("reference_posteriors.json")
COMMAND: Final = (
    "python -m venv build/nuts && build/nuts/bin/pip install -r benchmarks/forecast/nuts-requirements.txt && "
    "PYTHONPATH=src:benchmarks build/nuts/bin/python -m forecast.nuts"
)
SPREADS: Final = ("final_sg", "now_sg", "co2_left_g_per_l")
_NO_PART_OF_THE_MODEL: Final = {"_ORDER", "_MOST_PAIRED", "_LEAST_SD", "_LOG_2PI", "_MOST_EXPONENT", "_COMMON"}


def model_constants() -> dict[str, Any]:
    """Every constant that the posterior depends on, by module and name, in the form that a file gives back."""
    found: dict[str, Any] = {"answers.UNSAFE_CO2_G_PER_L": UNSAFE_CO2_G_PER_L}
    for module in (priors, likelihood, curve, evidence, constants):
        short = module.__name__.rpartition(".")[2]
        for name, value in vars(module).items():
            own = name.isupper() and name not in _NO_PART_OF_THE_MODEL
            if own and isinstance(value, int | float | tuple | dict):
                found[f"{short}.{name}"] = value
    return json.loads(json.dumps({name: _plain(found[name]) for name in sorted(found)}))


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(key): _plain(each) for key, each in value.items()}
    return str(value) if isinstance(value, StrEnum) else value


def stale(kept: Mapping[str, Any]) -> str | None:
    """Why a file is of no use any more, in one sentence; None where it is."""
    now = model_constants()
    changed = sorted(name for name in now.keys() | kept.keys() if now.get(name) != kept.get(name))
    if not changed:
        return None
    what = ", ".join(f"{name} was {kept.get(name)} and is {now.get(name)}" for name in changed)
    return f"{FILE.name} was made with another model ({what}): make it anew with `{COMMAND}`"


def evidence_of(kept: Mapping[str, Any]) -> Evidence:
    """Evidence as it was written by `asdict`."""
    known = {**kept["known"], "offsets": tuple(tuple(each) for each in kept["known"]["offsets"])}
    warmth = {key: tuple(value) if isinstance(value, list) else value for key, value in kept["warmth"].items()}
    return Evidence(
        tuple(Reading(**each) for each in kept["readings"]),
        kept["now_day"],
        Known(**known),
        Warmth(**warmth),
        Hops(**kept["hops"]) if kept["hops"] else None,
        tuple(Addition(**each) for each in kept["additions"]),
        Forced(**kept["forced"]) if kept["forced"] else None,
    )


def answers_of(gold: Gold) -> dict[str, Any]:
    """Answers as they are written."""
    found: dict[str, Any] = {name: _rounded(asdict(getattr(gold, name))) for name in SPREADS}
    found["left_under"] = [round(chance, 6) for chance in gold.left_under]
    found["unsafe"] = round(gold.unsafe, 6)
    found["stories"] = _rounded({str(story): chance for story, chance in gold.stories.items()})
    found["gross"] = [round(chance, 6) for chance in gold.gross]
    return found


def _rounded(numbers: Mapping[str, float]) -> dict[str, float]:
    return {name: round(value, 7) for name, value in numbers.items()}


def gold_of(kept: Mapping[str, Any]) -> Gold:
    """A case of the file as a gold."""
    told = kept["answers"]
    half, one, two = told["left_under"]
    return Gold(
        kept["method"],
        kept["diagnostics"]["least_effective"],
        *(Spread(**told[name]) for name in SPREADS),
        (half, one, two),
        told["unsafe"],
        {Story(name): chance for name, chance in told["stories"].items()},
        tuple(told["gross"]),
    )


def read() -> dict[str, Any]:
    """The whole file."""
    return json.loads(FILE.read_text(encoding="utf-8"))
