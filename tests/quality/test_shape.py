"""The shape of the code: sizes, names, and one word for one feature through all layers."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from gylebook.steps.catalogue import WORDS

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src" / "gylebook"
MODULES = sorted(p for p in SOURCE.rglob("*.py") if "migrations" not in p.parts)

# Larger than the limit, each with its reason.
LONG_MODULES: dict[str, str] = {
    "journal/events.py": "one struct a kind; the list of kinds is read in one place",
    "outputs/entries.py": "one sentence a kind of entry, beside each other as the kinds are",
    "phrases.py": "each kind of text with what makes, tells and keeps it",
    "web/api/shapes.py": "every shape of the API in one place",
}
LONG_FUNCTIONS: dict[str, str] = {}
BANNED = {"utils", "helpers", "common", "misc", "base"}


def relative(path: Path) -> str:
    return path.relative_to(SOURCE).as_posix()


def spread_lines(tree: ast.AST) -> int:
    """Lines that sentences take beyond their first: a sentence counts as one line, however many parts it names."""
    spread: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in {"say", "say_count"}:
            spread.update(range(node.lineno + 1, (node.end_lineno or node.lineno) + 1))
    return len(spread)


@pytest.mark.parametrize("path", MODULES, ids=relative)
def test_a_module_has_at_most_400_lines_or_a_reason(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    lines = len(text.splitlines()) - spread_lines(ast.parse(text))
    assert lines <= 400 or relative(path) in LONG_MODULES, f"{relative(path)} has {lines} lines: split it"


def code_lines(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    first = node.body[0]
    doc = 0
    if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant) and isinstance(first.value.value, str):
        doc = (first.end_lineno or 0) - first.lineno + 1
    return (node.end_lineno or 0) - node.lineno + 1 - doc - spread_lines(node)


@pytest.mark.parametrize("path", MODULES, ids=relative)
def test_a_function_has_at_most_50_lines_without_its_docstring(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    long = [
        f"{node.name}: {code_lines(node)}"
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and code_lines(node) > 50
        and f"{relative(path)}::{node.name}" not in LONG_FUNCTIONS
    ]
    assert not long, f"{relative(path)}: {long}"


@pytest.mark.parametrize("path", MODULES, ids=relative)
def test_no_module_has_a_name_that_says_nothing(path: Path) -> None:
    assert path.stem not in BANNED


def test_the_lists_of_exceptions_name_things_that_exist() -> None:
    names = {relative(path) for path in MODULES}
    assert set(LONG_MODULES) <= names
    assert {entry.split("::")[0] for entry in LONG_FUNCTIONS} <= names


@pytest.mark.parametrize("word", WORDS)
def test_a_step_has_a_module_a_page_a_test_and_a_doc_of_the_same_word(word: str) -> None:
    assert (SOURCE / "steps" / f"{word}.py").is_file()
    assert (SOURCE / "web" / "brews" / f"{word}.py").is_file(), f"no page for {word}"
    assert (ROOT / "tests" / "steps" / f"test_{word}.py").is_file(), f"no test for {word}"
    assert (ROOT / "docs" / "steps" / f"{word}.md").is_file(), f"no doc for {word}"
