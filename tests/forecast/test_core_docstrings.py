"""The forecaster's own rules: documented, pure, without a clock or chance, and knowing nothing above it."""

from __future__ import annotations

import ast
import dataclasses
import importlib
import inspect
import pkgutil
import re
from functools import cached_property
from pathlib import Path

import pytest

from gylebook import forecast as package
from gylebook.forecast import answers, evidence
from gylebook.forecast.forecast import Forecast, forecast

SOURCE = Path(package.__file__).parent
MODULES = sorted(info.name for info in pkgutil.iter_modules(package.__path__))
MAY_IMPORT = {"gylebook.errors", "gylebook.units", "gylebook.sources", "gylebook.science", "gylebook.forecast"}
IMPURE = {"time", "datetime", "random", "secrets", "os", "pathlib", "logging", "uuid"}
UNIT_IN_NAME = re.compile(r"(_sg|_c|_g_per_l|_day|_days|^day|^days|^day)$")
# Fields that are no number, or whose class says in one sentence what they hold.
PLAIN_FIELDS = {"readings", "known", "warmth", "hops", "additions", "forced"}


def members():
    """Every public function, class, method and property of the forecaster by its dotted name."""
    found = {}
    for name in MODULES:
        module = importlib.import_module(f"gylebook.forecast.{name}")
        for key, value in vars(module).items():
            if key.startswith("_") or getattr(value, "__module__", None) != module.__name__:
                continue
            if inspect.isfunction(value) or inspect.isclass(value):
                found[f"{name}.{key}"] = value
            if inspect.isclass(value):
                own = {k: v for k, v in vars(value).items() if not k.startswith("_")}
                kinds = (property, cached_property)
                found |= {
                    f"{name}.{key}.{k}": v for k, v in own.items() if inspect.isfunction(v) or isinstance(v, kinds)
                }
    return found


MEMBERS = members()


def tree(name):
    return ast.parse((SOURCE / f"{name}.py").read_text(encoding="utf-8"))


def imports(name):
    for node in ast.walk(tree(name)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield node.module


def described(doc, title):
    """Names described in a section of a docstring, with the text below each."""
    match = re.search(rf"^{title}\n-+\n(.*?)(?=\n\n\S|\Z)", doc, re.MULTILINE | re.DOTALL)
    found = {}
    header = ""
    for line in match.group(1).splitlines() if match else []:
        if line and not line.startswith(" "):
            header = line
            found |= {part.strip(): "" for part in header.split(",")}
        else:
            found |= {part.strip(): found[part.strip()] + line.strip() for part in header.split(",")}
    return found


@pytest.mark.parametrize("name", MODULES)
def test_a_module_says_what_it_is(name):
    assert ast.get_docstring(tree(name))


@pytest.mark.parametrize("name", MEMBERS)
def test_whatever_is_public_says_what_it_is(name):
    text = getattr(MEMBERS[name], "__doc__", None)
    assert text, f"{name} has no docstring"
    # A dataclass without one gets its signature; a kind without one inherits that of its base.
    assert not text.startswith(f"{name.split('.')[-1]}("), f"{name} has only its signature"


@pytest.mark.parametrize("name", MODULES)
def test_the_forecaster_knows_nothing_above_it(name):
    for imported in imports(name):
        if imported.startswith("gylebook"):
            assert any(imported == allowed or imported.startswith(f"{allowed}.") for allowed in MAY_IMPORT), imported


@pytest.mark.parametrize("name", MODULES)
def test_the_forecaster_has_no_clock_no_chance_and_no_files(name):
    assert not {imported.split(".")[0] for imported in imports(name)} & IMPURE
    calls = {
        node.func.id for node in ast.walk(tree(name)) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert not calls & {"open", "print", "input"}
    assert not [n for n in ast.walk(tree(name)) if isinstance(n, ast.Attribute) and n.attr == "random"]


def test_the_door_describes_all_it_takes_what_it_gives_and_what_it_refuses():
    doc = inspect.getdoc(forecast)
    assert set(described(doc, "Parameters")) == set(inspect.signature(forecast).parameters)
    assert described(doc, "Returns")
    assert "InputError" in described(doc, "Raises")


@pytest.mark.parametrize(
    "name", [n for n, m in MEMBERS.items() if "Parameters\n---" in (m.__doc__ or "").replace("    ", "")]
)
def test_a_section_of_parameters_leaves_none_out_and_invents_none(name):
    member = MEMBERS[name]
    given = {p for p in inspect.signature(member).parameters if p != "self"}
    assert set(described(inspect.getdoc(member), "Parameters")) == given


@pytest.mark.parametrize("kind", ["Reading", "Warmth", "Hops", "Addition", "Forced", "Known", "Evidence"])
def test_each_number_that_is_told_has_its_unit_in_its_name_or_is_described(kind):
    told = getattr(evidence, kind)
    for each in dataclasses.fields(told):
        named = UNIT_IN_NAME.search(each.name) or each.name in PLAIN_FIELDS
        assert named or re.search(rf"\b{each.name}\b", inspect.getdoc(told)), f"{kind}.{each.name}"


@pytest.mark.parametrize("kind", ["Spread", "Fan", "Diagnostics", "NextReading"])
def test_each_answer_is_described(kind):
    doc = inspect.getdoc(getattr(answers, kind))
    for each in dataclasses.fields(getattr(answers, kind)):
        assert (
            re.search(rf"\b{each.name}\b", doc)
            or each.name in ("mean", "sd")
            or each.name.startswith("q")
            or each.name in ("draws", "rounds")
        ), each.name


def test_what_is_told_and_answered_cannot_be_changed():
    for module in (evidence, answers):
        kinds = [v for v in vars(module).values() if dataclasses.is_dataclass(v) and v.__module__ == module.__name__]
        assert kinds
        assert all(kind.__dataclass_params__.frozen for kind in kinds)
    assert Forecast.__dataclass_params__.frozen


def test_an_undocumented_parameter_is_caught():
    doc = "Purpose.\n\nParameters\n----------\na, b\n    Two of them [1].\nc\n    Another."
    assert described(doc, "Parameters") == {"a": "Two of them [1].", "b": "Two of them [1].", "c": "Another."}
    assert described("Purpose.", "Parameters") == {}
