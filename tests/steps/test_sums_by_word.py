from __future__ import annotations

from importlib import import_module

import pytest

from gylebook.steps import sums
from gylebook.steps.sums import SUMS


@pytest.mark.parametrize("module", sums._WORDS)
def test_the_table_of_words_is_what_the_module_has(module: str) -> None:
    found = import_module(f"gylebook.steps.{module}").SUMS
    assert tuple(each.word for each in found) == sums._WORDS[module]


def test_every_module_of_sums_is_in_the_table() -> None:
    from pathlib import Path

    folder = Path(sums.__file__).parent
    holding = {p.stem for p in folder.glob("sums_*.py") if hasattr(import_module(f"gylebook.steps.{p.stem}"), "SUMS")}
    assert holding == set(sums._WORDS)


def test_the_sums_are_a_mapping_by_word() -> None:
    assert len(SUMS) == len(list(SUMS)) == len(SUMS.values())
    assert all(SUMS[word].word == word for word in SUMS)
    assert SUMS.get("froth") is None
    assert "priming" in SUMS
