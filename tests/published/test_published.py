"""Hold every published value against the function that should give it: one test per entry, named by its source.

``tests/published/<source key>/<any name>.toml`` (usually ``checks.toml``):

    [source]
    key = "nbs_c440"                     # the folder's name; a key of sources.toml
    status = "PUBLISHED_SECOND_HAND"     # standing of the values in this file

    [[check]]
    function = "science.extract.plato_from_sg"
    where = "Table 114, 10 degrees Brix"     # table, equation, page
    inputs = { gravity_sg = 1.04003 }        # numbers, lists (arrays), text or truth values
    expected = 10.0                          # number or list; nan is allowed; text and truth values compare exactly
    unit = "g/100 g"
    tol_abs = 0.01                           # one of tol_abs, tol_rel (none for text and truth values)
    tol_why = "the table's own accuracy and the fit's"
    output = "abv"                           # optional: the field of a result that has several
    status = "DERIVED"                       # optional: when one entry's standing differs from its file's
    note = "..."                             # optional: why the printed value and ours differ

The printed value is never overwritten by ours. A difference is explained in the note.
"""

from __future__ import annotations

import importlib
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from gylebook import sources

FOLDER = Path(__file__).parent
FILES = sorted(FOLDER.glob("*/*.toml"))
ALLOWED = {
    "function",
    "where",
    "inputs",
    "expected",
    "unit",
    "tol_abs",
    "tol_rel",
    "tol_why",
    "output",
    "status",
    "note",
}
NEEDED = ("function", "where", "inputs", "expected", "unit", "tol_why")


def _entries() -> list[Any]:
    params = []
    for path in FILES:
        content = tomllib.loads(path.read_text(encoding="utf-8"))
        for number, check in enumerate(content.get("check", []), start=1):
            name = f"{path.parent.name}/{path.stem}:{number} {check.get('function', '?')} at {check.get('where', '?')}"
            params.append(pytest.param(path, content.get("source", {}), check, id=name))
    return params


def faults(check: dict[str, Any]) -> list[str]:
    """What keeps an entry from being a check at all."""
    found = [f"has no {key}" for key in NEEDED if check.get(key) in (None, "")]
    found += [f"has an unknown key {key}" for key in sorted(set(check) - ALLOWED)]
    tolerances = [key for key in ("tol_abs", "tol_rel") if key in check]
    exact = isinstance(check.get("expected"), (str, bool))
    if not exact and len(tolerances) != 1:
        found.append("needs exactly one of tol_abs and tol_rel")
    if exact and tolerances:
        found.append("compares exactly, so it has no tolerance")
    if check.get("status", "PUBLISHED") not in set(sources.Standing):
        found.append(f"has an unknown status {check['status']}")
    return found


def call(check: dict[str, Any]) -> Any:
    """The function's own answer for the entry's inputs."""
    module_name, _, function_name = check["function"].rpartition(".")
    function = getattr(importlib.import_module(f"gylebook.{module_name}"), function_name)
    inputs = {
        name: np.asarray(value, dtype=float)
        if isinstance(value, list) and not any(isinstance(v, str) for v in value)
        else value
        for name, value in check["inputs"].items()
    }
    result = function(**inputs)
    if "output" in check:
        result = result[check["output"]] if isinstance(result, dict) else getattr(result, check["output"])
    return result


def agrees(check: dict[str, Any], result: Any) -> bool:
    """True when the result has the expected shape and lies within the stated tolerance everywhere."""
    expected = check["expected"]
    if isinstance(expected, (str, bool)):
        return bool(result == expected)
    wanted, got = np.asarray(expected, dtype=float), np.asarray(result, dtype=float)
    if wanted.shape != got.shape:
        return False
    # A printed tolerance is decimal; the last bits of a binary float must not decide.
    slack = 1e-12 * np.abs(wanted)
    return bool(
        np.allclose(
            got,
            wanted,
            rtol=check.get("tol_rel", 0.0),
            atol=check.get("tol_abs", 0.0) + np.nanmax(slack, initial=0.0),
            equal_nan=True,
        )
    )


@pytest.mark.parametrize(("path", "source", "check"), _entries())
def test_the_published_value_is_met(path: Path, source: dict[str, Any], check: dict[str, Any]) -> None:
    assert not faults(check), f"{path.parent.name}/{path.name}: the entry {check} " + "; ".join(faults(check))
    cited = sources.get(source["key"])
    result = call(check)
    assert agrees(check, result), (
        f"\n{check['function']}({check['inputs']})\n"
        f"  gives     {result} {check['unit']}\n"
        f"  but       {check['expected']} {check['unit']} is given by\n"
        f"  source    {cited.citation} [{check.get('status', source['status'])}]\n"
        f"  where     {check['where']}\n"
        f"  tolerance {check.get('tol_abs', check.get('tol_rel'))}, because {check['tol_why']}\n"
        f"  note      {check.get('note', '-')}"
    )


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}/{path.name}")
def test_a_check_file_names_its_source_and_holds_checks(path: Path) -> None:
    content = tomllib.loads(path.read_text(encoding="utf-8"))
    assert set(content) == {"source", "check"}, f"{path}: only [source] and [[check]] belong here"
    assert set(content["source"]) == {"key", "status"}
    assert content["source"]["key"] == path.parent.name, f"{path}: the folder is named by the source's key"
    sources.get(content["source"]["key"])
    assert content["source"]["status"] in set(sources.Standing)
    assert content["check"], f"{path} holds no check"


def _good() -> dict[str, Any]:
    return {
        "function": "science.water.density_kg_m3",
        "where": "Table 1",
        "inputs": {"temp_c": 20.0},
        "expected": 998.2,
        "unit": "kg/m3",
        "tol_abs": 0.1,
        "tol_why": "a whole example",
    }


def test_a_whole_entry_has_no_faults() -> None:
    assert faults(_good()) == []


@pytest.mark.parametrize("key", [*NEEDED, "tol_abs"])
def test_an_entry_without_a_needed_key_is_refused(key: str) -> None:
    entry = _good()
    del entry[key]
    assert faults(entry)


def test_an_entry_with_a_misspelt_key_is_refused() -> None:
    assert faults({**_good(), "tolerance": 1.0}) == ["has an unknown key tolerance"]


def test_a_value_outside_its_tolerance_does_not_agree() -> None:
    assert agrees(_good(), np.float64(998.25))
    assert not agrees(_good(), np.float64(998.35))
    assert not agrees(_good(), np.float64("nan"))
    assert not agrees(_good(), np.array([998.2]))
