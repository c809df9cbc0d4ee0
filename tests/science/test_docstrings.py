"""Hold signatures, docstrings, check values and the bibliography together, so that none can go stale alone."""

from __future__ import annotations

import functools
import importlib
import inspect
import pkgutil
import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import gylebook
from gylebook import science, sources

# Functions without a published or derived check value, each with the reason.
WITHOUT_CHECK: dict[str, str] = {
    "science.alcohol.abv_customary": "a rule of thumb without a proper source, shown because brewers expect it",
    "science.colour.colour_word": "words of everyday speech; no two lists agree",
    "science.conditioning.days_at_20c": "no measured curve of bottle conditioning was found; the pace is habit",
    "science.conditioning.carbonation_fraction": "no measured curve of bottle conditioning was found",
    "science.conditioning.carbonation_days": "no measured curve of bottle conditioning was found",
    "science.conditioning.chance_carbonated": "no measured curve of bottle conditioning was found; the spread is habit",
    "science.conditioning.stall_temp_c": "the trade says that ale yeast may stop below 8 to 10 °C, and no more",
    "science.glass.wash_factor": "the published study's coefficients were not seen, only that the fall is exponential",
    "science.priming.level_teaspoons": "leaflets' spoons; a scale is what the book asks for",
    "science.yeast.viability": "no published curve of the ageing of dry brewing yeast was found",
    "science.yeast.lag_h": "no published curve of lag with dose and warmth was found",
}

# Sources that no sum and no check cites, each with the reason for keeping it.
KEPT_WITHOUT_USE: dict[str, str] = {
    "schrader_gramer_2010": "stands behind the caution about eyes and bottles; nothing is reckoned from it",
    "gee_ramirez_1994": "the forecast is tried on beer made by it; no sum uses it",
    "andres_toro_1998": "the forecast is tried on beer made by it; no sum uses it",
    "javma_1997_hops_dogs": "stands behind the caution about hops and dogs; nothing is reckoned from it",
}

PUBLISHED = Path(__file__).parents[1] / "published"
UNIT = re.compile(r"\[[^\[\]]+\]")


def public_functions() -> dict[str, Callable[..., Any]]:
    """Every public function of the science package by its dotted name below gylebook."""
    found = {}
    for info in pkgutil.iter_modules(science.__path__):
        module = importlib.import_module(f"gylebook.science.{info.name}")
        for name, function in vars(module).items():
            own = inspect.isfunction(function) and function.__module__ == module.__name__
            if own and not name.startswith("_") and not info.name.startswith("_"):
                found[f"science.{info.name}.{name}"] = function
    return found


FUNCTIONS = public_functions()


def section(doc: str, title: str) -> dict[str, str]:
    """Entries of a NumPy docstring section: header line -> indented text below it."""
    match = re.search(rf"^{title}\n-+\n(.*?)(?=\n\n\S|\Z)", doc, re.MULTILINE | re.DOTALL)
    entries: dict[str, str] = {}
    header = ""
    for line in match.group(1).splitlines() if match else []:
        if line and not line.startswith(" "):
            header = line
            entries[header] = ""
        elif header:
            entries[header] += line.strip() + " "
    return entries


def line_value(doc: str, label: str) -> str:
    """The text after 'Range:' or 'Source:' up to the next blank line or label."""
    match = re.search(rf"^{label}:(.*?)(?=\n\n|\n[A-Z]\w+:|\Z)", doc, re.MULTILINE | re.DOTALL)
    return " ".join(match.group(1).split()) if match else ""


def keys_of(doc: str) -> list[str]:
    return [key.strip() for key in line_value(doc, "Source").rstrip(".").split(",") if key.strip()]


def checks() -> list[tuple[str, str, str]]:
    """(function, source key, status) of every check entry."""
    found = []
    for path in PUBLISHED.glob("*/*.toml"):
        content = tomllib.loads(path.read_text(encoding="utf-8"))
        source = content["source"]
        found += [
            (check["function"], source["key"], check.get("status", source["status"])) for check in content["check"]
        ]
    return found


@pytest.mark.parametrize("name", FUNCTIONS)
def test_every_parameter_is_described_with_its_unit(name: str) -> None:
    doc = inspect.getdoc(FUNCTIONS[name]) or ""
    described = {
        part.strip(): text
        for header, text in section(doc, "Parameters").items()
        for part in header.split(":")[0].split(",")
    }
    assert set(described) == set(inspect.signature(FUNCTIONS[name]).parameters), (
        f"{name}: parameters and docstring differ"
    )
    bare = [parameter for parameter, text in described.items() if not UNIT.search(text)]
    assert not bare, f"{name}: no [unit] for {bare}; write [1] for a pure number"


@pytest.mark.parametrize("name", FUNCTIONS)
def test_everything_returned_is_described_with_its_unit(name: str) -> None:
    returned = section(inspect.getdoc(FUNCTIONS[name]) or "", "Returns")
    assert returned, f"{name}: no Returns section"
    assert all(UNIT.search(text) for text in returned.values()), f"{name}: a returned value has no [unit]"


@pytest.mark.parametrize("name", FUNCTIONS)
def test_every_function_states_its_range(name: str) -> None:
    assert line_value(inspect.getdoc(FUNCTIONS[name]) or "", "Range"), f"{name}: no 'Range:' line"


@pytest.mark.parametrize("name", FUNCTIONS)
def test_every_function_cites_sources_that_exist(name: str) -> None:
    keys = keys_of(inspect.getdoc(FUNCTIONS[name]) or "")
    assert keys, f"{name}: no 'Source:' line"
    for key in keys:
        sources.get(key)


@pytest.mark.parametrize("name", FUNCTIONS)
def test_every_function_has_a_check_value_that_is_more_than_habit(name: str) -> None:
    proper = [key for function, key, status in checks() if function == name and status != "COMMON_PRACTICE"]
    if name in WITHOUT_CHECK:
        assert not proper, f"{name} has a check value now; take it from WITHOUT_CHECK"
    else:
        assert proper, f"{name}: no published or derived check value, and no reason given in WITHOUT_CHECK"


def test_reasons_are_given_only_for_functions_that_exist() -> None:
    assert set(WITHOUT_CHECK) <= set(FUNCTIONS)
    assert all(WITHOUT_CHECK.values())


@functools.cache
def cited_keys() -> set[str]:
    """Keys that a check, a 'Source:' line or a quoted key in the code makes use of."""
    used = {key for _, key, _ in checks()}
    for path in Path(gylebook.__file__).parent.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        for line in re.findall(r"Source:((?:.*,\n)*.*)", text):
            used |= set(re.findall(r"\w+", line))
        used |= set(re.findall(r"\"(\w+)\"", text))
    return used


@pytest.mark.parametrize("key", sources.all())
def test_every_source_is_used_or_kept_for_a_reason(key: str) -> None:
    if key in KEPT_WITHOUT_USE:
        assert key not in cited_keys(), f"{key} is used now; take it from KEPT_WITHOUT_USE"
    else:
        assert key in cited_keys(), (
            f"{key} is used by no sum and no check; use it, remove it, or give a reason in KEPT_WITHOUT_USE"
        )


def test_sources_are_kept_without_use_only_if_they_exist() -> None:
    assert set(KEPT_WITHOUT_USE) <= set(sources.all())


def test_a_docstring_without_units_or_range_is_caught() -> None:
    doc = "Purpose.\n\nParameters\n----------\ntemp_c : float\n    Temperature.\n\nReturns\n-------\nfloat\n    Density [kg/m3]."
    assert section(doc, "Parameters") == {"temp_c : float": "Temperature. "}
    assert not UNIT.search(section(doc, "Parameters")["temp_c : float"])
    assert section(doc, "Returns") == {"float": "Density [kg/m3]. "}
    assert line_value(doc, "Range") == ""
    assert keys_of(doc + "\n\nRange: all.\nSource: a_1, b_2") == ["a_1", "b_2"]
