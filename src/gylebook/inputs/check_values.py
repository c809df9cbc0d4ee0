"""The values that every sum is held against, read from the files that the tests read.

They lie in the package as `published`; a run from the repository reads `tests/published` itself.
"""

from __future__ import annotations

import importlib
import inspect
import math
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from types import MappingProxyType
from typing import Any

import numpy as np

from gylebook.sources import Standing

_REPOSITORY = Path(__file__).parents[3] / "tests" / "published"


@dataclass(frozen=True, slots=True)
class CheckValue:
    """One value that a source gives, or that was worked out by hand.

    Parameters
    ----------
    function
        The sum held against it, such as "science.extract.plato_from_sg".
    where
        Table, equation or page.
    inputs
        What the sum is given, by the names of its arguments.
    expected
        The value as it stands in the source: a number, a list of numbers, a word or a truth value.
    output
        Which part of a result of several is meant; empty for the whole.
    tolerance, relative
        How far the sum may be off, as a share of the value where `relative`; None where it must agree exactly.
    why
        Why that much is allowed.
    """

    function: str
    where: str
    inputs: Mapping[str, Any]
    expected: Any
    unit: str
    output: str
    tolerance: float | None
    relative: bool
    why: str
    standing: Standing
    note: str

    def reckoned(self) -> Any:
        """What the book's own sum gives for these inputs."""
        result = _function(self.function)(**{name: _argument(value) for name, value in self.inputs.items()})
        if self.output:
            result = result[self.output] if isinstance(result, dict) else getattr(result, self.output)
        return result if isinstance(result, str | bool) else np.asarray(result).tolist()

    @property
    def decimals(self) -> int:
        """Decimals at which a difference within the tolerance still shows."""
        if self.tolerance is None:
            return 0
        numbers = self.expected if isinstance(self.expected, list) else [self.expected]
        finite = [abs(n) for n in numbers if not isinstance(n, str) and math.isfinite(n)]
        reach = self.tolerance * max(finite, default=1.0) if self.relative else self.tolerance
        return min(8, max(0, math.ceil(-math.log10(reach)) + 1)) if reach > 0 else 8


@cache
def check_values() -> Mapping[str, tuple[CheckValue, ...]]:
    """Every check value by the key of its source; a source without any is absent."""
    found: dict[str, tuple[CheckValue, ...]] = {}
    for folder in sorted(_folder().iterdir(), key=lambda each: each.name):
        if folder.is_dir():
            files = sorted((each for each in folder.iterdir() if each.name.endswith(".toml")), key=lambda f: f.name)
            values = tuple(value for file in files for value in _read(file))
            if values:
                found[folder.name] = values
    return MappingProxyType(found)


def plain_words(function: str) -> str:
    """What a sum does, in the first sentence of its own description."""
    lines = (inspect.getdoc(_function(function)) or function).split("\n\n")[0]
    return lines.replace("\n", " ").replace("degC", "°C")


def _folder() -> Traversable:
    packed = resources.files("gylebook").joinpath("published")
    return packed if packed.is_dir() else _REPOSITORY


def _read(file: Traversable) -> list[CheckValue]:
    content = tomllib.loads(file.read_text(encoding="utf-8"))
    return [
        CheckValue(
            function=check["function"],
            where=check["where"],
            inputs=check["inputs"],
            expected=check["expected"],
            unit=check["unit"],
            output=check.get("output", ""),
            tolerance=check.get("tol_abs", check.get("tol_rel")),
            relative="tol_rel" in check,
            why=check["tol_why"],
            standing=Standing(check.get("status", content["source"]["status"])),
            note=check.get("note", ""),
        )
        for check in content["check"]
    ]


def _function(name: str) -> Callable[..., Any]:
    module, _, function = name.rpartition(".")
    if not module.startswith("science."):
        raise ValueError(f"{name} is no sum of the book")
    found: Callable[..., Any] = getattr(importlib.import_module(f"gylebook.{module}"), function)
    return found


def _argument(value: Any) -> Any:
    is_array = isinstance(value, list) and not any(isinstance(each, str) for each in value)
    return np.asarray(value, dtype=float) if is_array else value
